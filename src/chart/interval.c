/* The usual step between depths. */
#include "lipwalk/chart/interval.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"

#define SAME_M 1e-3 /* depths closer than this are one */

double lw_depth_interval(const double *sorted_depth_m, size_t n)
{
    double best = NAN;
    size_t most = 0, steps = 0;

    if (n > 2000) /* no map has so many depths: soundings, or nonsense */
        return NAN;
    for (size_t i = 1; i < n; i++) {
        double step = sorted_depth_m[i] - sorted_depth_m[i - 1];
        size_t count = 0;

        if (step < 1e-3)
            continue;
        steps++;
        for (size_t k = 1; k < n; k++)
            count += fabs(sorted_depth_m[k] - sorted_depth_m[k - 1] - step) < 1e-3 * (1 + step);
        if (count > most) {
            most = count;
            best = step;
        }
    }
    return 2 * most >= steps && most > 0 ? best : NAN;
}

int lw_contour_steps(const struct lw_contour *contour, size_t contours, double *usual_m,
                     double *least_m)
{
    double *depth_m = malloc((contours + 1) * sizeof *depth_m);

    if (!depth_m)
        return -1;
    for (size_t i = 0; i < contours; i++)
        depth_m[i] = contour[i].depth_m;
    qsort(depth_m, contours, sizeof *depth_m, lw_number_order);
    *usual_m = lw_depth_interval(depth_m, contours);
    *least_m = NAN;
    for (size_t i = 1; i < contours; i++)
        if (depth_m[i] - depth_m[i - 1] > SAME_M)
            *least_m = fmin(*least_m, depth_m[i] - depth_m[i - 1]);
    free(depth_m);
    return 0;
}
