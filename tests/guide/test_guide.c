/* Where the boat is relative to the hold line, what is known without a fix, and the alarms. */
#include "scene.h"

Test(guide, off_deviation_and_words)
{
    struct scene s;

    begin(&s, true);
    at(&s, 20, 13);
    cr_assert(s.out.ok);
    cr_assert_float_eq(s.out.off_m, 13, 1e-3);
    cr_assert_float_eq(s.out.dev_m, 3, 1e-3);
    cr_assert_eq(s.out.side, LW_SIDE_OUT);
    cr_assert_float_eq(s.out.along_m, 120, 1e-3);
    cr_assert_float_eq(s.out.beat_m, 200, 1e-9);
    cr_assert_float_eq(s.out.sigma_m, 2.5, 1e-9); /* 1.5 and 2: a 3-4-5 triangle */
    at(&s, 20, 8);
    cr_assert_float_eq(s.out.dev_m, -2, 1e-3);
    cr_assert_eq(s.out.side, LW_SIDE_IN);
    at(&s, 20, 11.4);
    cr_assert_eq(s.out.side, LW_SIDE_ON);
    at(&s, 20, -4); /* over the lip, up on the flat */
    cr_assert_float_eq(s.out.off_m, -4, 1e-3);
    cr_assert_float_eq(s.out.dev_m, -14, 1e-3);
    cr_assert_eq(s.out.side, LW_SIDE_IN);
    end(&s);
}

Test(guide, hold_line_up_on_the_flat)
{
    struct scene s;

    begin(&s, false);
    at(&s, 20, -13);
    cr_assert_float_eq(s.out.off_m, -13, 1e-3);
    cr_assert_float_eq(s.out.dev_m, 3, 1e-3); /* out: farther from the edge, whichever side */
    cr_assert_eq(s.out.side, LW_SIDE_OUT);
    for (int i = 0; i < 6; i++)
        at(&s, 20, -13 + 0.2 * i); /* toward the edge */
    cr_assert_eq(s.out.trend, LW_TREND_COMING_IN);
    cr_assert_float_eq(s.out.off_rate_mps, -0.2, 1e-3);
    end(&s);
}

Test(guide, trend)
{
    struct scene s;

    begin(&s, true);
    at(&s, 0, 10);
    cr_assert_eq(s.out.trend, LW_TREND_UNKNOWN);
    cr_assert(isnan(s.out.off_rate_mps));
    for (int i = 1; i < 8; i++)
        at(&s, 0, 10 + 0.3 * i);
    cr_assert_eq(s.out.trend, LW_TREND_GOING_OUT);
    cr_assert_float_eq(s.out.off_rate_mps, 0.3, 1e-3);
    for (int i = 0; i < 6; i++)
        at(&s, 0, 12.1 + 0.04 * i);
    cr_assert_eq(s.out.trend, LW_TREND_STEADY);
    s.in.now_utc_ms += 60000; /* a minute unseen: the old points tell nothing */
    at(&s, 0, 30);
    cr_assert_eq(s.out.trend, LW_TREND_UNKNOWN);
    for (int i = 0; i < 200; i++) { /* the same epoch drawn again adds nothing */
        s.in.now_utc_ms += 5;
        lw_guide_step(&s.in, &s.memory, &s.out);
    }
    cr_assert_eq(s.out.trend, LW_TREND_UNKNOWN);
    end(&s);
}

Test(guide, never_a_number_without_a_fresh_fix)
{
    static const struct {
        enum lw_fix_state state;
        unsigned alarm;
    } states[] = {{LW_FIX_LOST, LW_ALARM_NO_SOURCE},
                  {LW_FIX_NONE, LW_ALARM_NO_FIX},
                  {LW_FIX_STALE, LW_ALARM_STALE}};
    struct scene s;

    begin(&s, true);
    bow(&s, 90);
    at(&s, 20, 13);
    cr_assert_gt(s.out.cast, 0);
    for (int i = 0; i < 3; i++) {
        const struct lw_guidance *g = &s.out;
        struct lw_en shift;
        bool from_cast = true;

        s.in.estimate.state = states[i].state;
        s.readings.depth_m = (struct lw_reading){4.0, s.in.mono_ms};
        lw_guide_step(&s.in, &s.memory, &s.out);
        cr_assert_not(g->ok);
        cr_assert_eq(g->alarms, states[i].alarm);
        cr_assert(isnan(g->off_m) && isnan(g->dev_m) && isnan(g->off_rate_mps));
        cr_assert(isnan(g->along_m) && isnan(g->beat_m) && isnan(g->sigma_m));
        cr_assert(isnan(g->sog_mps) && isnan(g->cog_deg) && isnan(g->steer_deg));
        cr_assert(isnan(g->caster.lat_deg) && isnan(g->caster_en.e_m) && isnan(g->map_depth_m));
        cr_assert(isnan(g->station_m) && isnan(g->cast_m) && isnan(g->cast_deg));
        cr_assert(g->station == 0 && g->cast == 0 && g->cast_clock == 0 && g->steer_clock == 0);
        cr_assert_float_eq(g->depth_m, 4.0, 1e-12, "the sounder does not hang on the fix");
        cr_assert(isnan(lw_guide_bait(&s.plan, g, &from_cast).lat_deg));
        cr_assert_not(from_cast);
        cr_assert_not(lw_guide_shift(&s.plan, g, &shift));
    }
    end(&s);
}

