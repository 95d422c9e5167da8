/* Grids of depth: what is understood, the very cells, and charts of lakes in closed form. */
#include "raster_test.h"

#include <dirent.h>
#include <ftw.h>

#include "lipwalk/map/cells.h"

static struct raster_case grid;
static char folder[300], path[600];

static void teardown(void)
{
    if (grid.source.file)
        lw_source_free(&grid.source);
}

static void setup(void)
{
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
}

static void outside(const char *name)
{
    char file[600];

    lw_test_data(file, sizeof file, name);
    raster_case_start(&grid, file);
}

/* An ASCII grid of the values, row after row from the north; `header` has its place. */
static void ascii(const char *name, int columns, int rows, const char *header, const double *value)
{
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fprintf(file, "ncols %d\nnrows %d\n%s\n", columns, rows, header);
    for (int k = 0; k < columns * rows; k++)
        fprintf(file, "%.10g%s", value[k], (k + 1) % columns ? " " : "\n");
    fclose(file);
    raster_case_start(&grid, path);
}

/* A pool of 6 x 6 cells, 9 in the middle, 3 about it, `land` outside. */
static void pool(const char *name, const char *header, double land, double factor, double add)
{
    double value[36];

    for (int k = 0; k < 36; k++) {
        int x = k % 6, y = k / 6, in = x < y ? x : y;

        in = 5 - x < in ? 5 - x : in;
        in = 5 - y < in ? 5 - y : in;
        value[k] = in == 0 ? land : factor * (in == 1 ? 3 : 9) + add;
    }
    ascii(name, 6, 6, header, value);
}

#define PLACE "xllcorner -93.5\nyllcorner 45\ncellsize 0.001"

/* gdallocationinfo -wgs84 at random places. */
Test(raster, very_cells_of_a_grid, .init = setup, .fini = teardown)
{
    char samples[600], line[200];
    struct lw_ll at[500];
    double want[500], got[500], through_child[500], column[3];
    size_t n = 0;
    FILE *file;

    outside("rasters/erie-west-400.tif");
    lw_test_data(samples, sizeof samples, "checks/erie-west-400-samples.csv");
    file = fopen(samples, "r");
    cr_assert_not_null(fgets(line, sizeof line, file));
    while (n < 500 && fgets(line, sizeof line, file))
        if (sscanf(line, "%lf,%lf,%lf", &column[0], &column[1], &column[2]) == 3) {
            at[n] = (struct lw_ll){column[1], column[0]};
            want[n++] = -column[2];
        }
    fclose(file);
    cr_assert_geq(n, 200);
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(lw_raster_cells(&grid.source, at, n, got, &grid.err), 0);
    cr_assert(lw_chart_is_grid(&grid.options));
    cr_assert_eq(lw_chart_cells(&grid.options, at, n, through_child, &grid.err), 0, "%s",
                 grid.err.text);
    for (size_t i = 0; i < n; i++) {
        cr_assert_float_eq(got[i], want[i], 1e-12, "%zu: %g for %g", i, got[i], want[i]);
        cr_assert_eq(got[i], through_child[i]);
    }
    at[0] = (struct lw_ll){0, 0};
    cr_assert_eq(lw_raster_cells(&grid.source, at, 1, got, &grid.err), 0);
    cr_assert(isnan(got[0]), "outside");
}

/* Minimum and maximum by gdalinfo -stats: -15.300 and 0. The file has no unit, no nodata. */
Test(raster, what_is_understood_is_said, .init = setup, .fini = teardown)
{
    outside("rasters/erie-west-400.tif");
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_not_null(strstr(grid.source.said, "to 15.3 m"), "%s", grid.source.said);
    cr_assert_not_null(strstr(grid.source.said, "in metres (not said"), "%s", grid.source.said);
    cr_assert_not_null(strstr(grid.source.said, "negative below the water, 0 is land"));
    cr_assert(raster_case_warned(&grid, "--depth-unit ft"));
    grid.options.map[0].depth_unit = "ft";
    cr_assert_eq(raster_case_read(&grid), 0);
    cr_assert_not_null(strstr(grid.source.said, "to 15.3 ft"), "%s", grid.source.said);
    cr_assert_eq(grid.source.warnings, 0);
}

