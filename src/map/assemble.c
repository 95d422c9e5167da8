/* Grid, surface and the rest of a chart from its contours. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "build.h"
#include "fill.h"
#include "lipwalk/chart/band.h"
#include "lipwalk/geo/span.h"
#include "track_fold.h"

#define CELL_M    2.0
#define CELLS_MAX 4000000.0  /* a coarser cell is chosen beyond it */
#define CELLS_CAP 25000000.0 /* a wish beyond it is refused */
#define MARGIN    3          /* cells about the shore */
#define PROBE_M   3.0        /* how far to the sides the depths are compared */

static int by_depth(const void *a, const void *b)
{
    double x = ((const struct lw_contour *)a)->depth_m, y = ((const struct lw_contour *)b)->depth_m;

    return (x > y) - (x < y);
}

static int lay_grid(struct lw_chart *chart, const struct lw_lines *limit, double cell_m,
                    struct lw_error *err)
{
    struct lw_span all = lw_span_of_nothing();
    double wide, high;

    for (size_t i = 0; i < chart->contours; i++)
        lw_span_add(&all, &chart->contour[i].line);
    for (size_t i = 0; limit && i < limit->n; i++)
        lw_span_add(&all, &limit->line[i]);
    wide = all.e_max - all.e_min;
    high = all.n_max - all.n_min;
    if (!(wide > 0.5 && high > 0.5))
        return lw_fail(err, "the contours span only %.2g m by %.2g m: check --crs", wide, high);
    if (wide > 4e5 || high > 4e5)
        return lw_fail(err,
                       "the contours span %.0f km by %.0f km, which is no lake: choose one with "
                       "--at LAT,LON, or check --crs",
                       wide / 1000, high / 1000);
    if (isnan(cell_m)) {
        cell_m = fmax(CELL_M, sqrt(wide * high / CELLS_MAX));
        if (cell_m > CELL_M)
            cell_m = ceil(2 * cell_m) / 2;
        /* A pond needs its own cells: at least 40 across. */
        cell_m = fmin(cell_m, fmax(0.25, floor(fmin(wide, high) / 40 * 4) / 4));
    }
    if (!(cell_m >= 0.1) || wide / cell_m * high / cell_m > CELLS_CAP)
        return lw_fail(err, "cells of %g m are too small for a lake of %.0f by %.0f m", cell_m,
                       wide, high);
    chart->grid.cell_m = cell_m;
    chart->grid.nx = (int)ceil(wide / cell_m) + 1 + 2 * MARGIN;
    chart->grid.ny = (int)ceil(high / cell_m) + 1 + 2 * MARGIN;
    chart->grid.e0_m = (all.e_min + all.e_max - (chart->grid.nx - 1) * cell_m) / 2;
    chart->grid.n0_m = (all.n_min + all.n_max - (chart->grid.ny - 1) * cell_m) / 2;
    return 0;
}

/* Depth at the nearest cell that is water, or NaN. */
static double cell_depth(const struct lw_grid *grid, struct lw_en at)
{
    int j, i;

    if (!lw_grid_cell(grid, at, &j, &i))
        return NAN;
    return grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j];
}

/* Turns the line so that the deep side lies to its left: a vote by length, land being shallowest.
 */
static void deep_left(const struct lw_grid *grid, struct lw_contour *contour)
{
    double probe = fmax(PROBE_M, 1.5 * grid->cell_m), vote = 0;

    for (size_t k = 0; k + 1 < contour->line.n; k++) {
        struct lw_en a = contour->line.p[k], b = contour->line.p[k + 1];
        double length = lw_en_distance(a, b), left, right;
        struct lw_en middle = {(a.e_m + b.e_m) / 2, (a.n_m + b.n_m) / 2};
        double e = -(b.n_m - a.n_m) / length * probe, n = (b.e_m - a.e_m) / length * probe;

        if (!(length > 0))
            continue;
        left = cell_depth(grid, (struct lw_en){middle.e_m + e, middle.n_m + n});
        right = cell_depth(grid, (struct lw_en){middle.e_m - e, middle.n_m - n});
        left = isnan(left) ? -1 : left;
        right = isnan(right) ? -1 : right;
        vote += left > right ? length : left < right ? -length : 0;
    }
    if (vote < 0)
        lw_line_reverse(&contour->line);
}

/* Today's level: all depths move by it; what falls dry is land. */
static void apply_stage(struct lw_chart *chart, double stage_m)
{
    size_t cells = (size_t)chart->grid.nx * (size_t)chart->grid.ny, kept = 0, dry = 0;

    if (stage_m == 0 || isnan(stage_m))
        return;
    for (size_t k = 0; k < cells; k++) {
        chart->grid.depth_m[k] += (float)stage_m;
        if (chart->grid.depth_m[k] < 0) {
            chart->grid.depth_m[k] = NAN;
            if (chart->grid.sigma_m)
                chart->grid.sigma_m[k] = NAN;
            dry++;
        }
    }
    chart->area_m2 -= (double)dry * chart->grid.cell_m * chart->grid.cell_m;
    chart->deepest_m += stage_m;
    for (size_t i = 0; i < chart->contours; i++) {
        chart->contour[i].depth_m += stage_m;
        if (chart->contour[i].depth_m >= 0)
            chart->contour[kept++] = chart->contour[i];
        else
            lw_line_free(&chart->contour[i].line);
    }
    chart->contours = kept;
}

static size_t water_cells(const struct lw_grid *grid)
{
    size_t n = (size_t)grid->nx * (size_t)grid->ny, wet = 0;

    for (size_t k = 0; k < n; k++)
        wet += isnan(grid->depth_m[k]) ? 0 : 1;
    return wet;
}

static int measure(struct lw_chart *chart, const struct lw_lines *limit, struct lw_error *err)
{
    struct lw_bands bands;

    if (limit && limit->n) { /* no ring bounds the water */
        chart->area_m2 = (double)water_cells(&chart->grid) * chart->grid.cell_m *
                         chart->grid.cell_m;
        return 0;
    }
    if (lw_bands_make(chart->contour, chart->contours, &chart->grid, &bands, err))
        return -1;
    chart->area_m2 = lw_bands_area(&bands);
    lw_bands_free(&bands);
    return 0;
}

int lw_chart_assemble(struct lw_chart *chart, struct lw_assembly *what, struct lw_error *err)
{
    size_t before;

    qsort(chart->contour, chart->contours, sizeof *chart->contour, by_depth);
    if (lay_grid(chart, what->limit, what->options->cell_m, err) ||
        lw_fill_sift(chart, what, err) || lw_fill_surface(chart, what, err))
        return -1;
    before = what->soundings;
    if (what->options->tracks > 0) {
        if (lw_track_fold(chart, what->options, &what->sounding, &what->soundings, what->report,
                          err))
            return -1;
        if (what->soundings > before && lw_fill_surface(chart, what, err))
            return -1;
    }
    if (measure(chart, what->limit, err))
        return -1;
    chart->soundings = what->soundings;
    chart->deepest_m = chart->contours ? chart->contour[chart->contours - 1].depth_m : 0;
    for (size_t i = 0; i < what->soundings; i++)
        chart->deepest_m = fmax(chart->deepest_m, what->sounding[i].depth_m);
    for (size_t i = 0; i < chart->contours; i++)
        deep_left(&chart->grid, &chart->contour[i]);
    apply_stage(chart, what->options->stage_m);
    if (water_cells(&chart->grid) == 0)
        return lw_fail(err, "a stage of %g m leaves no water on the map", what->options->stage_m);
    return 0;
}
