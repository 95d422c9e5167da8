/* Several layers, and mixed geometry, in one file: each for what it is; odd coordinates. */
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include "bowl_test.h"

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

Test(layers, layers_of_one_geopackage, .init = setup)
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
    layer = add_layer(data, "lake_outline", wkbLineString, "source", OFTString);
    add_feature(layer, "another survey", 295, false);
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
    cr_assert(chart_test_warned(&report, "not read: roads, lake_outline"));
    cr_assert(chart_test_warned(&report, "layer shoreline is taken for the shore"));
    cr_assert_str_eq(chart->depth_field, "depth_ft");
    lw_chart_free(chart);
}

/* Everything in one layer of mixed geometry. */
Test(layers, a_mixed_layer, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file = chart_test_map(named("mixed.geojson"));

    chart_test_arc(file, LAT, LON, 300, 0, 360, false, "\"DEPTH_FT\":0");
    chart_test_arc(file, LAT, LON, 200, 0, 360, false, "\"DEPTH_FT\":10");
    chart_test_ring(file, LAT, LON, 40, "\"DEPTH_FT\":null,\"bottom\":\"gravel\"");
    fprintf(file,
            ",{\"type\":\"Feature\",\"properties\":{\"DEPTH_FT\":14},\"geometry\":{\"type\":"
            "\"Point\",\"coordinates\":[15,45]}},{\"type\":\"Feature\",\"properties\":{"
            "\"label\":\"ramp\"},\"geometry\":{\"type\":\"Point\",\"coordinates\":[15,45.003]}}");
    chart_test_map_end(file);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 2);
    cr_assert_eq(chart->soundings, 1);
    cr_assert_float_eq(depth_at(chart, 0, 0.1), 14 * 0.3048, 0.2);
    cr_assert_eq(chart->features.covers, 1);
    cr_assert(chart_test_warned(&report, "1 feature is no contour"));
    lw_chart_free(chart);
}

/* In KML a place beside contours is a label, unless its name or folder says what it is. */
Test(layers, places_in_kml, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    FILE *file = fopen(named("lake.kml"), "w");

    fprintf(file, "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>");
    for (int k = 0; k < 2; k++) {
        fprintf(file, "<Placemark><name>%d ft</name><LineString><coordinates>", 10 * k);
        for (int i = 0; i <= 72; i++) {
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, 5 * (i % 72), 300 - 90 * k);

            fprintf(file, "%.8f,%.8f ", at.lon_deg, at.lat_deg);
        }
        fprintf(file, "</coordinates></LineString></Placemark>");
    }
    fprintf(file, "<Folder><name>Hazards</name><Placemark><name>Devil's tooth</name><Point>"
                  "<coordinates>15.001,45</coordinates></Point></Placemark></Folder>"
                  "<Placemark><name>10 ft</name><Point><coordinates>15.002,45</coordinates></Point>"
                  "</Placemark><Placemark><name>weed bed</name><Point><coordinates>15,45.001"
                  "</coordinates></Point></Placemark></Document></kml>");
    fclose(file);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 2);
    cr_assert_eq(chart->soundings, 0);
    cr_assert_eq(chart->features.hazards, 1);
    cr_assert_str_eq(chart->features.hazard[0].words, "Devil's tooth");
    cr_assert_eq(chart->features.covers, 1);
    cr_assert_eq(chart->features.cover[0].kind, LW_COVER_WEED);
    lw_chart_free(chart);
}

/* Maine's statewide soundings: points with DEPTHM and the lake's name. */
Test(layers, named_soundings_out_of_many, .init = setup)
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

Test(layers, longitudes_from_0_to_360, .init = setup)
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

Test(layers, latitude_given_first, .init = setup)
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

/* The layer that tells best is empty: the other counts. */
Test(layers, an_empty_layer, .init = setup)
{
    struct lw_import_report report;
    struct lw_import_options o;
    struct lw_chart *chart;
    GDALDatasetH data;
    OGRLayerH layer;

    GDALAllRegister();
    data = GDALCreate(GDALGetDriverByName("GPKG"), named("lake.gpkg"), 0, 0, 0, GDT_Unknown, NULL);
    cr_assert_not_null(data);
    add_layer(data, "depth_areas", wkbPolygon, "depth_ft", OFTReal);
    layer = add_layer(data, "contours", wkbLineString, "depth_ft", OFTReal);
    add_feature(layer, "0", 300, false);
    add_feature(layer, "10", 150, false);
    GDALClose(data);
    o = files(1);
    chart = read_well(&o, &report);
    cr_assert_eq(chart->contours, 2);
    lw_chart_free(chart);
}
