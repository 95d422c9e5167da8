/* Which lake, which lines, which depths: maps made on the spot. */
#include "map_test.h"

#define LAT  45.0
#define LON  15.0
#define EAST (LON + 0.02) /* 1576 m to the east */

static char folder[300], map[400];

static void setup(void)
{
    chart_test_folder(folder, sizeof folder);
    snprintf(map, sizeof map, "%s/lake.geojson", folder);
}

static struct lw_import_options options(void)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    o.map[0].path = map;
    o.maps = 1;
    return o;
}

/* Two lakes beside one another, without a name. */
static void two_lakes(const char *name_a, const char *name_b)
{
    FILE *file = chart_test_map(map);
    char text[100];

    for (int k = 0; k < 3; k++) {
        snprintf(text, sizeof text, "\"DEPTH_M\":%d%s", 3 * k, name_a);
        chart_test_ring(file, LAT, LON, 300 - 80 * k, text);
        snprintf(text, sizeof text, "\"DEPTH_M\":%d%s", 5 * k, name_b);
        chart_test_ring(file, LAT, EAST, 400 - 80 * k, text);
    }
    chart_test_map_end(file);
}

Test(pick, unnamed_lakes_by_place, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;

    two_lakes("", "");
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "2 separate waters"), "%s", err.text);
    o.at = (struct lw_ll){LAT, LON};
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3);
    cr_assert_float_eq(chart->deepest_m, 6, 1e-9);
    lw_chart_free(chart);
    o.at = (struct lw_ll){LAT, EAST - 0.0052}; /* on land, 10 m off the second lake's shore */
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 10, 1e-9);
    lw_chart_free(chart);
}

Test(pick, named_lakes_by_name, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;

    two_lakes(",\"LAKE_NAME\":\"Tarn Pool\"", ",\"LAKE_NAME\":\"Tarn Mere\"");
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "Tarn Mere, Tarn Pool"), "%s", err.text);
    o.lake = "mere";
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_str_eq(chart->lake, "Tarn Mere");
    cr_assert_float_eq(chart->deepest_m, 10, 1e-9);
    lw_chart_free(chart);
    o.lake = "tarn";
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "2 lakes that fit tarn"), "%s", err.text);
    o.at = (struct lw_ll){LAT, LON};
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_str_eq(chart->lake, "Tarn Pool");
    lw_chart_free(chart);
}

Test(pick, pieces_of_lines_without_a_shore, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    for (int k = 1; k <= 3; k++) {
        char text[60];

        snprintf(text, sizeof text, "\"DEPTH\":\"%d FEET\"", 5 * k);
        chart_test_arc(file, LAT, LON, 300 - 60 * k, 10, 130, false, text);
        chart_test_arc(file, LAT, LON, 300 - 60 * k, 250, 130, false, text);
        chart_test_arc(file, LAT, LON, 300 - 60 * k, 250, 370, false, text);
    }
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3);
    for (int i = 0; i < 3; i++)
        cr_assert(chart->contour[i].line.closed);
    cr_assert_float_eq(chart->deepest_m, 4.572, 1e-9);
    cr_assert(chart_test_warned(&report, "no shore"));
    cr_assert_not_null(strstr(report.summary, "the values say feet"), "%s", report.summary);
    cr_assert(isnan(chart_test_depth(chart, LAT + 250 / 111130.0, LON)), "off the outer contour");
    cr_assert_geq(chart_test_depth(chart, LAT, LON), 4.5);
    lw_chart_free(chart);
}

Test(pick, pieces_of_lines_by_place, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    for (int k = 0; k < 3; k++) {
        char text[60];

        for (int lake = 0; lake < 2; lake++) {
            snprintf(text, sizeof text, "\"DEPTH_M\":%d", (2 + 3 * lake) * k);
            for (int turn = 0; turn < 360; turn += 90)
                chart_test_arc(file, LAT, lake ? EAST : LON, 600 - 60 * k, turn, turn + 90, false,
                               text);
        }
    }
    chart_test_map_end(file);
    o.at = (struct lw_ll){LAT, LON}; /* 480 m from the nearest line */
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3, "%zu", chart->contours);
    cr_assert_float_eq(chart->deepest_m, 4, 1e-9);
    lw_chart_free(chart);
    o.at = (struct lw_ll){LAT, EAST};
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3, "%zu", chart->contours);
    cr_assert_float_eq(chart->deepest_m, 10, 1e-9);
    lw_chart_free(chart);
}

Test(pick, lines_that_bound_nothing_are_said, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    chart_test_arc(file, LAT, LON, 400, 0, 200, false, "\"DEPTH_M\":0"); /* cut by the map's edge */
    chart_test_arc(file, LAT, LON, 300, 0, 360, false, "\"DEPTH_M\":2");
    chart_test_arc(file, LAT, LON, 200, 0, 300, false, "\"DEPTH_M\":4");
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert(chart_test_warned(&report, "1 lines that do not close and lie in no closed contour"));
    cr_assert(chart_test_warned(&report, "1 lines do not close even joined"));
    cr_assert(chart_test_warned(&report, "no shore"));
    cr_assert_eq(chart->contours, 2);
    cr_assert_gt(chart_test_depth(chart, LAT, LON), 3);
    lw_chart_free(chart);
}

