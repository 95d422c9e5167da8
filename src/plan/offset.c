/* Where a place is relative to the edge, and back. */
#include <math.h>

#include "steps.h"

#define BEARING_HALF_M 2.0 /* the direction of the edge is averaged over +- this */

double lw_plan_beat_length(const struct lw_plan *plan)
{
    return plan->beat_to_m - plan->beat_from_m;
}

/* Along from the start of the beat. On a closed edge there is a choice of turns: take the one
 * nearest to the beat, so that places just before its start come out negative. */
static double along_from_start(const struct lw_plan *plan, double edge_along_m)
{
    double along_m = edge_along_m - plan->beat_from_m, beat_m = lw_plan_beat_length(plan), edge_m;

    if (!plan->edge.closed)
        return along_m;
    edge_m = lw_line_length(&plan->edge);
    along_m -= edge_m * floor(along_m / edge_m);
    return along_m > beat_m && edge_m - along_m < along_m - beat_m ? along_m - edge_m : along_m;
}

struct lw_offset_at lw_plan_offset(const struct lw_plan *plan, struct lw_en at)
{
    struct lw_near near = plan->index ? lw_line_index_nearest(plan->index, at)
                                      : lw_line_nearest(&plan->edge, at);

    return (struct lw_offset_at){
        .off_m = plan->deep_left ? near.left_m : -near.left_m,
        .along_m = along_from_start(plan, near.along_m),
        .along_bearing_deg = lw_line_bearing(&plan->edge, near.along_m, BEARING_HALF_M),
        .foot = near.at,
        .past_end = near.past_end,
    };
}

struct lw_en lw_plan_point(const struct lw_plan *plan, double along_m, double off_m)
{
    double bearing_deg;
    struct lw_en foot = lw_line_at(&plan->edge, plan->beat_from_m + along_m, &bearing_deg);

    return lw_en_step(foot, bearing_deg + (plan->deep_left ? -90 : 90), off_m);
}