Test(raster, no_system_is_asked_for, .init = setup, .fini = teardown)
{
    outside("rasters/50_50_1455.asc");
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "give --crs EPSG:4326"), "%s", grid.err.text);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    /* gdalinfo -stats: -88 to 817 */
    cr_assert_not_null(strstr(grid.source.said, "depths 1 to 88 m"), "%s", grid.source.said);
    cr_assert(raster_case_warned(&grid, "1455 cells below 0"));
    pool("metres.asc", "xllcorner 500000\nyllcorner 5000000\ncellsize 10", 0, 1, 0);
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--crs EPSG:26915"), "%s", grid.err.text);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "not possible"), "%s", grid.err.text);
    grid.options.map[0].crs = "EPSG:32615";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    lw_source_free(&grid.source);
}

static double cell_at(double lat, double lon)
{
    double depth_m = -1;

    cr_assert_eq(lw_raster_cells(&grid.source, &(struct lw_ll){lat, lon}, 1, &depth_m, &grid.err),
                 0);
    return depth_m;
}

Test(raster, signs_levels_and_false_values, .init = setup, .fini = teardown)
{
    pool("down.asc", PLACE, -32768, 1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert(raster_case_warned(&grid, "-32768"));
    cr_assert_float_eq(cell_at(45.0025, -93.4975), 9, 1e-6);
    cr_assert(isnan(cell_at(45.0005, -93.4975)), "land");
    pool("false.asc", PLACE, 9999, -1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert(raster_case_warned(&grid, "20 cells hold 9999"));
    cr_assert_float_eq(cell_at(45.0025, -93.4975), 9, 1e-6);
    /* bed elevations in feet about a pool level of 1200 ft; 0 outside, not declared as no data */
    pool("bed_ft.asc", PLACE, 0, -1, 1200);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--water-level"), "%s", grid.err.text);
    cr_assert_not_null(strstr(grid.err.text, "1191 to 1197 ft"), "%s", grid.err.text);
    grid.options.map[0].water_level_m = 1200 * 0.3048;
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_not_null(strstr(grid.source.said, "the file's name says so"));
    cr_assert(raster_case_warned(&grid, "cells hold 0"));
    cr_assert_float_eq(cell_at(45.0025, -93.4975), 9 * 0.3048, 1e-4);
    cr_assert(isnan(cell_at(45.0005, -93.4975)), "0 is no bed");
    /* depths positive down, land with a minus: only the name tells them from heights */
    pool("lake_depth.asc", PLACE, -4, 1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--depth-sign down"), "%s", grid.err.text);
    grid.options.map[0].sign = LW_SIGN_DOWN;
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_float_eq(cell_at(45.0025, -93.4975), 9, 1e-6);
}

/* A figure before the unit tells the size of cells, or the year's. */
Test(raster, units_in_the_names_of_files, .init = setup, .fini = teardown)
{
    static const struct {
        const char *file, *unit; /* NULL: not said */
    } names[] = {{"pool_1m.asc", NULL},         {"m2.asc", NULL},       {"lake10ft.asc", NULL},
                 {"depth_ft_2m.asc", "ft"},     {"depth_ft.asc", "ft"}, {"bathy_m_2019.asc", "m"},
                 {"2019_10m_depthFt.asc", "ft"}};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        pool(names[i].file, PLACE, 0, -1.1, 0);
        grid.options.map[0].crs = "EPSG:4326";
        cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
        cr_assert_eq(raster_case_warned(&grid, "does not say the unit"), !names[i].unit, "%s",
                     names[i].file);
        cr_assert_str_eq(grid.source.unit, names[i].unit ? names[i].unit : "m", "%s",
                         names[i].file);
    }
}

/* Where 0 is land, no water is known there at any level. */
Test(raster, todays_level_adds_to_depths_only, .init = setup, .fini = teardown)
{
    const struct lw_ll at[2] = {{45.0025, -93.4975}, {45.0005, -93.4975}};
    double depth_m[2];

    pool("level_m.asc", PLACE, 0, -1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    grid.options.stage_m = 0.5;
    cr_assert_eq(lw_chart_cells(&grid.options, at, 2, depth_m, &grid.err), 0, "%s", grid.err.text);
    cr_assert_float_eq(depth_m[0], 9.5, 1e-6, "%g", depth_m[0]);
    cr_assert_eq(depth_m[1], 0, "%g", depth_m[1]);
    grid.options.stage_m = NAN; /* not said */
    cr_assert_eq(lw_chart_cells(&grid.options, at, 2, depth_m, &grid.err), 0, "%s", grid.err.text);
    cr_assert_float_eq(depth_m[0], 9, 1e-6, "%g", depth_m[0]);
}

Test(raster, nonsense_is_refused, .init = setup, .fini = teardown)
{
    double zero[36] = {0};

    ascii("zero.asc", 6, 6, PLACE, zero);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "every cell is 0"), "%s", grid.err.text);
    pool("fathomless.asc", PLACE, 0, -5000.7, 0);
    grid.options.map[0].depth_unit = "m";
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "deeper than any water"), "%s", grid.err.text);
    pool("dry.asc", PLACE, 0, 1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    grid.options.map[0].water_level_m = -3;
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "holds no water"), "%s", grid.err.text);
    pool("fives.asc", PLACE, 0, -5, 0); /* 15 and 45: whole multiples of 5 are contours in feet */
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "--depth-unit"), "%s", grid.err.text);
}

