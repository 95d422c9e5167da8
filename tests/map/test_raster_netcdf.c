/* netCDF as agencies give it: several variables, axes with CF's units, no coordinate system. */
#include "raster_test.h"

#define COLUMNS 30
#define ROWS    12

static struct raster_case grid;
static char path[600];

static void setup(void)
{
    char folder[300];

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/vars.nc", folder);
    raster_case_start(&grid, path);
}

static void teardown(void)
{
    if (grid.source.file)
        lw_source_free(&grid.source);
}

static void say(GDALMDArrayH array, const char *name, const char *value)
{
    GDALExtendedDataTypeH text = GDALExtendedDataTypeCreateString(0);
    GDALAttributeH attribute = GDALMDArrayCreateAttribute(array, name, 0, NULL, text, NULL);

    cr_assert(GDALAttributeWriteString(attribute, value));
    GDALAttributeRelease(attribute);
    GDALExtendedDataTypeRelease(text);
}

static GDALDimensionH axis(GDALGroupH group, const char *name, const char *unit, int n,
                           double first)
{
    GDALExtendedDataTypeH real = GDALExtendedDataTypeCreate(GDT_Float64);
    GDALDimensionH dimension = GDALGroupCreateDimension(group, name, NULL, NULL, (GUInt64)n, NULL);
    GDALMDArrayH array = GDALGroupCreateMDArray(group, name, 1, &dimension, real, NULL);
    GUInt64 start = 0;
    size_t count = (size_t)n;
    double value[COLUMNS];

    for (int i = 0; i < n; i++)
        value[i] = first + 0.001 * (i + 0.5);
    cr_assert(GDALMDArrayWrite(array, &start, &count, NULL, NULL, real, value, NULL, 0));
    say(array, "units", unit);
    GDALMDArrayRelease(array);
    GDALExtendedDataTypeRelease(real);
    return dimension;
}

/* The first name holds a pool of `deep`, the second a flag. */
static void write_variables(const char *const name[2], const char *unit, const char *positive,
                            double deep)
{
    GDALDatasetH data;
    GDALGroupH group;
    GDALDimensionH dimension[2];
    GDALExtendedDataTypeH real = GDALExtendedDataTypeCreate(GDT_Float64);
    static double value[ROWS * COLUMNS];

    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
    GDALAllRegister();
    data = GDALCreateMultiDimensional(GDALGetDriverByName("netCDF"), path, NULL, NULL);
    cr_assert_not_null(data);
    group = GDALDatasetGetRootGroup(data);
    dimension[0] = axis(group, "lat", "degrees_north", ROWS, 45);
    dimension[1] = axis(group, "lon", "degrees_east", COLUMNS, -93.5);
    for (int k = 0; k < 2; k++) {
        GDALMDArrayH array = GDALGroupCreateMDArray(group, name[k], 2, dimension, real, NULL);
        GUInt64 start[2] = {0, 0};
        size_t count[2] = {ROWS, COLUMNS};

        for (int i = 0; i < ROWS * COLUMNS; i++) {
            int x = i % COLUMNS, y = i / COLUMNS;

            value[i] = k ? 7 : x >= 2 && x < 14 && y >= 2 && y < 6 ? deep : 0;
        }
        if (k == 0 && unit)
            say(array, "units", unit);
        if (k == 0 && positive)
            say(array, "positive", positive);
        cr_assert(GDALMDArrayWrite(array, start, count, NULL, NULL, real, value, NULL, 0));
        GDALMDArrayRelease(array);
    }
    GDALDimensionRelease(dimension[0]);
    GDALDimensionRelease(dimension[1]);
    GDALExtendedDataTypeRelease(real);
    GDALGroupRelease(group);
    GDALClose(data);
}

static double cell_at(double lat, double lon)
{
    double depth_m = -1;

    cr_assert_eq(lw_raster_cells(&grid.source, &(struct lw_ll){lat, lon}, 1, &depth_m, &grid.err),
                 0);
    return depth_m;
}

Test(raster_netcdf, the_variable_with_the_depths, .init = setup, .fini = teardown)
{
    const char *const name[2] = {"depth", "quality"};

    write_variables(name, "ft", "down", 10);
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_str_eq(grid.source.depth_field, "depth");
    cr_assert_str_eq(grid.source.unit_reason, "the file says ft");
    cr_assert_float_eq(cell_at(45.0025, -93.4925), 3.048, 1e-6); /* NIST SP 811 */
    cr_assert_eq(cell_at(45.0085, -93.4925), 0, "rows run from the south");
    grid.options.map[0].depth_field = "nope";
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "(depth, quality)"), "%s", grid.err.text);
}

Test(raster_netcdf, which_way_is_up_as_the_file_says, .init = setup, .fini = teardown)
{
    const char *const name[2] = {"lake_floor_z", "quality"};

    write_variables(name, "m", "up", -4.5);
    cr_assert_eq(raster_case_read(&grid), -1, "no name tells it from the flag");
    cr_assert_not_null(strstr(grid.err.text, "--depth-field"), "%s", grid.err.text);
    grid.options.map[0].depth_field = "lake_floor_z";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_float_eq(cell_at(45.0025, -93.4925), 4.5, 1e-6);
    cr_assert_not_null(strstr(grid.source.sign, "file's own word"), "%s", grid.source.sign);
}

Test(raster_netcdf, a_unit_that_no_depth_has, .init = setup, .fini = teardown)
{
    const char *const name[2] = {"depth", "quality"};

    write_variables(name, "kelvin", NULL, 10);
    cr_assert_eq(raster_case_read(&grid), -1);
    cr_assert_not_null(strstr(grid.err.text, "no unit of depth"), "%s", grid.err.text);
    grid.options.map[0].depth_unit = "m";
    cr_assert_eq(raster_case_read(&grid), 0, "%s", grid.err.text);
    cr_assert_float_eq(cell_at(45.0025, -93.4925), 10, 1e-6);
}
