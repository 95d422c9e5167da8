/* Asking a chart: depth at a place, contours at a depth, how sure they are. */
#include "lipwalk/chart/chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SAME_M        1e-3
#define SHORTEST_M    5.0
#define MAPPED_M      2.0 /* a published contour's own error; common practice, no source */
#define SIGMA_MAX_M   50.0
#define SLOPE_REACH_M 10.0

void lw_chart_free(struct lw_chart *chart)
{
    if (!chart)
        return;
    for (size_t i = 0; i < chart->contours; i++)
        lw_line_free(&chart->contour[i].line);
    free(chart->contour);
    free(chart->grid.depth_m);
    free(chart);
}

double lw_chart_depth(const struct lw_chart *chart, struct lw_en at)
{
    const struct lw_grid *grid = &chart->grid;
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
            sum +=
                weight *
                (double)grid->depth_m[(size_t)(i + k / 2) * (size_t)grid->nx + (size_t)(j + k % 2)];
    }
    return sum;
}

/* The steepness of the bottom about a place, from what water there is; NaN without any. */
static double slope_near(const struct lw_chart *chart, struct lw_en at)
{
    const struct lw_grid *grid = &chart->grid;
    int reach = (int)ceil(SLOPE_REACH_M / grid->cell_m), count = 0;
    int j0 = (int)lround((at.e_m - grid->e0_m) / grid->cell_m);
    int i0 = (int)lround((at.n_m - grid->n0_m) / grid->cell_m);
    double sum = 0;

    for (int i = i0 - reach; i < i0 + reach; i++)
        for (int j = j0 - reach; j < j0 + reach; j++) {
            const float *z;
            double e, n;

            if (i < 0 || j < 0 || i + 1 >= grid->ny || j + 1 >= grid->nx)
                continue;
            z = grid->depth_m + (size_t)i * (size_t)grid->nx + (size_t)j;
            e = (z[1] - z[0]) / grid->cell_m;
            n = (z[grid->nx] - z[0]) / grid->cell_m;
            if (isnan(e) || isnan(n))
                continue;
            sum += hypot(e, n);
            count++;
        }
    return count ? sum / count : NAN;
}

/* The step between the mapped depths about depth_m; below the deepest the last step. */
static double step_about(const struct lw_chart *chart, double depth_m)
{
    double below = -INFINITY, before = -INFINITY;

    for (size_t i = 0; i < chart->contours; i++) {
        double d = chart->contour[i].depth_m;

        if (d > depth_m)
            return isfinite(below) ? d - below : d;
        if (d > below + SAME_M) {
            before = below;
            below = d;
        }
    }
    return isfinite(before) ? below - before : chart->interval_m;
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
    double spacing;

    if (is_mapped(chart, depth_m))
        return MAPPED_M;
    if (!(isfinite(at.e_m) && isfinite(at.n_m) && fabs(at.e_m) < 1e7 && fabs(at.n_m) < 1e7))
        return NAN;
    spacing = step_about(chart, depth_m) / slope_near(chart, at);
    return isnan(spacing) ? spacing : fmin(fmax(MAPPED_M, spacing / 2), SIGMA_MAX_M);
}

int lw_chart_contour(const struct lw_chart *chart, double depth_m, struct lw_lines *out,
                     struct lw_error *err)
{
    memset(out, 0, sizeof *out);
    if (!isfinite(depth_m))
        return lw_fail(err, "a contour needs a depth");
    if (!is_mapped(chart, depth_m))
        return lw_chart_trace(&chart->grid, depth_m, out, err);
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
