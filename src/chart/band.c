/* Painting rings from the largest to the smallest; what is painted last is innermost. */
#include "lipwalk/chart/band.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/chart/interval.h"
#include "lipwalk/chart/ring.h"

#define SAME_M 1e-3 /* depths closer than this are one contour */

static int by_area_falling(const void *a, const void *b)
{
    double x = ((const struct lw_band *)a)->area_m2, y = ((const struct lw_band *)b)->area_m2;

    return (x < y) - (x > y);
}

struct paint {
    int32_t *label;
    size_t nx;
    int32_t mark;
};

static void paint(void *context, int row, int from, int end)
{
    const struct paint *paint = context;

    for (int j = from; j < end; j++)
        paint->label[(size_t)row * paint->nx + (size_t)j] = paint->mark;
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
        int32_t here = -1;
        int j, i;

        if (lw_grid_cell(grid, line->p[k], &j, &i))
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
    double usual_m, least_m;

    if (lw_contour_steps(contour, contours, &usual_m, &least_m))
        return -1;
    if (isfinite(usual_m))
        return usual_m;
    return isfinite(least_m) ? least_m : 3.0; /* one contour alone: common practice, no source */
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
        if (lw_ring_rows(&own->line, grid, paint,
                         &(struct paint){out->label, (size_t)grid->nx, (int32_t)k}))
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
