/* A level's data and weights, and the ways between levels. */
#if defined __GNUC__ && !defined __clang__
#pragma GCC optimize("O3") /* gcc 12 leaves the loops between grids scalar at -O2 */
#endif
#include "spline_level.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "rows.h"

#define FINE_M     0.9   /* cells smaller than this share their weights by twos */
#define LEAST_BEND 1e-3f /* W's least eigenvalue: the solver's patience */

/* ---- data ---- */

struct pull { /* a datum while they are gathered */
    uint32_t row, column;
    float pull[9], rhs;
};
struct gather {
    int32_t *at; /* at[node]: which pull, or -1 */
    struct pull *pull;
    size_t n, cap;
};

static struct pull *pull_at(struct gather *gather, const struct lw_level *level, int i, int j)
{
    size_t node = (size_t)i * (size_t)level->nx + (size_t)j;

    if (gather->at[node] < 0) {
        if (gather->n >= INT32_MAX || lw_array_room(&gather->pull, gather->n, &gather->cap))
            return NULL;
        gather->pull[gather->n] = (struct pull){.row = (uint32_t)i, .column = (uint32_t)j};
        gather->at[node] = (int32_t)gather->n++;
    }
    return &gather->pull[gather->at[node]];
}

static int add_point(struct gather *gather, const struct lw_level *level,
                     const struct lw_spline_point *p, double scale)
{
    double x = p->x * scale, y = p->y * scale;
    int j = (int)x, i = (int)y;
    float u, v, b[4];

    j = j > level->nx - 2 ? level->nx - 2 : j;
    i = i > level->ny - 2 ? level->ny - 2 : i;
    u = (float)(x - j);
    v = (float)(y - i);
    b[0] = (1 - u) * (1 - v);
    b[1] = u * (1 - v);
    b[2] = (1 - u) * v;
    b[3] = u * v;
    for (int m = 0; m < 4; m++) {
        struct pull *pull;

        if (b[m] == 0)
            continue;
        pull = pull_at(gather, level, i + m / 2, j + m % 2);
        if (!pull)
            return -1;
        pull->rhs += p->weight * b[m] * p->value;
        for (int q = 0; q < 4; q++)
            pull->pull[(q / 2 - m / 2 + 1) * 3 + q % 2 - m % 2 + 1] += p->weight * b[m] * b[q];
    }
    return 0;
}

/* By rows (a counting sort); columns in the order of a row's nodes. */
static int settle(struct lw_level *level, const struct gather *gather)
{
    level->datum = malloc((gather->n + 1) * sizeof *level->datum);
    level->row = calloc((size_t)level->ny + 1, sizeof *level->row);
    if (!level->datum || !level->row)
        return -1;
    for (size_t node = 0, n = 0; node < level->size; node++) {
        const struct pull *pull;

        if (gather->at[node] < 0)
            continue;
        pull = &gather->pull[gather->at[node]];
        level->datum[n].column = (int32_t)pull->column;
        level->datum[n].rhs = pull->rhs;
        memcpy(level->datum[n].pull, pull->pull, sizeof pull->pull);
        level->row[pull->row + 1] = ++n;
    }
    for (int i = 0; i < level->ny; i++)
        if (level->row[i + 1] < level->row[i])
            level->row[i + 1] = level->row[i];
    return 0;
}

static int add_data(struct lw_level *level, const struct lw_spline *in, double scale)
{
    struct gather gather = {.at = malloc(level->size * sizeof *gather.at)};
    int status = -1;

    if (!gather.at)
        return -1;
    memset(gather.at, 0xff, level->size * sizeof *gather.at);
    for (size_t k = 0; k < in->points; k++) {
        const struct lw_spline_point *p = &in->point[k];

        if (!(p->x >= 0 && p->y >= 0 && p->x <= in->nx - 1 && p->y <= in->ny - 1))
            continue;
        if (add_point(&gather, level, p, scale))
            goto done;
    }
    status = settle(level, &gather);
done:
    free(gather.at);
    free(gather.pull);
    return status;
}

