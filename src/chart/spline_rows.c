/* The operator, a row at a time.
 *
 * The smoothness energy is summed over cells: with z's second differences xx and yy at the nodes
 * and xy at the cells, a cell adds Wxx (mean xx^2 + xy^2) + Wyy (mean yy^2 + xy^2) + 2 Wxy xy (mean
 * xx + mean yy), means over its four nodes, which is never negative as W is positive. With W = 1
 * that is the usual 13-point stencil. Its gradient goes through three moments: Mxx = a xx + s, Myy
 * = c yy + s at nodes (a, c, s: means over the cells of Wxx, Wyy, Wxy xy), Mxy = (Wxx + Wyy) xy +
 * Wxy mean (xx + yy) at cells. Differences before products: a plane costs exactly nothing in single
 * precision, too; sums of stencil factors that do not cancel to zero had made A indefinite on fine
 * grids. */
#if defined __GNUC__ && !defined __clang__
#pragma GCC optimize("O3") /* gcc 12 leaves these loops scalar at -O2 */
#endif
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "rows.h"
#include "spline_level.h"

/* Rows about the one that is written; a padding of 2 on each side, zero. */
#define PAD 2
struct window {
    const struct lw_level *level;
    const float *z;
    int nx, ny;
    float *xx[2], *yy[2], *xy[2], *wx[2], *wy[2], *wc[2], *mxx[2], *myy[3], *mxy[2], *wt[2], *sum;
};

static void window_open(struct window *w, const struct lw_level *level, const float *z, int slice)
{
    size_t wide = (size_t)level->nx + 2 * PAD;
    float *next = level->room + (size_t)slice * LW_LEVEL_ROWS * wide;

    *w = (struct window){.level = level, .z = z, .nx = level->nx, .ny = level->ny};
    memset(next, 0, LW_LEVEL_ROWS * wide * sizeof *next);
    next += PAD;
    for (int k = 0; k < 2; k++) {
        float **part[] = {&w->xx[k], &w->yy[k],  &w->xy[k],  &w->wx[k], &w->wy[k],
                          &w->wc[k], &w->mxx[k], &w->mxy[k], &w->wt[k]};

        for (size_t p = 0; p < sizeof part / sizeof *part; p++, next += wide)
            *part[p] = next;
    }
    for (int k = 0; k < 3; k++, next += wide)
        w->myy[k] = next;
    w->sum = next;
}

/* xx and yy of node row r. */
static void second(struct window *w, int r)
{
    float *restrict xx = w->xx[r & 1], *restrict yy = w->yy[r & 1];
    const float *restrict q = w->z + (ptrdiff_t)r * w->nx;
    int nx = w->nx;

    if (r < 0 || r >= w->ny)
        return;
    for (int j = 1; j < nx - 1; j++)
        xx[j] = (q[j - 1] - q[j]) - (q[j] - q[j + 1]);
    if (r == 0 || r == w->ny - 1) {
        memset(yy, 0, (size_t)nx * sizeof *yy);
        return;
    }
    for (int j = 0; j < nx; j++)
        yy[j] = (q[j - nx] - q[j]) - (q[j] - q[j + nx]);
}

static void spread(const float *restrict from, float *restrict to, int n, int shift)
{
    if (!shift)
        memcpy(to, from, (size_t)n * sizeof *to);
    else
        for (int j = 0; j < n; j++)
            to[j] = from[j >> 1];
    to[-1] = to[0];
    to[n] = to[n - 1];
}

/* W of cell row r; beyond the grid that of the nearest row. */
static void weights(struct window *w, int r)
{
    const struct lw_level *level = w->level;
    int nx = w->nx, row = r < 0 ? 0 : r > w->ny - 2 ? w->ny - 2 : r;
    size_t at = (size_t)(row >> level->shift) * (size_t)level->wx;

    spread(level->weight[0] + at, w->wx[r & 1], nx - 1, level->shift);
    spread(level->weight[1] + at, w->wy[r & 1], nx - 1, level->shift);
    spread(level->weight[2] + at, w->wc[r & 1], nx - 1, level->shift);
    spread(level->weight[3] + at, w->wt[r & 1], nx - 1, level->shift);
}