Test(pick, namesakes_far_apart, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    for (int k = 0; k < 3; k++) {
        char text[80];

        snprintf(text, sizeof text, "\"LAKE_NAME\":\"Mud Lake\",\"DEPTH_M\":%d", k);
        chart_test_ring(file, LAT, LON, 200 - 50 * k, text);
        chart_test_ring(file, LAT + 0.1, LON, 180 - 50 * k, text);
        chart_test_ring(file, LAT, LON + 0.007, 150 - 50 * k, text); /* a basin beside the first */
    }
    chart_test_map_end(file);
    o.lake = "Mud Lake";
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "2 waters of that name"), "%s", err.text);
    o.at = (struct lw_ll){LAT, LON};
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 6, "both basins, not the namesake: %zu", chart->contours);
    lw_chart_free(chart);
}

Test(pick, shoal_and_island_as_areas_on_deeper_ones, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);
    double lat = LAT + 100 / 111130.0, depth;

    chart_test_ring(file, lat, LON, 20, "\"depth_m\":0"); /* in no order */
    chart_test_ring(file, LAT, LON, 250, "\"depth_m\":3");
    chart_test_ring(file, LAT, LON, 300, "\"depth_m\":0");
    chart_test_ring(file, lat, LON, 60, "\"depth_m\":3");
    chart_test_ring(file, LAT, LON, 200, "\"depth_m\":6");
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert(isnan(chart_test_depth(chart, lat, LON)), "the island");
    depth = chart_test_depth(chart, LAT + 140 / 111130.0, LON);
    cr_assert(depth >= 0 && depth <= 3, "the shoal: %g", depth);
    depth = chart_test_depth(chart, LAT - 100 / 111130.0, LON);
    cr_assert(depth > 3 && depth < 9, "the basin, between its ring and the shoal's: %g", depth);
    /* pi (300^2 - 20^2), less what 72 corners cut off a circle */
    cr_assert_float_eq(chart->area_m2, M_PI * (90000 - 400), 500);
    /* Deep side left: the shore counter-clockwise, the island clockwise. */
    for (size_t i = 0; i < chart->contours; i++) {
        double area = lw_line_area(&chart->contour[i].line);
        bool rising = fabs(area) < M_PI * 70 * 70;

        cr_assert_eq(area < 0, rising, "%g m2 at %g m", area, chart->contour[i].depth_m);
    }
    lw_chart_free(chart);
}

Test(pick, holes, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    /* Two bands cut out of one another, the way of depth areas: the hole of the outer one is the
     * edge of the inner one, at its depth. And an island as a hole in the inner one. */
    for (int k = 0; k < 2; k++) {
        const double radius[2][2] = {{300, 200}, {200, 30}};

        fprintf(file,
                "%s{\"type\":\"Feature\",\"properties\":{\"depth_m\":%d},\"geometry\":{"
                "\"type\":\"Polygon\",\"coordinates\":[",
                k ? "," : "", k * 4);
        for (int ring = 0; ring < 2; ring++) {
            fprintf(file, "%s[", ring ? "," : "");
            for (int i = 0; i <= 72; i++) {
                struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 5 * (i % 72),
                                                 radius[k][ring]);

                fprintf(file, "%s[%.8f,%.8f]", i ? "," : "", at.lon_deg, at.lat_deg);
            }
            fprintf(file, "]");
        }
        fprintf(file, "]}}");
    }
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3, "%zu", chart->contours);
    cr_assert_float_eq(chart_test_depth(chart, LAT + 200 / 111130.0, LON), 4, 0.1);
    lw_chart_free(chart);
}

Test(pick, reservoir_by_its_level, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    chart_test_ring(file, LAT, LON, 300, "\"Elevation\":\"1210\",\"Elev_ft\":1210");
    chart_test_ring(file, LAT, LON, 250, "\"Elevation\":\"1200\",\"Elev_ft\":1200");
    chart_test_ring(file, LAT, LON, 200, "\"Elevation\":\"1190\",\"Elev_ft\":1190");
    chart_test_ring(file, LAT, LON, 150, "\"Elevation\":\"1180\",\"Elev_ft\":1180");
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "--water-level"), "%s", err.text);
    o.map[0].water_level_m = 1200 * 0.3048;
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart->deepest_m, 20 * 0.3048, 1e-9);
    cr_assert(chart_test_warned(&report, "above the water"));
    lw_chart_free(chart);
    o.map[0].water_level_m = 1170 * 0.3048;
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "no contour below the water"), "%s", err.text);
}

/* Every ring twice: the second shore is no island as large as the lake. */
Test(pick, rings_given_twice_count_once, .init = setup)
{
    static const double radius[] = {300, 250, 200};
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    for (int i = 0; i < 6; i++) {
        char depth[40];

        snprintf(depth, sizeof depth, "\"Depth_ft\":%d", 5 * (i / 2));
        chart_test_ring(file, LAT, LON, radius[i / 2], depth);
    }
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3, "%zu", chart->contours);
    /* A regular polygon of 72 corners: 36 r^2 sin 5 degrees. */
    cr_assert_float_eq(chart->area_m2, 36 * 300 * 300 * sin(5 * M_PI / 180), 100);
    cr_assert_float_eq(chart_test_depth(chart, LAT + 275 / 111130.0, LON), 2.5 * 0.3048, 0.15);
    lw_chart_free(chart);
}

