/* How much of the belt the casts work: counted in cells of half a metre. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/geo/span.h"
#include "steps.h"

#define CELL_M     0.5
#define MOST_CELLS 268435456.0 /* one bit each: 32 MB */

struct raster {
    double e0_m, n0_m, cell_m; /* corner of cell (0, 0), the south-west one */
    size_t nx, ny;
    uint8_t *bit;
    size_t *start; /* start[ny + 1]: where each row's crossings begin in `at` */
    double *at;    /* east of each crossing of a belt ring with the row's middle */
};

static double middle(const struct raster *r, size_t row)
{
    return r->n0_m + ((double)row + 0.5) * r->cell_m;
}

/* The first row (column) whose middle is not below `d` metres from the corner. */
static size_t first_cell(double d, double cell_m, size_t n)
{
    double i = ceil(d / cell_m - 0.5);

    return i <= 0 ? 0 : i >= (double)n ? n : (size_t)i;
}

/* Counts (fill false) or stores the crossings of every row with the belt's rings. */
static void cross_rows(struct raster *r, const struct lw_lines *belt, bool fill)
{
    for (size_t i = 0; i < belt->n; i++)
        for (size_t k = 0; k + 1 < belt->line[i].n; k++) {
            struct lw_en a = belt->line[i].p[k], b = belt->line[i].p[k + 1];
            size_t row = first_cell(fmin(a.n_m, b.n_m) - r->n0_m, r->cell_m, r->ny);

            for (; row < r->ny && middle(r, row) < fmax(a.n_m, b.n_m); row++) {
                if (fill)
                    r->at[--r->start[row + 1]] = a.e_m + (b.e_m - a.e_m) *
                                                             (middle(r, row) - a.n_m) /
                                                             (b.n_m - a.n_m);
                else
                    r->start[row + 1]++;
            }
        }
}

static int open_raster(struct raster *r, const struct lw_lines *belt)
{
    struct lw_span span = lw_span_of_nothing();
    double wide_m, high_m;
    size_t total = 0;

    for (size_t i = 0; i < belt->n; i++)
        lw_span_add(&span, &belt->line[i]);
    wide_m = span.e_max - span.e_min;
    high_m = span.n_max - span.n_min;
    r->cell_m = fmax(CELL_M, sqrt(wide_m * high_m / MOST_CELLS));
    r->e0_m = span.e_min;
    r->n0_m = span.n_min;
    r->nx = (size_t)ceil(wide_m / r->cell_m) + 1;
    r->ny = (size_t)ceil(high_m / r->cell_m) + 1;
    r->bit = calloc(r->nx * r->ny / 8 + 1, 1);
    r->start = calloc(r->ny + 2, sizeof *r->start);
    if (!r->bit || !r->start)
        return -1;
    cross_rows(r, belt, false);
    for (size_t row = 0; row < r->ny; row++) {
        total += r->start[row + 1];
        r->start[row + 1] = total;
    }
    /* start[row + 1] is now the end of the row's stretch; filling counts it down to its start. */
    r->at = calloc(total + 1, sizeof *r->at);
    if (!r->at)
        return -1;
    cross_rows(r, belt, true);
    r->start[r->ny + 1] = total;
    return 0;
}

static void work(struct raster *r, const struct lw_cast *cast, double half_m)
{
    struct lw_en a = cast->from, b = cast->to;
    size_t row0 = first_cell(fmin(a.n_m, b.n_m) - half_m - r->n0_m, r->cell_m, r->ny);
    size_t row1 = first_cell(fmax(a.n_m, b.n_m) + half_m - r->n0_m, r->cell_m, r->ny);
    size_t col0 = first_cell(fmin(a.e_m, b.e_m) - half_m - r->e0_m, r->cell_m, r->nx);
    size_t col1 = first_cell(fmax(a.e_m, b.e_m) + half_m - r->e0_m, r->cell_m, r->nx);

    for (size_t row = row0; row < row1; row++)
        for (size_t col = col0; col < col1; col++) {
            struct lw_en p = {r->e0_m + ((double)col + 0.5) * r->cell_m, middle(r, row)};
            size_t i = row * r->nx + col;

            if (lw_segment_dist2(a, b, p) <= half_m * half_m)
                r->bit[i / 8] |= (uint8_t)(1u << (i % 8));
        }
}

int lw_belt_cover(struct lw_plan *plan, struct lw_error *err)
{
    struct raster r = {0};
    size_t all = 0, worked = 0;
    int rc = -1;

    plan->coverage = NAN;
    if (plan->belt.n == 0)
        return 0;
    if (open_raster(&r, &plan->belt)) {
        lw_fail(err, "memory ran out while measuring the belt");
        goto done;
    }
    for (size_t i = 0; i < plan->casts; i++)
        work(&r, &plan->cast[i], plan->params.swath_m / 2);
    for (size_t row = 0; row < r.ny; row++) {
        double *at = r.at + r.start[row + 1];
        size_t n = r.start[row + 2] - r.start[row + 1];

        qsort(at, n, sizeof *at, lw_number_order);
        for (size_t k = 0; k + 1 < n; k += 2) { /* even-odd: rings and their holes alike */
            size_t col1 = first_cell(at[k + 1] - r.e0_m, r.cell_m, r.nx);

            for (size_t col = first_cell(at[k] - r.e0_m, r.cell_m, r.nx); col < col1; col++) {
                size_t i = row * r.nx + col;

                all++;
                worked += r.bit[i / 8] >> (i % 8) & 1;
            }
        }
    }
    if (all > 0)
        plan->coverage = (double)worked / (double)all;
    rc = 0;
done:
    free(r.bit);
    free(r.start);
    free(r.at);
    return rc;
}