/* xy and W of cell row r; no xy beyond the grid. */
static void mixed(struct window *w, int r)
{
    int nx = w->nx;
    float *restrict xy = w->xy[r & 1];
    const float *restrict q = w->z + (ptrdiff_t)r * nx;

    weights(w, r);
    if (r < 0 || r > w->ny - 2) {
        memset(xy, 0, (size_t)nx * sizeof *xy);
        return;
    }
    for (int j = 0; j < nx - 1; j++)
        xy[j] = (q[j] - q[j + 1]) - (q[j + nx] - q[j + nx + 1]);
}

/* Mxx and Myy of node row r, from the cell rows r - 1 and r. */
static void at_nodes(struct window *w, int r)
{
    int nx = w->nx, o = r & 1, u = !o;
    float *restrict mxx = w->mxx[o], *restrict myy = w->myy[(r + 3) % 3];
    const float *restrict xx = w->xx[o], *restrict yy = w->yy[o];
    const float *restrict wx = w->wx[o], *restrict vx = w->wx[u];
    const float *restrict wy = w->wy[o], *restrict vy = w->wy[u];
    const float *restrict wc = w->wc[o], *restrict vc = w->wc[u];
    const float *restrict xy = w->xy[o], *restrict vxy = w->xy[u];
    bool inner = r > 0 && r < w->ny - 1;

    if (r < 0 || r >= w->ny) {
        memset(myy, 0, (size_t)nx * sizeof *myy);
        return;
    }
    for (int j = 0; j < nx; j++) {
        float s = wc[j - 1] * xy[j - 1] + wc[j] * xy[j] + vc[j - 1] * vxy[j - 1] + vc[j] * vxy[j];

        mxx[j] = 0.25f * ((wx[j - 1] + wx[j] + vx[j - 1] + vx[j]) * xx[j] + s);
        myy[j] = 0.25f * ((wy[j - 1] + wy[j] + vy[j - 1] + vy[j]) * yy[j] + s);
    }
    mxx[0] = mxx[nx - 1] = 0;
    if (!inner)
        memset(myy, 0, (size_t)nx * sizeof *myy);
}

/* Mxy of cell row r, from the node rows r and r + 1. */
static void at_cells(struct window *w, int r)
{
    int nx = w->nx, o = r & 1, u = !o;
    float *restrict mxy = w->mxy[o];
    const float *restrict a = w->xx[o], *restrict b = w->xx[u];
    const float *restrict c = w->yy[o], *restrict d = w->yy[u];
    const float *restrict wx = w->wx[o], *restrict wy = w->wy[o], *restrict wc = w->wc[o];
    const float *restrict xy = w->xy[o];

    if (r < 0 || r > w->ny - 2) {
        memset(mxy, 0, (size_t)nx * sizeof *mxy);
        return;
    }
    for (int j = 0; j < nx - 1; j++)
        mxy[j] = (wx[j] + wy[j]) * xy[j] +
                 0.25f * wc[j] *
                     (a[j] + a[j + 1] + b[j] + b[j + 1] + c[j] + c[j + 1] + d[j] + d[j + 1]);
}

/* The window for row 0 of a slice that starts at `from`. */
static void start(struct window *w, int from)
{
    mixed(w, from - 2);
    second(w, from - 1);
    mixed(w, from - 1);
    at_nodes(w, from - 1);
    second(w, from);
    at_cells(w, from - 1);
    mixed(w, from);
    at_nodes(w, from);
}

static void pull(const struct window *w, int i)
{
    const struct lw_level *level = w->level;
    const float *row = w->z + (ptrdiff_t)i * w->nx;

    for (size_t k = level->row[i]; k < level->row[i + 1]; k++) {
        const struct lw_datum *datum = &level->datum[k];
        const float *p = datum->pull;
        int j = datum->column;
        double sum = p[4] * row[j];

        for (int m = 0; m < 9; m++)
            if (m != 4 && p[m] != 0)
                sum += p[m] * row[(m / 3 - 1) * w->nx + j + m % 3 - 1];
        w->sum[j] += (float)sum;
    }
}

/* w->sum = tension's row i, times z, or its diagonal where z is NULL. An edge has the mean of its
 * two cells' factors, of the rows i - 1 and i. */
