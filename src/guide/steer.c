/* Line-of-sight guidance: aim at a point of the hold line some way ahead. Far from the line the
 * point lies farther ahead, so that the boat comes in at no more than about 20 degrees. */
#include <math.h>

#include "parts.h"

#define AHEAD_MIN_M   10.0
#define AHEAD_PER_DEV 3.0
#define HERE_M        1.0 /* nearer than this a bearing is noise */

/* Along from the boat to the station, the shorter way round a closed edge. */
static double along_to(const struct lw_plan *plan, double from_m, double to_m)
{
    double d = to_m - from_m;

    if (plan->edge.closed) {
        double round = lw_line_length(&plan->edge);

        d -= round * nearbyint(d / round);
    }
    return d;
}

/* The point of the hold line `ahead_m` on from the point nearest to `at`, way +1 by increasing
 * along, -1 back; gaps are stepped over. */
static struct lw_en point_ahead(const struct lw_plan *plan, struct lw_en at, int way,
                                double ahead_m)
{
    const struct lw_lines *hold = &plan->hold;
    struct lw_near near = {.dist_m = INFINITY};
    size_t part = 0;
    double s;

    for (size_t i = 0; i < hold->n; i++) {
        struct lw_near here = lw_line_nearest(&hold->line[i], at);

        if (here.dist_m < near.dist_m) {
            near = here;
            part = i;
        }
    }
    s = near.along_m + way * ahead_m;
    while (!hold->line[part].closed) {
        double length = lw_line_length(&hold->line[part]);

        if (s > length && way > 0 && part + 1 < hold->n) {
            s -= length;
            part++;
        } else if (s < 0.0 && way < 0 && part > 0) {
            part--;
            s += lw_line_length(&hold->line[part]);
        } else {
            break;
        }
    }
    return lw_line_at(&hold->line[part], s, NULL);
}

void guide_steer(const struct lw_guide_in *in, struct lw_guidance *out)
{
    const struct lw_plan *plan = in->plan;
    const struct lw_station *s = guide_station(plan, out->station);
    double ahead_m = fmax(AHEAD_MIN_M, AHEAD_PER_DEV * fabs(out->dev_m));
    double to_go_m = s ? along_to(plan, out->along_m, s->along_m) : INFINITY;
    int way = to_go_m < 0.0 ? -1 : 1;
    struct lw_en aim;

    if (s && fabs(to_go_m) <= ahead_m && out->station_m > HERE_M)
        aim = s->at;
    else if (plan->hold.n > 0)
        aim = point_ahead(plan, out->caster_en, way, ahead_m);
    else
        aim = lw_plan_point(plan, out->along_m + way * ahead_m,
                            guide_side(plan) * plan->params.standoff_m);
    if (lw_en_distance(out->caster_en, aim) > HERE_M)
        out->steer_deg = lw_en_bearing(out->caster_en, aim);
    else
        out->steer_deg = lw_bearing_wrap(lw_plan_offset(plan, out->caster_en).along_bearing_deg +
                                         (way < 0 ? 180.0 : 0.0));
    if (out->heading_source != LW_HEADING_NONE)
        out->steer_clock = lw_bearing_clock(out->heading_deg, out->steer_deg);
}
