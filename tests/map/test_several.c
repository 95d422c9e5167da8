/* Several files of one lake, each for what it is. */
#include "bowl_test.h"

Test(several, contours_and_a_shoreline, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    contours("contours.geojson", 250);
    shore("shoreline.geojson", 300, "\"OBJECTID\":7");
    o = files(2);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 6);
    cr_assert_float_eq(chart->contour[0].depth_m, 0, 1e-9);
    /* 72 corners: 36 r^2 sin 5 degrees */
    cr_assert_float_eq(chart->area_m2, 36 * 300 * 300 * sin(5 * M_PI / 180), 200);
    cr_assert_float_eq(depth_at(chart, 40, 275), bowl_m(275), 0.1);
    cr_assert(chart_test_warned(&report, "shoreline.geojson has no depths: its lines are taken for "
                                         "the shore, at depth 0"));
    cr_assert_not(chart_test_warned(&report, "no shore"));
    cr_assert_not_null(strstr(report.summary, "5 contour depths, 1 to 5 m"), "%s", report.summary);
    cr_assert_not_null(strstr(report.summary, "; shore from shoreline.geojson"), "%s",
                       report.summary);
    cr_assert_not_null(strstr(chart->source, "contours.geojson, "), "%s", chart->source);
    lw_chart_free(chart);
    o.map[0].path = path[1]; /* in the other order it is the same lake */
    o.map[1].path = path[0];
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 6);
    lw_chart_free(chart);
}

Test(several, a_shore_alone_is_no_map, .init = setup)
{
    struct lw_import_options o;

    shore("lake_shoreline.geojson", 300, "\"PERIMETER\":\"long\"");
    o = files(1);
    refused(&o, "could be depths");
}

/* A second shore close to the first would be an island as large as the lake. */
Test(several, a_shore_beside_contours_that_have_one, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    contours("contours.geojson", 300);
    shore("shoreline.geojson", 290, "\"OBJECTID\":7");
    o = files(2);
    chart = read_well(&o, &report);
    cr_assert(chart_test_warned(&report, "the shore is known already"));
    cr_assert_gt(depth_at(chart, 0, 100), 3);
    cr_assert_float_eq(chart->area_m2, 36 * 300 * 300 * sin(5 * M_PI / 180), 200);
    lw_chart_free(chart);
}

Test(several, islands_are_no_second_shore, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file;
    struct lw_ll isle = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 120);

    contours("contours.geojson", 250);
    shore("shoreline.geojson", 300, "\"OBJECTID\":7");
    shore("waterbody.geojson", 295, "\"OBJECTID\":8"); /* the same from another survey */
    file = chart_test_map(named("islands.geojson"));
    chart_test_ring(file, isle.lat_deg, isle.lon_deg, 20, "\"OBJECTID\":9");
    chart_test_map_end(file);
    o = files(4);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 7);
    cr_assert(isnan(depth_at(chart, 90, 120)), "the island");
    cr_assert_gt(depth_at(chart, 270, 120), 3);
    cr_assert(chart_test_warned(&report, "the lines of waterbody.geojson were left out"));
    lw_chart_free(chart);
}

/* Contours whose depths are in no attribute are not a shore with islands and ponds. */
Test(several, nested_rings_are_no_shore, .init = setup)
{
    struct lw_import_options o;
    FILE *file;

    soundings("soundings.csv", 0, 300);
    file = chart_test_map(named("rings.geojson"));
    for (int r = 300; r > 100; r -= 50)
        chart_test_ring(file, LAT, LON, r, "\"OBJECTID\":7");
    chart_test_map_end(file);
    o = files(2);
    refused(&o, "looks like contours");
}

Test(several, soundings_and_a_shoreline, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    soundings("soundings.csv", 0, 340); /* some of them on land */
    shore("shoreline.geojson", 300, "\"OBJECTID\":7");
    o = files(2);
    chart = read_well(&o, &report);
    cr_assert(isnan(depth_at(chart, 100, 320)), "soundings on land make no water");
    for (int r = 40; r < 300; r += 40)
        cr_assert_float_eq(depth_at(chart, r, r), bowl_m(r), 0.15, "%d m: %g", r,
                           depth_at(chart, r, r));
    cr_assert(chart_test_warned(&report, "soundings outside the water"));
    cr_assert_gt(chart->soundings, 1200);
    cr_assert_lt(chart->soundings, 1300, "pi 20^2 = 1257 inside");
    cr_assert_float_eq(chart->deepest_m, 6, 0.01);
    lw_chart_free(chart);
}

