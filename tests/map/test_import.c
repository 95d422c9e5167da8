/* Real lakes in the forms that agencies publish (NTL-LTER data set 153, CC BY 4.0). */
#include "map_test.h"

#define AT_LAT 46.0088
#define AT_LON (-89.6997)

struct source {
    const char *file, *field, *unit;
};
static const struct source sparkling[] = {
    {"lakes/small-lakes-metres.geojson", NULL, NULL},
    {"lakes/small-lakes-epsg3070.gpkg", NULL, NULL},
    {"lakes/small-lakes.shp", NULL, NULL},
    {"lakes/sparkling.kml", NULL, NULL},
    {"lakes/sparkling-z.shp", NULL, NULL},
    {"lakes/sparkling-z.shp", "Z", "m"},
    {"lakes/sparkling-lines-negative-feet.geojson", NULL, NULL}, /* an agency's known form */
    {"lakes/sparkling-lines-negative-feet.geojson", "DEPTH", "ft"},
};
#define SOURCES (sizeof sparkling / sizeof *sparkling)

static struct lw_chart *read_source(const struct source *source, struct lw_import_report *report)
{
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_error err;
    char path[600];

    lw_import_options_clear(&o);
    lw_test_data(path, sizeof path, source->file);
    o.map[0].path = path;
    o.maps = 1;
    o.at = (struct lw_ll){AT_LAT, AT_LON};
    o.map[0].depth_field = source->field;
    o.map[0].depth_unit = source->unit;
    cr_assert_eq(chart_test_read(&o, &chart, report, &err), 0, "%s: %s", source->file, err.text);
    return chart;
}

static size_t levels(const struct lw_chart *chart)
{
    size_t n = 0;

    for (size_t i = 0; i < chart->contours; i++)
        n += i == 0 || chart->contour[i].depth_m - chart->contour[i - 1].depth_m > 1e-3;
    return n;
}

/* 13 contours, the deepest 60 ft = 18.288 m: read off the map with ogrinfo. */
Test(import, one_lake_from_every_source_is_one_lake)
{
    char folder[300];
    struct lw_chart *chart[SOURCES];
    struct lw_import_report report;
    double worst[SOURCES] = {0};
    int points = 0;
    unsigned seed = 3;

    chart_test_folder(folder, sizeof folder);
    for (size_t i = 0; i < SOURCES; i++) {
        chart[i] = read_source(&sparkling[i], &report);
        cr_assert_eq(levels(chart[i]), 13, "%s", sparkling[i].file);
        cr_assert_eq(chart[i]->contours, 13);
        cr_assert_float_eq(chart[i]->deepest_m, 18.288, 1e-6);
        cr_assert_str_eq(chart[i]->lake, "SP");
    }
    for (int k = 0; k < 800; k++) { /* the lake's box, from ogrinfo */
        double lat, lon, first;

        seed = seed * 1103515245u + 12345u;
        lat = 46.002455 + (seed >> 16 & 0x7fff) / 32768.0 * 0.012608;
        seed = seed * 1103515245u + 12345u;
        lon = -89.703041 + (seed >> 16 & 0x7fff) / 32768.0 * 0.006962;
        first = chart_test_depth(chart[0], lat, lon);
        for (size_t i = 1; i < SOURCES; i++) {
            double other = chart_test_depth(chart[i], lat, lon);

            /* NaN in one only may happen within a cell of the shore. */
            if (!isnan(first) && !isnan(other))
                worst[i] = fmax(worst[i], fabs(first - other));
        }
        points += !isnan(first);
    }
    cr_assert_gt(points, 400);
    for (size_t i = 1; i < SOURCES; i++) {
        cr_log_info("%s %s: at most %.4f m from the first", sparkling[i].file,
                    sparkling[i].field ? sparkling[i].field : "", worst[i]);
        cr_assert_lt(worst[i], 0.1);
    }
    for (size_t i = 0; i < SOURCES; i++)
        lw_chart_free(chart[i]);
}

Test(import, contours_are_honoured)
{
    char folder[300];
    struct lw_import_report report;
    struct lw_chart *chart;
    double sum = 0, worst = 0;
    size_t points = 0;

    chart_test_folder(folder, sizeof folder);
    chart = read_source(&sparkling[0], &report);
    for (size_t i = 0; i < chart->contours; i++)
        for (size_t k = 0; k < chart->contour[i].line.n; k++) {
            double off = lw_chart_depth(chart, chart->contour[i].line.p[k]) -
                         chart->contour[i].depth_m;

            if (isnan(off)) /* within a cell of the shore */
                continue;
            sum += off * off;
            worst = fmax(worst, fabs(off));
            points++;
        }
    cr_assert_gt(points, 3900);
    cr_log_info("depth on the contours: rms %.3f m, worst %.2f m", sqrt(sum / (double)points),
                worst);
    cr_assert_lt(sqrt(sum / (double)points), 0.1);
    lw_chart_free(chart);
}

