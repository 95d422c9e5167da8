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

/* The hot loops are built twice, the second time for vectors of eight, and chosen when they run.
 * Neither fuses a product with a sum, so both compute the same. */
#if defined __GNUC__ && defined __x86_64__
#define WIDE        __attribute__((target("avx2")))
#define HAVE_WIDE() __builtin_cpu_supports("avx2")
#else
#define WIDE
#define HAVE_WIDE() 0
#endif
#if defined __GNUC__
#define WITHIN static inline __attribute__((always_inline)) /* into both */
#else
#define WITHIN static inline
#endif

/* No iteration of the loop that follows reads what another one writes: rows never overlap. */
#if defined __GNUC__ && !defined __clang__
#define EACH _Pragma("GCC ivdep")
#else
#define EACH
#endif

/* Rows about the one that is written; a padding of 2 on each side, zero. Node rows: xx, yy, bend =
 * xx + yy, Mxx, Myy; cell rows: xy, cross = Wxy xy, Mxy and the weights. */
#define PAD 2
struct window {
    const struct lw_level *level;
    const float *z;
    int nx, ny;
    float *xx[2], *yy[2], *bend[2], *xy[2], *cross[2], *mxx[2], *myy[3], *mxy[2], *sum;
    int held[2];          /* which row of blocks `spread` holds, shared by two rows of cells */
    float *spread[4][2];  /* room for weights of blocks larger than a cell */
    const float *w[4][2]; /* Wxx, Wyy, Wxy, tension's factor */
};

static void window_open(struct window *w, const struct lw_level *level, const float *z, int slot)
{
    size_t wide = (size_t)level->nx + 2 * PAD;
    float *next = level->room + (size_t)slot * LW_LEVEL_ROWS * wide;

    *w = (struct window){
        .level = level, .z = z, .nx = level->nx, .ny = level->ny, .held = {-1, -1}};
    memset(next, 0, LW_LEVEL_ROWS * wide * sizeof *next);
    next += PAD;
    for (int k = 0; k < 2; k++) {
        float **part[] = {&w->xx[k],        &w->yy[k],        &w->bend[k],     &w->xy[k],
                          &w->cross[k],     &w->mxx[k],       &w->mxy[k],      &w->spread[0][k],
                          &w->spread[1][k], &w->spread[2][k], &w->spread[3][k]};

        for (size_t p = 0; p < sizeof part / sizeof *part; p++, next += wide)
            *part[p] = next;
    }
    for (int k = 0; k < 3; k++, next += wide)
        w->myy[k] = next;
    w->sum = next;
}

/* xx and yy of node row r. */
WITHIN void second(struct window *w, int r)
{
    float *restrict xx = w->xx[r & 1], *restrict yy = w->yy[r & 1], *restrict bend = w->bend[r & 1];
    const float *restrict q = w->z + (ptrdiff_t)r * w->nx;
    int nx = w->nx;

    if (r < 0 || r >= w->ny)
        return;
    if (r == 0 || r == w->ny - 1) {
        memset(yy, 0, (size_t)nx * sizeof *yy);
        EACH for (int j = 1; j < nx - 1; j++)
            bend[j] = xx[j] = (q[j - 1] - q[j]) - (q[j] - q[j + 1]);
        bend[0] = bend[nx - 1] = 0;
        return;
    }
    EACH for (int j = 1; j < nx - 1; j++)
    {
        xx[j] = (q[j - 1] - q[j]) - (q[j] - q[j + 1]);
        yy[j] = (q[j - nx] - q[j]) - (q[j] - q[j + nx]);
        bend[j] = xx[j] + yy[j];
    }
    for (int j = 0; j < nx; j += nx - 1)
        bend[j] = yy[j] = (q[j - nx] - q[j]) - (q[j] - q[j + nx]);
}