/* Where no shore is known the water ends with the soundings, and as deep as they are there. */
Test(several, soundings_alone_end_without_a_shore, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;

    soundings("soundings.csv", 0, 200); /* 2 m deep at the rim */
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert(chart_test_warned(&report, "no shore is known"));
    cr_assert_eq(chart->contours, 0, "none is invented");
    for (int turn = 0; turn < 360; turn += 20) {
        cr_assert_float_eq(depth_at(chart, turn, 180), bowl_m(180), 0.2, "%d: %g", turn,
                           depth_at(chart, turn, 180));
        cr_assert_float_eq(depth_at(chart, turn, 100), bowl_m(100), 0.15);
        cr_assert(isnan(depth_at(chart, turn, 235)), "%d", turn);
    }
    cr_assert_float_eq(chart->area_m2, M_PI * 200 * 200, 0.12 * M_PI * 200 * 200, "%g",
                       chart->area_m2);
    lw_chart_free(chart);
}

/* A fix far off is left out; two lakes ask which one. */
Test(several, soundings_far_apart, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file;

    soundings("soundings.csv", 0, 200);
    file = fopen(path[0], "a");
    fprintf(file, "45.3,15.0,2\n45.3,15.00001,2\n");
    fclose(file);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_lt(chart->grid.nx, 300);
    cr_assert(chart_test_warned(&report, "2 soundings outside the water"));
    lw_chart_free(chart);
    file = fopen(path[0], "a");
    for (int k = 0; k < 400; k++)
        fprintf(file, "%.6f,%.6f,%d\n", 45.3 + k / 20 * 1e-4, 15 + k % 20 * 1.4e-4, 7);
    fclose(file);
    refused(&o, "2 waters that lie far apart");
    o.at = (struct lw_ll){45.301, 15.001};
    chart = read_well(&o, &report);
    cr_assert_float_eq(chart->deepest_m, 7, 1e-6);
    lw_chart_free(chart);
}

Test(several, contours_with_soundings_inside, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_ll hole = lw_geodesic_to((struct lw_ll){LAT, LON}, 0, 25);
    FILE *file;

    contours("contours.geojson", 300);
    file = fopen(named("hole.csv"), "w");
    fprintf(file, "latitude,longitude,depth (m)\n%.8f,%.8f,5.7\n%.8f,%.8f,5.9\n", hole.lat_deg,
            hole.lon_deg, hole.lat_deg, hole.lon_deg);
    fclose(file);
    o = files(2);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->soundings, 1, "two at one place are one");
    cr_assert_not_null(strstr(report.summary, "2 soundings, 5.7 to 5.9 m"), "%s", report.summary);
    cr_assert_float_eq(chart_test_depth(chart, hole.lat_deg, hole.lon_deg), 5.8, 0.25);
    lw_chart_free(chart);
}

Test(several, statewide_shores_beside_one_lake, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file;

    contours("contours.geojson", 250);
    file = chart_test_map(named("waterbodies.geojson"));
    for (int k = -3; k <= 3; k++) /* lakes in a row, 800 m apart */
        chart_test_ring(file, LAT, LON + k * 0.01015, 300, "\"NAME\":\"Pond\"");
    chart_test_map_end(file);
    o = files(2);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 6, "%zu", chart->contours);
    cr_assert_float_eq(chart->area_m2, 36 * 300 * 300 * sin(5 * M_PI / 180), 200);
    lw_chart_free(chart);
}