Test(import, nine_feet_lies_between_five_and_ten)
{
    char folder[300];
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_lines five, nine, ten;
    double slack;

    chart_test_folder(folder, sizeof folder);
    chart = read_source(&sparkling[0], &report);
    cr_assert_eq(lw_chart_contour(chart, 5 * 0.3048, &five, NULL), 0);
    cr_assert_eq(lw_chart_contour(chart, 9 * 0.3048, &nine, NULL), 0);
    cr_assert_eq(lw_chart_contour(chart, 10 * 0.3048, &ten, NULL), 0);
    cr_assert_eq(five.n, 1);
    cr_assert_eq(nine.n, 1);
    cr_assert_eq(ten.n, 1);
    cr_assert(nine.line[0].closed);
    /* A line along cell sides may stray from a drawn one by a cell's diagonal. */
    slack = chart->grid.cell_m * M_SQRT2;
    for (size_t k = 0; k < nine.line[0].n; k++) {
        struct lw_en p = nine.line[0].p[k];

        cr_assert(lw_line_contains(&five.line[0], p) ||
                  lw_line_nearest(&five.line[0], p).dist_m < slack);
        cr_assert(!lw_line_contains(&ten.line[0], p) ||
                  lw_line_nearest(&ten.line[0], p).dist_m < slack);
    }
    /* The deep side lies left of all three: counter-clockwise about the basin. */
    cr_assert_gt(lw_line_area(&five.line[0]), 0);
    cr_assert_gt(lw_line_area(&nine.line[0]), 0);
    cr_assert_gt(lw_line_area(&ten.line[0]), 0);
    cr_assert_float_eq(lw_chart_edge_sigma(chart, ten.line[0].p[0], 3.048), 2, 1e-9);
    { /* The variance of a beta distribution over the band with a spread of a + b = 2: a b / 3. */
        struct lw_en p = nine.line[0].p[0];
        double to_five = lw_line_nearest(&five.line[0], p).dist_m;
        double to_ten = lw_line_nearest(&ten.line[0], p).dist_m;

        free(chart->grid.sigma_m); /* what is said where the surface does not say */
        chart->grid.sigma_m = NULL;
        cr_assert_float_eq(lw_chart_edge_sigma(chart, p, 2.7432), sqrt(4 + to_five * to_ten / 3),
                           1e-9);
    }
    lw_lines_free(&five);
    lw_lines_free(&nine);
    lw_lines_free(&ten);
    lw_chart_free(chart);
}

/* Area of the shore polygon: 583,584 m2 by ogrinfo's ST_Area in EPSG:3070, a projection that is
 * within 0.1 % of true area there. */
Test(import, area_of_the_water)
{
    char folder[300];
    struct lw_import_report report;
    struct lw_chart *chart;

    chart_test_folder(folder, sizeof folder);
    chart = read_source(&sparkling[1], &report);
    cr_assert_float_eq(chart->area_m2, 583584, 0.002 * 583584, "%g", chart->area_m2);
    lw_chart_free(chart);
}

Test(import, second_time_from_the_cache)
{
    char folder[300];
    struct lw_import_report first, second;
    struct lw_chart *chart;

    chart_test_folder(folder, sizeof folder);
    chart = read_source(&sparkling[6], &first);
    cr_assert_not(first.from_cache);
    lw_chart_free(chart);
    chart = read_source(&sparkling[6], &second);
    cr_assert(second.from_cache);
    cr_assert_str_eq(first.cache_path, second.cache_path);
    cr_assert_str_eq(first.summary, second.summary);
    cr_assert_eq(first.warnings, second.warnings);
    lw_chart_free(chart);
    /* A damaged cache file is made again. */
    cr_assert_eq(truncate(first.cache_path, 1000), 0);
    chart = read_source(&sparkling[6], &second);
    cr_assert_not(second.from_cache);
    lw_chart_free(chart);
}