/* Each value twice, from the one before 0 on. */
WITHIN void twice(const float *restrict from, float *restrict to, int n)
{
    to[-1] = from[-1];
    EACH for (int j = 0; j < n / 2; j++)
    {
        to[2 * j] = from[j];
        to[2 * j + 1] = from[j];
    }
    if (n % 2)
        to[n - 1] = from[n / 2];
    to[n] = to[n - 1];
}

/* W of cell row r; beyond the grid that of the nearest row. */
WITHIN void weights(struct window *w, int r)
{
    const struct lw_level *level = w->level;
    int row = (r < 0 ? 0 : r > w->ny - 2 ? w->ny - 2 : r) >> level->shift, half = row & 1;

    if (level->shift && w->held[half] != row) {
        for (int part = 0; part < 4; part++)
            twice(lw_level_weight(level, part, row), w->spread[part][half], w->nx - 1);
        w->held[half] = row;
    }
    for (int part = 0; part < 4; part++)
        w->w[part][r & 1] = level->shift ? w->spread[part][half]
                                         : lw_level_weight(level, part, row);
}

/* xy and W of cell row r; no xy beyond the grid. */
WITHIN void mixed(struct window *w, int r)
{
    int nx = w->nx;
    float *restrict xy = w->xy[r & 1], *restrict cross = w->cross[r & 1];
    const float *restrict q = w->z + (ptrdiff_t)r * nx, *restrict wc;

    weights(w, r);
    wc = w->w[2][r & 1];
    if (r < 0 || r > w->ny - 2) {
        memset(xy, 0, (size_t)nx * sizeof *xy);
        memset(cross, 0, (size_t)nx * sizeof *cross);
        return;
    }
    EACH for (int j = 0; j < nx - 1; j++)
    {
        xy[j] = (q[j] - q[j + 1]) - (q[j + nx] - q[j + nx + 1]);
        cross[j] = wc[j] * xy[j];
    }
}

/* Mxx and Myy of node row r, from the cell rows r - 1 and r. */
WITHIN void at_nodes(struct window *w, int r)
{
    int nx = w->nx, o = r & 1, u = !o;
    float *restrict mxx = w->mxx[o], *restrict myy = w->myy[(r + 3) % 3];
    const float *restrict xx = w->xx[o], *restrict yy = w->yy[o];
    const float *restrict wx = w->w[0][o], *restrict vx = w->w[0][u];
    const float *restrict wy = w->w[1][o], *restrict vy = w->w[1][u];
    const float *restrict c = w->cross[o], *restrict d = w->cross[u];
    bool inner = r > 0 && r < w->ny - 1;

    if (r < 0 || r >= w->ny) {
        memset(myy, 0, (size_t)nx * sizeof *myy);
        return;
    }
    EACH for (int j = 0; j < nx; j++)
    {
        float s = (c[j - 1] + d[j - 1]) + (c[j] + d[j]);

        mxx[j] = 0.25f * (((wx[j - 1] + vx[j - 1]) + (wx[j] + vx[j])) * xx[j] + s);
        myy[j] = 0.25f * (((wy[j - 1] + vy[j - 1]) + (wy[j] + vy[j])) * yy[j] + s);
    }
    mxx[0] = mxx[nx - 1] = 0;
    if (!inner)
        memset(myy, 0, (size_t)nx * sizeof *myy);
}

/* Mxy of cell row r, from the node rows r and r + 1. */
WITHIN void at_cells(struct window *w, int r)
{
    int nx = w->nx, o = r & 1, u = !o;
    float *restrict mxy = w->mxy[o];
    const float *restrict a = w->bend[o], *restrict b = w->bend[u];
    const float *restrict wx = w->w[0][o], *restrict wy = w->w[1][o], *restrict wc = w->w[2][o];
    const float *restrict xy = w->xy[o];

    if (r < 0 || r > w->ny - 2) {
        memset(mxy, 0, (size_t)nx * sizeof *mxy);
        return;
    }
    EACH for (int j = 0; j < nx - 1; j++)
        mxy[j] = (wx[j] + wy[j]) * xy[j] + 0.25f * wc[j] * ((a[j] + b[j]) + (a[j + 1] + b[j + 1]));
}

