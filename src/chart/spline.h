/* A spline on a grid, fitted to scattered data by least squares, that lets the bottom bend sharply
 * along a line.
 *
 * Minimises
 *     sum of w (Bz - d)^2 + beta * integral(trace(H W H) + |grad z|^2 / ell^2)
 * over node values z; B is bilinear at the data's true place, H the matrix of second derivatives,
 * the edges are natural. With W = 1 that is the minimum-curvature surface (Briggs 1974) with a
 * tension term (Smith and Wessel 1990); both from memory.
 *
 * W is then drawn from the surface itself, W = (1 + H^2 / bend^2)^((p - 2) / 2), and the surface
 * solved anew (iteratively reweighted least squares): where it bends across a line, bending that
 * way becomes cheap, and bending along the line stays dear. A bottom of nearly flat faces that meet
 * at lips is what that favours; it is the norm of singular values of H (Lefkimmiatis, Ward and
 * Unser 2013, from memory).
 *
 * Where the nearest datum is farther off than ell, ell is that distance (times `slack`), so that
 * tension does not pull a wide basin flat below its last contour.
 *
 * The normal equations are solved by conjugate gradients, preconditioned by a multigrid V-cycle,
 * from the coarsest grid to the finest. */
#ifndef LIPWALK_SRC_CHART_SPLINE_H
#define LIPWALK_SRC_CHART_SPLINE_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/progress.h"

/* Grids of smaller cells keep the bends of the grid before: on half a metre bends take twice the
 * time to draw, and follow the contours' own wiggles. */
#define LW_SPLINE_FORM_M 1.5

struct lw_spline_point {
    double x, y; /* in cells: node (i, j) lies at x = j, y = i */
    float value, weight;
};
struct lw_spline {
    int nx, ny; /* 2 or more each */
    double cell_m, beta_m2, ell_m;
    double
        slack; /* ell is at least so much of the distance to the nearest datum; 0: everywhere ell */
    /* How often W is drawn anew on each coarser grid (0: W = 1), and on the finest, where time goes
     * and W is nearly right already (but see LW_SPLINE_FORM_M). */
    int reweights, reweights_finest;
    double bend_per_m, p; /* from which curvature on bending becomes cheap; the norm's exponent,
                              a multiple of 1/4 from 0 to 2 */
    const struct lw_spline_point *point; /* those outside the grid do not count */
    size_t points;
    double tolerance; /* the largest update of the last iteration; far from any datum updates count
                         less, by as much as tension fades */
    int iterations_max;
    int threads; /* 0: as many as there are processors; the result does not depend on it */
    const struct lw_progress *progress; /* NULL, or who is told; from `part_from` to `part_to` */
    double part_from, part_to;
};
/* Fills node[ny * nx]. `residual` (may be NULL) gets the largest update of the last iteration,
 * which exceeds the tolerance when the iterations ran out. */
int lw_spline_solve(const struct lw_spline *in, float *node, double *residual,
                    struct lw_error *err);

#endif
