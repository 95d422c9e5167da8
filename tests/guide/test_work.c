/* Stations, casts, the course to steer, the bait and the ways back. */
#include "scene.h"

Test(work, stations_and_casts_in_order)
{
    struct scene s;

    begin(&s, true);
    at(&s, 10, 10); /* nearest: station 2 at e = 0 */
    cr_assert_eq(s.out.station, 2);
    cr_assert_eq(s.out.stations, 3);
    cr_assert_float_eq(s.out.station_m, 10, 1e-3);
    cr_assert_float_eq(s.out.station_deg, 270, 1e-2);
    cr_assert_not(s.out.at_station);
    at(&s, 4.9, 10);
    cr_assert(s.out.at_station);
    cr_assert_eq(s.out.cast, 1);
    cr_assert_eq(s.out.casts, 2);
    cr_assert_float_eq(s.out.cast_m, hypot(14.9, 12), 1e-3); /* from where the boat is */
    cr_assert_float_eq(s.out.cast_depth_m, 1.5, 1e-12);
    cr_assert_float_eq(s.out.cast_crosses, 1, 0);
    make_cast(&s, 2, 1);
    at(&s, 4.9, 10);
    cr_assert_eq(s.out.cast, 2);
    cr_assert_float_eq(s.out.cast_depth_m, 2.5, 1e-12);
    cr_assert_not(s.out.cast_far);
    at(&s, 45, 10); /* near station 3, but station 2 has a cast left */
    cr_assert_eq(s.out.station, 2);
    cr_assert(s.out.cast_far);
    make_cast(&s, 2, 2);
    at(&s, 4.9, 10);
    cr_assert_eq(s.out.station, 3);
    make_cast(&s, 3, 1);
    make_cast(&s, 3, 2);
    at(&s, 50, 10); /* on to what was left out */
    cr_assert_eq(s.out.station, 1);
    make_cast(&s, 1, 2);
    at(&s, -50, 10);
    cr_assert_eq(s.out.cast, 1, "the hole in the fan");
    make_cast(&s, 1, 1);
    at(&s, -50, 10);
    cr_assert_eq(s.out.station, 0);
    cr_assert_eq(s.out.cast, 0);
    cr_assert(isnan(s.out.cast_m));
    cr_assert(!isnan(s.out.steer_deg));
    end(&s);
}

Test(work, a_crew_that_counts_no_casts_is_not_sent_back)
{
    struct scene s;

    begin(&s, true);
    at(&s, -20, 10); /* on the way to station 2: not yet reached, so nothing was left */
    cr_assert_eq(s.out.station, 2);
    at(&s, -30, 10);
    cr_assert_eq(s.out.station, 2);
    at(&s, 1, 10);
    at(&s, 24, 10);
    cr_assert_eq(s.out.station, 2, "drifted, but nearer to it than to the next");
    at(&s, 26, 10);
    cr_assert_eq(s.out.station, 3);
    at(&s, 20, 10);
    cr_assert_eq(s.out.station, 3, "no swinging back before it is reached");
    end(&s);
    begin(&s, true);
    at(&s, 1, 10);
    make_cast(&s, 2, 1);
    at(&s, 40, 10);
    cr_assert_eq(s.out.station, 2, "its fan is not done");
    end(&s);
}

Test(work, the_crew_chooses_a_station)
{
    struct scene s;

    begin(&s, true);
    make_cast(&s, 1, 1);
    make_cast(&s, 1, 2);
    at(&s, -50, 10); /* nearest is 1, but it is done */
    cr_assert_eq(s.out.station, 2);
    s.memory.station = 1; /* back to it by key */
    at(&s, -50, 10);
    at(&s, -50, 10);
    cr_assert_eq(s.out.station, 1, "a finished station may be wanted");
    cr_assert_eq(s.out.cast, 0);
    s.memory.station = 3;
    at(&s, -50, 10);
    cr_assert_eq(s.out.station, 3);
    cr_assert_eq(s.out.cast, 1);
    end(&s);
}

Test(work, without_a_trip_stations_pass_by)
{
    struct scene s;

    begin(&s, true);
    s.in.trip = NULL;
    at(&s, -60, 10);
    cr_assert_eq(s.out.station, 1);
    at(&s, -49, 10);
    at(&s, -44, 10);
    cr_assert_eq(s.out.station, 1);
    at(&s, -40, 10); /* been there, left */
    cr_assert_eq(s.out.station, 2);
    cr_assert_eq(s.out.cast, 1);
    end(&s);
}