/* The window for row 0 of a slice that starts at `from`. */
WITHIN void start(struct window *w, int from)
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

/* What a datum at column j pulls at; l, r: the columns beside it. */
WITHIN float pulled(const float *p, const float *up, const float *row, const float *down, int l,
                    int j, int r)
{
    return (p[0] * up[l] + p[1] * up[j] + p[2] * up[r]) +
           (p[3] * row[l] + p[4] * row[j] + p[5] * row[r]) +
           (p[6] * down[l] + p[7] * down[j] + p[8] * down[r]);
}

/* The data's part of row i. Beyond the grid `pull` is zero; what is read there in its stead only
 * has to be within. */
WITHIN void pull(const struct window *w, int i)
{
    const struct lw_datum *at = w->level->datum + w->level->row[i];
    const struct lw_datum *end = w->level->datum + w->level->row[i + 1];
    const float *row = w->z + (ptrdiff_t)i * w->nx;
    const float *up = i > 0 ? row - w->nx : row, *down = i < w->ny - 1 ? row + w->nx : row;
    float *restrict sum = w->sum;
    int last = w->nx - 1;

    if (at < end && at->column == 0) {
        sum[0] += pulled(at->pull, up, row, down, 0, 0, 1);
        at++;
    }
    if (at < end && end[-1].column == last) {
        sum[last] += pulled(end[-1].pull, up, row, down, last - 1, last, last);
        end--;
    }
    for (; at < end; at++) {
        int j = at->column;

        sum[j] += pulled(at->pull, up, row, down, j - 1, j, j + 1);
    }
}

/* w->sum = row i of A z; rows are asked for in order. Tension: an edge has the mean of its two
 * cells' factors. */
WITHIN void row_of(struct window *w, int i)
{
    int nx = w->nx, o = i & 1, u = !o;
    float bend = w->level->bend, tense = 0.5f * w->level->tense, *restrict sum = w->sum;

    second(w, i + 1);
    at_cells(w, i);
    {
        const float *restrict s = w->w[3][u], *restrict t = w->w[3][o];
        const float *restrict q = w->z + (ptrdiff_t)i * nx;
        const float *restrict up = i > 0 ? q - nx : q, *restrict down = i < w->ny - 1 ? q + nx : q;

        EACH for (int j = 1; j < nx - 1; j++) sum[j] =
            tense *
            (((s[j] + t[j]) * (q[j] - q[j + 1]) + (s[j - 1] + t[j - 1]) * (q[j] - q[j - 1])) +
             ((s[j - 1] + s[j]) * (q[j] - up[j]) + (t[j - 1] + t[j]) * (q[j] - down[j])));
        for (int j = 0, way = 1; j < nx; j += nx - 1, way = -1) {
            int cell = j > 0 ? j - 1 : 0;

            sum[j] = tense * ((s[cell] + t[cell]) * (q[j] - q[j + way]) +
                              2 * (s[cell] * (q[j] - up[j]) + t[cell] * (q[j] - down[j])));
        }
    }
    mixed(w, i + 1);
    at_nodes(w, i + 1);
    {
        const float *restrict mxx = w->mxx[o], *restrict b = w->myy[i % 3];
        const float *restrict a = w->myy[(i + 2) % 3], *restrict c = w->myy[(i + 1) % 3];
        const float *restrict up = w->mxy[u], *restrict mxy = w->mxy[o];

        EACH for (int j = 0; j < nx; j++)
            sum[j] += bend * (((mxx[j - 1] - mxx[j]) - (mxx[j] - mxx[j + 1])) +
                              ((a[j] - b[j]) - (b[j] - c[j])) +
                              ((up[j - 1] - up[j]) - (mxy[j - 1] - mxy[j])));
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

WITHIN void finish_row(const struct job *job, const struct window *w, int i)
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
        EACH for (int j = 0; j < nx; j++) out[j] = -sum[j];
        for (size_t k = level->row[i]; k < level->row[i + 1]; k++)
            out[level->datum[k].column] += level->datum[k].rhs;
        break;
    case SMOOTH:
        r = level->r + at;
        inverse = level->inverse + at;
        EACH for (int j = 0; j < nx; j++)
            out[j] = keep * out[j] + step * inverse[j] * (r[j] - sum[j]);
        break;
    case RESIDUAL:
        r = level->r + at;
        EACH for (int j = 0; j < nx; j++) out[j] = r[j] - sum[j];
        break;
    }
}