Test(several, hazards_and_bottom, .init = setup)
{
    static struct lw_crew_cover crew[] = {{{LAT, LON}, LW_COVER_WOOD}, {{LAT + 1, LON}, 0}};
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_ll rock = lw_geodesic_to((struct lw_ll){LAT, LON}, 90, 100);
    double dist_m;
    FILE *file;

    contours("contours.geojson", 300);
    file = chart_test_map(named("hazards.geojson"));
    fprintf(file,
            "{\"type\":\"Feature\",\"properties\":{\"kind\":\"rock\",\"depth_m\":0.4,\"name\":"
            "\"Old \\u001b[2JTom\"},\"geometry\":{\"type\":\"Point\",\"coordinates\":[%.8f,%.8f]}},"
            "{\"type\":\"Feature\",\"properties\":{\"kind\":\"stumps\",\"depth_m\":1.4},"
            "\"geometry\":{\"type\":\"Point\",\"coordinates\":[%.8f,46]}}",
            rock.lon_deg, rock.lat_deg, LON);
    chart_test_map_end(file);
    file = chart_test_map(named("substrate.geojson"));
    chart_test_ring(file, LAT, LON, 60, "\"substrate\":\"Gravel and cobble\"");
    chart_test_ring(file, LAT, LON, 200, "\"substrate\":\"muck\"");
    chart_test_map_end(file);
    o = files(3);
    o.stage_m = 0.5;
    o.crew = crew;
    o.crews = 2;
    chart = read_well(&o, &report);
    cr_assert_eq(chart->features.hazards, 1, "the stumps are a degree off");
    cr_assert_eq(chart->features.hazard[0].kind, LW_HAZARD_ROCK);
    cr_assert_float_eq(chart->features.hazard[0].depth_m, 0.9, 1e-9, "with the stage");
    cr_assert_null(strchr(chart->features.hazard[0].words, 27), "no escape gets through");
    cr_assert_not_null(strstr(chart->features.hazard[0].words, "Tom"));
    dist_m = lw_feature_distance(&chart->features.hazard[0].line,
                                 lw_frame_to_en(&chart->frame, (struct lw_ll){LAT, LON}), NULL);
    cr_assert_float_eq(dist_m, 100, 0.1);
    cr_assert_eq(chart->features.covers, 3);
    cr_assert(chart->features.cover[2].crew);
    cr_assert_eq(
        lw_features_cover_at(&chart->features, lw_frame_to_en(&chart->frame, rock), 5, NULL),
        LW_COVER_MUD);
    cr_assert_not_null(strstr(report.summary, "1 hazard"), "%s", report.summary);
    cr_assert_not_null(strstr(report.summary, "2 places of bottom"), "%s", report.summary);
    lw_chart_free(chart);
}