Test(raster, longitudes_of_0_to_360, .init = setup, .fini = teardown)
{
    pool("east.asc", "xllcorner 266.5\nyllcorner 45\ncellsize 0.001", 0, -1, 0);
    grid.options.map[0].crs = "EPSG:4326";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_float_eq(cell_at(45.0025, -93.4975), 9, 1e-6);
    cr_assert(isnan(cell_at(45.0025, 93.4975)));
}

Test(raster, sizes_that_are_declared_only, .init = setup, .fini = teardown, .timeout = 20)
{
    static const char *const sizes[] = {"ncols 300000\nnrows 300000\n", "ncols 6000\nnrows 6000\n",
                                        "ncols 20\nnrows 20\n"};
    struct cone cone = {.cell_m = 10, .n = 4};
    double none[4] = {1, 2, 3, 4};

    for (int k = 0; k < 3; k++) {
        FILE *file;

        ascii("huge.asc", 2, 2, PLACE, none);
        file = fopen(path, "w");
        fprintf(file, "%s" PLACE "\n1 2 3\n", sizes[k]);
        fclose(file);
        grid.options.map[0].crs = "EPSG:4326";
        cr_assert_eq(raster_case_read(&grid), -1);
        cr_assert_not_null(strstr(grid.err.text, "holds only"), "%s", grid.err.text);
    }
    /* a sparse file of 10,000 million cells: a few kB on disk */
    cone.sparse = 100000;
    snprintf(path, sizeof path, "%s/sparse.tif", folder);
    cone_write(path, &cone);
    raster_case_start(&grid, path);
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "give --at"), "%s", grid.err.text);
    grid.options.at = (struct lw_ll){45.15, -93};
    cr_assert_eq(raster_case_read(&grid), -1, "all of its cells are 0");
    cr_assert_not_null(strstr(grid.err.text, "every cell is 0"), "%s", grid.err.text);
}

