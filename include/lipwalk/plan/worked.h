/* What of a plan's belt is worked by casts that were made, and where it has holes. */
#ifndef LIPWALK_PLAN_WORKED_H
#define LIPWALK_PLAN_WORKED_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/plan/plan.h"

struct lw_hole {         /* a stretch left out: worked water lies before it and behind it */
    double from_m, to_m; /* along, from the start of the beat */
};
struct lw_worked;

/* Knows the plan's belt from then on (the plan need not live); nothing is worked but plan->made.
 * NULL when memory ran out. */
struct lw_worked *lw_worked_new(const struct lw_plan *plan);
void lw_worked_free(struct lw_worked *worked); /* NULL is no fault */
/* Counts anew: plan->made and those of plan->cast whose done[i] is true; of the plan it was made
 * with. */
void lw_worked_count(struct lw_worked *worked, const struct lw_plan *plan, const bool *done);
/* 0..1 of the belt; NaN where it has none. */
double lw_worked_share(const struct lw_worked *worked);
/* The holes by along: stretches of at least a swath of which less than half is worked, between
 * stretches that are. Into hole[most]; how many there are in all. */
size_t lw_worked_holes(const struct lw_worked *worked, struct lw_hole *hole, size_t most);

#endif
