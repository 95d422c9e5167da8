/* Several files of one lake, and several layers of one file: each for what it is. */
#include "chart_test.h"

#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#define LAT 45.0
#define LON 15.0

static char folder[300], path[8][400];
static int paths;

static void setup(void)
{
    chart_test_folder(folder, sizeof folder);
    paths = 0;
}

static const char *named(const char *name)
{
    snprintf(path[paths], sizeof path[0], "%s/%s", folder, name);
    return path[paths++];
}

static struct lw_import_options files(int n)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    for (int i = 0; i < n; i++)
        o.map[i].path = path[i];
    o.maps = n;
    return o;
}

/* A bowl: the shore at 300 m, 0.02 of slope. */
static double bowl_m(double radius_m)
{
    return (300 - radius_m) * 0.02;
}

static void contours(const char *name, double from_m)
{
    FILE *file = chart_test_map(named(name));
    char text[60];

    for (double r = from_m; r > 0; r -= 50) {
        snprintf(text, sizeof text, "\"DEPTH_M\":%g", bowl_m(r));
        chart_test_ring(file, LAT, LON, r, text);
    }
    chart_test_map_end(file);
}

static void shore(const char *name, double radius_m, const char *properties)
{
    FILE *file = chart_test_map(named(name));

    chart_test_ring(file, LAT, LON, radius_m, properties);
    chart_test_map_end(file);
}

/* Soundings each 15 m, in a square about the lake; `slope` as told. */
static void soundings(const char *name, double least_m, double most_m)
{
    FILE *file = fopen(named(name), "w");

    cr_assert_not_null(file);
    fprintf(file, "lat,lon,depth_m\n");
    for (double e = -345; e <= 345; e += 15)
        for (double n = -345; n <= 345; n += 15) {
            double r = hypot(e, n);
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, atan2(e, n) * 180 / M_PI, r);

            if (r >= least_m && r <= most_m)
                fprintf(file, "%.8f,%.8f,%.3f\n", at.lat_deg, at.lon_deg, fabs(bowl_m(r)));
        }
    fclose(file);
}

static double depth_at(const struct lw_chart *chart, double bearing_deg, double radius_m)
{
    struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, bearing_deg, radius_m);

    return chart_test_depth(chart, at.lat_deg, at.lon_deg);
}

static struct lw_chart *read_well(const struct lw_import_options *o,
                                  struct lw_import_report *report)
{
    struct lw_chart *chart;
    struct lw_error err;

    cr_assert_eq(chart_test_read(o, &chart, report, &err), 0, "%s", err.text);
    return chart;
}

static void refused(const struct lw_import_options *o, const char *why)
{
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;

    cr_assert_eq(chart_test_read(o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, why), "%s", err.text);
}

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
    cr_assert(chart_test_warned(&report, "the contours have their own shore"));
    cr_assert_gt(depth_at(chart, 0, 100), 3);
    cr_assert_float_eq(chart->area_m2, 36 * 300 * 300 * sin(5 * M_PI / 180), 200);
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
    cr_assert_eq(lw_features_nearest_hazard(&chart->features,
                                            lw_frame_to_en(&chart->frame, (struct lw_ll){LAT, LON}),
                                            &dist_m),
                 0);
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

static OGRLayerH add_layer(GDALDatasetH data, const char *name, OGRwkbGeometryType type,
                           const char *field, OGRFieldType kind)
{
    OGRSpatialReferenceH wgs84 = OSRNewSpatialReference(NULL);
    OGRFieldDefnH defn = OGR_Fld_Create(field, kind);
    OGRLayerH layer;

    OSRImportFromEPSG(wgs84, 4326);
    OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
    layer = GDALDatasetCreateLayer(data, name, wgs84, type, NULL);
    cr_assert_not_null(layer);
    cr_assert_eq(OGR_L_CreateField(layer, defn, TRUE), OGRERR_NONE);
    OGR_Fld_Destroy(defn);
    OSRRelease(wgs84);
    return layer;
}

static void add_feature(OGRLayerH layer, const char *text, double radius_m, bool place)
{
    OGRFeatureH feature = OGR_F_Create(OGR_L_GetLayerDefn(layer));
    OGRGeometryH shape = OGR_G_CreateGeometry(place ? wkbPoint : wkbLineString);

    for (int k = 0; k <= (place ? 0 : 72); k++) {
        struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 5 * (k % 72), radius_m);

        OGR_G_AddPoint_2D(shape, at.lon_deg, at.lat_deg);
    }
    OGR_F_SetFieldString(feature, 0, text);
    OGR_F_SetGeometryDirectly(feature, shape);
    cr_assert_eq(OGR_L_CreateFeature(layer, feature), OGRERR_NONE);
    OGR_F_Destroy(feature);
}

