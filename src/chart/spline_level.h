/* One grid of the multigrid hierarchy: the operator A = smoothness + data, a smoother, and the ways
 * up and down. */
#ifndef LIPWALK_SRC_CHART_SPLINE_LEVEL_H
#define LIPWALK_SRC_CHART_SPLINE_LEVEL_H

#include <stddef.h>
#include <stdint.h>

#include "rows.h"
#include "spline.h"

struct lw_datum { /* a node that data pull at */
    int32_t column;
    float pull[9]; /* B'WB about the node, 3 x 3 */
    float rhs;     /* B'Wd */
};
#define LW_LEVEL_SHARED 20000 /* nodes: fewer are done by one thread */
#define LW_LEVEL_ROWS   26
struct lw_level {
    int nx, ny;
    size_t size;          /* nx * ny */
    struct lw_team *team; /* NULL where the grid is too small to share */
    float bend, tense;    /* beta / h^2, beta / ell^2 */
    double cell_m;
    /* W's xx, yy, xy and the tension's factor of each block of 2^shift x 2^shift cells, rows of
     * wx + 2: the first and the last block stand again beyond the edge. See lw_level_weight. */
    int shift, wx, wy;
    float *weight[4];
    struct lw_datum *datum; /* by row, then by column */
    size_t *row;            /* row[ny + 1]: where each row's data start */
    float *inverse;         /* of a diagonal that bounds A: see lw_level_diagonal */
    float *room;            /* rows for each thread: room[threads][LW_LEVEL_ROWS][nx + 4] */
    float *e, *r, *d;       /* the V-cycle's correction, right side and scratch */
};

/* Grid `depth` of the hierarchy (0: the finest), data and all, W = 1. Call lw_level_room before the
 * V-cycle reaches it. */
int lw_level_init(struct lw_level *level, const struct lw_spline *in, int depth,
                  struct lw_team *team);
int lw_level_room(struct lw_level *level); /* inverse, e, r and d; 0 or -1 */
void lw_level_free(struct lw_level *level);

void lw_level_apply(const struct lw_level *level, const float *z, float *out); /* out = A z */
/* out = rhs - A z: what z leaves unexplained of the data. */
void lw_level_unexplained(const struct lw_level *level, const float *z, float *out);
/* d = keep * d + step * inverse * (r - A e) */
void lw_level_smooth(struct lw_level *level, float keep, float step);
/* e = d = step * inverse * r: the first step from e = 0 */
void lw_level_first(struct lw_level *level, float step);
/* d = r - A e */
void lw_level_residual(struct lw_level *level);
/* Fills `inverse` with 1 / D, where D is diagonal and A <= 4 D: each term of the energy is a square
 * over at most four nodes. */
void lw_level_diagonal(struct lw_level *level);

/* Block 0 of a row of weights; block -1 and block wx may be read. */
static inline float *lw_level_weight(const struct lw_level *level, int part, int row)
{
    return level->weight[part] + (size_t)row * ((size_t)level->wx + 2) + 1;
}
/* Brings the blocks beyond the edges up to date. */
void lw_level_pad(struct lw_level *level);
/* W from the bends of z. */
void lw_level_reweight(struct lw_level *level, const float *z, const struct lw_spline *in);
/* W of a coarser grid as the mean of the finer one's, and of a finer grid as the coarser one's. */
void lw_level_weight_up(const struct lw_level *fine, struct lw_level *coarse);
void lw_level_weight_down(const struct lw_level *coarse, struct lw_level *fine);

/* fine += P coarse, and coarse = P' fine (bilinear, every other node). */
void lw_level_prolong(const struct lw_level *coarse, const float *from, const struct lw_level *fine,
                      float *to);
void lw_level_restrict(const struct lw_level *fine, const float *from,
                       const struct lw_level *coarse, float *to);

#endif
