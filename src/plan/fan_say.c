/* What is worth a warning about the fans. */
#include "fan_parts.h"

#define WELL_REACHED 0.98

void fan_say(struct lw_plan *plan, const struct lw_fan_work *work, int cut)
{
    const struct lw_plan_params *params = &plan->params;
    size_t over = 0;

    for (size_t i = 0; i < plan->casts; i++)
        over += plan->cast[i].crosses_edge;
    if (over == 0 && plan->casts > 0)
        lw_plan_warn(plan, "no cast crosses the edge: %s is too short from a hold line %s off it",
                     lw_plan_words(params, params->cast_m),
                     lw_plan_words(params, params->standoff_m));
    if (plan->reachable < WELL_REACHED)
        lw_plan_warn(plan,
                     "%.0f %% of the belt cannot be reached with casts of %s from the hold line",
                     100 * (1 - plan->reachable), lw_plan_words(params, params->cast_m));
    if (cut)
        lw_plan_warn(plan, "%d cast%s shorter: the bank, a hazard or closed water lies behind", cut,
                     cut == 1 ? " is" : "s are");
    if (work->left_out)
        lw_plan_warn(plan, "casts are left out: the retrieve would cross land, a hazard or closed "
                           "water, or leave the map");
    if (plan->casts == 0)
        lw_plan_warn(plan, "no cast is left to make: the belt is worked as wanted");
}