WITHIN void do_rows(const struct job *job, int slot, int from, int end)
{
    struct window w;

    window_open(&w, job->level, job->z, slot);
    start(&w, from);
    for (int i = from; i < end; i++) {
        row_of(&w, i);
        finish_row(job, &w, i);
    }
}

static void plain_rows(void *context, int slot, int from, int end)
{
    do_rows(context, slot, from, end);
}

WIDE static void wide_rows(void *context, int slot, int from, int end)
{
    do_rows(context, slot, from, end);
}

static void run(struct job job)
{
    lw_team_run(job.level->team, HAVE_WIDE() ? wide_rows : plain_rows, &job, job.level->ny);
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

static void first_rows(void *context, int slot, int from, int end)
{
    const struct first *job = context;
    size_t nx = (size_t)job->level->nx;
    float *restrict e = job->level->e, *restrict d = job->level->d;
    const float *restrict r = job->level->r, *restrict inverse = job->level->inverse;

    (void)slot;
    for (size_t k = (size_t)from * nx; k < (size_t)end * nx; k++)
        e[k] = d[k] = job->step * inverse[k] * r[k];
}

void lw_level_first(struct lw_level *level, float step)
{
    struct first job = {level, step};

    lw_team_run(level->team, first_rows, &job, level->ny);
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
        const float *restrict wx = w->w[0][k], *restrict wy = w->w[1][k], *restrict wc = w->w[2][k];

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
    const float *restrict wx = w->w[0][r & 1], *restrict wy = w->w[1][r & 1];
    const float *restrict wc = w->w[2][r & 1];
    int nx = w->nx;

    memset(both, 0, (size_t)nx * sizeof *both);
    for (int j = 0; r >= 0 && r < w->ny - 1 && j < nx - 1; j++)
        both[j] = wx[j] + wy[j] + 2 * fabsf(wc[j]);
}

static void diagonal_rows(void *context, int slot, int from, int end)
{
    struct lw_level *level = context;
    struct window w;
    int nx = level->nx;

    window_open(&w, level, NULL, slot);
    weights(&w, from - 3);
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
        const float *s = w.w[3][!(i & 1)], *t = w.w[3][i & 1];

        for (int j = 0; j < nx; j++) /* before the next row's weights take the place of s */
            out[j] = level->tense * ((s[j - 1] + s[j]) + (t[j - 1] + t[j]));
        cell_weights(&w, i);
        weights(&w, i + 1);
        node_weights(&w, i + 1);
        for (int j = 0; j < nx; j++)
            out[j] += level->bend * (a[j - 1] + 4 * a[j] + a[j + 1] + cn[j] + 4 * c[j] + cs[j] +
                                     up[j - 1] + up[j] + both[j - 1] + both[j]);
        for (size_t k = level->row[i]; k < level->row[i + 1]; k++)
            out[level->datum[k].column] += level->datum[k].pull[4];
        for (int j = 0; j < nx; j++)
            out[j] = 1 / out[j];
    }
}

void lw_level_diagonal(struct lw_level *level)
{
    lw_team_run(level->team, diagonal_rows, level, level->ny);
}
