/* Nothing is written beside the user's map, and what lies beside it counts. */
#include "map_test.h"

#include <dirent.h>
#include <sqlite3.h>
#include <sys/stat.h>

static char cache[300], maps[300];

static void setup(void)
{
    chart_test_folder(cache, sizeof cache);
    lw_test_scratch(maps, sizeof maps);
}

static void copy(const char *from, const char *name)
{
    char source[600], command[1500];

    lw_test_data(source, sizeof source, from);
    snprintf(command, sizeof command, "cp '%s' '%s/%s' && chmod u+w '%s/%s'", source, maps, name,
             maps, name);
    cr_assert_eq(system(command), 0);
}

/* Names, sizes and times of all files of the folder, as one text. */
static void list(char *to, size_t size)
{
    struct dirent **entry;
    int n = scandir(maps, &entry, NULL, alphasort);
    size_t used = 0;

    cr_assert_geq(n, 2);
    for (int i = 0; i < n; i++) {
        char path[700];
        struct stat st;

        if (strcmp(entry[i]->d_name, "..") == 0) { /* others work there as well */
            free(entry[i]);
            continue;
        }
        snprintf(path, sizeof path, "%s/%s", maps, entry[i]->d_name);
        cr_assert_eq(stat(path, &st), 0);
        used += (size_t)snprintf(to + used, size - used, "%s %ld %ld.%09ld\n", entry[i]->d_name,
                                 (long)st.st_size, (long)st.st_mtim.tv_sec, st.st_mtim.tv_nsec);
        cr_assert_lt(used, size);
        free(entry[i]);
    }
    free(entry);
}

static int read_map(const char *name, struct lw_import_options *o, struct lw_chart **chart,
                    struct lw_error *err)
{
    static struct lw_import_report report;
    char path[600];

    snprintf(path, sizeof path, "%s/%s", maps, name);
    o->map[0].path = path;
    o->maps = 1;
    return chart_test_read(o, chart, &report, err);
}

static struct lw_import_options on_sparkling(void)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    o.at = (struct lw_ll){46.0088, -89.6997};
    return o;
}

Test(beside, folder_is_left_as_it_was, .init = setup)
{
    static const char *const file[] = {"small-lakes.shp",
                                       "small-lakes.shx",
                                       "small-lakes.dbf",
                                       "small-lakes.prj",
                                       "small-lakes-epsg3070.gpkg",
                                       "small-lakes-metres.geojson",
                                       "sparkling.kml",
                                       "crystal.kmz"};
    static const char *const other[] = {
        "s57/1B5X02NE.000", "soundings/227_LA.csv", "rasters/erie-west-400.tif",
        "rasters/erie-west-120x100.asc", "rasters/erie-west-120x100.prj"};
    char before[4000], after[4000], from[200];

    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        copy(other[i], strchr(other[i], '/') + 1);
    for (size_t i = 0; i < sizeof file / sizeof *file; i++) {
        snprintf(from, sizeof from, "lakes/%s", file[i]);
        copy(from, file[i]);
    }
    list(before, sizeof before);
    for (size_t i = 0; i < sizeof file / sizeof *file; i++) {
        struct lw_import_options o = on_sparkling();
        struct lw_chart *chart;
        struct lw_error err;

        if (i >= 1 && i <= 3)
            continue;
        if (i == 7)
            lw_import_options_clear(&o);
        cr_assert_eq(read_map(file[i], &o, &chart, &err), 0, "%s: %s", file[i], err.text);
        lw_chart_free(chart);
    }
    for (size_t i = 0; i < 4; i++) {
        struct lw_import_options o;
        struct lw_chart *chart;
        struct lw_error err;

        lw_import_options_clear(&o);
        o.map[0].depth_unit = "m";
        o.cell_m = i >= 2 ? 500 : NAN;
        cr_assert_eq(read_map(strchr(other[i], '/') + 1, &o, &chart, &err), 0, "%s: %s", other[i],
                     err.text);
        lw_chart_free(chart);
    }
    list(after, sizeof after);
    cr_assert_str_eq(after, before);
}