static float nearer(float a, float b)
{
    return b < a ? b : a;
}

/* Tension fades where the nearest datum is farther off than `ell`: there ell is that distance.
 * Distances by two passes over the blocks (chamfer 1, sqrt 2: Borgefors 1986, from memory). */
static void slacken(struct lw_level *level, const struct lw_spline *in)
{
    size_t stride = (size_t)level->wx + 2;
    float *off = lw_level_weight(level, 3, 0),
          step = (float)level->cell_m * (float)(1 << level->shift);
    int wx = level->wx, wy = level->wy;

    for (size_t k = 0; k < stride * (size_t)wy; k++)
        level->weight[3][k] = 1e9f;
    for (int i = 0; i < level->ny; i++)
        for (size_t k = level->row[i]; k < level->row[i + 1]; k++) {
            int a = i >> level->shift, b = level->datum[k].column >> level->shift;

            if (a < wy && b < wx)
                off[(size_t)a * stride + (size_t)b] = 0;
        }
    for (int pass = 0; pass < 2; pass++) {
        int way = pass ? -1 : 1;

        for (int ii = 0; ii < wy; ii++)
            for (int jj = 0; jj < wx; jj++) {
                int i = pass ? wy - 1 - ii : ii, j = pass ? wx - 1 - jj : jj;
                float *at = off + (size_t)i * stride + (size_t)j, least = *at;
                const float *past = at - way * (ptrdiff_t)stride;
                bool before = ii > 0;

                if (jj > 0)
                    least = nearer(least, at[-way] + step);
                if (before)
                    least = nearer(least, past[0] + step);
                if (before && jj > 0)
                    least = nearer(least, past[-way] + 1.41421f * step);
                if (before && jj < wx - 1)
                    least = nearer(least, past[way] + 1.41421f * step);
                *at = least;
            }
    }
    for (size_t k = 0; k < stride * (size_t)wy; k++) {
        float *at = level->weight[3] + k, ell = (float)in->slack * *at;

        ell = ell > (float)in->ell_m ? ell : (float)in->ell_m;
        *at = (float)(in->ell_m * in->ell_m) / (ell * ell);
    }
}

int lw_level_init(struct lw_level *level, const struct lw_spline *in, int depth,
                  struct lw_team *team)
{
    size_t blocks;

    memset(level, 0, sizeof *level);
    level->nx = in->nx;
    level->ny = in->ny;
    level->cell_m = in->cell_m;
    for (int k = 0; k < depth; k++) {
        level->nx = level->nx / 2 + 1;
        level->ny = level->ny / 2 + 1;
        level->cell_m *= 2;
    }
    level->size = (size_t)level->nx * (size_t)level->ny;
    level->team = level->size < LW_LEVEL_SHARED ? NULL : team;
    level->bend = (float)(in->beta_m2 / (level->cell_m * level->cell_m));
    level->tense = (float)(in->beta_m2 / (in->ell_m * in->ell_m));
    level->shift = level->cell_m < FINE_M;
    level->wx = ((level->nx - 2) >> level->shift) + 1;
    level->wy = ((level->ny - 2) >> level->shift) + 1;
    blocks = ((size_t)level->wx + 2) * (size_t)level->wy;
    for (int part = 0; part < 4; part++) {
        level->weight[part] = malloc(blocks * sizeof(float));
        if (!level->weight[part])
            return -1;
        for (size_t k = 0; k < blocks; k++)
            level->weight[part][k] = part != 2;
    }
    if (add_data(level, in, ldexp(1, -depth)))
        return -1;
    slacken(level, in);
    lw_level_pad(level);
    return 0;
}

int lw_level_room(struct lw_level *level)
{
    level->inverse = malloc(level->size * sizeof(float));
    level->e = malloc(level->size * sizeof(float));
    level->r = malloc(level->size * sizeof(float));
    level->d = malloc(level->size * sizeof(float));
    level->room = malloc((size_t)lw_team_size(level->team) * LW_LEVEL_ROWS *
                         ((size_t)level->nx + 4) * sizeof(float));
    return level->inverse && level->room && level->e && level->r && level->d ? 0 : -1;
}

