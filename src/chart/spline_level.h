/* One grid of the multigrid hierarchy: the operator A = smoothness + data, a smoother, and the ways
 * up and down. Arrays carry a border of two zero nodes on each side, so that no row needs a test.
 */
#ifndef LIPWALK_SRC_CHART_SPLINE_LEVEL_H
#define LIPWALK_SRC_CHART_SPLINE_LEVEL_H

#include <stddef.h>
#include <stdint.h>

#include "spline.h"

struct lw_level {
    int nx, ny;
    ptrdiff_t stride;
    size_t size;               /* of an array, border and all */
    double bend, tense;        /* beta / h^2, beta / ell^2 */
    double *bend_x, *bend_y;   /* [n][5]: rows of the second differences' D'D */
    double *slope_x, *slope_y; /* [n][3]: rows of the first differences' D'D */
    int32_t *datum;            /* which row of `pull` a node has, or -1 */
    double (*pull)[9];         /* B'WB about the node, 3 x 3 */
    size_t data, data_cap;
    double *rhs, *e, *r, *t; /* B'Wd, and the V-cycle's correction, residual and scratch */
};

static inline size_t lw_level_at(const struct lw_level *level, int i, int j)
{
    return (size_t)((i + 2) * level->stride + j + 2);
}

/* Grid `depth` of the hierarchy (0: the finest), data and all. */
int lw_level_init(struct lw_level *level, const struct lw_spline *in, int depth);
void lw_level_free(struct lw_level *level);

void lw_level_apply(const struct lw_level *level, const double *z, double *out); /* out = A z */
/* One Gauss-Seidel sweep of A z = r, forward or backward (each the other's transpose). */
void lw_level_sweep(const struct lw_level *level, double *z, const double *r, int backward);
/* fine += P coarse, and coarse = P' fine (bilinear, every other node). */
void lw_level_prolong(const struct lw_level *coarse, const double *from,
                      const struct lw_level *fine, double *to);
void lw_level_restrict(const struct lw_level *fine, const double *from,
                       const struct lw_level *coarse, double *to);

#endif
