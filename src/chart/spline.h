/* A spline in tension on a grid, fitted to scattered data by least squares.
 *
 * Minimises sum of w (Bz - d)^2 + beta * integral(|D2 z|^2 + |grad z|^2 / ell^2) over node values
 * z, B bilinear at the data's true place, with natural edges. The normal equations are solved by
 * conjugate gradients, preconditioned by a multigrid V-cycle, from the coarsest grid to the finest.
 * Minimum-curvature surfaces: Briggs 1974; the tension term: Smith and Wessel 1990 (from memory).
 */
#ifndef LIPWALK_SRC_CHART_SPLINE_H
#define LIPWALK_SRC_CHART_SPLINE_H

#include <stddef.h>

#include "lipwalk/base/error.h"

struct lw_spline_point {
    double x, y; /* in cells: node (i, j) lies at x = j, y = i */
    double value, weight;
};
struct lw_spline {
    int nx, ny; /* 2 or more each */
    double cell_m, beta_m2, ell_m;
    const struct lw_spline_point *point; /* those outside the grid do not count */
    size_t points;
    double tolerance; /* the largest update of the last iteration */
    int iterations_max;
};
/* Fills node[ny * nx]. `residual` (may be NULL) gets the largest update of the last iteration,
 * which exceeds the tolerance when the iterations ran out. */
int lw_spline_solve(const struct lw_spline *in, double *node, double *residual,
                    struct lw_error *err);

#endif
