/* Every hostile or odd file: a result or one clear sentence, in the process that asked. */
#include "map_test.h"

#include <ftw.h>

#include "lipwalk/base/clock.h"

static char folder[300];
static int files, read_well;

static void setup(void)
{
    chart_test_folder(folder, sizeof folder);
}

static void try(const char *path, const struct lw_import_options *with)
{
    struct lw_import_options o = *with;
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    int64_t before = lw_clock_mono_ms();

    o.map[o.maps++].path = path;
    o.timeout_s = 20;
    if (chart_test_read(&o, &chart, &report, &err) == 0) {
        read_well++;
        cr_assert_gt(chart->contours + chart->soundings, 0, "%s", path);
        cr_assert_gt(chart->area_m2, 0, "%s", path);
        lw_chart_free(chart);
    } else {
        cr_assert_null(strstr(err.text, "inside the map library"), "%s: %s", path, err.text);
        cr_assert_null(strstr(err.text, "without an answer"), "%s: %s", path, err.text);
        cr_assert_gt(strlen(err.text), 20, "%s: %s", path, err.text);
    }
    cr_assert_lt(lw_clock_mono_ms() - before, 25000, "%s", path);
}

static int visit(const char *path, const struct stat *st, int type, struct FTW *where)
{
    struct lw_import_options o;

    (void)st;
    (void)where;
    if (type != FTW_F)
        return 0;
    files++;
    lw_import_options_clear(&o);
    try(path, &o);
    /* Past the first refusals: into the geometry. */
    o.map[0].crs = "EPSG:4326";
    o.map[0].depth_unit = "ft";
    try(path, &o);
    o.map[0].depth_field = "FID";
    try(path, &o);
    o.map[0].depth_field = "Z";
    o.at = (struct lw_ll){0.5, 100.5};
    try(path, &o);
    if (files % 4 == 0) { /* beside a good map of one lake */
        char good[600];

        lw_test_data(good, sizeof good, "lakes/sparkling-z.shp");
        lw_import_options_clear(&o);
        o.map[o.maps++].path = good;
        o.map[1].crs = "EPSG:4326";
        o.map[1].depth_unit = "ft";
        o.cell_m = 10;
        try(path, &o);
    }
    return 0;
}

Test(malformed, all_of_them, .init = setup, .timeout = 300)
{
    char root[600];

    lw_test_data(root, sizeof root, "malformed");
    cr_assert_eq(nftw(root, visit, 16, FTW_PHYS), 0);
    cr_log_info("%d files, %d of about %d readings gave a chart", files, read_well, 17 * files / 4);
    cr_assert_gt(files, 200);
}

/* A good map cut short or with bytes turned, at fixed places. */
static void damage(const char *name, const struct lw_import_options *o)
{
    char source[600], path[700];
    unsigned char *all;
    long size;
    FILE *file;

    lw_test_data(source, sizeof source, name);
    snprintf(path, sizeof path, "%s/damaged%s", folder, strrchr(name, '.'));
    file = fopen(source, "rb");
    cr_assert_not_null(file);
    fseek(file, 0, SEEK_END);
    size = ftell(file);
    rewind(file);
    all = malloc((size_t)size);
    cr_assert_eq(fread(all, 1, (size_t)size, file), (size_t)size);
    fclose(file);
    for (int k = 0; k < 24; k++) {
        unsigned seed = (unsigned)k * 2654435761u + 12345u;

        file = fopen(path, "wb");
        if (k % 2)
            fwrite(all, 1, (size_t)(size * k / 24), file);
        else {
            for (int turn = 0; turn < 1 + 8 * k; turn++) {
                seed = seed * 1103515245u + 12345u;
                all[(seed >> 8) % (unsigned long)size] ^= (unsigned char)(1 << (seed >> 5) % 8);
            }
            fwrite(all, 1, (size_t)size, file);
        }
        fclose(file);
        try(path, o);
    }
    free(all);
}

Test(malformed, good_maps_damaged, .init = setup, .timeout = 300)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    o.at = (struct lw_ll){46.0088, -89.6997};
    o.map[0].crs = "EPSG:3070";
    damage("lakes/small-lakes-epsg3070.gpkg", &o);
    o.map[0].depth_field = "Z"; /* the .shp alone: no attributes and no index */
    o.map[0].depth_unit = "m";
    o.map[0].crs = "EPSG:4326";
    damage("lakes/sparkling-z.shp", &o);
    o.map[0].depth_field = NULL;
    o.map[0].crs = NULL;
    damage("lakes/sparkling.kml", &o);
    damage("lakes/small-lakes-metres.geojson", &o);
    lw_import_options_clear(&o);
    damage("lakes/crystal.kmz", &o);
}

Test(malformed, good_soundings_grids_and_cells_damaged, .init = setup, .timeout = 300)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    damage("s57/1B5X02NE.000", &o);
    o.map[0].depth_unit = "m";
    o.cell_m = 10;
    damage("soundings/227_LA.csv", &o);
    o.cell_m = 500;
    damage("rasters/erie-west-400.tif", &o);
}
