/* Charts from grids alone, against a cone whose depths, contours and shore are known. */
#include "raster_test.h"

static struct raster_case grid;
static char path[600];

static void teardown(void)
{
    if (grid.source.file)
        lw_source_free(&grid.source);
}

static void setup(void)
{
    char folder[300];

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/cone.tif", folder);
}

static struct lw_chart *chart_of(const struct cone *cone)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);

    cone_write(path, cone);
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(lw_raster_chart(&grid.source, &grid.options, chart, &grid.err), 0, "%s",
                 grid.err.text);
    cr_assert_not_null(chart->grid.depth_m);
    cr_assert_not_null(chart->grid.sigma_m);
    return chart;
}

static void done(struct lw_chart *chart)
{
    lw_chart_free(chart);
    lw_source_free(&grid.source);
}

/* The cone's middle in the chart's frame: by gdaltransform from EPSG:32615. */
static struct lw_en middle(const struct lw_chart *chart)
{
    return lw_frame_to_en(&chart->frame, (struct lw_ll){45.1534771834, -93});
}

/* Largest distance of a line's points from the circle about the middle, ground metres. */
static double off_circle(const struct lw_line *line, struct lw_en centre, double radius_m)
{
    double worst = 0;

    for (size_t i = 0; i < line->n; i++)
        worst = fmax(worst, fabs(lw_en_distance(line->p[i], centre) - radius_m / CONE_SCALE));
    return worst;
}

static double worst_depth(const struct lw_chart *chart, double within_m)
{
    struct lw_en c = middle(chart);
    double worst = 0;

    for (int k = 0; k < 400; k++) {
        double r = within_m * sqrt((k + 0.5) / 400), turn = k * 2.399963; /* evenly over the disc */
        struct lw_en at = {c.e_m + r * cos(turn), c.n_m + r * sin(turn)};
        double want = CONE_DEPTH_M * (1 - r * CONE_SCALE / CONE_RADIUS_M);
        double got = lw_chart_depth(chart, at);

        cr_assert_not(isnan(got), "%g m from the middle", r);
        if (r > 25) /* the tip is rounded off by any grid */
            worst = fmax(worst, fabs(got - want));
    }
    return worst;
}

Test(raster_chart, heights_on_land_place_the_shore, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = -1, .unit = "m"};
    struct lw_lines lines;
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    chart = chart_of(&cone);
    cr_assert_float_eq(chart->grid.cell_m, 5 / CONE_SCALE, 0.01); /* half the grid's own */
    cr_assert_eq(chart->contours, 1);
    cr_assert(chart->contour[0].line.closed);
    cr_assert_eq(chart->contour[0].depth_m, 0);
    cr_assert_gt(lw_line_area(&chart->contour[0].line), 0, "deep water to the left");
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 0.3);
    cr_assert_float_eq(chart->area_m2,
                       M_PI * CONE_RADIUS_M * CONE_RADIUS_M / (CONE_SCALE * CONE_SCALE), 4000);
    cr_assert_lt(worst_depth(chart, 590), 0.02);
    cr_assert_float_eq(chart->deepest_m, CONE_DEPTH_M, 0.3);
    /* a contour: the circle of that depth */
    cr_assert_eq(lw_chart_contour(chart, 15, &lines, &grid.err), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert_lt(off_circle(&lines.line[0], middle(chart), CONE_RADIUS_M / 4), 0.6);
    lw_lines_free(&lines);
    done(chart);
}

Test(raster_chart, zero_on_land_leaves_half_a_cell, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = -1, .land_zero = true, .unit = "m"};
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    chart = chart_of(&cone);
    cr_assert_eq(chart->contours, 1);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 10);
    cr_assert_lt(worst_depth(chart, 580), 0.02);
    done(chart);
}

Test(raster_chart, a_mask_hides_land, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = 1, .masked = true, .unit = "m"};
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    chart = chart_of(&cone);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 10);
    cr_assert_float_eq(chart->deepest_m, CONE_DEPTH_M, 0.3);
    done(chart);
}

