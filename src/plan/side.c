/* Which side of an edge is the deep one: a vote, since a contour's direction is only a promise and
 * a driven line has none. */
#include <math.h>

#include "steps.h"

#define STEP_M    2.0
#define TELLING_M 0.005 /* a smaller difference of depth tells nothing: flat bottom */

/* Land and what lies off the map count as the shallowest. */
static double height(double depth_m)
{
    return isnan(depth_m) ? -1 : depth_m;
}

double lw_side_left_share(const struct lw_chart *chart, const struct lw_line *edge, double *told)
{
    double all_m = 0, left_m = 0, right_m = 0;

    for (size_t i = 0; i + 1 < edge->n; i++) {
        struct lw_en a = edge->p[i], b = edge->p[i + 1];
        double length_m = lw_en_distance(a, b);
        int steps = (int)ceil(length_m / STEP_M);
        double ue, un;

        if (!(length_m > 0))
            continue;
        ue = (b.e_m - a.e_m) / length_m;
        un = (b.n_m - a.n_m) / length_m;
        for (int k = 0; k < steps; k++) {
            double d = length_m * (k + 0.5) / steps, weight_m = length_m / steps;
            struct lw_en at = {a.e_m + d * ue, a.n_m + d * un};
            struct lw_en l = {at.e_m - LW_SIDE_PROBE_M * un, at.n_m + LW_SIDE_PROBE_M * ue};
            struct lw_en r = {at.e_m + LW_SIDE_PROBE_M * un, at.n_m - LW_SIDE_PROBE_M * ue};
            double difference_m = height(lw_chart_depth(chart, l)) -
                                  height(lw_chart_depth(chart, r));

            all_m += weight_m;
            if (difference_m > TELLING_M)
                left_m += weight_m;
            else if (difference_m < -TELLING_M)
                right_m += weight_m;
        }
    }
    *told = all_m > 0 ? (left_m + right_m) / all_m : 0;
    return left_m + right_m > 0 ? left_m / (left_m + right_m) : 0.5;
}
