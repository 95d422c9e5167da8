/* Making fans: spots on the hold line, what can be cast from each, and the weave of them.
 *
 * The parts of struct lw_fan_work are filled in this order: spots, cells, casts that could be made
 * (the case), then the weave itself, which goes on improving. */
#ifndef LIPWALK_PLAN_FAN_PARTS_H
#define LIPWALK_PLAN_FAN_PARTS_H

#include "cells.h"
#include "steps.h"
#include "weave.h"

struct fan_spot { /* where the boat could stop */
    struct lw_en at;
    double way_m;      /* along the hold line, ways between its parts included */
    double along_m;    /* of the edge point next to it, from the start of the beat */
    double square_deg; /* toward that point */
    double bow_deg;    /* the hold line's direction, as it is worked */
};

struct lw_fan_work {
    const struct lw_chart *chart; /* NULL: none */
    struct fan_spot *spot;        /* spot[spots], by way_m */
    size_t spots;
    struct belt_cells cells;
    struct weave_case c; /* its arrays are below, and ours to free */
    float *worth;
    uint8_t *worked;
    double *at_m;
    uint32_t *cast0, *cell0, *cell;
    float *cast_s, *bearing_deg, *length_m; /* of each cast that could be made */
    uint8_t *cut;                           /* alike: the bank, a hazard or closed water ends it */
    size_t cast_cap, cell_cap;
    int left_out; /* casts that the bank, a hazard or closed water leaves nothing of */
    struct weave *weave;
    int warnings; /* the plan's own, before those about fans */
};

int fan_spots(const struct lw_plan *plan, struct lw_fan_work *work, struct lw_error *err);

/* What keeps casts from a spot short, looked up once a spot. */
struct fan_limits {
    const struct lw_chart *chart;
    double least_m;         /* a bait lands in so much water */
    const uint32_t *hazard; /* hazard[hazards]: numbers of those within reach */
    size_t hazards;
    bool closed; /* some water is closed to fishing */
    bool clear;  /* nothing keeps any cast from this spot short */
};
/* How far a cast from `at` can go: `full_m`, or to the last good landing before land, a hazard or
 * water closed to fishing; 0 where there is none. */
double fan_reach(const struct fan_limits *limits, struct lw_en at, double bearing_deg,
                 double full_m);
/* Sets limits->clear for casts up to full_m from `at`. */
void fan_clear(struct fan_limits *limits, struct lw_en at, double full_m);
/* The longest cast today toward a bearing: the wind's doing included. */
double fan_full(const struct lw_plan_params *params, double bearing_deg);
double fan_seconds(const struct lw_plan_params *params, double length_m);

/* Fills cells, casts and the case. */
int fan_gather(const struct lw_plan *plan, struct lw_fan_work *work, struct lw_error *err);

/* Warnings about the fans that were chosen. */
void fan_say(struct lw_plan *plan, const struct lw_fan_work *work, int cut);

#endif
