/* The usual step between depths. */
#include "lipwalk/chart/interval.h"

#include <math.h>

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
