/* The steps of making a plan. Each fills its part of struct lw_plan from what the steps before it
 * left there: edge, side, beat, hold line, stations and casts, belt, coverage. */
#ifndef LIPWALK_PLAN_STEPS_H
#define LIPWALK_PLAN_STEPS_H

#include "lipwalk/plan/care.h"
#include "lipwalk/plan/plan.h"

int lw_plan_params_check(const struct lw_plan_params *params, struct lw_error *err);

/* Adds a warning; one too many is dropped (the steps sum up what could come often). */
void lw_plan_warn(struct lw_plan *plan, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* A length in people's words ("35 ft"), for one printf: lw_plan_words(params, m). */
const char *lw_plan_length(char to[24], enum lw_units units, double length_m);
#define lw_plan_words(params, length_m) lw_plan_length((char[24]){""}, (params)->units, length_m)

/* The share of the edge's length (0..1) along which the left side is the deeper one of the places
 * LW_SIDE_PROBE_M off it, and in *told the share where that can be told at all. Land counts as
 * shallow. */
#define LW_SIDE_PROBE_M 3.0
double lw_side_left_share(const struct lw_chart *chart, const struct lw_line *edge, double *told);

/* Sets plan->deep_left by the chart; -1 when it cannot be told (`err` may be NULL). */
int lw_side_vote(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
/* Sets plan->edge, deep_left and, for a lip, its depth and sigma. */
int lw_edge_take(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
/* Takes the edge that the params ask for out of `lines`. */
size_t lw_beat_pick_edge(const struct lw_lines *lines, struct lw_en near, bool near_known);
/* Sets beat_from_m and beat_to_m; `centre_m` is the along that a beat without ends is centred on.
 */
int lw_beat_set(struct lw_plan *plan, double centre_m, struct lw_error *err);

/* chart may be NULL: then nothing is cut for depth. */
int lw_hold_make(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
/* What the boat must keep to, by the parameters. */
struct lw_care lw_plan_care(const struct lw_plan_params *params);
/* Fills the ways of plan->detour from one part of the hold line to the next, and says their lengths
 * in words; chart NULL: none is known. */
int lw_detours_find(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
/* Refuses a beat that is wholly closed to fishing and warns of one that is in part. */
int lw_care_check(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
/* The worth of a place of the belt: params.lip_worth at the edge, falling evenly to 1 at the belt's
 * border. */
double lw_belt_worth(const struct lw_plan *plan, struct lw_en at);
/* The first answer; lw_plan_improve goes on from it. Wants the belt. chart may be NULL: then
 * landing depths are unknown and no cast is left out for land; else it must live until
 * lw_plan_settle. */
int lw_fan_make(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err);
int lw_belt_make(struct lw_plan *plan, struct lw_error *err);
/* Sets plan->coverage and, where minutes are given, worth; NaN when the belt has no area. */
int lw_belt_cover(struct lw_plan *plan, struct lw_error *err);

/* Builds plan->index. */
int lw_plan_index(struct lw_plan *plan, struct lw_error *err);

#endif