Test(raster_chart, turned_and_south_up_grids, .init = setup, .fini = teardown)
{
    struct cone up = {.cell_m = 10, .n = 160, .factor = -1, .south_up = true, .unit = "m"};
    struct cone turned = {.cell_m = 10, .n = 160, .factor = -1, .turn_deg = 27, .unit = "m"};
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    chart = chart_of(&up);
    cr_assert_lt(worst_depth(chart, 590), 0.02);
    done(chart);
    chart = chart_of(&turned);
    cr_assert_lt(worst_depth(chart, 590), 0.03);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 0.5);
    done(chart);
}

/* NIST SP 811: 1 ft = 0.3048 m. */
Test(raster_chart, feet_and_a_water_level, .init = setup, .fini = teardown)
{
    struct cone feet = {.cell_m = 10, .n = 160, .factor = 1 / 0.3048, .unit = "foot"};
    struct cone bed = {.cell_m = 10, .n = 160, .factor = -1, .add = 300, .name = "elevation_m"};
    struct lw_chart *chart;

    feet.land_zero = true;
    raster_case_start(&grid, path);
    chart = chart_of(&feet);
    cr_assert_str_eq(chart->unit, "ft");
    cr_assert_str_eq(chart->unit_reason, "the file says foot");
    cr_assert_lt(worst_depth(chart, 580), 0.02);
    done(chart);
    cone_write(path, &bed);
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--water-level"), "%s", grid.err.text);
    grid.options.map[0].water_level_m = 300;
    chart = chart_of(&bed);
    cr_assert_str_eq(chart->depth_field, "elevation_m");
    cr_assert_lt(worst_depth(chart, 590), 0.02);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 0.3);
    done(chart);
}

/* The cone falls 1 in 30; a hundredfold of it, centimetres, is no lake in metres. */
Test(raster_chart, centimetres_are_not_taken_for_metres, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = 103, .land_zero = true};
    struct lw_chart *chart;

    cone_write(path, &cone);
    raster_case_start(&grid, path);
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--depth-unit"), "%s", grid.err.text);
    cone.factor = 100;
    cone.unit = "cm";
    chart = chart_of(&cone);
    cr_assert_lt(worst_depth(chart, 580), 0.02);
    done(chart);
}

Test(raster_chart, todays_level_moves_the_shore, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = -1, .unit = "m"};
    double metre = CONE_RADIUS_M / CONE_DEPTH_M; /* how far a metre of level moves it */
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    grid.options.stage_m = -1;
    chart = chart_of(&cone);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M - metre), 0.3);
    cr_assert_float_eq(chart->deepest_m, CONE_DEPTH_M - 1, 0.3);
    done(chart);
    grid.options.stage_m = 1;
    chart = chart_of(&cone);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M + metre), 0.3);
    done(chart);
    cone.land_zero = true; /* what lies behind the shore is not known: only the depths move */
    chart = chart_of(&cone);
    cr_assert_lt(off_circle(&chart->contour[0].line, middle(chart), CONE_RADIUS_M), 10);
    cr_assert_eq(chart->contour[0].depth_m, 1);
    cr_assert_float_eq(chart->deepest_m, CONE_DEPTH_M + 1, 0.3);
    done(chart);
}

/* The rounding step and half a cell's slope, 1 in 30: nowhere less than what is really off. */
Test(raster_chart, uncertainty_is_honest, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = -1, .unit = "m"};
    struct lw_chart *chart;
    size_t centre;

    raster_case_start(&grid, path);
    chart = chart_of(&cone);
    centre = (size_t)(chart->grid.ny / 2) * (size_t)chart->grid.nx + (size_t)chart->grid.nx / 4;
    cr_assert_float_eq((double)chart->grid.sigma_m[centre], hypot(0.05, 5 / 30.0), 0.03);
    for (size_t k = 0; k < (size_t)chart->grid.nx * (size_t)chart->grid.ny; k++)
        cr_assert_eq(isnan(chart->grid.sigma_m[k]), isnan(chart->grid.depth_m[k]));
    done(chart);
}

