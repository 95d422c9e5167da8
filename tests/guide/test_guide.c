/* Guidance on a straight edge that runs east, deep to the north (left), where every answer can be
 * drawn on paper: the hold line 10 m north of it, three stations 50 m apart. */
#include "lipwalk/guide/guide.h"

#include "lw_test.h"
#include <math.h>

#define STATIONS 3
#define CASTS    2

struct scene {
    struct lw_plan plan;
    struct lw_station station[STATIONS];
    struct lw_cast cast[STATIONS * CASTS];
    struct lw_trip *trip;
    struct lw_readings readings;
    struct lw_guide_in in;
    struct lw_guide_memory memory;
    struct lw_guidance out;
    uint64_t seq;
};

static void add(struct lw_line *line, double e_m, double n_m)
{
    cr_assert_eq(lw_line_add(line, (struct lw_en){e_m, n_m}), 0);
}

static void begin(struct scene *s, bool hold_deep)
{
    struct lw_line hold = {0};
    struct lw_trip_rules rules = {1200, 300, 20, 9000, 900, 1800, 60, INT64_MAX};
    double side = hold_deep ? 1 : -1;

    memset(s, 0, sizeof *s);
    s->plan.frame.origin = (struct lw_ll){46.01, -89.70};
    s->plan.params.standoff_m = 10;
    s->plan.params.hold_deep = hold_deep;
    s->plan.params.min_depth_m = 1.0;
    s->plan.deep_left = true;
    s->plan.edge_sigma_m = 2.0;
    add(&s->plan.edge, -300, 0);
    add(&s->plan.edge, 300, 0);
    s->plan.beat_from_m = 200; /* the beat is 200 m long, from e = -100 to e = 100 */
    s->plan.beat_to_m = 400;
    add(&hold, -100, side * 10);
    add(&hold, 100, side * 10);
    cr_assert_eq(lw_lines_take(&s->plan.hold, &hold), 0);
    for (int i = 0; i < STATIONS; i++) {
        double e = -50 + 50 * i;

        s->station[i] = (struct lw_station){
            {e, side * 10}, e + 100, i + 1, (size_t)i * CASTS, CASTS};
        for (int j = 0; j < CASTS; j++) {
            struct lw_cast *c = &s->cast[i * CASTS + j];

            *c = (struct lw_cast){.station = i + 1,
                                  .order = j + 1,
                                  .from = s->station[i].at,
                                  .to = {e + (j ? 10 : -10), -side * 2},
                                  .landing_depth_m = 1.5 + j,
                                  .crosses_edge = true};
            c->length_m = lw_en_distance(c->from, c->to);
            c->bearing_deg = lw_en_bearing(c->from, c->to);
        }
    }
    s->plan.station = s->station;
    s->plan.stations = STATIONS;
    s->plan.cast = s->cast;
    s->plan.casts = STATIONS * CASTS;
    s->trip = lw_trip_new(&rules);
    lw_readings_clear(&s->readings);
    s->in = (struct lw_guide_in){.plan = &s->plan,
                                 .trip = s->trip,
                                 .readings = &s->readings,
                                 .now_utc_ms = 1700000000000,
                                 .mono_ms = 1000000,
                                 .tolerance_m = 1.5,
                                 .typed_wind_mps = NAN,
                                 .typed_wind_from_deg = NAN,
                                 .typed_water_c = NAN};
}

static void end(struct scene *s)
{
    lw_trip_free(s->trip);
    lw_line_free(&s->plan.edge);
    lw_lines_free(&s->plan.hold);
}

/* One epoch a second later with the boat's antenna there, lying still. */
static void at(struct scene *s, double e_m, double n_m)
{
    s->in.now_utc_ms += 1000;
    s->in.mono_ms += 1000;
    s->in.estimate = (struct lw_estimate){
        .state = LW_FIX_3D,
        .at_utc_ms = s->in.now_utc_ms,
        .seen_mono_ms = s->in.mono_ms,
        .at = lw_frame_to_ll(&s->plan.frame, (struct lw_en){e_m, n_m}),
        .sigma_m = 1.5,
        .sog_mps = 0.1,
        .cog_deg = NAN,
        .hdop = 0.9};
    lw_guide_step(&s->in, &s->memory, &s->out);
}

static void bow(struct scene *s, double deg)
{
    s->readings.heading_deg = (struct lw_reading){deg, s->in.mono_ms + 1000};
    s->readings.heading_source = LW_HEADING_COMPASS;
}

static void apply(struct scene *s, struct lw_event event)
{
    event.id = (struct lw_event_id){1, ++s->seq};
    snprintf(event.trip, sizeof event.trip, "t");
    cr_assert(lw_trip_apply(s->trip, &event));
}
static void make_cast(struct scene *s, int station, int cast)
{
    struct lw_event event = lw_event_new(LW_EV_CAST, s->in.now_utc_ms);

    event.u.cast.station = station;
    event.u.cast.cast = cast;
    apply(s, event);
}

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

Test(guide, stations_and_casts_in_order)
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
    at(&s, 45, 10); /* near station 3, but station 2 has a cast left */
    cr_assert_eq(s.out.station, 2);
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

Test(guide, the_crew_chooses_a_station)
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

Test(guide, without_a_trip_stations_pass_by)
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

Test(guide, steering)
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
    chart.grid = (struct lw_grid){-200, -200, 20, 21, 21, depth};
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

Test(guide, where_the_bait_is)
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

Test(guide, back_to_the_dwell_and_to_the_frozen_place)
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
