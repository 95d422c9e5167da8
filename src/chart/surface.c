/* From contours and soundings to depths: data for the spline, then tops rounded and each cell kept
 * within its band, then how sure it is. */
#include "lipwalk/chart/surface.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "dome.h"
#include "limit.h"
#include "lipwalk/base/array.h"
#include "lipwalk/chart/band.h"
#include "lipwalk/chart/interval.h"
#include "rows.h"
#include "sigma.h"
#include "spline.h"

/* Chosen on lakes in closed form that are not those reported on (tests/bench/surface).
 *
 * Fine: contours near one another, or soundings. A contour counts 0.1 a metre and a sounding of
 * 0.05 m a quarter, so that 0.3 m of digitising error in 1-ft contours is not copied; ten times
 * that doubles the error about a lip.
 *
 * Wide: 5-ft contours lie a hundred metres apart on gentle bottom, where all that is known is the
 * form. Bends are made cheap from very little on and everything else dear, so that between contours
 * the bottom is of few nearly flat faces; with the fine manner it swings beyond each contour after
 * a drop, by half a foot. Tension with a length of 20 m pulls basins flat. Such a stiff surface
 * passes a wiggling contour by up to 1 m, so what is left on contours is added after (honour). With
 * few reweights it stays at two small bends, one of them at a contour, where one at the lip is
 * cheaper: 12 of them take a sixth off the errors about a lip. It carries slopes straight on, so
 * that tops have to be rounded after (dome.h). */
struct manner {
    double contour; /* weight of a metre of contour */
    double ell_m;   /* fine, shorter: sags before a lip; longer: overshoots */
    double slack, bend_per_m;
    double p; /* below 1: one sharp bend is cheaper than several small ones */
    int reweights, finest;
    double tolerance_m;
    bool honour;
};
static const struct manner fine = {0.1, 20, 1, 0.004, 0.5, 2, 1, 6e-3, false};
static const struct manner wide = {3e-4, 150, 0, 0.0002, 0.75, 12, 2, 4e-3, true};

#define WIDE_M     0.8 /* contours this far apart in depth are wide: at 2 ft neither is better */
#define BETA_M2    1.0
#define SOUNDING_M 0.025 /* a sounding of this sigma weighs 1 */
#define SIGMA_M    0.1   /* a sounding's, where it is not known ... */
#define LEAST_M    0.02  /* ... and no sounding is better than this */
#define HONOUR_M2  0.05  /* beta of what is added to meet contours ... */
#define HONOUR_M   2.0   /* ... and how far that reaches: their digitising errors go no farther */
#define ITERATIONS 40
#define TOUCHES    6   /* iterations that meet the data where the form is the coarser grid's */
#define FITTED     0.9 /* of the progress */
#define POINTS_MAX (1u << 27)

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
                       const struct lw_contour *contour, double weight)
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

            if (add_point(points, grid, at, contour->depth_m, weight * length / pieces))
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

/* By the usual step between the contours' depths. 0, or -1 without memory. */
static int choose_manner(const struct lw_surface_in *in, struct manner *manner)
{
    double usual_m, least_m;

    if (lw_contour_steps(in->contour, in->contours, &usual_m, &least_m))
        return -1;
    *manner = usual_m >= WIDE_M ? wide : fine; /* NaN: fine */
    return 0;
}

/* The surface at the point, between its four cells. The point lies on the grid. */
static double under(const struct lw_grid *grid, const struct lw_spline_point *point)
{
    int j = (int)fmin(point->x, grid->nx - 2), i = (int)fmin(point->y, grid->ny - 2);
    double u = point->x - j, v = point->y - i;
    const float *a = grid->depth_m + (size_t)i * (size_t)grid->nx + (size_t)j, *b = a + grid->nx;

    return (1 - v) * ((1 - u) * a[0] + u * a[1]) + v * ((1 - u) * b[0] + u * b[1]);
}

/* Brings the surface onto the contours: what they are off by, spread over HONOUR_M about them. */
static int honour(struct lw_spline spline, struct lw_grid *grid, size_t contour_points,
                  struct lw_error *err)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    struct lw_spline_point *point = malloc((contour_points + 1) * sizeof *point);
    float *off = malloc(cells * sizeof *off);
    int status = -1;

    if (!point || !off) {
        lw_fail(err, "out of memory for a depth surface of %d x %d cells", grid->nx, grid->ny);
        goto done;
    }
    for (size_t k = 0; k < contour_points; k++) {
        point[k] = spline.point[k];
        point[k].weight *= (float)(fine.contour / wide.contour);
        if (point[k].x >= 0 && point[k].y >= 0 && point[k].x <= grid->nx - 1 &&
            point[k].y <= grid->ny - 1)
            point[k].value -= (float)under(grid, &point[k]);
    }
    spline.point = point;
    spline.points = contour_points;
    spline.beta_m2 = HONOUR_M2;
    spline.ell_m = HONOUR_M;
    spline.slack = 0;
    spline.reweights = spline.reweights_finest = 0;
    spline.part_from = spline.part_to;
    spline.part_to = FITTED;
    status = lw_spline_solve(&spline, off, NULL, err);
    for (size_t k = 0; k < cells && !status; k++)
        grid->depth_m[k] += off[k];
done:
    free(point);
    free(off);
    return status;
}

static int fit(const struct lw_surface_in *in, const struct manner *manner,
               const struct points *points, size_t contour_points, struct lw_grid *grid,
               struct lw_error *err)
{
    struct lw_spline spline = {.nx = grid->nx,
                               .ny = grid->ny,
                               .cell_m = grid->cell_m,
                               .beta_m2 = isnan(in->beta_m2) ? BETA_M2 : in->beta_m2,
                               .ell_m = isnan(in->ell_m) ? manner->ell_m : in->ell_m,
                               .slack = manner->slack,
                               .reweights = manner->reweights,
                               .reweights_finest = manner->finest,
                               .bend_per_m = manner->bend_per_m,
                               .p = manner->p,
                               .point = points->p,
                               .points = points->n,
                               .tolerance = manner->tolerance_m,
                               .iterations_max = grid->cell_m < LW_SPLINE_FORM_M ? TOUCHES
                                                                                 : ITERATIONS,
                               .threads = in->threads,
                               .progress = in->progress,
                               .part_from = 0.05,
                               .part_to = manner->honour ? 0.75 : FITTED};

    if (lw_spline_solve(&spline, grid->depth_m, NULL, err))
        return -1;
    return manner->honour ? honour(spline, grid, contour_points, err) : 0;
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
    struct manner manner;
    int status = -1;

    lw_progress_tell(in->progress, 0, "depth surface");
    grid->sigma_m = NULL;
    grid->depth_m = malloc(cells * sizeof *grid->depth_m);
    if (!grid->depth_m || choose_manner(in, &manner))
        goto no_memory;
    for (size_t i = 0; i < in->contours; i++)
        if (add_contour(&points, grid, &in->contour[i], manner.contour))
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
    if (fit(in, &manner, &points, contour_points, grid, err) ||
        lw_bands_make(in->contour, in->contours, grid, &bands, err))
        goto done;
    lw_progress_tell(in->progress, FITTED, "depths between contours");
    if (lw_domes_keep(in, &bands, grid))
        goto no_memory;
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
