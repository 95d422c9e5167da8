/* An invented day for the tests of the screens: a driven edge with a bend, its plan, a trip with
 * marks, a dwell and returns, and guidance for a boat placed by along and off. */
#ifndef LW_TESTS_UI_DAY_H
#define LW_TESTS_UI_DAY_H

#include <math.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/cmd/plan_params.h"
#include "lipwalk/ui/screen.h"
#include "lw_test.h"

#define DAY_BEAT_M     420.0
#define DAY_STANDOFF_M (35 * LW_FT_M)

struct day {
    struct lw_conf conf;
    struct lw_guidance guidance;
    struct lw_trip *trip;
    struct lw_trip_now now;
    struct lw_plan *plan;
    struct lw_chart *chart;
    struct lw_view view;
    struct lw_ui ui;
    struct lw_canvas canvas;
    int64_t start_utc_ms;
    uint64_t seq;
};

static inline struct lw_plan *day_plan(const struct lw_chart *chart)
{
    struct lw_frame frame = {{46.0088, -89.6997}};
    struct lw_plan_params params;
    struct lw_line edge = {0};
    struct lw_plan *plan = NULL;
    struct lw_error err;
    struct lw_conf conf;

    lw_conf_defaults(&conf);
    lw_plan_params_from_conf(&conf, &params);
    params.depth_m = 9 * LW_FT_M;
    params.standoff_m = DAY_STANDOFF_M;
    params.fan_half_deg = 30; /* landings well apart on a screen */
    /* to the east, shallow to the north: deep to the right; a gentle bend of 400 m radius */
    for (double s = 0; s <= DAY_BEAT_M; s += 5)
        lw_line_add(&edge, (struct lw_en){400 * sin(s / 400), 400 * cos(s / 400) - 400});
    cr_assert_eq(lw_plan_from_line(chart, &frame, &edge, false, &params, &plan, &err), 0, "%s",
                 err.text);
    cr_assert_eq(lw_plan_improve(plan, lw_plan_rounds(plan), &err), 0, "%s", err.text);
    lw_plan_settle(plan);
    lw_line_free(&edge);
    strcpy(plan->lake, "Tarn Pool, east bar");
    return plan;
}

/* A shelving bottom for that edge: 9 ft on it, deeper outward. */
static inline struct lw_chart *day_chart(void)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *grid = &chart->grid;

    chart->frame = (struct lw_frame){{46.0088, -89.6997}};
    *grid = (struct lw_grid){.e0_m = -100, .n0_m = -250, .cell_m = 2, .nx = 320, .ny = 180};
    grid->depth_m = malloc(sizeof(float) * (size_t)(grid->nx * grid->ny));
    chart->deepest_m = 12;
    for (int j = 0; j < grid->ny; j++)
        for (int i = 0; i < grid->nx; i++) {
            double e = grid->e0_m + 2 * i, n = grid->n0_m + 2 * j;
            double off = 400 - hypot(e, n + 400); /* inside of the bend is deep */

            grid->depth_m[j * grid->nx + i] = (float)(off < 0 ? fmax(0.5, 2.74 + 0.08 * off)
                                                              : 2.74 + 0.26 * off);
        }
    return chart;
}

static inline void day_event(struct day *day, struct lw_event event, double min)
{
    event.id = (struct lw_event_id){7, ++day->seq};
    strcpy(event.trip, "t");
    event.at_utc_ms = day->start_utc_ms + (int64_t)(min * 60000);
    cr_assert(lw_trip_apply(day->trip, &event));
}

static inline struct lw_ll day_ll(const struct day *day, double along_m, double off_m)
{
    return lw_frame_to_ll(&day->plan->frame, lw_plan_point(day->plan, along_m, off_m));
}