Test(guide, heading_from_sensor_else_course_else_none)
{
    struct scene s;

    begin(&s, true);
    at(&s, 0, 10);
    cr_assert_eq(s.out.heading_source, LW_HEADING_NONE);
    cr_assert_eq(s.out.cast_clock, 0);
    cr_assert_eq(s.out.steer_clock, 0);
    s.in.estimate.sog_mps = 0.5;
    s.in.estimate.cog_deg = 180;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_assert_eq(s.out.heading_source, LW_HEADING_COG);
    cr_assert_float_eq(s.out.heading_deg, 180, 1e-12);
    s.in.estimate.sog_mps = 0.39; /* too slow: course is noise */
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_assert_eq(s.out.heading_source, LW_HEADING_NONE);
    bow(&s, 90);
    at(&s, 0, 10);
    cr_assert_eq(s.out.heading_source, LW_HEADING_COMPASS);
    /* the cast lands 10 m west and 12 m south: bearing 219.8, 129.8 right of the bow: 4 o'clock */
    cr_assert_float_eq(s.out.cast_deg, 180 + atan2(10, 12) * 180 / M_PI, 1e-2);
    cr_assert_eq(s.out.cast_clock, 4);
    for (int i = 0; i < 4; i++)
        at(&s, 0, 10); /* the compass falls silent */
    cr_assert_eq(s.out.heading_source, LW_HEADING_NONE);
    end(&s);
}

/* Antenna 3 m ahead of the caster and 1 m to the right; bow east: the caster is 3 m west and 1 m
 * north of the antenna. */
Test(guide, lever_arm_and_shift)
{
    struct scene s;
    struct lw_en seen;

    begin(&s, true);
    s.in.forward_m = 3;
    s.in.starboard_m = 1;
    at(&s, 20, 12);
    cr_assert_float_eq(s.out.off_m, 12, 1e-3, "without a heading the antenna counts");
    bow(&s, 90);
    at(&s, 20, 12);
    cr_assert_float_eq(s.out.caster_en.e_m, 17, 1e-3);
    cr_assert_float_eq(s.out.caster_en.n_m, 13, 1e-3);
    cr_assert_float_eq(s.out.off_m, 13, 1e-3);
    s.in.shift = (struct lw_en){5, -2};
    bow(&s, 90);
    at(&s, 20, 12);
    cr_assert_float_eq(s.out.off_m, 11, 1e-3);
    cr_assert_float_eq(s.out.along_m, 122, 1e-3);
    seen = lw_frame_to_en(&s.plan.frame, s.out.caster); /* what is recorded has no shift in it */
    cr_assert_float_eq(seen.e_m, 17, 1e-3);
    cr_assert_float_eq(seen.n_m, 13, 1e-3);
    end(&s);
}

Test(guide, the_lip_is_under_the_boat)
{
    struct scene s;
    struct lw_en add_m;

    begin(&s, true);
    s.in.shift = (struct lw_en){0, 1};
    at(&s, 20, 4);
    cr_assert(lw_guide_shift(&s.plan, &s.out, &add_m));
    s.in.shift.e_m += add_m.e_m;
    s.in.shift.n_m += add_m.n_m;
    cr_assert_float_eq(s.in.shift.n_m, -4, 1e-3);
    at(&s, 20, 4);
    cr_assert_float_eq(s.out.off_m, 0, 1e-3);
    cr_assert_not(lw_guide_shift(NULL, &s.out, &add_m));
    end(&s);
}

