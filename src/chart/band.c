/* Painting rings from the largest to the smallest; what is painted last is innermost. */
#include "lipwalk/chart/band.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/chart/interval.h"

#define SAME_M 1e-3 /* depths closer than this are one contour */

static int by_area_falling(const void *a, const void *b)
{
    double x = ((const struct lw_band *)a)->area_m2, y = ((const struct lw_band *)b)->area_m2;

    return (x < y) - (x > y);
}

static int clamp(double at, int n)
{
    return at < 0 ? 0 : at > n ? n : (int)at;
}

/* Sets the label of every cell whose centre lies inside the ring (even-odd). Crossings are gathered
 * segment by segment, once to count and once to store: a long ring has few of them in a row. */
static int paint(const struct lw_line *ring, const struct lw_grid *grid, int32_t mark,
                 int32_t *label)
{
    size_t *start = calloc((size_t)grid->ny + 2, sizeof *start);
    double *cross = NULL;
    int status = -1;

    if (!start)
        return -1;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k + 1 < ring->n; k++) {
            struct lw_en a = ring->p[k], b = ring->p[k + 1];
            int lo = clamp(ceil((fmin(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m), grid->ny);
            int hi = clamp(floor((fmax(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m) + 1, grid->ny);

            for (int row = lo; row < hi; row++) {
                double n_m = grid->n0_m + row * grid->cell_m;

                if ((a.n_m > n_m) == (b.n_m > n_m))
                    continue;
                if (pass == 1)
                    cross[start[row]] = a.e_m + (n_m - a.n_m) / (b.n_m - a.n_m) * (b.e_m - a.e_m);
                start[row + (pass == 0 ? 2 : 0)]++;
            }
        }
        if (pass == 0) { /* counts to starts, one row late so that the second pass ends right */
            for (int row = 1; row < grid->ny + 2; row++)
                start[row] += start[row - 1];
            memmove(start, start + 1, ((size_t)grid->ny + 1) * sizeof *start);
            cross = malloc((start[grid->ny] + 1) * sizeof *cross);
            if (!cross)
                goto done;
        }
    }
    /* Now start[row] is the end of row's crossings, and start[row - 1] their beginning. */
    for (int row = 0; row < grid->ny; row++) {
        size_t from = row ? start[row - 1] : 0;

        qsort(cross + from, start[row] - from, sizeof *cross, lw_number_order);
        for (size_t k = from; k + 1 < start[row]; k += 2) {
            int j = clamp(ceil((cross[k] - grid->e0_m) / grid->cell_m), grid->nx);
            int end = clamp(floor((cross[k + 1] - grid->e0_m) / grid->cell_m) + 1, grid->nx);

            for (; j < end; j++)
                label[(size_t)row * (size_t)grid->nx + (size_t)j] = mark;
        }
    }
    status = 0;
done:
    free(cross);
    free(start);
    return status;
}

/* The label that most vertices of the line lie on: contours may touch, so one vertex is no proof.
 */
static int32_t label_under(const struct lw_line *line, const struct lw_grid *grid,
                           const int32_t *label)
{
    int32_t best = -1;
    int votes = 0;
    size_t step = line->n / 64 + 1;

    for (size_t k = 0; k < line->n; k += step) { /* majority vote of Boyer and Moore, from memory */
        int j = (int)floor((line->p[k].e_m - grid->e0_m) / grid->cell_m + 0.5);
        int i = (int)floor((line->p[k].n_m - grid->n0_m) / grid->cell_m + 0.5);
        int32_t here = -1;

        if (i >= 0 && j >= 0 && i < grid->ny && j < grid->nx)
            here = label[(size_t)i * (size_t)grid->nx + (size_t)j];
        if (votes == 0)
            best = here;
        votes += here == best ? 1 : -1;
    }
    return best;
}

static void widen(struct lw_band *band, double depth_m)
{
    band->lo_m = fmin(band->lo_m, depth_m);
    band->hi_m = fmax(band->hi_m, depth_m);
}

/* Beyond its last inner ring the bottom goes on the way it came, by less than one more step. */
static void settle(struct lw_bands *out, const struct lw_contour *contour, double usual_m)
{
    for (size_t k = 0; k < out->bands; k++) {
        struct lw_band *band = &out->band[k];
        double own = contour[band->contour].depth_m, step = usual_m, outer = NAN;

        if (band->parent >= 0) {
            outer = contour[out->band[band->parent].contour].depth_m;
            if (fabs(own - outer) > SAME_M)
                step = fabs(own - outer);
        }
        if (!(own < outer - SAME_M) && band->hi_m <= own + SAME_M) {
            band->hi_m = own + 0.99 * step;
            band->hi_guessed = true;
        }
        if (own <= outer + SAME_M && band->lo_m >= own - SAME_M) {
            band->lo_m = fmax(0, own - 0.99 * step);
            band->lo_guessed = true;
        }
    }
}

/* Returns the usual step between depths, else the smallest, or -1 without memory. */
static double usual_step(const struct lw_contour *contour, size_t contours)
{
    double *depth = malloc((contours + 1) * sizeof *depth);
    double step, least = INFINITY;

    if (!depth)
        return -1;
    for (size_t i = 0; i < contours; i++)
        depth[i] = contour[i].depth_m;
    qsort(depth, contours, sizeof *depth, lw_number_order);
    step = lw_depth_interval(depth, contours);
    for (size_t i = 1; i < contours; i++)
        if (depth[i] - depth[i - 1] > SAME_M)
            least = fmin(least, depth[i] - depth[i - 1]);
    free(depth);
    if (isfinite(step))
        return step;
    return isfinite(least) ? least : 3.0; /* one contour alone: common practice, no source */
}

int lw_bands_make(const struct lw_contour *contour, size_t contours, const struct lw_grid *grid,
                  struct lw_bands *out, struct lw_error *err)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    double usual_m;

    memset(out, 0, sizeof *out);
    out->label = malloc(cells * sizeof *out->label);
    out->band = calloc(contours + 1, sizeof *out->band);
    if (!out->label || !out->band)
        goto failed;
    memset(out->label, 0xff, cells * sizeof *out->label);
    for (size_t i = 0; i < contours; i++)
        if (contour[i].line.closed && contour[i].line.n >= 4)
            out->band[out->bands++] = (struct lw_band){
                .contour = i, .area_m2 = fabs(lw_line_area(&contour[i].line))};
    qsort(out->band, out->bands, sizeof *out->band, by_area_falling);
    for (size_t k = 0; k < out->bands; k++) {
        struct lw_band *band = &out->band[k];
        const struct lw_contour *own = &contour[band->contour];

        band->parent = label_under(&own->line, grid, out->label);
        band->lo_m = band->hi_m = own->depth_m;
        /* a shore on an island is a pond's */
        band->land = own->depth_m <= SAME_M && band->parent >= 0 && !out->band[band->parent].land;
        if (band->parent >= 0)
            widen(&out->band[band->parent], own->depth_m);
        if (paint(&own->line, grid, (int32_t)k, out->label))
            goto failed;
    }
    for (size_t i = 0; i < contours; i++) {
        int32_t under;

        if (contour[i].line.closed)
            continue;
        under = label_under(&contour[i].line, grid, out->label);
        if (under >= 0)
            widen(&out->band[under], contour[i].depth_m);
    }
    usual_m = usual_step(contour, contours);
    if (usual_m < 0)
        goto failed;
    settle(out, contour, usual_m);
    for (size_t i = 0; i < contours; i++) { /* beyond an open line, too, the bottom goes on */
        int32_t under = contour[i].line.closed ? -1
                                               : label_under(&contour[i].line, grid, out->label);

        if (under >= 0 && out->band[under].hi_m <= contour[i].depth_m + SAME_M)
            out->band[under].hi_m = contour[i].depth_m + 0.99 * usual_m;
    }
    return 0;
failed:
    lw_bands_free(out);
    return lw_fail(err, "out of memory for the bands between %zu contours", contours);
}

void lw_bands_free(struct lw_bands *bands)
{
    free(bands->label);
    free(bands->band);
    memset(bands, 0, sizeof *bands);
}

double lw_bands_area(const struct lw_bands *bands)
{
    double area = 0;

    for (size_t k = 0; k < bands->bands; k++) {
        const struct lw_band *band = &bands->band[k];
        bool on_land = band->parent < 0 || bands->band[band->parent].land;

        if (band->land)
            area -= band->area_m2;
        else if (on_land)
            area += band->area_m2;
    }
    return area;
}
