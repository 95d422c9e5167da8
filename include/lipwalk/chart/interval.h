/* The usual step between the depths of a map's contours. */
#ifndef LIPWALK_CHART_INTERVAL_H
#define LIPWALK_CHART_INTERVAL_H

#include <stddef.h>

#include "lipwalk/chart/chart.h"

/* The usual step between sorted depths: the most frequent difference (to 1 mm); NaN when no
 * difference makes up half of them. */
double lw_depth_interval(const double *sorted_depth_m, size_t n);

/* The usual step between the depths of contours in any order, and the least (over 1 mm); NaN where
 * there is none. -1 without memory. */
int lw_contour_steps(const struct lw_contour *contour, size_t contours, double *usual_m,
                     double *least_m);

#endif