Test(guide, alarms)
{
    struct scene s;

    begin(&s, true);
    at(&s, 0, 10);
    cr_assert_eq(s.out.alarms, 0);
    at(&s, 0, 24);
    cr_assert_eq(s.out.alarms, 0);
    at(&s, 0, 26); /* 16 m off it, tolerance 1.5 m */
    cr_assert_eq(s.out.alarms, LW_ALARM_FAR);
    at(&s, 102, 10);
    cr_assert_eq(s.out.alarms, LW_ALARM_PAST_END);
    at(&s, -102, 10);
    cr_assert_eq(s.out.alarms, LW_ALARM_PAST_END);
    /* the edge itself ends at e = 300: it is taken to go on straight */
    for (int end = -1; end <= 1; end += 2) {
        at(&s, 320 * end, 12);
        cr_assert_eq(s.out.alarms, LW_ALARM_PAST_END);
        cr_assert_float_eq(s.out.off_m, 12, 1e-3);
        cr_assert_float_eq(s.out.along_m, 100 + 320 * end, 1e-3);
        at(&s, 320 * end, -5);
        cr_assert_float_eq(s.out.off_m, -5, 1e-3);
    }
    s.readings.depth_m = (struct lw_reading){0.9, s.in.mono_ms};
    at(&s, 0, 10);
    cr_assert_eq(s.out.alarms, LW_ALARM_SHALLOW);
    for (int i = 0; i < 6; i++)
        at(&s, 0, 10); /* an old depth warns of nothing */
    cr_assert_eq(s.out.alarms, 0);
    cr_assert(isnan(s.out.depth_m));
    cr_assert_str_eq(lw_alarm_name(LW_ALARM_NO_SOURCE), "no source");
    for (unsigned a = 1; a < 1u << LW_ALARMS; a <<= 1)
        cr_assert(lw_alarm_name(a)[0] && lw_alarm_words(a)[0]);
    end(&s);
}

/* A chart of one slope: depth 0.02 m for each metre north of -50. */
Test(guide, map_depth_and_shallow_by_map)
{
    struct scene s;
    struct lw_chart chart = {0};
    static float depth[21 * 21];

    begin(&s, true);
    chart.frame.origin = (struct lw_ll){46.01, -89.70};
    chart.grid = (struct lw_grid){-200, -200, 20, 21, 21, depth, NULL};
    for (int j = 0; j < 21; j++)
        for (int i = 0; i < 21; i++)
            depth[j * 21 + i] = (float)(0.02 * (-200 + 20 * j + 50));
    s.in.chart = &chart;
    at(&s, 20, 13);
    cr_assert_float_eq(s.out.map_depth_m, 1.26, 1e-4);
    cr_assert_eq(s.out.alarms, 0);
    s.in.shift.n_m = -20;
    at(&s, 20, 13);
    cr_assert_float_eq(s.out.map_depth_m, 0.86, 1e-4);
    cr_assert(s.out.alarms & LW_ALARM_SHALLOW);
    s.readings.depth_m = (struct lw_reading){3.0, s.in.mono_ms + 1000};
    at(&s, 20, 13);
    cr_assert_not(s.out.alarms & LW_ALARM_SHALLOW, "the sounder knows better");
    end(&s);
}

Test(guide, typed_in_only_without_a_sensor)
{
    struct scene s;

    begin(&s, true);
    s.in.typed_water_c = 8;
    s.in.typed_wind_mps = 4;
    s.in.typed_wind_from_deg = 250;
    at(&s, 0, 10);
    cr_assert_float_eq(s.out.water_c, 8, 0);
    cr_assert_float_eq(s.out.wind_mps, 4, 0);
    cr_assert_float_eq(s.out.wind_from_deg, 250, 0);
    cr_assert_not(s.out.water_sensor || s.out.wind_sensor);
    s.readings.water_c = (struct lw_reading){9, s.in.mono_ms};
    s.readings.wind_mps = (struct lw_reading){6, s.in.mono_ms};
    s.readings.wind_from_deg = (struct lw_reading){10, s.in.mono_ms};
    at(&s, 0, 10);
    cr_assert_float_eq(s.out.water_c, 9, 0);
    cr_assert_float_eq(s.out.wind_mps, 6, 0);
    cr_assert_float_eq(s.out.wind_from_deg, 10, 0);
    cr_assert(s.out.water_sensor && s.out.wind_sensor);
    for (int i = 0; i < 12; i++)
        at(&s, 0, 10);
    cr_assert_float_eq(s.out.wind_mps, 4, 0, "a silent wind vane gives way");
    cr_assert_float_eq(s.out.water_c, 9, 0, "water changes slowly");
    end(&s);
}

Test(guide, no_plan)
{
    struct scene s;

    begin(&s, true);
    s.in.plan = NULL;
    at(&s, 20, 13);
    cr_assert(s.out.ok);
    cr_assert_float_eq(s.out.caster.lat_deg, s.in.estimate.at.lat_deg, 1e-9);
    cr_assert_float_eq(s.out.sigma_m, 1.5, 1e-12);
    cr_assert(isnan(s.out.off_m) && isnan(s.out.along_m) && isnan(s.out.steer_deg));
    cr_assert_eq(s.out.station, 0);
    end(&s);
}