void lw_level_free(struct lw_level *level)
{
    for (int part = 0; part < 4; part++)
        free(level->weight[part]);
    free(level->datum);
    free(level->row);
    free(level->inverse);
    free(level->room);
    free(level->e);
    free(level->r);
    free(level->d);
    memset(level, 0, sizeof *level);
}

/* ---- weights ---- */

void lw_level_pad(struct lw_level *level)
{
    for (int part = 0; part < 4; part++)
        for (int i = 0; i < level->wy; i++) {
            float *row = lw_level_weight(level, part, i);

            row[-1] = row[0];
            row[level->wx] = row[level->wx - 1];
        }
}

struct reweight {
    struct lw_level *level;
    const float *z;
    float per_bend;   /* 1 / bend */
    unsigned eighths; /* of (2 - p) / 2 */
};

/* w = (1 + k^2 / bend^2)^((p - 2) / 2), by roots: powf takes a tenth of the whole solve */
static float cheapness(float k, const struct reweight *job)
{
    float of = k * job->per_bend, t = 1 + of * of, half = sqrtf(t), quarter = sqrtf(half), w = 1;

    w *= job->eighths & 8 ? t : 1;
    w *= job->eighths & 4 ? half : 1;
    w *= job->eighths & 2 ? quarter : 1;
    w *= job->eighths & 1 ? sqrtf(quarter) : 1;
    return w < 1 / LEAST_BEND ? 1 / w : LEAST_BEND;
}

/* W of a symmetric matrix: its eigenvalues put through cheapness(). */
static void weigh(float xx, float yy, float xy, const struct reweight *job, float *w[3])
{
    float mean = (xx + yy) / 2, half = (xx - yy) / 2, r = sqrtf(half * half + xy * xy);
    float a = cheapness(mean + r, job), b = cheapness(mean - r, job);
    float middle = (a + b) / 2, off = r > 0 ? (a - b) / 2 / r : 0;

    *w[0] = middle + off * half;
    *w[1] = middle - off * half;
    *w[2] = off * xy;
}

/* Second derivatives over a block, from the nodes about it. */
static void reweight_rows(void *context, int slot, int from, int end)
{
    const struct reweight *job = context;
    const struct lw_level *level = job->level;
    int span = 1 << level->shift;
    float h2 = (float)(level->cell_m * level->cell_m * span * span);
    ptrdiff_t s = (ptrdiff_t)level->nx * span;

    (void)slot;
    for (int i = from; i < end; i++)
        for (int j = 0; j < level->wx; j++) {
            int row = i * span, column = j * span;
            float *w[3] = {lw_level_weight(level, 0, i) + j, lw_level_weight(level, 1, i) + j,
                           lw_level_weight(level, 2, i) + j};
            const float *q;
            float xx = 0, yy = 0, xy;

            if (row < span || column < span || row + 2 * span >= level->ny ||
                column + 2 * span >= level->nx)
                continue;
            q = job->z + (size_t)row * (size_t)level->nx + (size_t)column;
            for (int m = 0; m < 2; m++) {
                const float *a = q + m * s, *b = q + m * span;

                xx += a[-span] - a[0] - a[span] + a[2 * span];
                yy += b[-s] - b[0] - b[s] + b[2 * s];
            }
            xy = q[0] - q[span] - q[s] + q[s + span];
            weigh(xx / (4 * h2), yy / (4 * h2), xy / h2, job, w);
        }
}

void lw_level_reweight(struct lw_level *level, const float *z, const struct lw_spline *in)
{
    struct reweight job = {level, z, (float)(1 / in->bend_per_m),
                           (unsigned)lround((2 - in->p) * 4)};

    lw_team_run(level->team, reweight_rows, &job, level->wy);
    lw_level_pad(level);
}