static void add_tension(struct window *w, int i)
{
    int nx = w->nx, up = i > 0, down = i < w->ny - 1;
    const float *restrict a = w->wt[!(i & 1)], *restrict b = w->wt[i & 1];
    const float *restrict q = w->z ? w->z + (ptrdiff_t)i * nx : NULL;
    float tense = 0.5f * w->level->tense, *restrict sum = w->sum;

    memset(sum, 0, (size_t)nx * sizeof *sum);
    if (!q) {
        for (int j = 0; j < nx; j++)
            sum[j] = tense * 2 * (a[j - 1] + a[j] + b[j - 1] + b[j]);
        return;
    }
    for (int j = 0; j < nx - 1; j++)
        sum[j] += tense * (a[j] + b[j]) * (q[j] - q[j + 1]);
    for (int j = 1; j < nx; j++)
        sum[j] += tense * (a[j - 1] + b[j - 1]) * (q[j] - q[j - 1]);
    for (int j = 0; up && j < nx; j++)
        sum[j] += tense * (a[j - 1] + a[j]) * (q[j] - q[j - nx]);
    for (int j = 0; down && j < nx; j++)
        sum[j] += tense * (b[j - 1] + b[j]) * (q[j] - q[j + nx]);
}

/* w->sum = row i of A z; rows are asked for in order. */
static void row_of(struct window *w, int i)
{
    int nx = w->nx;
    float bend = w->level->bend;
    float *restrict sum = w->sum;

    add_tension(w, i);
    second(w, i + 1);
    at_cells(w, i);
    mixed(w, i + 1);
    at_nodes(w, i + 1);
    {
        const float *restrict mxx = w->mxx[i & 1], *restrict b = w->myy[i % 3];
        const float *restrict a = w->myy[(i + 2) % 3], *restrict c = w->myy[(i + 1) % 3];
        const float *restrict up = w->mxy[!(i & 1)], *restrict mxy = w->mxy[i & 1];

        for (int j = 0; j < nx; j++)
            sum[j] += bend * ((mxx[j - 1] - mxx[j]) - (mxx[j] - mxx[j + 1]) + (a[j] - b[j]) -
                              (b[j] - c[j]) + (up[j - 1] - up[j]) - (mxy[j - 1] - mxy[j]));
    }
    pull(w, i);
}

enum job_kind { APPLY, UNEXPLAINED, SMOOTH, RESIDUAL };
struct job {
    enum job_kind kind;
    const struct lw_level *level;
    const float *z;
    float *out, keep, step;
};

static void finish_row(const struct job *job, const struct window *w, int i)
{
    const struct lw_level *level = job->level;
    size_t at = (size_t)i * (size_t)w->nx;
    float *restrict out = job->out + at;
    const float *restrict sum = w->sum, *restrict r, *restrict inverse;
    float keep = job->keep, step = job->step;
    int nx = w->nx;

    switch (job->kind) {
    case APPLY:
        memcpy(out, sum, (size_t)nx * sizeof *out);
        break;
    case UNEXPLAINED:
        for (int j = 0; j < nx; j++)
            out[j] = -sum[j];
        for (size_t k = level->row[i]; k < level->row[i + 1]; k++)
            out[level->datum[k].column] += level->datum[k].rhs;
        break;
    case SMOOTH:
        r = level->r + at;
        inverse = level->inverse + at;
        for (int j = 0; j < nx; j++)
            out[j] = keep * out[j] + step * inverse[j] * (r[j] - sum[j]);
        break;
    case RESIDUAL:
        r = level->r + at;
        for (int j = 0; j < nx; j++)
            out[j] = r[j] - sum[j];
        break;
    }
}

static void do_rows(void *context, int slice, int from, int end)
{
    const struct job *job = context;
    struct window w;

    window_open(&w, job->level, job->z, slice);
    start(&w, from);
    for (int i = from; i < end; i++) {
        row_of(&w, i);
        finish_row(job, &w, i);
    }
}

static void run(struct job job)
{
    lw_rows_run(do_rows, &job, job.level->ny, job.level->threads);
}

void lw_level_apply(const struct lw_level *level, const float *z, float *out)
{
    run((struct job){APPLY, level, z, out, 0, 0});
}

