/* From contours to depths: data for the spline, then each cell kept within its band. */
#include "lipwalk/chart/surface.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "band.h"
#include "lipwalk/base/array.h"
#include "shoal.h"
#include "spline.h"

/* Measured on round lakes of known depth with lips at 1.5, 2.4 and 3.2 m: a beta of 0.1 m2 follows
 * a contour to a few millimetres without copying its digitising. A longer ell than 3 m sags before
 * a lip that lies on a contour, a shorter one cuts off a lip between 5 ft contours; at 3 m the
 * worst of the three is least (0.11 m rms about the lip). */
#define BETA_M2     0.1
#define ELL_M       3.0
#define TOLERANCE_M 1e-3
#define ITERATIONS  40
#define POINTS_MAX  (1u << 27)

struct points {
    struct lw_spline_point *p;
    size_t n, cap;
};

static int add_point(struct points *points, const struct lw_grid *grid, struct lw_en at,
                     double depth_m, double weight)
{
    if (points->n >= POINTS_MAX || lw_array_room(&points->p, points->n, &points->cap))
        return -1;
    points->p[points->n++] = (struct lw_spline_point){.x = (at.e_m - grid->e0_m) / grid->cell_m,
                                                      .y = (at.n_m - grid->n0_m) / grid->cell_m,
                                                      .value = depth_m,
                                                      .weight = weight};
    return 0;
}

/* A point each half cell, weighing as much as the length it stands for. */
static int add_contour(struct points *points, const struct lw_grid *grid,
                       const struct lw_contour *contour)
{
    for (size_t k = 0; k + 1 < contour->line.n; k++) {
        struct lw_en a = contour->line.p[k], b = contour->line.p[k + 1];
        double length = lw_en_distance(a, b);
        double pieces = fmax(1, ceil(length / (0.5 * grid->cell_m)));

        if (pieces > POINTS_MAX)
            return -1;
        for (double i = 0; i < pieces; i++) {
            double t = (i + 0.5) / pieces;
            struct lw_en at = {a.e_m + t * (b.e_m - a.e_m), a.n_m + t * (b.n_m - a.n_m)};

            if (add_point(points, grid, at, contour->depth_m, length / pieces))
                return -1;
        }
    }
    return 0;
}

static int keep_within(const struct lw_contour *contour, const struct lw_bands *bands,
                       const double *node, struct lw_grid *grid)
{
    struct lw_shoals *shoals = lw_shoals_new(contour, bands);
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    int status = shoals ? 0 : -1;

    for (size_t k = 0; k < cells && status == 0; k++) {
        const struct lw_band *band;
        double least_m;

        grid->depth_m[k] = NAN;
        if (bands->label[k] < 0 || bands->band[bands->label[k]].land)
            continue;
        band = &bands->band[bands->label[k]];
        least_m = band->lo_m;
        if (node[k] < contour[band->contour].depth_m) {
            struct lw_en at = {grid->e0_m + (double)(k % (size_t)grid->nx) * grid->cell_m,
                               grid->n0_m + (double)(k / (size_t)grid->nx) * grid->cell_m};

            least_m = lw_shoals_floor(shoals, (size_t)bands->label[k], at);
            status = isnan(least_m) ? -1 : 0;
        }
        grid->depth_m[k] = (float)fmin(fmax(node[k], least_m), band->hi_m);
    }
    lw_shoals_free(shoals);
    return status;
}

int lw_surface_solve(const struct lw_surface_in *in, struct lw_grid *grid, struct lw_error *err)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    struct points points = {0};
    struct lw_bands bands = {0};
    struct lw_spline spline;
    double *node = malloc(cells * sizeof *node), residual = 0;
    int status = -1;

    grid->depth_m = malloc(cells * sizeof *grid->depth_m);
    if (!node || !grid->depth_m)
        goto no_memory;
    for (size_t i = 0; i < in->contours; i++)
        if (add_contour(&points, grid, &in->contour[i]))
            goto no_memory;
    for (size_t i = 0; i < in->soundings; i++)
        if (add_point(&points, grid, in->sounding[i].at, in->sounding[i].depth_m,
                      1))
            goto no_memory;
    if (!points.n) {
        lw_fail(err, "no contour and no sounding to make a depth surface from");
        goto done;
    }
    if (lw_bands_make(in->contour, in->contours, grid, &bands, err))
        goto done;
    if (bands.bands == 0) {
        lw_fail(err,
                "no contour closes, so it is not known where the water ends: a map with closed "
                "contours or a shoreline is needed");
        goto done;
    }
    spline = (struct lw_spline){.nx = grid->nx,
                                .ny = grid->ny,
                                .cell_m = grid->cell_m,
                                .beta_m2 = isnan(in->beta_m2) ? BETA_M2 : in->beta_m2,
                                .ell_m = isnan(in->ell_m) ? ELL_M : in->ell_m,
                                .point = points.p,
                                .points = points.n,
                                .tolerance = TOLERANCE_M,
                                .iterations_max = ITERATIONS};
    if (lw_spline_solve(&spline, node, &residual, err))
        goto done;
    if (keep_within(in->contour, &bands, node, grid))
        goto no_memory;
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for a depth surface of %d x %d cells", grid->nx, grid->ny);
done:
    if (status) {
        free(grid->depth_m);
        grid->depth_m = NULL;
    }
    lw_bands_free(&bands);
    free(points.p);
    free(node);
    return status;
}
