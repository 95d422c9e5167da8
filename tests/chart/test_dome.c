/* Tops above the last contour, on grids made by hand: a cone has a dome's closed form to become. */
#include "lw_test.h"

#include <math.h>

#include "chart/dome.h"

#define RIM_R   20.0 /* metres from the middle to the last contour */
#define RIM_M   3.0  /* its depth */
#define SLOPE   0.1
#define CHAMFER 1.09 /* distances by steps of 1 and sqrt 2 are up to so much too long */

static struct lw_contour ring(double radius, double depth_m)
{
    struct lw_contour c = {.depth_m = depth_m};

    for (int k = 0; k <= 360; k++) {
        double a = (k % 360) * M_PI / 180;

        cr_assert_eq(lw_line_add(&c.line, (struct lw_en){radius * cos(a), radius * sin(a)}), 0);
    }
    c.line.closed = true;
    return c;
}

/* A shore, a bank down to 6 m and a hill on it whose one contour lies at 3 m: by `slope` up from
 * there to the middle. */
static struct lw_grid hill(double cell_m, double slope)
{
    int n = (int)(100 / cell_m);
    struct lw_grid grid = {
        .e0_m = 0.31 - 50, .n0_m = 0.27 - 50, .cell_m = cell_m, .nx = n, .ny = n};

    grid.depth_m = malloc((size_t)n * (size_t)n * sizeof *grid.depth_m);
    cr_assert_not_null(grid.depth_m);
    for (int y = 0; y < n; y++)
        for (int x = 0; x < n; x++) {
            double r = hypot(grid.e0_m + x * cell_m, grid.n0_m + y * cell_m);

            grid.depth_m[y * n + x] = (float)(RIM_M + (r < RIM_R ? slope : SLOPE) * (r - RIM_R));
        }
    return grid;
}

/* Rounds it; `top`, unless NULL, is a sounding on it. */
static void keep(struct lw_grid *grid, const struct lw_sounding *top)
{
    struct lw_contour contour[] = {ring(48, 0), ring(45, 4.5), ring(RIM_R, RIM_M)};
    struct lw_surface_in in = {
        .contour = contour, .contours = 3, .sounding = top, .soundings = top != NULL};
    struct lw_bands bands;
    struct lw_error err = {""};

    cr_assert_eq(lw_bands_make(contour, 3, grid, &bands, &err), 0, "%s", err.text);
    cr_assert_eq(lw_domes_keep(&in, &bands, grid), 0);
    lw_bands_free(&bands);
    for (int k = 0; k < 3; k++)
        lw_line_free(&contour[k].line);
}

static double depth_at(const struct lw_grid *grid, double e, double n)
{
    struct lw_chart chart = {.grid = *grid};

    return lw_chart_depth(&chart, (struct lw_en){e, n});
}

/* With the cone's slope at its rim and none in the middle, half as high. */
Test(dome, a_cone_becomes_a_dome)
{
    for (double cell_m = 0.5; cell_m <= 2; cell_m *= 2) {
        struct lw_grid grid = hill(cell_m, SLOPE);

        keep(&grid, NULL);
        for (double r = -18; r <= 18; r += 2)
            for (double a = 0; a < M_PI; a += M_PI / 16) {
                double d = RIM_R - fabs(r), rise = SLOPE * (d - d * d / (2 * RIM_R));
                double z = depth_at(&grid, r * cos(a), r * sin(a));

                cr_assert_geq(z, RIM_M - CHAMFER * rise - 0.06 * cell_m, "%g at %g m", z, r);
                cr_assert_leq(z, RIM_M - rise / CHAMFER + 0.06 * cell_m, "%g at %g m", z, r);
            }
        for (double r = 24; r < 40; r += 3)
            cr_assert_float_eq(depth_at(&grid, r, 0), RIM_M + SLOPE * (r - RIM_R), 2e-3);
        free(grid.depth_m);
    }
}

Test(dome, what_lies_deeper_is_left)
{
    struct lw_grid grid = hill(1, 0);

    keep(&grid, NULL);
    for (double r = -18; r <= 18; r += 2)
        cr_assert_float_eq(depth_at(&grid, r, 0), RIM_M, 1e-6);
    free(grid.depth_m);
}

Test(dome, a_sounded_top_is_left)
{
    struct lw_grid grid = hill(1, SLOPE), low = hill(1, SLOPE);
    struct lw_sounding top = {.at = {3, 4}, .depth_m = 1.5, .sigma_m = 0.1};
    struct lw_sounding beside = {.at = {30, 0}, .depth_m = 4, .sigma_m = 0.1};

    keep(&grid, &top);
    cr_assert_float_eq(depth_at(&grid, 0, 0), RIM_M - SLOPE * RIM_R, 0.1);
    keep(&low, &beside);
    cr_assert_float_eq(depth_at(&low, 0, 0), RIM_M - SLOPE * RIM_R / 2, 0.12);
    free(grid.depth_m);
    free(low.depth_m);
}