Test(raster, a_file_cut_short, .init = setup, .fini = teardown)
{
    char whole[600];
    static char data[200000];
    FILE *in, *out;
    size_t n;

    lw_test_data(whole, sizeof whole, "rasters/erie-west-400.tif");
    in = fopen(whole, "rb");
    n = fread(data, 1, sizeof data, in);
    fclose(in);
    for (int k = 0; k < 8; k++) {
        snprintf(path, sizeof path, "%s/cut.tif", folder);
        out = fopen(path, "wb");
        fwrite(data, 1, n * (size_t)k / 8, out);
        fclose(out);
        raster_case_start(&grid, path);
        cr_assert_eq(raster_case_read(&grid), -1, "%d eighths", k);
    }
}

static int try_file(const char *file, const struct stat *st, int type, struct FTW *where)
{
    (void)st;
    (void)where;
    if (type != FTW_F || !lw_raster_is(file))
        return 0;
    for (int k = 0; k < 3; k++) {
        struct lw_chart chart = {0};

        raster_case_start(&grid, file);
        if (k > 0) {
            grid.options.map[0].crs = "EPSG:32611";
            grid.options.map[0].depth_unit = "m";
        }
        if (k > 1)
            grid.options.map[0].sign = LW_SIGN_DOWN;
        if (raster_case_read(&grid) == 0 &&
            lw_raster_chart(&grid.source, &grid.options, &chart, &grid.err) == 0) {
            cr_assert_gt(chart.contours, 0);
            cr_assert_gt(chart.area_m2, 0);
        }
        for (size_t i = 0; i < chart.contours; i++)
            lw_line_free(&chart.contour[i].line);
        free(chart.contour);
        free(chart.grid.depth_m);
        free(chart.grid.sigma_m);
        lw_source_free(&grid.source);
    }
    return 0;
}

Test(raster, malformed_files_end_in_one_sentence, .init = setup, .fini = teardown)
{
    char root[600];

    lw_test_data(root, sizeof root, "malformed/geotiff");
    cr_assert_eq(nftw(root, try_file, 16, FTW_PHYS), 0);
    lw_test_data(root, sizeof root, "rasters");
    cr_assert_eq(nftw(root, try_file, 16, FTW_PHYS), 0);
}

static int files_in(const char *where)
{
    DIR *dir = opendir(where);
    int n = 0;

    cr_assert_not_null(dir);
    while (readdir(dir))
        n++;
    closedir(dir);
    return n;
}

Test(raster, nothing_is_written_beside_the_map, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 20, .n = 80, .factor = -1};
    int before;

    snprintf(path, sizeof path, "%s/cone.tif", folder);
    cone_write(path, &cone);
    before = files_in(folder);
    raster_case_start(&grid, path);
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(files_in(folder), before);
}

Test(raster, soundings_of_a_grid_keep_their_distance, .init = setup, .fini = teardown)
{
    struct cone cone = {.cell_m = 20, .n = 80, .factor = -1};
    struct lw_box box = {-90, 90, -180, 180};
    struct lw_depth_point *p;
    size_t all;

    snprintf(path, sizeof path, "%s/cone.tif", folder);
    cone_write(path, &cone);
    raster_case_start(&grid, path);
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_eq(lw_raster_points(&grid.source, &box, 1, &grid.err), 0);
    all = grid.source.points;
    /* as many as the circle has cells */
    cr_assert_float_eq((double)all, M_PI * CONE_RADIUS_M * CONE_RADIUS_M / 400, 40);
    cr_assert_eq(lw_raster_points(&grid.source, &box, 60, &grid.err), 0);
    p = grid.source.point + all;
    cr_assert_float_eq((double)(grid.source.points - all), (double)all / 9, 30);
    for (size_t i = 0; i + 1 < grid.source.points - all; i++)
        cr_assert_gt(lw_ground_m(p[i].at, p[i + 1].at), 59);
    lw_source_free(&grid.source);
}