Test(raster_chart, cells_as_wished_or_refused, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 160, .factor = -1, .unit = "m"};
    struct lw_chart *chart;
    struct lw_chart none = {0};

    raster_case_start(&grid, path);
    grid.options.cell_m = 4;
    chart = chart_of(&cone);
    cr_assert_eq(chart->grid.cell_m, 4);
    cr_assert_lt(worst_depth(chart, 590), 0.05);
    done(chart);
    cr_assert_eq(raster_case_read(&grid), 0);
    grid.options.cell_m = 0.1;
    cr_assert_eq(lw_raster_chart(&grid.source, &grid.options, &none, &grid.err), -1);
    cr_assert_not_null(strstr(grid.err.text, "too small"), "%s", grid.err.text);
    lw_source_free(&grid.source);
}

/* A grid that ends in the water: no contour runs along its edge as if a shore were there. */
Test(raster_chart, water_beyond_the_edge, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 10, .n = 80, .factor = -1, .unit = "m"}; /* 400 m to each side */
    struct lw_lines lines;
    struct lw_chart *chart;

    raster_case_start(&grid, path);
    chart = chart_of(&cone);
    cr_assert(raster_case_warned(&grid, "beyond the grid's edge"));
    cr_assert_gt(chart->contours, 0, "never none");
    cr_assert_eq(lw_chart_contour(chart, CONE_DEPTH_M / 4, &lines, &grid.err), 0);
    /* the circle of 450 m radius meets the square in four arcs */
    cr_assert_eq(lines.n, 4, "%zu", lines.n);
    for (size_t i = 0; i < lines.n; i++) {
        cr_assert_not(lines.line[i].closed);
        cr_assert_lt(off_circle(&lines.line[i], middle(chart), CONE_RADIUS_M * 0.75), 0.5);
    }
    lw_lines_free(&lines);
    done(chart);
}

/* Two lakes in one grid: the one about the place, or the larger. */
Test(raster_chart, the_water_that_is_meant, .init = setup, .fini = teardown)
{
    double size;
    struct lw_chart chart = {0};
    FILE *file;

    path[strlen(path) - 3] = '\0';
    strcat(path, "asc");
    file = fopen(path, "w");
    fprintf(file, "ncols 30\nnrows 12\nxllcorner -93.5\nyllcorner 45\ncellsize 0.001\n");
    for (int y = 0; y < 12; y++)
        for (int x = 0; x < 30; x++) {
            bool large = x >= 2 && x < 14 && y >= 2 && y < 10,
                 small = x >= 20 && x < 26 && y >= 3 && y < 9;

            fprintf(file, "%g%s", large ? -4.5 : small ? -7.3 : 0.0, x == 29 ? "\n" : " ");
        }
    fclose(file);
    raster_case_start(&grid, path);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(lw_raster_chart(&grid.source, &grid.options, &chart, &grid.err), 0, "%s",
                 grid.err.text);
    cr_assert_float_eq(chart.deepest_m, 4.5, 1e-6);
    cr_assert(raster_case_warned(&grid, "--at LAT,LON chooses another"));
    size = chart.area_m2;
    /* 96 cells of 111.132 m by 78.839 m (GeodSolve -i, at 45.006 N) */
    cr_assert_float_eq(size, 96 * 111.132 * 78.839, 0.03 * size);
    free(chart.grid.depth_m);
    free(chart.grid.sigma_m);
    for (size_t i = 0; i < chart.contours; i++)
        lw_line_free(&chart.contour[i].line);
    free(chart.contour);
    memset(&chart, 0, sizeof chart);
    grid.options.at = (struct lw_ll){45.006, -93.477};
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(lw_raster_chart(&grid.source, &grid.options, &chart, &grid.err), 0, "%s",
                 grid.err.text);
    cr_assert_float_eq(chart.deepest_m, 7.3, 1e-6);
    free(chart.grid.depth_m);
    free(chart.grid.sigma_m);
    for (size_t i = 0; i < chart.contours; i++)
        lw_line_free(&chart.contour[i].line);
    free(chart.contour);
    grid.options.at = (struct lw_ll){46, -93.477};
    cr_assert_eq(lw_raster_chart(&grid.source, &grid.options, &chart, &grid.err), -1);
    cr_assert_not_null(strstr(grid.err.text, "--at"), "%s", grid.err.text);
    lw_source_free(&grid.source);
}