void lw_level_unexplained(const struct lw_level *level, const float *z, float *out)
{
    run((struct job){UNEXPLAINED, level, z, out, 0, 0});
}

void lw_level_smooth(struct lw_level *level, float keep, float step)
{
    run((struct job){SMOOTH, level, level->e, level->d, keep, step});
}

void lw_level_residual(struct lw_level *level)
{
    run((struct job){RESIDUAL, level, level->e, level->d, 0, 0});
}

struct first {
    struct lw_level *level;
    float step;
};

static void first_rows(void *context, int slice, int from, int end)
{
    const struct first *job = context;
    size_t nx = (size_t)job->level->nx;
    float *restrict e = job->level->e, *restrict d = job->level->d;
    const float *restrict r = job->level->r, *restrict inverse = job->level->inverse;

    (void)slice;
    for (size_t k = (size_t)from * nx; k < (size_t)end * nx; k++)
        e[k] = d[k] = job->step * inverse[k] * r[k];
}

void lw_level_first(struct lw_level *level, float step)
{
    struct first job = {level, step};

    lw_rows_run(first_rows, &job, level->ny, level->threads);
}

/* ---- the diagonal ---- */

/* What the nodes of row r weigh, from the cell rows r - 1 and r: 2 a b <= a^2 + b^2 moves the terms
 * of Wxy onto the squares. */
static void node_weights(struct window *w, int r)
{
    float *restrict a = w->mxx[r & 1], *restrict c = w->myy[(r + 3) % 3];
    int nx = w->nx;

    memset(a, 0, (size_t)nx * sizeof *a);
    memset(c, 0, (size_t)nx * sizeof *c);
    if (r < 0 || r >= w->ny)
        return;
    for (int k = 0; k < 2; k++) {
        const float *restrict wx = w->wx[k], *restrict wy = w->wy[k], *restrict wc = w->wc[k];

        for (int j = 0; j < nx; j++) {
            float cross = fabsf(wc[j - 1]) + fabsf(wc[j]);

            a[j] += 0.25f * (wx[j - 1] + wx[j] + cross);
            c[j] += 0.25f * (wy[j - 1] + wy[j] + cross);
        }
    }
}

static void cell_weights(struct window *w, int r)
{
    float *restrict both = w->mxy[r & 1];
    const float *restrict wx = w->wx[r & 1], *restrict wy = w->wy[r & 1];
    const float *restrict wc = w->wc[r & 1];
    int nx = w->nx;

    memset(both, 0, (size_t)nx * sizeof *both);
    for (int j = 0; r >= 0 && r < w->ny - 1 && j < nx - 1; j++)
        both[j] = wx[j] + wy[j] + 2 * fabsf(wc[j]);
}

static void diagonal_rows(void *context, int slice, int from, int end)
{
    struct lw_level *level = context;
    struct window w;
    int nx = level->nx;

    window_open(&w, level, NULL, slice);
    for (int r = from - 2; r <= from; r++) {
        cell_weights(&w, r - 1);
        weights(&w, r);
        if (r >= from - 1)
            node_weights(&w, r);
    }
    for (int i = from; i < end; i++) {
        float *restrict out = level->inverse + (size_t)i * (size_t)nx;
        const float *a = w.mxx[i & 1], *c = w.myy[i % 3];
        const float *cn = w.myy[(i + 2) % 3], *cs = w.myy[(i + 1) % 3];
        const float *up = w.mxy[!(i & 1)], *both = w.mxy[i & 1];

        add_tension(&w, i);
        cell_weights(&w, i);
        weights(&w, i + 1);
        node_weights(&w, i + 1);
        for (int j = 0; j < nx; j++)
            out[j] = w.sum[j] + level->bend * (a[j - 1] + 4 * a[j] + a[j + 1] + cn[j] + 4 * c[j] +
                                               cs[j] + up[j - 1] + up[j] + both[j - 1] + both[j]);
        for (size_t k = level->row[i]; k < level->row[i + 1]; k++)
            out[level->datum[k].column] += level->datum[k].pull[4];
        for (int j = 0; j < nx; j++)
            out[j] = 1 / out[j];
    }
}

void lw_level_diagonal(struct lw_level *level)
{
    lw_rows_run(diagonal_rows, level, level->ny, level->threads);
}
