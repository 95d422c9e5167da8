/* What is read from across the boat: big letters, and the far read where there is no room for them.
 */
#include "look.h"

TestSuite(far, .init = setup, .fini = teardown);

Test(far, from_two_metres_off_side_and_steering_are_large)
{
    free(day_draw(&day, 120, 40));
    cr_expect(shows_big(1, "43 FT OFF"));
    cr_expect(shows_big(1, "8 FT OUT"));
    cr_expect(shows_big(1, "STEER 2 O'CLOCK"));
    free(day_draw(&day, 200, 60));
    cr_expect(shows_big(2, "43 FT OFF"));
    cr_expect(shows_big(2, "STEER 2 O'CLOCK"));
    free(day_draw(&day, 120, 40));
    day_no_fix(&day, LW_FIX_NONE, 0);
    free(day_draw(&day, 120, 40));
    cr_expect(shows_big(1, "NO FIX"));
    cr_expect_not(shows_big(1, "STEER"));
}

/* A course made of noise would turn a boat that lies where it should. */
Test(far, on_the_hold_line_nobody_is_sent_to_turn)
{
    day_boat(&day, 187, DAY_STANDOFF_M);
    day.guidance.at_station = true;
    expect(80, 24, "stay here, cast");
    expect_not(80, 24, "steer");
    cr_expect(shows_big_at(120, 40, "STAY HERE"));
    day.guidance.cast = 0;
    expect(80, 24, "steer 2 o'clock");
    day.guidance.steer_clock = 12;
    expect(80, 24, "straight on");
    cr_expect(shows_big_at(120, 40, "STRAIGHT ON"));
    day_boat(&day, 187, DAY_STANDOFF_M + 3); /* off the line the way back is said */
    day.guidance.at_station = true;
    expect(80, 24, "steer 2 o'clock");
}

Test(far, a_cast_out_of_reach_says_the_way_to_its_station)
{
    char words[80];

    day.guidance.cast_far = true;
    day.guidance.at_station = false;
    day.guidance.station_m = 200 * LW_FT_M;
    expect(80, 24, "too far to cast");
    snprintf(words, sizeof words, "station %d of %zu 200 ft", day.guidance.station,
             day.plan->stations);
    expect(80, 24, words);
    expect_not(80, 24, "10 o'clock  70 ft");
    expect(40, 12, "200 ft to go");
    cr_expect(shows_big_at(120, 40, "43 FT OFF"));
    day.ui.screen = LW_SCREEN_FAR;
    cr_expect(shows_big_at(120, 40, "200 FT"));
    cr_expect_not(shows_big_at(120, 40, "CAST"));
    day.ui.screen = LW_SCREEN_STRIP;
    day.guidance.station = day.guidance.cast = 0;
    expect(80, 24, "every cast of the plan is made");
}

Test(far, shallow_water_is_said_on_the_far_read_too)
{
    day.ui.screen = LW_SCREEN_FAR;
    for (int i = 0; i < 3; i++) {
        const int w[] = {40, 80, 120}, h[] = {12, 24, 40};

        day.guidance.alarms = 0;
        expect_not(w[i], h[i], "Shallow");
        day.guidance.alarms = LW_ALARM_SHALLOW;
        expect(w[i], h[i], "Shallow: less water here");
    }
}

Test(far, far_read_is_as_large_as_fits)
{
    free(day_draw(&day, 40, 12)); /* in place of the strip */
    cr_expect(shows_big(1, "43"));
    cr_expect(shows_big(1, "8 OUT"));
    expect(40, 12, "steer 2 o'clock");
    expect(40, 12, "10 o'clock, 70 ft");
    day.ui.screen = LW_SCREEN_FAR;
    free(day_draw(&day, 80, 24));
    cr_expect(shows_big(2, "43 OFF"));
    cr_expect(shows_big(1, "8 OUT"));
    cr_expect(shows_big(1, "STEER 2"));
    cr_expect(shows_big(1, "CAST 10"));
    free(day_draw(&day, 120, 40));
    cr_expect(shows_big(2, "8 OUT"));
    cr_expect(shows_big(2, "STEER 2"));
    day_boat(&day, 187, DAY_STANDOFF_M);
    free(day_draw(&day, 120, 40));
    cr_expect(shows_big(2, "ON"));
}
