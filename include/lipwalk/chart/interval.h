/* The usual step between the depths of a map's contours. */
#ifndef LIPWALK_CHART_INTERVAL_H
#define LIPWALK_CHART_INTERVAL_H

#include <stddef.h>

/* The usual step between sorted depths: the most frequent difference (to 1 mm); NaN when no
 * difference makes up half of them. */
double lw_depth_interval(const double *sorted_depth_m, size_t n);

#endif
