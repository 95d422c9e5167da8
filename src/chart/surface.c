/* From contours and soundings to depths: data for the spline, then each cell kept within its band,
 * then how sure it is. */
#include "lipwalk/chart/surface.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "lipwalk/chart/band.h"
#include "limit.h"
#include "lipwalk/base/array.h"
#include "rows.h"
#include "sigma.h"
#include "spline.h"

/* Chosen on lakes in closed form that are not those reported on (tests/bench/surface).
 * Weights: a contour counts 0.1 a metre and a sounding of 0.05 m a quarter, so that 0.3 m of
 * digitising error in 1-ft contours is not copied; ten times that doubles the error about a lip. */
#define BETA_M2     1.0
#define CONTOUR_M   0.1   /* weight of a metre of contour */
#define SOUNDING_M  0.025 /* a sounding of this sigma weighs 1 */
#define SIGMA_M     0.1   /* a sounding's, where it is not known ... */
#define LEAST_M     0.02  /* ... and no sounding is better than this */
#define ELL_M       20.0  /* shorter: sags before a lip; longer: overshoots between 5-ft contours */
#define SLACK       1.0   /* a basin below the last contour is not pulled flat; see spline.h */
#define REWEIGHTS   2
#define BEND_PER_M  0.004 /* lips bend ten times as much, flats a tenth */
#define EXPONENT    0.5   /* below 1: one sharp bend is cheaper than several small ones */
#define TOLERANCE_M 3e-3
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
                                                      .value = (float)depth_m,
                                                      .weight = (float)weight};
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

            if (add_point(points, grid, at, contour->depth_m, CONTOUR_M * length / pieces))
                return -1;
        }
    }
    return 0;
}

static int add_sounding(struct points *points, const struct lw_grid *grid,
                        const struct lw_sounding *sounding)
{
    double sigma_m = sounding->sigma_m > 0 ? fmax(sounding->sigma_m, LEAST_M) : SIGMA_M;

    if (!isfinite(sounding->depth_m) || !isfinite(sounding->at.e_m) || !isfinite(sounding->at.n_m))
        return 0;
    return add_point(points, grid, sounding->at, sounding->depth_m,
                     SOUNDING_M * SOUNDING_M / (sigma_m * sigma_m));
}

static int fit(const struct lw_surface_in *in, const struct points *points, struct lw_grid *grid,
               struct lw_error *err)
{
    struct lw_spline spline = {.nx = grid->nx,
                               .ny = grid->ny,
                               .cell_m = grid->cell_m,
                               .beta_m2 = isnan(in->beta_m2) ? BETA_M2 : in->beta_m2,
                               .ell_m = isnan(in->ell_m) ? ELL_M : in->ell_m,
                               .slack = SLACK,
                               .reweights = REWEIGHTS,
                               .bend_per_m = BEND_PER_M,
                               .p = EXPONENT,
                               .point = points->p,
                               .points = points->n,
                               .tolerance = TOLERANCE_M,
                               .iterations_max = ITERATIONS,
                               .threads = in->threads,
                               .progress = in->progress,
                               .part_from = 0.05,
                               .part_to = 0.9};

    return lw_spline_solve(&spline, grid->depth_m, NULL, err);
}

static bool any_ring(const struct lw_surface_in *in)
{
    for (size_t i = 0; i < in->contours; i++)
        if (in->contour[i].line.closed && in->contour[i].line.n >= 4)
            return true;
    return false;
}

int lw_surface_solve(const struct lw_surface_in *in, struct lw_grid *grid, struct lw_error *err)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny, contour_points;
    struct points points = {0};
    struct lw_bands bands = {0};
    int status = -1;

    lw_progress_tell(in->progress, 0, "depth surface");
    grid->sigma_m = NULL;
    grid->depth_m = malloc(cells * sizeof *grid->depth_m);
    if (!grid->depth_m)
        goto no_memory;
    for (size_t i = 0; i < in->contours; i++)
        if (add_contour(&points, grid, &in->contour[i]))
            goto no_memory;
    contour_points = points.n;
    for (size_t i = 0; i < in->soundings; i++)
        if (add_sounding(&points, grid, &in->sounding[i]))
            goto no_memory;
    if (!points.n) {
        lw_fail(err, "no contour and no sounding to make a depth surface from");
        goto done;
    }
    if (!any_ring(in)) {
        lw_fail(err,
                "no contour closes, so it is not known where the water ends: a map with closed "
                "contours or a shoreline is needed");
        goto done;
    }
    if (fit(in, &points, grid, err) || lw_bands_make(in->contour, in->contours, grid, &bands, err))
        goto done;
    lw_progress_tell(in->progress, 0.9, "depths between contours");
    lw_limits_widen(in, grid, &bands);
    if (lw_limits_keep(in, &bands, grid))
        goto no_memory;
    grid->sigma_m = malloc(cells * sizeof *grid->sigma_m);
    if (!grid->sigma_m)
        goto no_memory;
    lw_sigma_make(points.p, points.n, contour_points, &bands, grid,
                  in->threads > 0 ? in->threads : lw_rows_threads());
    lw_progress_tell(in->progress, 1, "depth surface");
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for a depth surface of %d x %d cells", grid->nx, grid->ny);
done:
    if (status) {
        free(grid->depth_m);
        free(grid->sigma_m);
        grid->depth_m = grid->sigma_m = NULL;
    }
    lw_bands_free(&bands);
    free(points.p);
    return status;
}
