/* Where the cells of a grid's chart lie, and how large they are. */
#include <math.h>
#include <stdlib.h>

#include "raster_parts.h"

#define CELLS_CAP   25e6 /* a wish beyond it is refused */
#define CELLS_LEAST 4e6  /* a chart may always have so many */
#define MARGIN      3    /* cells about the shore */
#define SIDE        32   /* places along a side of the box */
/* share of the width cut off where water runs into the grid's slanting edge */
#define CUT_MOST      0.1
#define FINE_ENOUGH_M 0.5 /* no finer cells for the sake of humps; common practice, no source */

struct lay {
    struct lw_source *source;
    const struct lw_raster *raster;
    const struct lw_raster_water *water;
    struct lw_chart *chart;
};

static int box_point(const struct lay *lay, double share_x, double share_y, struct lw_ll *at)
{
    const struct lw_raster_water *w = lay->water;

    return lw_raster_place(lay->raster, w->x_min + share_x * (w->x_max + 1 - w->x_min),
                           w->y_min + share_y * (w->y_max + 1 - w->y_min), at);
}

struct extent {
    double e_min, e_max, n_min, n_max;
};

/* A side of the box in the chart's frame: its box, and its middle. */
static int side_of(const struct lay *lay, int side, struct extent *x, struct lw_en *middle)
{
    *x = (struct extent){INFINITY, -INFINITY, INFINITY, -INFINITY};
    *middle = (struct lw_en){0, 0};
    for (int k = 0; k <= SIDE; k++) {
        double along = (double)k / SIDE, across = side % 2;
        struct lw_ll at;
        struct lw_en p;

        if (box_point(lay, side < 2 ? across : along, side < 2 ? along : across, &at))
            return -1;
        p = lw_frame_to_en(&lay->chart->frame, at);
        x->e_min = fmin(x->e_min, p.e_m);
        x->e_max = fmax(x->e_max, p.e_m);
        x->n_min = fmin(x->n_min, p.n_m);
        x->n_max = fmax(x->n_max, p.n_m);
        middle->e_m += p.e_m / (SIDE + 1);
        middle->n_m += p.n_m / (SIDE + 1);
    }
    return 0;
}

/* Whether water runs to the grid's end at a side of the box: 0, 1: first and last column, 2, 3:
 * rows. */
static bool runs_out(const struct lay *lay, int side)
{
    const struct lw_raster_water *w = lay->water;
    const bool ends[4] = {w->x_min == 0, w->x_max == lay->raster->w - 1, w->y_min == 0,
                          w->y_max == lay->raster->h - 1};

    return ends[side];
}

/* The box of the water. Where the water runs to the grid's end, the box keeps inside the slanting
 * edge, so that no cell beside that edge looks like a shore. */
static int find_extent(const struct lay *lay, double cell_m, struct extent *all)
{
    struct extent side[4], cut;
    struct lw_en middle[4];
    bool open = false;

    *all = (struct extent){INFINITY, -INFINITY, INFINITY, -INFINITY};
    for (int k = 0; k < 4; k++) {
        if (side_of(lay, k, &side[k], &middle[k]))
            return -1;
        all->e_min = fmin(all->e_min, side[k].e_min);
        all->e_max = fmax(all->e_max, side[k].e_max);
        all->n_min = fmin(all->n_min, side[k].n_min);
        all->n_max = fmax(all->n_max, side[k].n_max);
    }
    cut = (struct extent){all->e_min - MARGIN * cell_m, all->e_max + MARGIN * cell_m,
                          all->n_min - MARGIN * cell_m, all->n_max + MARGIN * cell_m};
    for (int k = 0; k < 4; k++) {
        double wide = all->e_max - all->e_min, high = all->n_max - all->n_min;

        if (!runs_out(lay, k))
            continue;
        open = true;
        if (fabs(middle[k].e_m) * high > fabs(middle[k].n_m) * wide) {
            if (side[k].e_max - side[k].e_min > CUT_MOST * wide)
                continue;
            if (middle[k].e_m < 0)
                cut.e_min = side[k].e_max;
            else
                cut.e_max = side[k].e_min;
        } else {
            if (side[k].n_max - side[k].n_min > CUT_MOST * high)
                continue;
            if (middle[k].n_m < 0)
                cut.n_min = side[k].n_max;
            else
                cut.n_max = side[k].n_min;
        }
    }
    if (open)
        lw_source_warn(lay->source,
                       "%s: the water runs on beyond the grid's edge, where the chart ends without "
                       "a shore",
                       lay->source->name);
    *all = cut;
    return 0;
}

