/* Asking a chart: depth at a place, contours at a depth, how sure they are. */
#include "lipwalk/chart/chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "trace.h"

#define SAME_M      1e-3
#define SHORTEST_M  5.0
#define MAPPED_M    2.0 /* a published contour's own error; common practice, no source */
#define SIGMA_MAX_M 50.0

void lw_chart_free(struct lw_chart *chart)
{
    if (!chart)
        return;
    for (size_t i = 0; i < chart->contours; i++)
        lw_line_free(&chart->contour[i].line);
    free(chart->contour);
    lw_features_free(&chart->features);
    free(chart->grid.depth_m);
    free(chart->grid.sigma_m);
    free(chart);
}

static double between_cells(const struct lw_grid *grid, const float *value, struct lw_en at)
{
    double x = (at.e_m - grid->e0_m) / grid->cell_m, y = (at.n_m - grid->n0_m) / grid->cell_m;
    double sum = 0;
    int i, j;

    if (!(x >= 0 && y >= 0 && x <= grid->nx - 1 && y <= grid->ny - 1))
        return NAN;
    j = (int)x < grid->nx - 2 ? (int)x : grid->nx - 2;
    i = (int)y < grid->ny - 2 ? (int)y : grid->ny - 2;
    x -= j;
    y -= i;
    for (int k = 0; k < 4; k++) {
        double weight = (k % 2 ? x : 1 - x) * (k / 2 ? y : 1 - y);

        if (weight > 0) /* a cell of no weight is not needed */
            sum += weight *
                   (double)value[(size_t)(i + k / 2) * (size_t)grid->nx + (size_t)(j + k % 2)];
    }
    return sum;
}

double lw_chart_depth(const struct lw_chart *chart, struct lw_en at)
{
    return between_cells(&chart->grid, chart->grid.depth_m, at);
}

/* How steeply the depth changes from `at` toward either side, along east or north: over both sides
 * where both are water, else over the one that is. */
static double slope_along(const struct lw_chart *chart, struct lw_en at, double e_m, double n_m)
{
    double here_m = lw_chart_depth(chart, at);
    double more_m = lw_chart_depth(chart, (struct lw_en){at.e_m + e_m, at.n_m + n_m});
    double less_m = lw_chart_depth(chart, (struct lw_en){at.e_m - e_m, at.n_m - n_m});
    double step_m = e_m + n_m;

    if (isnan(more_m))
        return (here_m - less_m) / step_m;
    return isnan(less_m) ? (more_m - here_m) / step_m : (more_m - less_m) / (2 * step_m);
}

/* How far an error of the depth moves its contour; NaN where the surface does not say. */
static double sigma_of_surface(const struct lw_chart *chart, struct lw_en at)
{
    const struct lw_grid *grid = &chart->grid;
    double sigma_m, slope;

    if (!grid->sigma_m)
        return NAN;
    sigma_m = between_cells(grid, grid->sigma_m, at);
    slope = hypot(slope_along(chart, at, grid->cell_m, 0), slope_along(chart, at, 0, grid->cell_m));
    return slope > 0 ? sigma_m / slope : slope == 0 ? INFINITY : NAN;
}

static bool is_mapped(const struct lw_chart *chart, double depth_m)
{
    for (size_t i = 0; i < chart->contours; i++)
        if (fabs(chart->contour[i].depth_m - depth_m) <= SAME_M)
            return true;
    return false;
}

double lw_chart_edge_sigma(const struct lw_chart *chart, struct lw_en at, double depth_m)
{
    double shallower_m = INFINITY, deeper_m = INFINITY, surface_m;

    if (is_mapped(chart, depth_m))
        return MAPPED_M;
    if (!(isfinite(at.e_m) && isfinite(at.n_m) && isfinite(depth_m)))
        return NAN;
    surface_m = sigma_of_surface(chart, at);
    if (!isnan(surface_m))
        return fmin(hypot(MAPPED_M, surface_m), SIGMA_MAX_M);
    for (size_t i = 0; i < chart->contours; i++) {
        double dist_m = lw_line_nearest(&chart->contour[i].line, at).dist_m;
        double *side_m = chart->contour[i].depth_m < depth_m ? &shallower_m : &deeper_m;

        *side_m = fmin(*side_m, dist_m);
    }
    /* Beyond the last contour the band is taken to end as far behind the edge. */
    if (isinf(shallower_m))
        shallower_m = deeper_m;
    if (isinf(deeper_m))
        deeper_m = shallower_m;
    return fmin(hypot(MAPPED_M, sqrt(shallower_m * deeper_m / 3)), SIGMA_MAX_M);
}

/* The first two depths of the map: its border's, and the next. */
static void first_depths(const struct lw_chart *chart, double *first_m, double *second_m)
{
    *first_m = chart->contours ? chart->contour[0].depth_m : 0;
    *second_m = INFINITY;
    for (size_t i = 0; i < chart->contours && isinf(*second_m); i++)
        if (chart->contour[i].depth_m > *first_m + SAME_M)
            *second_m = chart->contour[i].depth_m;
}

struct beyond {
    const struct lw_chart *chart;
    double depth_m, first_m, second_m;
};

/* A depth for a cell of land beside water, as if the bottom went on over the border as it came. The
 * border lies somewhere between the two cells; it is taken to be half-way. NaN away from the water,
 * and where the water ends at a deeper contour: nothing is known of what lies beyond that. */
static float beyond_border(const void *context, int row, int column)
{
    const struct beyond *b = context;
    const struct lw_grid *grid = &b->chart->grid;
    double sum = 0, border_m;
    int count = 0;

    for (int i = row - 1; i <= row + 1; i++)
        for (int j = column - 1; j <= column + 1; j++) {
            float z = NAN;

            if (i >= 0 && j >= 0 && i < grid->ny && j < grid->nx)
                z = grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j];
            if (!isnan(z)) {
                sum += (double)z;
                count++;
            }
        }
    if (!count || sum / count >= b->second_m)
        return NAN;
    border_m = sum / count < b->first_m ? 0 : b->first_m; /* the level may have fallen since */
    return b->depth_m > border_m ? (float)(2 * border_m - sum / count) : NAN;
}

/* Close to the shore a contour runs between cells of which one is land: without a depth there it
 * would break off and begin again at every second cell. */
static int trace_to_shore(const struct lw_chart *chart, double depth_m, struct lw_lines *out,
                          struct lw_error *err)
{
    struct beyond beyond = {chart, depth_m, 0, 0};
    struct lw_trace_fill fill = {beyond_border, &beyond};

    first_depths(chart, &beyond.first_m, &beyond.second_m);
    return lw_trace_filled(&chart->grid, &fill, depth_m, out, err);
}

int lw_chart_contour(const struct lw_chart *chart, double depth_m, struct lw_lines *out,
                     struct lw_error *err)
{
    memset(out, 0, sizeof *out);
    if (!isfinite(depth_m))
        return lw_fail(err, "a contour needs a depth");
    if (!is_mapped(chart, depth_m))
        return trace_to_shore(chart, depth_m, out, err);
    for (size_t i = 0; i < chart->contours; i++) {
        struct lw_line line;

        if (fabs(chart->contour[i].depth_m - depth_m) > SAME_M ||
            lw_line_length(&chart->contour[i].line) < SHORTEST_M)
            continue;
        if (lw_line_copy(&line, &chart->contour[i].line) || lw_lines_take(out, &line)) {
            lw_lines_free(out);
            return lw_fail(err, "out of memory for the contour at %g m", depth_m);
        }
    }
    return 0;
}