Test(beside, shapefile_without_its_index, .init = setup)
{
    struct lw_import_options o = on_sparkling();
    struct lw_chart *chart;
    struct lw_error err;
    char before[4000], after[4000];

    copy("lakes/small-lakes.shp", "small-lakes.shp");
    copy("lakes/small-lakes.dbf", "small-lakes.dbf");
    copy("lakes/small-lakes.prj", "small-lakes.prj");
    list(before, sizeof before);
    cr_assert_eq(read_map("small-lakes.shp", &o, &chart, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 18.288, 1e-6);
    lw_chart_free(chart);
    list(after, sizeof after);
    cr_assert_str_eq(after, before);
}

Test(beside, a_changed_sidecar_is_a_changed_map, .init = setup)
{
    struct lw_import_options o = on_sparkling();
    struct lw_chart *chart;
    struct lw_error err;
    char path[600];

    copy("lakes/small-lakes.shp", "small-lakes.shp");
    copy("lakes/small-lakes.shx", "small-lakes.shx");
    copy("lakes/small-lakes.dbf", "small-lakes.dbf");
    copy("lakes/small-lakes.prj", "small-lakes.prj");
    cr_assert_eq(read_map("small-lakes.shp", &o, &chart, &err), 0, "%s", err.text);
    lw_chart_free(chart);
    snprintf(path, sizeof path, "%s/small-lakes.prj", maps);
    cr_assert_eq(unlink(path), 0);
    cr_assert_eq(read_map("small-lakes.shp", &o, &chart, &err), -1);
    cr_assert_not_null(strstr(err.text, "no .prj"), "%s", err.text);
}

/* A GeoPackage that another program has open, with changes that are only in its log so far. */
Test(beside, geopackage_with_a_write_ahead_log, .init = setup)
{
    struct lw_import_options o = on_sparkling();
    struct lw_chart *chart;
    struct lw_error err;
    char path[600], before[4000], after[4000];
    sqlite3 *db;

    copy("lakes/small-lakes-epsg3070.gpkg", "lakes.gpkg");
    cr_assert_eq(read_map("lakes.gpkg", &o, &chart, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 18.288, 1e-6);
    lw_chart_free(chart);
    snprintf(path, sizeof path, "%s/lakes.gpkg", maps);
    cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(db,
                              "PRAGMA journal_mode=WAL; PRAGMA wal_autocheckpoint=0;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update1;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update2;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update3;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update4;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update6;"
                              "DROP TRIGGER IF EXISTS rtree_lake_contours_geom_update7;"
                              "UPDATE lake_contours SET Depth_m=21.336, Depth_ft=70 "
                              "WHERE LakeID='SP' AND Depth_ft=60",
                              NULL, NULL, NULL),
                 SQLITE_OK, "%s", sqlite3_errmsg(db));
    list(before, sizeof before);
    cr_assert_not_null(strstr(before, "lakes.gpkg-wal"));
    cr_assert_eq(read_map("lakes.gpkg", &o, &chart, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 21.336, 1e-6, "the log counts");
    lw_chart_free(chart);
    list(after, sizeof after);
    cr_assert_str_eq(after, before);
    sqlite3_close(db);
}

/* Agencies hand out Shapefiles in a zip. */
Test(beside, zipped_shapefile, .init = setup)
{
    struct lw_import_options o = on_sparkling();
    struct lw_chart *chart;
    struct lw_error err;
    char command[2000], folder[600];

    lw_test_data(folder, sizeof folder, "lakes");
    snprintf(command, sizeof command,
             "python3 -c \"import zipfile,sys; z=zipfile.ZipFile(sys.argv[1],'w'); "
             "[z.write(sys.argv[2]+'/small-lakes.'+e,'small-lakes.'+e) "
             "for e in ('shp','shx','dbf','prj')]\" '%s/lakes.zip' '%s'",
             maps, folder);
    if (system(command) != 0)
        cr_skip_test("no python3 to make a zip with");
    cr_assert_eq(read_map("lakes.zip", &o, &chart, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 18.288, 1e-6);
    lw_chart_free(chart);
}

Test(beside, the_cache_folder_is_left_tidy, .init = setup)
{
    struct lw_import_options o = on_sparkling();
    struct lw_chart *chart;
    struct lw_error err;
    char path[400];
    DIR *dir;
    struct dirent *entry;
    int files = 0;

    copy("lakes/small-lakes-metres.geojson", "a.geojson");
    copy("malformed/kml/truncated.kml", "b.kml");
    cr_assert_eq(read_map("a.geojson", &o, &chart, &err), 0, "%s", err.text);
    lw_chart_free(chart);
    cr_assert_eq(read_map("b.kml", &o, &chart, &err), -1);
    snprintf(path, sizeof path, "%s/lipwalk", cache);
    dir = opendir(path);
    cr_assert_not_null(dir);
    while ((entry = readdir(dir)) != NULL)
        files += entry->d_name[0] != '.';
    closedir(dir);
    cr_assert_eq(files, 2, "one chart and its report, not %d files", files);
}
