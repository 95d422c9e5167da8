/* Conjugate gradients with a V-cycle, nested from coarse to fine. */
#if defined __GNUC__ && !defined __clang__
#pragma GCC optimize("O3") /* gcc 12 leaves these loops scalar at -O2 */
#endif
#include "spline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "spline_level.h"

#define LEVELS_MAX        20
#define SWEEPS            3
#define COARSE_SWEEPS     60
#define COARSEST_NODES    10
#define NESTED_ITERATIONS 3
#define NESTED_TOLERANCE  3.0 /* times the tolerance: only a start for the next grid or weights */
#define REWEIGHT_BELOW_M  9.0 /* lips do not show on coarser grids */
#define MOST              4.0 /* A <= MOST D */
/* What a smoother has to take: the waves that the next grid does not carry, which have a sixteenth
 * of the shortest wave's energy and more; three sweeps take more of a tenth and up. */
#define SMOOTHED    (MOST / 10)
#define ALL_OF_THEM (MOST / 1500)

struct solver {
    const struct lw_spline *in;
    struct lw_team *team;
    struct lw_level level[LEVELS_MAX];
    int levels;
};

struct axpy {
    float *y;
    const float *x;
    float a, b;
    size_t nx;
};

static void add_scaled_rows(void *context, int slot, int from, int end)
{
    const struct axpy *job = context;
    float *restrict y = job->y, a = job->a, b = job->b;
    const float *restrict x = job->x;

    (void)slot;
    for (size_t k = (size_t)from * job->nx, n = (size_t)end * job->nx; k < n; k++)
        y[k] = a * x[k] + b * y[k];
}

/* y = a x + b y */
static void add_scaled(const struct lw_level *level, float a, const float *x, float b, float *y)
{
    struct axpy job = {y, x, a, b, (size_t)level->nx};

    lw_team_run(level->team, add_scaled_rows, &job, level->ny);
}

/* level->e = polynomial in A, D of level->r that leaves little of what lies between `least` and
 * MOST: Chebyshev iteration, from e (from zero where `fresh`). Adams, Brezina, Hu and Tuminaro
 * 2003, from memory. It has no order, so threads do not change it, and is symmetric. */
static void smooth(struct lw_level *level, double least, int sweeps, int fresh)
{
    double middle = (MOST + least) / 2, half = (MOST - least) / 2, rho = half / middle;

    if (fresh) /* A e is known: 0 */
        lw_level_first(level, (float)(1 / middle));
    for (int k = fresh ? 1 : 0; k < sweeps; k++) {
        double next = k == 0 ? rho : 1 / (2 * middle / half - rho);

        if (k == 0)
            lw_level_smooth(level, 0, (float)(1 / middle));
        else
            lw_level_smooth(level, (float)(next * rho), (float)(2 * next / half));
        rho = next;
        add_scaled(level, 1, level->d, 1, level->e);
    }
}

/* level->e = V(level->r): one V-cycle for A e = r. */
static void v_cycle(struct lw_level *level, int left)
{
    struct lw_level *coarse = level + 1;

    if (left == 1) {
        smooth(level, ALL_OF_THEM, COARSE_SWEEPS, 1);
        return;
    }
    smooth(level, SMOOTHED, SWEEPS, 1);
    lw_level_residual(level);
    lw_level_restrict(level, level->d, coarse, coarse->r);
    v_cycle(coarse, left - 1);
    lw_level_prolong(coarse, coarse->e, level, level->e);
    smooth(level, SMOOTHED, SWEEPS, 0);
}

struct dot {
    const float *a, *b;
    size_t nx;
    double *row;
};

static void dot_rows(void *context, int slot, int from, int end)
{
    const struct dot *job = context;
    size_t nx = job->nx;

    (void)slot;
    for (int i = from; i < end; i++) {
        const float *a = job->a + (size_t)i * nx, *b = job->b + (size_t)i * nx;
        double sum[8] = {0}; /* side by side, which the compiler may not do by itself */
        size_t k = 0;

        for (; k + 8 <= nx; k += 8)
            for (int m = 0; m < 8; m++)
                sum[m] += (double)a[k + (size_t)m] * (double)b[k + (size_t)m];
        for (; k < nx; k++)
            sum[0] += (double)a[k] * (double)b[k];
        job->row[i] = ((sum[0] + sum[1]) + (sum[2] + sum[3])) +
                      ((sum[4] + sum[5]) + (sum[6] + sum[7]));
    }
}

/* Row by row, so that the sum does not depend on the threads. `row` has room for ny. */
static double dot(const struct lw_level *level, const float *a, const float *b, double *row)
{
    struct dot job = {a, b, (size_t)level->nx, row};
    double sum = 0;

    lw_team_run(level->team, dot_rows, &job, level->ny);
    for (int i = 0; i < level->ny; i++)
        sum += row[i];
    return sum;
}

struct largest {
    const struct lw_level *level;
    const float *p;
    double *row;
};