/* An island that is cut out of the shore's area and of every deeper one about it: its own
 * border is at 0, whichever area's hole it is. */
Test(pick, island_cut_out_of_every_area, .init = setup)
{
    static const double radius[] = {300, 250, 200};
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    for (int i = 0; i < 3; i++) {
        fprintf(file,
                "%s{\"type\":\"Feature\",\"properties\":{\"Depth_ft\":%d},\"geometry\":{\"type\":"
                "\"Polygon\",\"coordinates\":[",
                i ? "," : "", 5 * i);
        for (int hole = 0; hole < 2; hole++) {
            fprintf(file, "%s[", hole ? "," : "");
            for (int k = 0; k <= 72; k++) {
                struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 5.0 * (k % 72),
                                                 hole ? 20 : radius[i]);

                fprintf(file, "%s[%.8f,%.8f]", k ? "," : "", at.lon_deg, at.lat_deg);
            }
            fprintf(file, "]");
        }
        fprintf(file, "]}}");
    }
    chart_test_map_end(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 4, "%zu", chart->contours);
    cr_assert(isnan(chart_test_depth(chart, LAT, LON)), "land");
    cr_assert_float_eq(chart->area_m2, 36 * (300 * 300 - 20 * 20) * sin(5 * M_PI / 180), 100);
    lw_chart_free(chart);
}

/* On the bank nobody minds; a slip of the pen is worth a word. */
Test(pick, place_outside_the_water, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = chart_test_map(map);

    chart_test_ring(file, LAT, LON, 300, "\"Depth_ft\":0");
    chart_test_ring(file, LAT, LON, 200, "\"Depth_ft\":10");
    chart_test_map_end(file);
    o.at = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 320);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_not(chart_test_warned(&report, "outside the nearest water"));
    lw_chart_free(chart);
    o.at = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 1300);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert(chart_test_warned(&report, "1000 m outside the nearest water"));
    lw_chart_free(chart);
    o.at = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 50000);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "--at"), "%s", err.text);
}

Test(pick, stage_moves_every_depth, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    double before;

    two_lakes("", "");
    o.at = (struct lw_ll){LAT, LON};
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    before = chart_test_depth(chart, LAT + 100 / 111130.0, LON);
    lw_chart_free(chart);
    o.stage_m = -0.5;
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_float_eq(chart_test_depth(chart, LAT + 100 / 111130.0, LON), before - 0.5, 1e-4);
    cr_assert_float_eq(chart->deepest_m, 5.5, 1e-9);
    cr_assert_eq(chart->contours, 2, "the old shore is dry");
    lw_chart_free(chart);
}

Test(pick, projected_numbers_without_a_system, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file = fopen(map, "w");

    fprintf(file, "{\"type\":\"Feature\",\"properties\":{\"depth_m\":3},\"geometry\":{\"type\":"
                  "\"Polygon\",\"coordinates\":[[[566280,286799],[566900,286799],[566900,287300],"
                  "[566280,286799]]]}}");
    fclose(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "--crs"), "%s", err.text);
    o.map[0].crs = "EPSG:3070";
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    lw_chart_free(chart);
    o.map[0].crs = "http://example.invalid/crs";
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, "EPSG"), "%s", err.text);
}

Test(pick, names_in_kml_say_the_depth, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    FILE *file;

    snprintf(map, sizeof map, "%s/lake.kml", folder);
    file = fopen(map, "w");
    fprintf(file, "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>");
    for (int k = 0; k < 3; k++) { /* a folder for each depth */
        fprintf(file,
                "<Folder><name>f%d</name><Placemark><name>%d ft</name><LineString>"
                "<coordinates>",
                k, 5 * k);
        for (int i = 0; i <= 72; i++) {
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 5 * (i % 72), 300 - 80 * k);

            fprintf(file, "%.8f,%.8f ", at.lon_deg, at.lat_deg);
        }
        fprintf(file, "</coordinates></LineString></Placemark></Folder>");
    }
    fprintf(file, "</Document></kml>");
    fclose(file);
    cr_assert_eq(chart_test_read(&o, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(chart->contours, 3);
    cr_assert_float_eq(chart->deepest_m, 3.048, 1e-9);
    lw_chart_free(chart);
}

Test(pick, no_map_and_odd_paths, .init = setup)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;
    static const char *const odd[] = {"/nowhere/lake.shp",
                                      "/vsicurl/http://127.0.0.1:9/lake.shp",
                                      "http://127.0.0.1:9/lake.geojson",
                                      "/dev/zero",
                                      "/tmp",
                                      "PG:dbname=x",
                                      ""};

    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        o.map[0].path = odd[i];
        o.maps = 1;
        cr_assert_eq(chart_test_read(&o, &chart, &report, &err), -1, "%s", odd[i]);
    }
}