Test(several, layers_of_one_geopackage, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    GDALDatasetH data;
    OGRLayerH layer;

    GDALAllRegister();
    data = GDALCreate(GDALGetDriverByName("GPKG"), named("lake.gpkg"), 0, 0, 0, GDT_Unknown, NULL);
    cr_assert_not_null(data);
    layer = add_layer(data, "roads", wkbLineString, "surface", OFTString);
    add_feature(layer, "asphalt", 500, false);
    layer = add_layer(data, "contours", wkbLineString, "depth_ft", OFTReal);
    add_feature(layer, "5", 250, false);
    add_feature(layer, "10", 150, false);
    layer = add_layer(data, "shoreline", wkbLineString, "source", OFTString);
    add_feature(layer, "air photo", 300, false);
    layer = add_layer(data, "spot_soundings", wkbPoint, "depth_m", OFTReal);
    add_feature(layer, "4.1", 50, true);
    layer = add_layer(data, "hazards", wkbPoint, "type", OFTString);
    add_feature(layer, "snag", 200, true);
    add_feature(layer, "buoy", 210, true);
    layer = add_layer(data, "plants", wkbPoint, "species", OFTString);
    add_feature(layer, "coontail", 220, true);
    GDALClose(data);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 3);
    cr_assert_float_eq(chart->contour[0].depth_m, 0, 1e-9);
    cr_assert_float_eq(chart->contour[2].depth_m, 3.048, 1e-9);
    cr_assert_eq(chart->soundings, 1);
    cr_assert_float_eq(depth_at(chart, 0, 50), 4.1, 0.3, "%g", depth_at(chart, 0, 50));
    cr_assert_eq(chart->features.hazards, 2, "all of a layer of hazards are hazards");
    cr_assert_eq(chart->features.covers, 1);
    cr_assert_eq(chart->features.cover[0].kind, LW_COVER_WEED);
    cr_assert(chart_test_warned(&report, "not read: roads"));
    cr_assert(chart_test_warned(&report, "layer shoreline is taken for the shore"));
    cr_assert_str_eq(chart->depth_field, "depth_ft");
    lw_chart_free(chart);
}

/* A grid of the bowl, its land at -9999: by itself, and with a shore and a rock beside it. */
Test(several, a_grid_beside_a_shore_and_hazards, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_frame frame = {{LAT, LON}};
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

/* Maine's statewide soundings: points with DEPTHM and the lake's name. */
Test(several, named_soundings_out_of_many, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file = chart_test_map(named("soundings.geojson"));

    for (int lake = 0; lake < 3; lake++)
        for (int k = 0; k < 300; k++) {
            double e = k % 20 * 15, n = k / 20 * 15; /* 285 by 210 m */
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT + 0.1 * lake, LON},
                                             atan2(e, n) * 180 / M_PI, hypot(e, n));

            fprintf(file,
                    "%s{\"type\":\"Feature\",\"properties\":{\"LAKE_NAME\":\"Lake %d\",\"DEPTHM\":"
                    "%.2f},\"geometry\":{\"type\":\"Point\",\"coordinates\":[%.7f,%.7f]}}",
                    lake || k ? "," : "", lake, 3 + lake + k % 7 * 0.1, at.lon_deg, at.lat_deg);
        }
    chart_test_map_end(file);
    o = files(1);
    refused(&o, "3 lakes (Lake 0, Lake 1, Lake 2)");
    o.lake = "lake 2";
    chart = read_well(&o, &report);
    cr_assert_str_eq(chart->lake, "Lake 2");
    cr_assert_eq(chart->soundings, 300, "%zu", chart->soundings);
    cr_assert_float_eq(chart->deepest_m, 5.6, 1e-6);
    cr_assert_float_eq(chart->area_m2, 285 * 210, 0.12 * 285 * 210, "%g", chart->area_m2);
    lw_chart_free(chart);
    o.lake = NULL;
    o.at = (struct lw_ll){LAT + 0.1, LON};
    chart = read_well(&o, &report);
    cr_assert_str_eq(chart->lake, "Lake 1");
    cr_assert_eq(chart->soundings, 300, "%zu", chart->soundings);
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

Test(several, longitudes_from_0_to_360, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file = chart_test_map(named("lake.geojson"));

    for (int k = 0; k < 3; k++) {
        fprintf(file,
                "%s{\"type\":\"Feature\",\"properties\":{\"DEPTH_M\":%d},\"geometry\":{\"type\":"
                "\"LineString\",\"coordinates\":[",
                k ? "," : "", k);
        for (int i = 0; i <= 72; i++) {
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, -93}, 5 * (i % 72), 300 - 90 * k);

            fprintf(file, "%s[%.8f,%.8f]", i ? "," : "", at.lon_deg + 360, at.lat_deg);
        }
        fprintf(file, "]}}");
    }
    chart_test_map_end(file);
    o = files(1);
    o.at = (struct lw_ll){LAT, -93};
    chart = read_well(&o, &report);
    cr_assert_float_eq(chart->frame.origin.lon_deg, -93, 1e-5);
    cr_assert_eq(chart->contours, 3);
    lw_chart_free(chart);
}

Test(several, latitude_given_first, .init = setup)
{
    struct lw_import_options o;
    FILE *file = fopen(named("lake.geojson"), "w");

    fprintf(file, "{\"type\":\"Feature\",\"properties\":{\"depth_m\":3},\"geometry\":{\"type\":"
                  "\"Polygon\",\"coordinates\":[[[45.0,-93.0],[45.01,-93.0],[45.01,-93.01],"
                  "[45.0,-93.0]]]}}");
    fclose(file);
    o = files(1);
    refused(&o, "exchanged");
}