static void largest_rows(void *context, int slot, int from, int end)
{
    const struct largest *job = context;
    const struct lw_level *level = job->level;
    int nx = level->nx, shift = level->shift;

    (void)slot;
    for (int i = from; i < end; i++) {
        const float *p = job->p + (size_t)i * (size_t)nx;
        const float *w = lw_level_weight(level, 3, (i < level->ny - 1 ? i : i - 1) >> shift);
        float most = 0;

        for (int j = 0; j < nx; j++) {
            float at = fabsf(p[j]) * w[j >> shift];

            most = at > most ? at : most;
        }
        job->row[i] = most;
    }
}

/* The largest of p, which counts as much as tension does there: far from any datum, on land mostly,
 * the last millimetres come slowly and nobody waits for them. */
static double largest_of(const struct lw_level *level, const float *p, double *row)
{
    struct largest job = {level, p, row};
    double most = 0;

    lw_team_run(level->team, largest_rows, &job, level->ny);
    for (int i = 0; i < level->ny; i++)
        most = row[i] > most ? row[i] : most;
    return most;
}

/* Solves A z = rhs on one level, from z; returns the last update's largest_of, or -1 without
 * memory. */
static double solve_level(struct solver *solver, int depth, float *z, int limit, double tolerance)
{
    struct lw_level *level = &solver->level[depth];
    size_t n = level->size;
    float *p = calloc(n, sizeof *p), *r = level->r; /* which the V-cycle only reads */
    double *row = malloc((size_t)level->ny * sizeof *row), rho = 0, largest = -1;

    if (!p || !row)
        goto done;
    for (int k = depth; k < solver->levels; k++)
        lw_level_diagonal(&solver->level[k]);
    largest = 0;
    lw_level_unexplained(level, z, r);
    for (int it = 0; it < limit; it++) {
        double before = rho, step, curvature;

        v_cycle(level, solver->levels - depth);
        rho = dot(level, r, level->e, row);
        add_scaled(level, 1, level->e, it ? (float)(rho / before) : 0, p);
        lw_level_apply(level, p, level->d);
        curvature = dot(level, p, level->d, row);
        if (!(curvature > 0) || !(rho > 0)) /* the residual is nothing but rounding */
            break;
        step = rho / curvature;
        add_scaled(level, (float)step, p, 1, z);
        add_scaled(level, -(float)step, level->d, 1, r);
        largest = step * largest_of(level, p, row);
        if (largest < tolerance)
            break;
    }
done:
    free(p);
    free(row);
    return largest;
}

static int init_levels(struct solver *solver)
{
    const struct lw_spline *in = solver->in;
    struct lw_level *last;

    do {
        last = &solver->level[solver->levels];
        if (lw_level_init(last, in, solver->levels++, solver->team))
            return -1;
    } while (solver->levels < LEVELS_MAX && last->nx > COARSEST_NODES && last->ny > COARSEST_NODES);
    return 0;
}

static double solve_grid(struct solver *solver, int depth, float *z)
{
    struct lw_level *level = &solver->level[depth];
    const struct lw_spline *in = solver->in;
    int rounds = depth || solver->levels <= 2 ? in->reweights : in->reweights_finest;
    double largest;

    if (level->cell_m > REWEIGHT_BELOW_M || level->cell_m < LW_SPLINE_FORM_M)
        rounds = 0;
    for (int k = 0;; k++) {
        int last = k == rounds && depth == 0;

        largest = solve_level(solver, depth, z, last ? in->iterations_max : NESTED_ITERATIONS,
                              in->tolerance * (last ? 1 : NESTED_TOLERANCE));
        if (largest < 0 || k == rounds)
            return largest;
        lw_level_reweight(level, z, in);
        for (int up = depth + 1; up < solver->levels; up++)
            lw_level_weight_up(&solver->level[up - 1], &solver->level[up]);
    }
}

int lw_spline_solve(const struct lw_spline *in, float *node, double *residual, struct lw_error *err)
{
    struct solver *solver = calloc(1, sizeof *solver);
    float *z = NULL, *finer = NULL;
    double largest = 0;
    int status = -1;

    if (!solver)
        goto done;
    solver->in = in;
    if ((size_t)in->nx * (size_t)in->ny >= LW_LEVEL_SHARED)
        solver->team = lw_team_new(in->threads > 0 ? in->threads : lw_rows_threads());
    if (init_levels(solver))
        goto done;
    for (int k = solver->levels - 1; k >= 0; k--) {
        struct lw_level *level = &solver->level[k];

        lw_progress_tell(in->progress,
                         in->part_from + (in->part_to - in->part_from) * ldexp(1, -2 * k),
                         "depth surface");
        finer = k ? malloc(level->size * sizeof *finer) : node;
        if (!finer || lw_level_room(level))
            goto done;
        memset(finer, 0, level->size * sizeof *finer);
        if (z) {
            lw_level_prolong(level + 1, z, level, finer);
            lw_level_weight_down(level + 1, level);
        }
        free(z);
        z = k ? finer : NULL;
        finer = NULL;
        largest = solve_grid(solver, k, k ? z : node);
        if (largest < 0)
            goto done;
    }
    if (residual)
        *residual = largest;
    status = 0;
done:
    if (status)
        lw_fail(err, "out of memory for a depth surface of %d x %d cells", in->nx, in->ny);
    free(z);
    for (int k = 0; solver && k < solver->levels; k++)
        lw_level_free(&solver->level[k]);
    if (solver)
        lw_team_free(solver->team);
    free(solver);
    return status;
}
