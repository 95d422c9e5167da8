/* Marching squares against shapes of known length, and against gdal_contour on the same grid. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/map/export.h"

static struct lw_grid make_grid(int nx, int ny, double cell_m)
{
    struct lw_grid g = {.e0_m = -(nx - 1) * cell_m / 2,
                        .n0_m = -(ny - 1) * cell_m / 2,
                        .cell_m = cell_m,
                        .nx = nx,
                        .ny = ny};

    g.depth_m = calloc((size_t)nx * (size_t)ny, sizeof *g.depth_m);
    cr_assert_not_null(g.depth_m);
    return g;
}

static struct lw_en centre(const struct lw_grid *g, int i, int j)
{
    return (struct lw_en){g->e0_m + j * g->cell_m, g->n0_m + i * g->cell_m};
}

/* A bowl: 10 m in the middle, 0 at 100 m. */
static struct lw_grid bowl(void)
{
    struct lw_grid g = make_grid(111, 111, 2);

    for (int i = 0; i < g.ny; i++)
        for (int j = 0; j < g.nx; j++) {
            struct lw_en p = centre(&g, i, j);

            g.depth_m[i * g.nx + j] = (float)(10 - hypot(p.e_m, p.n_m) / 10);
        }
    return g;
}

Test(trace, circle_is_closed_and_deep_side_left)
{
    struct lw_grid g = bowl();
    struct lw_lines lines;

    cr_assert_eq(lw_chart_trace(&g, 4, &lines, NULL), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert(lines.line[0].closed);
    /* radius 60: the circumference and area of a circle; counter-clockwise has the inside left */
    cr_assert_float_eq(lw_line_length(&lines.line[0]), 2 * M_PI * 60, 0.4);
    cr_assert_float_eq(lw_line_area(&lines.line[0]), M_PI * 3600, 12);
    for (size_t k = 0; k < lines.line[0].n; k++)
        cr_assert_float_eq(hypot(lines.line[0].p[k].e_m, lines.line[0].p[k].n_m), 60, 0.02);
    lw_lines_free(&lines);
    free(g.depth_m);
}

Test(trace, a_hump_runs_the_other_way)
{
    struct lw_grid g = bowl();
    struct lw_lines lines;

    for (int k = 0; k < g.nx * g.ny; k++)
        g.depth_m[k] = 10 - g.depth_m[k];
    cr_assert_eq(lw_chart_trace(&g, 4, &lines, NULL), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert_lt(lw_line_area(&lines.line[0]), 0);
    lw_lines_free(&lines);
    free(g.depth_m);
}

Test(trace, land_ends_lines)
{
    struct lw_grid g = bowl();
    struct lw_lines lines;

    for (int i = 0; i < g.ny; i++)
        g.depth_m[i * g.nx + 55] = NAN;
    cr_assert_eq(lw_chart_trace(&g, 4, &lines, NULL), 0);
    cr_assert_eq(lines.n, 2);
    for (size_t i = 0; i < 2; i++) {
        cr_assert_not(lines.line[i].closed);
        cr_assert_float_eq(lw_line_length(&lines.line[i]), M_PI * 60 - 4, 0.5);
    }
    lw_lines_free(&lines);
    free(g.depth_m);
}

/* Two deep corners opposite each other: the mean decides whether they hang together. */
static size_t saddle(float shallow, double *length_m)
{
    struct lw_grid g = make_grid(4, 4, 8);
    struct lw_lines lines;
    size_t n;

    for (int k = 0; k < 16; k++)
        g.depth_m[k] = shallow;
    g.depth_m[5] = g.depth_m[10] = 10;
    cr_assert_eq(lw_chart_trace(&g, 5, &lines, NULL), 0);
    n = lines.n;
    *length_m = 0;
    for (size_t i = 0; i < n; i++) {
        cr_assert(lines.line[i].closed);
        cr_assert_gt(lw_line_area(&lines.line[i]), 0);
        *length_m += lw_line_length(&lines.line[i]);
    }
    lw_lines_free(&lines);
    free(g.depth_m);
    return n;
}

Test(trace, saddle_by_the_mean)
{
    double length_m;

    cr_assert_eq(saddle(4, &length_m), 1, "mean 7 >= 5: one basin");
    cr_assert_eq(saddle(-4, &length_m), 2, "mean 3 < 5: two basins");
}

Test(trace, nothing_at_no_depth)
{
    struct lw_grid g = bowl();
    struct lw_lines lines;

    cr_assert_eq(lw_chart_trace(&g, 50, &lines, NULL), 0);
    cr_assert_eq(lines.n, 0);
    free(g.depth_m);
}

Test(trace, level_at_exact_cell_values)
{
    struct lw_grid g = make_grid(20, 20, 5);
    struct lw_lines lines;

    for (int i = 0; i < 20; i++)
        for (int j = 0; j < 20; j++)
            g.depth_m[i * 20 + j] = (float)(j / 2); /* pairs of equal columns */
    cr_assert_eq(lw_chart_trace(&g, 4, &lines, NULL), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert_float_eq(lw_line_length(&lines.line[0]), 95, 1e-6);
    lw_lines_free(&lines);
    free(g.depth_m);
}

/* Hills and hollows, with land cut out of them. */
static struct lw_chart wavy(void)
{
    struct lw_chart c = {.frame = {{46.0, -89.7}}, .grid = make_grid(160, 120, 2)};

    for (int i = 0; i < c.grid.ny; i++)
        for (int j = 0; j < c.grid.nx; j++) {
            struct lw_en p = centre(&c.grid, i, j);
            double r = hypot(p.e_m, p.n_m), inner = 1 / (1 + exp((r - 95) / 4));
            double z = 6 + 3 * sin(p.e_m / 23) * cos(p.n_m / 17) + sin(p.e_m / 9 + p.n_m / 11);

            /* Shallow by the land: gdal_contour draws lines on into the half cell beside it. */
            c.grid.depth_m[i * c.grid.nx + j] = r > 118 ? NAN : (float)(z * inner);
        }
    return c;
}

static double read_lines(FILE *file, const struct lw_lines *ours, double *worst_m)
{
    double total_m = 0, e, n;
    struct lw_en before = {0, 0};
    bool first = true;
    char word[64];

    /* One vertex a line, "x y"; a line with another first character begins a new line. */
    while (fgets(word, sizeof word, file)) {
        struct lw_en p;
        double nearest = INFINITY;

        if (sscanf(word, "%lf %lf", &e, &n) != 2) {
            first = true;
            continue;
        }
        p = (struct lw_en){e, n};
        if (!first)
            total_m += lw_en_distance(before, p);
        before = p;
        first = false;
        for (size_t i = 0; i < ours->n; i++)
            nearest = fmin(nearest, lw_line_nearest(&ours->line[i], p).dist_m);
        *worst_m = fmax(*worst_m, nearest);
    }
    return total_m;
}

Test(trace, same_as_gdal_contour)
{
    struct lw_chart c = wavy();
    struct lw_lines lines;
    struct lw_error err = {""};
    char folder[300], path[400], command[2400];
    double ours_m = 0, theirs_m, worst_m = 0;
    FILE *file;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/z.tif", folder);
    cr_assert_eq(lw_chart_export(&c, path, &err), 0, "%s", err.text);
    cr_assert_eq(lw_chart_trace(&c.grid, 6.3, &lines, NULL), 0);
    cr_assert_gt(lines.n, 3);
    /* GDAL's own tracer on the same cells; ogr2ogr's GMT form has one vertex a line. */
    snprintf(command, sizeof command,
             "gdal_contour -q -fl 6.3 '%s' '%s/c.gpkg' && "
             "ogr2ogr -f OGR_GMT '%s/c.gmt' '%s/c.gpkg' && grep -v '^#' '%s/c.gmt'",
             path, folder, folder, folder, folder);
    file = popen(command, "r");
    cr_assert_not_null(file);
    theirs_m = read_lines(file, &lines, &worst_m);
    cr_assert_eq(pclose(file), 0);
    for (size_t i = 0; i < lines.n; i++)
        ours_m += lw_line_length(&lines.line[i]);
    cr_assert_gt(theirs_m, 500);
    cr_assert_float_eq(ours_m / theirs_m, 1, 0.01, "%g m, gdal_contour %g m", ours_m, theirs_m);
    cr_assert_lt(worst_m, 0.1 * c.grid.cell_m);
    lw_lines_free(&lines);
    free(c.grid.depth_m);
}
