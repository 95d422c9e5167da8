/* Where the water ends when files say it in pieces, twice, or not at all. */
#include "bowl_test.h"

static void one_ring(const char *name, double bearing_deg, double off_m, double radius_m)
{
    FILE *file = chart_test_map(named(name));
    struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, bearing_deg, off_m);

    chart_test_ring(file, at.lat_deg, at.lon_deg, radius_m, "\"OBJECTID\":7");
    chart_test_map_end(file);
}

static void half_shore(const char *name, double from_deg, double to_deg)
{
    FILE *file = chart_test_map(named(name));

    chart_test_arc(file, LAT, LON, 300, from_deg, to_deg, false, "\"OBJECTID\":7");
    chart_test_map_end(file);
}

Test(outlines, a_shore_in_two_files, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    contours("contours.geojson", 250);
    half_shore("east.geojson", 0, 180);
    half_shore("west.geojson", 180, 360);
    o = files(3);
    chart = read_well(&o, &report);
    cr_assert_float_eq(depth_at(chart, 90, 275), bowl_m(275), 0.1);
    cr_assert_float_eq(depth_at(chart, 270, 275), bowl_m(275), 0.1);
    cr_assert_not(chart_test_warned(&report, "left out"));
    lw_chart_free(chart);
}

/* What they are is told by where they lie: nothing in the name says islands. */
Test(outlines, islands_by_their_place, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    one_ring("land.geojson", 90, 120, 20);
    contours("contours.geojson", 250);
    one_ring("shoreline.geojson", 0, 0, 300);
    o = files(3);
    chart = read_well(&o, &report);
    cr_assert(isnan(depth_at(chart, 90, 120)), "the island");
    cr_assert_float_eq(depth_at(chart, 270, 120), bowl_m(120), 0.1);
    cr_assert(chart_test_warned(&report, "land.geojson has no depths: its lines are taken for "
                                         "islands"));
    lw_chart_free(chart);
}

/* The shore of the second file, 12 m off, made an island of all the lake. */
Test(outlines, a_lake_digitised_twice, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 12);
    FILE *file;

    contours("first.geojson", 300);
    file = chart_test_map(named("second.geojson"));
    for (double r = 300; r > 0; r -= 50) {
        char text[60];

        snprintf(text, sizeof text, "\"DEPTH_M\":%g", bowl_m(r));
        chart_test_ring(file, at.lat_deg, at.lon_deg, r, text);
    }
    chart_test_map_end(file);
    o = files(2);
    chart = read_well(&o, &report);
    for (double r = 60; r < 300; r += 45)
        cr_assert_float_eq(depth_at(chart, 200, r), bowl_m(r), 0.2, "%g m at %g m",
                           depth_at(chart, 200, r), r);
    cr_assert(chart_test_warned(&report, "6 contours that another of the maps has as well"));
    lw_chart_free(chart);
}

Test(outlines, the_sign_of_a_gap_is_no_depth, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file = chart_test_map(named("contours.geojson"));

    for (double r = 300; r > 0; r -= 50) {
        char text[60];

        snprintf(text, sizeof text, "\"DEPTH_M\":%g", r == 150 ? -9999 : bowl_m(r));
        chart_test_ring(file, LAT, LON, r, text);
    }
    chart_test_map_end(file);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_float_eq(chart->deepest_m, 5, 0.01);
    cr_assert(chart_test_warned(&report, "1 contours without a depth"));
    lw_chart_free(chart);
}

/* 800 places strewn over the bowl, as anglers' own soundings lie: their gaps are no land. */
static void strewn(const char *name, double lat, double lon)
{
    FILE *file = fopen(named(name), "w");
    unsigned seed = 12345;

    cr_assert_not_null(file);
    fprintf(file, "lat,lon,depth_m\n");
    for (int k = 0; k < 800; k++) {
        double u[2], r;
        struct lw_ll at;

        for (int i = 0; i < 2; i++) {
            seed = seed * 1664525u + 1013904223u;
            u[i] = (seed >> 8) / 16777216.0;
        }
        r = 300 * sqrt(u[0]);
        at = lw_geodesic_to((struct lw_ll){lat, lon}, 360 * u[1], r);
        fprintf(file, "%.8f,%.8f,%.3f\n", at.lat_deg, at.lon_deg, bowl_m(r));
    }
    fclose(file);
}

static void check_strewn(double lat, double lon)
{
    struct lw_import_report report;
    struct lw_import_options o = files(1);
    struct lw_chart *chart = read_well(&o, &report);

    for (int bearing = 0; bearing < 360; bearing += 15)
        for (double r = 10; r < 270; r += 20) {
            struct lw_ll at = lw_geodesic_to((struct lw_ll){lat, lon}, bearing, r);
            double depth_m = chart_test_depth(chart, at.lat_deg, at.lon_deg);

            cr_assert_float_eq(depth_m, bowl_m(r), 0.5, "%g m at %d degrees, %g m", depth_m,
                               bearing, r);
        }
    lw_chart_free(chart);
}

Test(outlines, strewn_soundings, .init = setup)
{
    strewn("soundings.csv", LAT, LON);
    check_strewn(LAT, LON);
}

Test(outlines, soundings_about_longitude_180, .init = setup)
{
    strewn("soundings.csv", -16.8, 180);
    check_strewn(-16.8, 180);
}
