/* A straight edge that runs east, deep to the north (left), where every answer can be drawn on
 * paper: the hold line 10 m off it, three stations 50 m apart with two casts each. */
#ifndef LW_TEST_GUIDE_SCENE_H
#define LW_TEST_GUIDE_SCENE_H

#include <math.h>

#include "lipwalk/guide/guide.h"
#include "lw_test.h"

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

static inline void add(struct lw_line *line, double e_m, double n_m)
{
    cr_assert_eq(lw_line_add(line, (struct lw_en){e_m, n_m}), 0);
}

static inline void begin(struct scene *s, bool hold_deep)
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

static inline void end(struct scene *s)
{
    lw_trip_free(s->trip);
    lw_line_free(&s->plan.edge);
    lw_lines_free(&s->plan.hold);
}

/* One epoch a second later with the boat's antenna there, lying still. */
static inline void at(struct scene *s, double e_m, double n_m)
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

static inline void bow(struct scene *s, double deg)
{
    s->readings.heading_deg = (struct lw_reading){deg, s->in.mono_ms + 1000};
    s->readings.heading_source = LW_HEADING_COMPASS;
}

static inline void apply(struct scene *s, struct lw_event event)
{
    event.id = (struct lw_event_id){1, ++s->seq};
    snprintf(event.trip, sizeof event.trip, "t");
    cr_assert(lw_trip_apply(s->trip, &event));
}
static inline void make_cast(struct scene *s, int station, int cast)
{
    struct lw_event event = lw_event_new(LW_EV_CAST, s->in.now_utc_ms);

    event.u.cast.station = station;
    event.u.cast.cast = cast;
    apply(s, event);
}

#endif