/* Half the grid's own step: between its cells turned askew, cells as wide as its own smooth away
 * the humps of a single one. Of 20 lines at 8.05 m that gdal_contour draws on a grid of Lake Erie,
 * whole steps lost two, and half steps none, all within half a cell. */
static double own_cell(double step_m)
{
    return fmax(step_m / 2, fmin(step_m, FINE_ENOUGH_M));
}

int lw_raster_lay(struct lw_source *source, const struct lw_raster *raster,
                  const struct lw_raster_water *water, double wish_m, struct lw_chart *chart,
                  struct lw_error *err)
{
    const struct lay all_of = {source, raster, water, chart}, *lay = &all_of;
    const char *map = lay->source->file->path;
    struct lw_grid *grid = &lay->chart->grid;
    struct extent all;
    double column_m, row_m, wide, high, cell_m;
    size_t cells;

    lw_raster_steps(lay->raster, &column_m, &row_m);
    cell_m = isnan(wish_m) ? own_cell(fmin(column_m, row_m)) : wish_m;
    if (!(cell_m >= 0.1))
        return lw_fail(err, "%s: cells of %g m are too small for a chart", map, cell_m);
    if (box_point(lay, 0.5, 0.5, &lay->chart->frame.origin) || find_extent(lay, cell_m, &all))
        return lw_fail(err, "%s: its place cannot be turned into longitude and latitude", map);
    wide = all.e_max - all.e_min;
    high = all.n_max - all.n_min;
    if (!(wide > 2 * cell_m && high > 2 * cell_m))
        return lw_fail(err, "%s: its water spans only %.3g m by %.3g m, less than three cells", map,
                       wide, high);
    if (isnan(wish_m)) { /* but no more cells than the grid has itself */
        double most = fmin(fmax((double)(lay->water->x_max - lay->water->x_min + 1) *
                                    (lay->water->y_max - lay->water->y_min + 1),
                                CELLS_LEAST),
                           CELLS_CAP);

        cell_m = fmax(cell_m, sqrt(wide * high / most));
        cell_m = cell_m > 1 ? round(cell_m * 1e3) / 1e3 : cell_m; /* 10 m, not 10.0000004 m */
    }
    if (wide / cell_m * (high / cell_m) > CELLS_CAP)
        return lw_fail(err, "%s: cells of %g m are too small for a water of %.0f by %.0f m", map,
                       cell_m, wide, high);
    grid->cell_m = cell_m;
    grid->nx = (int)floor(wide / cell_m);
    grid->ny = (int)floor(high / cell_m);
    grid->nx = grid->nx < 2 ? 2 : grid->nx;
    grid->ny = grid->ny < 2 ? 2 : grid->ny;
    grid->e0_m = (all.e_min + all.e_max - (grid->nx - 1) * cell_m) / 2;
    grid->n0_m = (all.n_min + all.n_max - (grid->ny - 1) * cell_m) / 2;
    cells = (size_t)grid->nx * (size_t)grid->ny;
    grid->depth_m = malloc(cells * sizeof *grid->depth_m);
    grid->sigma_m = malloc(cells * sizeof *grid->sigma_m);
    return grid->depth_m && grid->sigma_m
               ? 0
               : lw_fail(err, "%s: out of memory for %d by %d cells", map, grid->nx, grid->ny);
}
