/* Conjugate gradients with a V-cycle, nested from coarse to fine. */
#include "spline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "spline_level.h"

#define LEVELS_MAX        20
#define SWEEPS            2
#define COARSE_SWEEPS     60
#define COARSEST_NODES    10
#define NESTED_ITERATIONS 6

/* level->e = V(level->r): one V(2,2) cycle for A e = r. */
static void v_cycle(struct lw_level *level, int left)
{
    struct lw_level *coarse = level + 1;

    memset(level->e, 0, level->size * sizeof *level->e);
    if (left == 1) {
        for (int k = 0; k < COARSE_SWEEPS; k++) {
            lw_level_sweep(level, level->e, level->r, 0);
            lw_level_sweep(level, level->e, level->r, 1);
        }
        return;
    }
    for (int k = 0; k < SWEEPS; k++)
        lw_level_sweep(level, level->e, level->r, 0);
    lw_level_apply(level, level->e, level->t);
    for (size_t k = 0; k < level->size; k++)
        level->t[k] = level->r[k] - level->t[k];
    lw_level_restrict(level, level->t, coarse, coarse->r);
    v_cycle(coarse, left - 1);
    lw_level_prolong(coarse, coarse->e, level, level->e);
    for (int k = 0; k < SWEEPS; k++)
        lw_level_sweep(level, level->e, level->r, 1);
}

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;

    for (size_t k = 0; k < n; k++)
        sum += a[k] * b[k];
    return sum;
}

/* Solves A z = rhs on one level, from z; returns the largest last update, or -1 without memory. */
static double solve_level(struct lw_level *level, int left, double *z, double tolerance, int limit)
{
    size_t n = level->size;
    double *r = calloc(n, sizeof *r), *p = calloc(n, sizeof *p), *q = calloc(n, sizeof *q);
    double rho = 0, largest = -1;

    if (!r || !p || !q)
        goto done;
    largest = 0;
    lw_level_apply(level, z, q);
    for (size_t k = 0; k < n; k++)
        r[k] = level->rhs[k] - q[k];
    for (int it = 0; it < limit; it++) {
        double before = rho, step, curvature;

        memcpy(level->r, r, n * sizeof *r);
        v_cycle(level, left);
        rho = dot(r, level->e, n);
        for (size_t k = 0; k < n; k++)
            p[k] = level->e[k] + (it ? rho / before : 0) * p[k];
        lw_level_apply(level, p, q);
        curvature = dot(p, q, n);
        if (!(curvature > 0)) /* the residual is nothing but rounding */
            break;
        step = rho / curvature;
        largest = 0;
        for (size_t k = 0; k < n; k++) {
            double d = step * p[k];

            z[k] += d;
            r[k] -= step * q[k];
            largest = fmax(largest, fabs(d));
        }
        if (largest < tolerance)
            break;
    }
done:
    free(r);
    free(p);
    free(q);
    return largest;
}

static int init_levels(struct lw_level *level, const struct lw_spline *in)
{
    int levels = 0;

    do {
        if (lw_level_init(&level[levels], in, levels)) {
            lw_level_free(&level[levels]);
            while (levels--)
                lw_level_free(&level[levels]);
            return -1;
        }
        levels++;
    } while (levels < LEVELS_MAX && level[levels - 1].nx > COARSEST_NODES &&
             level[levels - 1].ny > COARSEST_NODES);
    return levels;
}

int lw_spline_solve(const struct lw_spline *in, double *node, double *residual,
                    struct lw_error *err)
{
    struct lw_level level[LEVELS_MAX];
    int levels = init_levels(level, in), status = -1;
    double *z = NULL, *finer = NULL, largest = 0;

    if (levels < 0)
        return lw_fail(err, "out of memory for a depth surface of %d x %d cells", in->nx, in->ny);
    for (int k = levels - 1; k >= 0; k--) {
        finer = calloc(level[k].size, sizeof *finer);
        if (!finer)
            goto done;
        if (z)
            lw_level_prolong(&level[k + 1], z, &level[k], finer);
        free(z);
        z = finer;
        finer = NULL;
        largest = solve_level(&level[k], levels - k, z, in->tolerance,
                              k == 0 ? in->iterations_max : NESTED_ITERATIONS);
        if (largest < 0)
            goto done;
    }
    for (int i = 0; i < in->ny; i++)
        memcpy(node + (size_t)i * (size_t)in->nx, z + lw_level_at(&level[0], i, 0),
               (size_t)in->nx * sizeof *node);
    if (residual)
        *residual = largest;
    status = 0;
done:
    if (status)
        lw_fail(err, "out of memory for a depth surface of %d x %d cells", in->nx, in->ny);
    free(z);
    for (int k = 0; k < levels; k++)
        lw_level_free(&level[k]);
    return status;
}