/* The block of `to` that covers block (i, j) of `from`, half as fine or alike. */
void lw_level_weight_up(const struct lw_level *fine, struct lw_level *coarse)
{
    int shift = coarse->shift + 1 - fine->shift;

    for (int part = 0; part < 3; part++)
        for (int i = 0; i < coarse->wy; i++)
            for (int j = 0; j < coarse->wx; j++) {
                float sum = 0;
                int n = 0;

                for (int a = i << shift; a < (i + 1) << shift && a < fine->wy; a++)
                    for (int b = j << shift; b < (j + 1) << shift && b < fine->wx; b++, n++)
                        sum += lw_level_weight(fine, part, a)[b];
                if (n)
                    lw_level_weight(coarse, part, i)[j] = sum / (float)n;
            }
    lw_level_pad(coarse);
}

void lw_level_weight_down(const struct lw_level *coarse, struct lw_level *fine)
{
    int shift = coarse->shift + 1 - fine->shift;

    for (int part = 0; part < 3; part++)
        for (int i = 0; i < fine->wy; i++)
            for (int j = 0; j < fine->wx; j++) {
                int a = i >> shift, b = j >> shift;

                a = a < coarse->wy ? a : coarse->wy - 1;
                b = b < coarse->wx ? b : coarse->wx - 1;
                lw_level_weight(fine, part, i)[j] = lw_level_weight(coarse, part, a)[b];
            }
    lw_level_pad(fine);
}

/* ---- between grids ---- */

struct between {
    const struct lw_level *coarse, *fine;
    const float *from;
    float *to;
};

static float *room_of(const struct between *job, int slot)
{
    return job->fine->room + (size_t)slot * LW_LEVEL_ROWS * ((size_t)job->fine->nx + 4) + 2;
}

static void prolong_rows(void *context, int slot, int from, int end)
{
    const struct between *job = context;
    int cx = job->coarse->nx, fx = job->fine->nx;
    float *restrict mean = room_of(job, slot);

    for (int i = from; i < end; i++) {
        const float *restrict a = job->from + (size_t)(i / 2) * (size_t)cx;
        const float *restrict b = job->from + (size_t)((i + 1) / 2) * (size_t)cx;
        float *restrict out = job->to + (size_t)i * (size_t)fx;

        for (int j = 0; j < cx; j++)
            mean[j] = 0.25f * (a[j] + b[j]);
        for (int j = 0; j < fx / 2; j++) {
            out[2 * j] += 2 * mean[j];
            out[2 * j + 1] += mean[j] + mean[j + 1];
        }
        if (fx % 2)
            out[fx - 1] += 2 * mean[fx / 2];
    }
}

void lw_level_prolong(const struct lw_level *coarse, const float *from, const struct lw_level *fine,
                      float *to)
{
    struct between job = {coarse, fine, from, to};

    lw_team_run(fine->team, prolong_rows, &job, fine->ny);
}

/* The transpose, gathered: a coarse node takes from the fine nodes about it. */
static void restrict_rows(void *context, int slot, int from, int end)
{
    const struct between *job = context;
    int cx = job->coarse->nx, fx = job->fine->nx, fy = job->fine->ny;
    float *restrict sum = room_of(job, slot);

    sum[-1] = sum[fx] = sum[fx + 1] = 0;
    for (int i = from; i < end; i++) {
        const float *restrict row = job->from + (ptrdiff_t)2 * i * fx;
        float *restrict out = job->to + (size_t)i * (size_t)cx;

        memset(sum, 0, (size_t)fx * sizeof *sum);
        for (int a = -1; a <= 1; a++)
            if (2 * i + a >= 0 && 2 * i + a < fy)
                for (int j = 0; j < fx; j++)
                    sum[j] += (a ? 0.5f : 1) * row[(ptrdiff_t)a * fx + j];
        for (int j = 0; j < cx; j++)
            out[j] = sum[2 * j] + 0.5f * (sum[2 * j - 1] + sum[2 * j + 1]);
    }
}

void lw_level_restrict(const struct lw_level *fine, const float *from,
                       const struct lw_level *coarse, float *to)
{
    struct between job = {coarse, fine, from, to};

    lw_team_run(coarse->team, restrict_rows, &job, coarse->ny);
}
