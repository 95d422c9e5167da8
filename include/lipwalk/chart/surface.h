/* The depth surface from contour lines and soundings: the narrow door behind which the method may
 * change.
 *
 * Method: minimise sum of w (Bz - d)^2 + beta * integral(trace(H W H) + |grad z|^2 / ell^2) over
 * the grid, B bilinear at the data's true position, H the second derivatives, W drawn from the
 * surface itself so that it may bend sharply across a line: a spline in tension with soft data,
 * solved coarse to fine (src/chart/spline.h). Contours 0.8 m of depth apart or more get a stiffer
 * surface, of flat faces that meet at bends, and what that is off by on them is added within a few
 * metres, so that they are met. Then each cell is kept between the contours that
 * enclose it (src/chart/limit.h), and its uncertainty is told (src/chart/sigma.h). */
#ifndef LIPWALK_CHART_SURFACE_H
#define LIPWALK_CHART_SURFACE_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/progress.h"
#include "lipwalk/chart/chart.h"

struct lw_sounding {
    struct lw_en at;
    double depth_m;
    double sigma_m; /* one sigma of depth_m; NaN: 0.1 m */
};
struct lw_surface_in {
    const struct lw_contour *contour; /* contour[contours] */
    size_t contours;
    const struct lw_sounding *sounding; /* may be NULL */
    size_t soundings;
    double beta_m2, ell_m;              /* NaN: chosen from the data */
    const struct lw_progress *progress; /* NULL, or who is told */
    int threads; /* 0: as many as there are processors; the surface does not depend on it */
};
/* Fills grid->depth_m and grid->sigma_m (allocated here) for a grid whose e0, n0, cell, nx, ny are
 * set. Land NaN; every cell inside the shore has a depth. */
int lw_surface_solve(const struct lw_surface_in *in, struct lw_grid *grid, struct lw_error *err);

#endif
