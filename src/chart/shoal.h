/* Shoals and islands that lie straight on a deeper area, with no contour to say where the bottom
 * comes back to that area's own depth.
 *
 * It is taken to do so half-way between the shoal and the area's border, so that one small shoal
 * does not lift a whole basin's floor. */
#ifndef LIPWALK_SRC_CHART_SHOAL_H
#define LIPWALK_SRC_CHART_SHOAL_H

#include "lipwalk/chart/band.h"

struct lw_shoals; /* refers to the contours and bands that it was made from */
/* NULL without memory. */
struct lw_shoals *lw_shoals_new(const struct lw_contour *contour, const struct lw_bands *bands);
void lw_shoals_free(struct lw_shoals *shoals);
/* The least depth at a place in band k, from the band's own lo_m to its contour's depth; NaN
 * without memory. */
double lw_shoals_floor(struct lw_shoals *shoals, size_t k, struct lw_en at);

#endif