Test(import, what_is_said)
{
    char folder[300];
    struct lw_import_report report;
    struct lw_chart *chart;

    chart_test_folder(folder, sizeof folder);
    chart = read_source(&sparkling[1], &report);
    cr_assert_not_null(strstr(report.summary, "13 contour depths, 0 to 18.288 m, from Depth_m in "
                                              "metres (the name says metres; Depth_ft agrees)"),
                       "%s", report.summary);
    cr_assert_not_null(strstr(report.summary, "EPSG:3070"));
    lw_chart_free(chart);
}

static int refuse(const char *file, struct lw_import_options *o, struct lw_error *err)
{
    struct lw_import_report report;
    struct lw_chart *chart;
    char path[600];
    int status;

    lw_test_data(path, sizeof path, file);
    o->map[0].path = path;
    o->maps = 1;
    status = chart_test_read(o, &chart, &report, err);
    lw_chart_free(chart);
    return status;
}

Test(import, what_is_not_stated_is_asked_for)
{
    char folder[300];
    struct lw_import_options o;
    struct lw_error err;

    chart_test_folder(folder, sizeof folder);
    lw_import_options_clear(&o);
    o.map[0].depth_field = "Z";
    cr_assert_eq(refuse("lakes/sparkling-z.shp", &o, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-unit m to confirm"), "%s", err.text);
    lw_import_options_clear(&o);
    cr_assert_eq(refuse("lakes/wingra-contours-all.shp", &o, &err), -1);
    cr_assert_not_null(strstr(err.text, "--crs"), "%s", err.text);
    o.map[0].crs = "EPSG:3070";
    cr_assert_eq(refuse("lakes/wingra-contours-all.shp", &o, &err), 0, "%s", err.text);
    cr_assert_eq(refuse("lakes/wingra_bathy.shp", &o, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-field ID --depth-unit"), "%s", err.text);
    o.map[0].depth_field = "ID";
    o.map[0].depth_unit = "ft";
    cr_assert_eq(refuse("lakes/wingra_bathy.shp", &o, &err), 0, "%s", err.text);
    lw_import_options_clear(&o);
    cr_assert_eq(refuse("lakes/small-lakes.shp", &o, &err), -1);
    cr_assert_not_null(strstr(err.text, "4 lakes (CB, CR, SP, TB)"), "%s", err.text);
    o.lake = "Loch Ness";
    cr_assert_eq(refuse("lakes/small-lakes.shp", &o, &err), -1);
    o.lake = NULL;
    o.at = (struct lw_ll){48, -89.7};
    cr_assert_eq(refuse("lakes/small-lakes.shp", &o, &err), -1);
    cr_assert_not_null(strstr(err.text, "within 5 km"), "%s", err.text);
}

/* Wingra in three systems: US survey feet, web metres with the old crs member, and the plain one.
 */
Test(import, coordinate_systems_agree)
{
    static const char *const file[] = {"lakes/wingra-contours-all.shp", "lakes/wingra-ftus.shp",
                                       "lakes/wingra-crs-member-3857.geojson"};
    struct lw_chart *chart[3];
    struct lw_import_report report;
    struct lw_error err;
    char folder[300], path[600];

    chart_test_folder(folder, sizeof folder);
    for (int i = 0; i < 3; i++) {
        struct lw_import_options o;

        lw_import_options_clear(&o);
        lw_test_data(path, sizeof path, file[i]);
        o.map[0].path = path;
        o.maps = 1;
        o.map[0].crs = i == 0 ? "EPSG:3070" : NULL;
        cr_assert_eq(chart_test_read(&o, &chart[i], &report, &err), 0, "%s", err.text);
        cr_assert_float_eq(chart[i]->deepest_m, 12 * 0.3048, 1e-6);
        cr_assert_lt(lw_en_distance((struct lw_en){0, 0},
                                    lw_frame_to_en(&chart[0]->frame, chart[i]->frame.origin)),
                     0.5);
        cr_assert_float_eq(chart[i]->area_m2 / chart[0]->area_m2, 1, 1e-4);
    }
    for (int i = 0; i < 3; i++)
        lw_chart_free(chart[i]);
}

/* Crystal in a KMZ; its depressions and equal rings nest (read off with ogrinfo: 14 depths). */
Test(import, kmz)
{
    struct lw_import_options o;
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    char folder[300], path[600];

    chart_test_folder(folder, sizeof folder);
    lw_import_options_clear(&o);
    lw_test_data(path, sizeof path, "lakes/crystal.kmz");
    o.map[0].path = path;
    o.maps = 1;
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(levels(chart), 14);
    cr_assert_eq(chart->contours, 17);
    cr_assert_float_eq(chart->deepest_m, 19.812, 1e-6);
    lw_chart_free(chart);
}
