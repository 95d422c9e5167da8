/* The rehearsal's crew: a simulated boat whose helm sees only what the guidance shows.
 *
 * True place -> receiver's error -> filter -> guidance -> orders -> wind and water -> true place.
 * It works the stations in order, holds each for its casts, and turns back at the ends of the beat.
 * Without a plan it drifts. Pure: time comes in, nothing is read or printed. */
#ifndef LIPWALK_CMD_HELM_H
#define LIPWALK_CMD_HELM_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/feed/filter.h"
#include "lipwalk/feed/sim.h"
#include "lipwalk/guide/guide.h"
#include "lipwalk/plan/plan.h"

struct helm_rules {
    double tolerance_m;
    double crawl_mps; /* between stations */
    double cast_s;    /* for one cast beside its retrieve, */
    double retrieve_mps;
};

struct helm {
    const struct lw_plan *plan;   /* NULL: drift */
    const struct lw_chart *chart; /* NULL: no depth */
    struct helm_rules rules;
    struct lw_sim sim;
    struct lw_filter filter;
    struct lw_guide_memory memory;
    struct lw_guidance guidance;
    struct lw_readings readings;
    double course_deg, speed_mps; /* over ground, wanted; speed NaN: idle */
    size_t station;               /* index of the one headed for or held */
    int way;                      /* +1 by increasing along, -1 coming back */
    bool holding;
    double leave_s; /* sim time at which the held station's casts are made */
    int held;       /* stations held so far */
};

/* Puts the boat on the first station (or, without a plan, at `at`). Plan and chart must outlive it.
 */
void helm_start(struct helm *helm, const struct lw_plan *plan, const struct lw_chart *chart,
                const struct helm_rules *rules, const struct lw_sim_rules *sim, struct lw_ll at);
/* Lets dt_s pass under the present orders. */
void helm_pass(struct helm *helm, double dt_s);
/* One epoch: the receiver's fix goes through filter and guidance and makes the next orders. */
struct lw_fix helm_fix(struct helm *helm, int64_t utc_ms, int64_t mono_ms);

/* Where the boat truly is relative to the plan's edge, and how far from the hold line (+ farther
 * from the edge), as guidance reckons it. */
struct lw_offset_at helm_true_offset(const struct helm *helm);
double helm_deviation(const struct lw_plan *plan, double off_m);
/* The chart's depth under the boat; NaN without a chart. */
double helm_depth(const struct helm *helm);

#endif
