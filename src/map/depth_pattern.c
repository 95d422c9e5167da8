/* Patterns in depth values: range, signs, whole multiples. */
#include "depth_pattern.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool all_multiples(const double *value, size_t n, double of)
{
    for (size_t i = 0; i < n; i++) {
        double k = value[i] / of;

        if (isfinite(value[i]) && fabs(k - nearbyint(k)) > 2e-3)
            return false;
    }
    return true;
}

void lw_depth_stats(struct lw_depth_stats *stats, const double *value, size_t n)
{
    static const double steps[] = {10, 5, 2, 1, 1.524, 0.3048, 0.5};

    memset(stats, 0, sizeof *stats);
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(value[i]))
            continue;
        if (!stats->known || value[i] < stats->min)
            stats->min = value[i];
        if (!stats->known || value[i] > stats->max)
            stats->max = value[i];
        stats->known++;
        stats->negative += value[i] < 0;
        stats->positive += value[i] > 0;
    }
    if (stats->known < 2)
        return;
    for (size_t i = 0; i < sizeof steps / sizeof *steps && stats->multiple == 0; i++)
        if (all_multiples(value, n, steps[i]))
            stats->multiple = steps[i];
}

void lw_depth_looks(char *to, size_t size, const struct lw_depth_stats *stats,
                    enum lw_depth_unit *unit)
{
    *unit = LW_UNIT_NONE;
    if (stats->multiple == 1.524 || stats->multiple == 0.3048) {
        *unit = LW_UNIT_M;
        snprintf(to, size, "it looks like metres: the values are whole multiples of %g m (%d ft)",
                 stats->multiple, stats->multiple > 1 ? 5 : 1);
    } else if (stats->multiple == 5 || stats->multiple == 10) {
        *unit = LW_UNIT_FT;
        snprintf(to, size, "it looks like feet: the values are whole multiples of %g",
                 stats->multiple);
    } else if (stats->multiple == 0.5) {
        *unit = LW_UNIT_M;
        snprintf(to, size, "it looks like metres: the values are multiples of 0.5");
    } else if (stats->multiple > 0) {
        snprintf(to, size, "whole numbers, in feet or in metres");
    } else {
        snprintf(to, size, "feet or metres cannot be told from the values");
    }
}
