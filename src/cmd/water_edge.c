/* Edges and plans from the screen: type a depth, pick a beat, drive an edge, change the standoff.
 */
#include "water.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>

#include "lipwalk/base/folder.h"
#include "lipwalk/base/units.h"

static const char *plan_path(char *to, size_t size, int64_t now, struct lw_error *err)
{
    char folder[400], clock[32];

    if (lw_folder('d', folder, sizeof folder, err))
        return NULL;
    lw_clock_local(clock, sizeof clock, now, "%Y%m%d-%H%M%S");
    snprintf(to, size, "%s/plan-%s.geojson", folder, clock);
    return to;
}

/* A running job's inputs are the worker's: asked before any of them is touched. */
bool water_busy(struct water *w)
{
    if (w->job.kind == WATER_JOB_NONE)
        return false;
    water_say(w, LW_ROLE_WARN, "still busy with the last one: try again in a moment");
    return true;
}

void water_start_plan(struct water *w, enum water_job_kind kind, int64_t now)
{
    struct lw_error err;

    w->job.level_m = water_level(w);
    if (!plan_path(w->job.path, sizeof w->job.path, now, &err) ||
        water_job_start(&w->job, kind, &err))
        water_say(w, LW_ROLE_WARN, "%s", err.text);
}

void water_list_beats(struct water *w)
{
    struct lw_error err;

    if (w->map.running) {
        w->edges_wanted = true;
        water_say(w, LW_ROLE_TEXT, "the edges are listed once the map is read");
        return;
    }
    if (!w->chart) {
        water_say(w, LW_ROLE_WARN,
                  "no map is open: start lipwalk with --map, or press i to drive the edge");
        return;
    }
    if (water_busy(w))
        return;
    if (lw_units_parse(w->ui.depth_text, LW_DEPTH, water_units(w), &w->job.depth_m, &err)) {
        water_say(w, LW_ROLE_WARN, "%s", err.text);
        return;
    }
    w->job.level_m = water_level(w);
    w->job.chart = w->chart;
    w->job.from = w->guidance.ok ? w->guidance.caster : (struct lw_ll){NAN, NAN};
    if (water_job_start(&w->job, WATER_JOB_BEATS, &err))
        water_say(w, LW_ROLE_WARN, "%s", err.text);
}

void water_settle_beat(struct water *w)
{
    char depth[24], length[24], standoff[24], sentence[256];
    struct lw_plan_params params;
    const struct lw_beat *beat;

    if (w->ui.beat_chosen < 0 || (size_t)w->ui.beat_chosen >= w->beats)
        return;
    beat = &w->beat[w->ui.beat_chosen];
    water_plan_params(w, &params);
    lw_units_print_edge(depth, sizeof depth, w->beats_depth_m, water_units(w));
    lw_units_print(length, sizeof length,
                   isnan(w->ui.from_m) || isnan(w->ui.to_m) ? beat->length_m
                                                            : w->ui.to_m - w->ui.from_m,
                   LW_LENGTH, water_units(w), 0);
    lw_units_print(standoff, sizeof standoff, params.standoff_m, LW_LENGTH, water_units(w), 0);
    snprintf(sentence, sizeof sentence,
             "Work %s of the %s edge, hold line %s off on the deep side? y yes, n no", length,
             depth, standoff);
    water_ask(w, LW_ASK_YES_NO, LW_ACT_BEAT, sentence);
}

void water_plan_beat(struct water *w, int64_t now)
{
    const struct lw_beat *beat;

    if (water_busy(w) || w->ui.beat_chosen < 0 || (size_t)w->ui.beat_chosen >= w->beats)
        return;
    beat = &w->beat[w->ui.beat_chosen];
    water_plan_params(w, &w->job.params);
    w->job.params.depth_m = w->beats_depth_m;
    w->job.params.near = beat->nearest;
    w->job.params.from_m = w->ui.from_m;
    w->job.params.to_m = w->ui.to_m;
    w->job.chart = w->chart;
    water_start_plan(w, WATER_JOB_PLAN, now);
}

static void ask_deep_side(struct water *w)
{
    water_ask(w, LW_ASK_TEXT, LW_ACT_DRIVE,
              "Plan on the driven edge: deep water was on your left or right (l or r):");
}

static void start_drive(struct water *w, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_DRIVE, now);

    if (!w->guidance.ok) {
        water_say(w, LW_ROLE_WARN, "an edge can be driven only with a fresh fix");
        return;
    }
    event.u.drive.start = true;
    water_record(w, &event, "driving the edge: i again ends it");
}

void water_drive(struct water *w, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_DRIVE, now);
    bool recording = false;
    size_t n;

    lw_trip_driven(w->trip, &n, &recording);
    if (recording) {
        event.u.drive.start = false;
        water_record(w, &event, "driven edge ended");
        ask_deep_side(w);
    } else if (n >= 2) {
        water_ask(w, LW_ASK_TEXT, LW_ACT_DRIVE,
                  "An edge was driven: l or r (its deep side) plans on it, n drives anew:");
    } else {
        start_drive(w, now);
    }
}

void water_plan_driven(struct water *w, const char *side, int64_t now)
{
    const struct lw_ll *at;
    bool recording;
    size_t n;
    int letter = tolower((unsigned char)side[0]);

    if (letter == 'n') {
        start_drive(w, now);
        return;
    }
    if (letter != 'l' && letter != 'r') {
        ask_deep_side(w); /* a slip of the finger must not cost the drive */
        return;
    }
    if (water_busy(w))
        return;
    at = lw_trip_driven(w->trip, &n, &recording);
    if (!at || n < 2) {
        water_say(w, LW_ROLE_WARN, "the driven edge has too few positions to plan on");
        return;
    }
    w->job.frame = w->chart ? w->chart->frame : (struct lw_frame){at[0]};
    lw_line_free(&w->job.driven);
    for (size_t i = 0; i < n; i++) {
        struct lw_en p = lw_frame_to_en(&w->job.frame, at[i]);
        struct lw_en shift = water_shift(w);

        p.e_m += shift.e_m;
        p.n_m += shift.n_m;
        if (lw_line_add(&w->job.driven, p)) {
            water_say(w, LW_ROLE_WARN, "no memory for the driven edge");
            return;
        }
    }
    w->job.chart = w->chart;
    w->job.deep_left = letter == 'l';
    water_plan_params(w, &w->job.params);
    water_start_plan(w, WATER_JOB_DRIVEN, now);
}