static inline void day_mark(struct day *day, double min, enum lw_mark_kind kind, int who,
                            double along_m, double off_m)
{
    struct lw_event event = lw_event_new(LW_EV_MARK, 0);
    struct lw_ev_mark *m = &event.u.mark;

    m->kind = kind;
    m->who = who;
    strcpy(m->who_name, who ? "Jo" : "Rae");
    m->where.at = day_ll(day, along_m, DAY_STANDOFF_M);
    m->where.age_s = 0;
    m->bait = day_ll(day, along_m, off_m);
    m->map_depth_m = 9 * LW_FT_M;
    day_event(day, event, min);
}

static inline void day_cast(struct day *day, double min, int station, int cast)
{
    struct lw_event event = lw_event_new(LW_EV_CAST, 0);

    event.u.cast.station = station;
    event.u.cast.cast = cast;
    day_event(day, event, min);
}

/* Puts the boat there with a fresh 3-D fix, its bow along the edge. */
static inline void day_boat(struct day *day, double along_m, double off_m)
{
    struct lw_guidance *g = &day->guidance;
    double tolerance = day->conf.number[LW_SET_TOLERANCE];

    memset(g, 0, sizeof *g);
    g->ok = true;
    g->estimate = (struct lw_estimate){.state = LW_FIX_3D,
                                       .at_utc_ms = day->view.now_utc_ms,
                                       .seen_mono_ms = day->view.mono_ms - 400,
                                       .at = day_ll(day, along_m, off_m),
                                       .sigma_m = 1.8};
    g->caster = g->estimate.at;
    g->caster_en = lw_plan_point(day->plan, along_m, off_m);
    g->sigma_m = 2.2;
    g->off_m = off_m;
    g->dev_m = off_m - DAY_STANDOFF_M;
    g->side = fabs(g->dev_m) <= tolerance ? LW_SIDE_ON : g->dev_m > 0 ? LW_SIDE_OUT : LW_SIDE_IN;
    g->trend = LW_TREND_COMING_IN;
    g->along_m = along_m;
    g->beat_m = DAY_BEAT_M;
    g->sog_mps = 0.27;
    g->cog_deg = 95;
    g->heading_deg = 100;
    g->heading_source = LW_HEADING_COMPASS;
    g->depth_m = 18 * LW_FT_M;
    g->map_depth_m = 19 * LW_FT_M;
    g->water_c = 9;
    g->wind_mps = 4;
    g->wind_from_deg = 315;
    g->depth_sensor = g->water_sensor = true;
    g->steer_deg = 160;
    g->steer_clock = 2;
    g->station = (int)floor(along_m / 15) + 1;
    g->stations = (int)day->plan->stations;
    g->station_m = 4;
    g->station_deg = 100;
    g->at_station = true;
    g->cast = 3;
    g->casts = 7;
    g->cast_deg = 40;
    g->cast_m = 70 * LW_FT_M;
    g->cast_depth_m = 7 * LW_FT_M;
    g->cast_clock = 10;
    g->cast_crosses = 1;
    g->dwell_back_m = 34 * LW_FT_M;
    g->dwell_back_deg = 270;
    g->freeze_back_m = g->freeze_back_deg = NAN;
}

static inline void day_no_fix(struct day *day, enum lw_fix_state state, int64_t age_ms)
{
    struct lw_guidance *g = &day->guidance;
    struct lw_guidance blank;

    day_boat(day, 0, 0);
    blank = *g;
    blank.ok = false;
    blank.estimate.state = state;
    blank.estimate.seen_mono_ms = day->view.mono_ms - age_ms;
    blank.off_m = blank.dev_m = blank.along_m = blank.sigma_m = blank.steer_deg = NAN;
    blank.sog_mps = blank.cog_deg = blank.heading_deg = blank.cast_deg = blank.cast_m = NAN;
    blank.cast_depth_m = blank.station_m = blank.station_deg = NAN;
    blank.dwell_back_m = blank.dwell_back_deg = NAN;
    blank.heading_source = LW_HEADING_NONE;
    blank.trend = LW_TREND_UNKNOWN;
    blank.station = blank.cast = blank.casts = blank.steer_clock = blank.cast_clock = 0;
    blank.at_station = false;
    *g = blank;
}

