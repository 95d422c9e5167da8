/* How sure each cell's depth is: one sigma.
 *
 * Three independent parts. What the fit itself leaves: SIGMA_FIT_M. Where the nearest datum is a
 * contour, the contour's own horizontal error (2 m, as lw_chart_edge_sigma has it) times the slope.
 * And what may lie between the data: over the distance d to the nearest one the slope may be off by
 * what the bottom bends hereabouts, and by a little anywhere, so the depth by that times d; but
 * between contours it cannot be off by more than the band lets it, for which a beta distribution
 * with its mean at z has the variance (z - lo)(hi - z) / 3 (uniform in the middle). The factors
 * were fitted on lakes in closed form and hold on others: tests/chart/test_surface.c. */
#ifndef LIPWALK_SRC_CHART_SIGMA_H
#define LIPWALK_SRC_CHART_SIGMA_H

#include "lipwalk/chart/band.h"
#include "spline.h"

/* Fills grid->sigma_m (allocated by the caller) from grid->depth_m. The first `contour_points` of
 * the points lie on contours, the rest are soundings. */
void lw_sigma_make(const struct lw_spline_point *point, size_t points, size_t contour_points,
                   const struct lw_bands *bands, struct lw_grid *grid, int threads);

#endif