Test(work, steering)
{
    struct scene s;
    double e = -90, n = 30, worst_late = 0;

    begin(&s, true);
    s.memory.station = 2;
    at(&s, -90, 10); /* on the line, the station east */
    cr_assert_float_eq(s.out.steer_deg, 90, 0.1);
    at(&s, -90, 15); /* out by 5: in and along; at a point 15 m ahead */
    cr_assert_float_eq(s.out.steer_deg, 90 + atan2(5, 15) * 180 / M_PI, 0.1);
    at(&s, -90, 7); /* in by 3: out and along, 10 m ahead */
    cr_assert_float_eq(s.out.steer_deg, 90 - atan2(3, 10) * 180 / M_PI, 0.1);
    at(&s, 60, 10); /* past it: back */
    cr_assert_float_eq(s.out.steer_deg, 270, 0.1);
    bow(&s, 0);
    at(&s, 60, 10);
    cr_assert_eq(s.out.steer_clock, 9);
    at(&s, 4, 7); /* near: straight to it */
    cr_assert_float_eq(s.out.steer_deg, 360 - atan2(4, 3) * 180 / M_PI, 0.1);
    /* a boat that does as it is told comes onto the line and to the station */
    for (int i = 0; i < 400 && e < -2; i++) {
        at(&s, e, n);
        e += 0.5 * sin(s.out.steer_deg * M_PI / 180);
        n += 0.5 * cos(s.out.steer_deg * M_PI / 180);
        if (e > -30)
            worst_late = fmax(worst_late, fabs(n - 10));
    }
    cr_assert_lt(worst_late, 1.5);
    cr_assert_geq(e, -2);
    end(&s);
}

Test(work, where_the_bait_is)
{
    struct scene s;
    struct lw_en bait;
    bool from_cast;

    begin(&s, true);
    at(&s, 1, 10);
    bait = lw_frame_to_en(&s.plan.frame, lw_guide_bait(&s.plan, &s.out, &from_cast));
    cr_assert(from_cast);
    cr_assert_float_eq(bait.e_m, -10, 1e-3);
    cr_assert_float_eq(bait.n_m, -2, 1e-3);
    at(&s, 25, 10); /* too far for that cast: the edge abeam */
    bait = lw_frame_to_en(&s.plan.frame, lw_guide_bait(&s.plan, &s.out, &from_cast));
    cr_assert_not(from_cast);
    cr_assert_float_eq(bait.e_m, 25, 1e-3);
    cr_assert_float_eq(bait.n_m, 0, 1e-3);
    s.in.shift = (struct lw_en){0, 3};
    at(&s, 25, 10);
    bait = lw_frame_to_en(&s.plan.frame, lw_guide_bait(&s.plan, &s.out, &from_cast));
    cr_assert_float_eq(bait.n_m, -3, 1e-3, "as the receiver would see it");
    end(&s);
}

Test(work, back_to_the_dwell_and_to_the_frozen_place)
{
    struct scene s;
    struct lw_event bite, freeze;

    begin(&s, true);
    at(&s, 0, 10);
    bite = lw_event_new(LW_EV_MARK, s.in.now_utc_ms);
    bite.u.mark.kind = LW_MARK_BITE;
    bite.u.mark.where.at = s.out.caster;
    bite.u.mark.where.age_s = 0;
    apply(&s, bite);
    freeze = lw_event_new(LW_EV_FREEZE, s.in.now_utc_ms);
    freeze.u.freeze.on = true;
    freeze.u.freeze.where.at = s.out.caster;
    apply(&s, freeze);
    at(&s, 30, 50); /* a 3-4-5 triangle from it */
    cr_assert_float_eq(s.out.freeze_back_m, 50, 1e-2);
    cr_assert_float_eq(s.out.freeze_back_deg, 180 + atan2(30, 40) * 180 / M_PI, 1e-2);
    cr_assert_float_eq(s.out.dwell_back_m, 50, 1e-2);
    cr_assert_float_eq(s.out.dwell_back_deg, s.out.freeze_back_deg, 1e-6);
    end(&s);
}