/* The time of the view, minutes after the trip began. */
static inline void day_at(struct day *day, double min)
{
    day->view.now_utc_ms = day->start_utc_ms + (int64_t)(min * 60000);
    day->view.mono_ms = 1000000 + (int64_t)(min * 60000);
    lw_trip_at(day->trip, day->view.now_utc_ms, &day->now);
}

static inline void day_begin(struct day *day, bool chart)
{
    struct lw_trip_rules rules = {1200, 300, 20, 9000, 900, 1800, 60, INT64_MAX};
    struct lw_event head = lw_event_new(LW_EV_TRIP, 0);

    memset(day, 0, sizeof *day);
    setenv("TZ", "UTC", 1);
    day->start_utc_ms = lw_clock_from_civil(2026, 5, 12, 10, 0, 0);
    lw_conf_defaults(&day->conf);
    day->chart = chart ? day_chart() : NULL;
    day->plan = day_plan(day->chart);
    day->trip = lw_trip_new(&rules);
    strcpy(head.u.trip.name, "Tarn Pool");
    strcpy(head.u.trip.crew[0], "Rae");
    strcpy(head.u.trip.crew[1], "Jo");
    day_event(day, head, 0);
    lw_ui_clear(&day->ui);
    day->view.conf = &day->conf;
    day->view.guidance = &day->guidance;
    day->view.plan = day->plan;
    day->view.chart = day->chart;
    day->view.trip = day->trip;
    day->view.day = &day->now;
    day->view.day_end_utc_ms = INT64_MAX;
    day->view.sun.rise_utc_ms = day->start_utc_ms - 4 * 3600000;
    day->view.sun.set_utc_ms = day->start_utc_ms + 10 * 3600000;
    day->view.sun.civil_dusk_utc_ms = day->view.sun.set_utc_ms + 1800000;
    day_at(day, 0);
}

/* The whole of it: returns to A (due soon) and C, a dwell at B, casts made at stations 11 to 13. */
static inline void day_busy(struct day *day, bool chart)
{
    day_begin(day, chart);
    day_mark(day, 10, LW_MARK_BITE, 0, 60, 1);
    day_mark(day, 12, LW_MARK_SNAG, 1, 150, -4);
    day_mark(day, 120, LW_MARK_FISH, 1, 230, -1);
    for (int station = 11; station <= 12; station++)
        for (int cast = 1; cast <= 7; cast++)
            day_cast(day, 150, station, cast);
    day_mark(day, 155, LW_MARK_BITE, 0, 181, -2);
    day_mark(day, 156, LW_MARK_FISH, 0, 184, -3);
    day_mark(day, 157, LW_MARK_FOLLOW, 1, 186, -5);
    day_cast(day, 158, 13, 1);
    day_cast(day, 158, 13, 2);
    day_at(day, 163);
    strcpy(day->view.last_words, "12:36:00 fish, Rae, 9 ft");
    day->view.last_saved = LW_SAVED_CONFIRMED;
    day_boat(day, 187, DAY_STANDOFF_M + 2.5);
    day->guidance.station = 13;
}

static inline void day_end(struct day *day)
{
    lw_canvas_free(&day->canvas);
    lw_trip_free(day->trip);
    lw_plan_free(day->plan);
    if (day->chart) {
        lw_features_free(&day->chart->features);
        free(day->chart->grid.depth_m);
        free(day->chart);
    }
}

static inline char *day_draw(struct day *day, int w, int h)
{
    cr_assert_eq(lw_canvas_size(&day->canvas, w, h), 0);
    lw_ui_draw(&day->view, &day->ui, &day->canvas);
    return lw_canvas_dump(&day->canvas);
}

#endif