/* A grid of the bowl, its land at -9999: by itself, and with a shore and a rock beside it. */
Test(several, a_grid_beside_a_shore_and_hazards, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_frame frame = {{LAT, LON}};
    struct lw_track track = {.name = "trip", .stage_m = 0};
    double step = 1e-4, lon0 = LON - 50 * step, lat0 = LAT - 40 * step;
    FILE *file = fopen(named("bowl.asc"), "w");

    fprintf(file,
            "ncols 100\nnrows 80\nxllcorner %.8f\nyllcorner %.8f\ncellsize %.8f\n"
            "NODATA_value -9999\n",
            lon0, lat0, step);
    for (int i = 79; i >= 0; i--)
        for (int j = 0; j < 100; j++) {
            struct lw_ll at = {lat0 + (i + 0.5) * step, lon0 + (j + 0.5) * step};
            struct lw_en en = lw_frame_to_en(&frame, at);
            double depth_m = bowl_m(hypot(en.e_m, en.n_m));

            fprintf(file, "%.3f%s", depth_m > 0 ? depth_m : -9999, j == 99 ? "\n" : " ");
        }
    fclose(file);
    file = chart_test_map(named("hazards.geojson"));
    fprintf(file, "{\"type\":\"Feature\",\"properties\":{\"note\":\"awash\"},\"geometry\":{"
                  "\"type\":\"Point\",\"coordinates\":[15.001,45.001]}}");
    chart_test_map_end(file);
    o = files(2);
    o.map[0].crs = "EPSG:4326";
    o.map[0].depth_unit = "m";
    chart = read_well(&o, &report);
    cr_assert_eq(chart->features.hazards, 1);
    cr_assert_str_eq(chart->features.hazard[0].words, "awash");
    cr_assert_float_eq(depth_at(chart, 30, 150), bowl_m(150), 0.1);
    lw_chart_free(chart);
    for (int k = 0; k < 400; k++) { /* a hole of 2 m in the middle */
        double along = -200 + k, depth_m = bowl_m(fabs(along)) + (fabs(along) < 30 ? 2 : 0);
        struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, along < 0 ? 270 : 90,
                                         fabs(along));

        cr_assert_eq(lw_track_add(&track, (struct lw_track_sounding){at, 1000 * k, depth_m}), 0);
    }
    o.track = &track;
    o.tracks = 1;
    chart = read_well(&o, &report);
    cr_assert_gt(depth_at(chart, 90, 10), 7, "%g", depth_at(chart, 90, 10));
    cr_assert_float_eq(depth_at(chart, 0, 150), bowl_m(150), 0.15);
    lw_chart_free(chart);
    lw_track_free(&track);
    o.tracks = 0;
    shore("shoreline.geojson", 280, "\"OBJECTID\":7"); /* drawn when the water was lower */
    o.map[2].path = path[2];
    o.maps = 3;
    chart = read_well(&o, &report);
    cr_assert_eq(chart->features.hazards, 1);
    cr_assert_gt(chart->soundings, 1000);
    cr_assert_float_eq(depth_at(chart, 30, 150), bowl_m(150), 0.15);
    cr_assert(isnan(depth_at(chart, 30, 290)), "the shore given counts");
    cr_assert_float_eq(chart->area_m2, 36 * 280 * 280 * sin(5 * M_PI / 180), 200);
    lw_chart_free(chart);
}

/* A file of one lake without a name beside one that names it. */
Test(several, a_name_known_to_one_file, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file;

    shore("lake_outline.geojson", 300, "\"OBJECTID\":7");
    file = chart_test_map(named("contours.geojson"));
    for (int k = 0; k < 4; k++) {
        char text[80];

        snprintf(text, sizeof text, "\"LAKE_NAME\":\"%s\",\"DEPTH_M\":%d", k < 2 ? "Tarn" : "Mere",
                 1 + k % 2);
        chart_test_ring(file, k < 2 ? LAT : LAT + 0.02, LON, 250 - 100 * (k % 2), text);
    }
    chart_test_map_end(file);
    o = files(2);
    o.lake = "tarn";
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 3, "%zu", chart->contours);
    cr_assert_str_eq(chart->lake, "Tarn");
    lw_chart_free(chart);
    o.lake = "nowhere";
    refused(&o, "no lake nowhere");
}

/* The boat found a hole of 8 m that contours to 5 m do not show. */
Test(several, the_boats_own_track, .init = setup)
{
    struct lw_import_report report;
    struct lw_track track = {.name = "trip", .stage_m = 0.2};
    struct lw_import_options o;
    struct lw_chart *chart;

    contours("contours.geojson", 300);
    o = files(1);
    for (int k = 0; k < 400; k++) {
        double along = -200 + k, depth_m = bowl_m(fabs(along)) + (fabs(along) < 30 ? 2 : 0);
        struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, along < 0 ? 270 : 90,
                                         fabs(along));

        cr_assert_eq(lw_track_add(&track, (struct lw_track_sounding){at, 1000 * k, depth_m + 0.2}),
                     0);
    }
    chart = read_well(&o, &report);
    cr_assert_lt(depth_at(chart, 90, 10), 6.1);
    cr_assert_eq(chart->soundings, 0);
    lw_chart_free(chart);
    o.track = &track;
    o.tracks = 1;
    o.stage_m = -0.5;
    chart = read_well(&o, &report);
    cr_assert_gt(chart->soundings, 100);
    cr_assert_float_eq(depth_at(chart, 90, 10), bowl_m(10) + 2 - 0.5, 0.3, "%g",
                       depth_at(chart, 90, 10));
    cr_assert_float_eq(chart->contour[0].depth_m, 0.5, 1e-6, "what was 1 m");
    lw_chart_free(chart);
    lw_track_free(&track);
}
