/* Writes a map of 10,000 invented lakes, 200 MB in every format, to time the picking of one:
 *
 *     statewide gpkg|shp|geojson OUT
 *
 * Lake K (0 to 9999, named "Lake K") has its middle at row K / 100 and column K % 100 of a grid of
 * 4 km in UTM zone 15 north: easting 300000 + 4000 column, northing 4900000 + 4000 row; nine
 * polygons at 0 to 40 ft, of radius 300 m and less (28 ha). In GeoJSON the same in degrees. How
 * many vertices a ring has makes the size. */
#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define LAKES 10000
#define RINGS 9

struct form {
    const char *name, *driver;
    int around; /* vertices of a ring */
};

static OGRGeometryH ring(double east, double north, double radius_m, int lake, int around,
                         OGRCoordinateTransformationH to_ll)
{
    OGRGeometryH line = OGR_G_CreateGeometry(wkbLinearRing),
                 area = OGR_G_CreateGeometry(wkbPolygon);

    for (int i = 0; i <= around; i++) {
        double turn = 2 * M_PI * (i % around) / around;
        double r = radius_m * (1 + 0.1 * sin(5 * turn + lake) + 0.02 * sin(23 * turn));
        double x = east + r * cos(turn), y = north + r * sin(turn);

        if (to_ll)
            OCTTransform(to_ll, 1, &x, &y, NULL);
        OGR_G_AddPoint_2D(line, x, y);
    }
    OGR_G_AddGeometryDirectly(area, line);
    return area;
}

static void add_field(OGRLayerH layer, const char *name, OGRFieldType type)
{
    OGRFieldDefnH field = OGR_Fld_Create(name, type);

    OGR_L_CreateField(layer, field, TRUE);
    OGR_Fld_Destroy(field);
}

static int add_lake(OGRLayerH layer, int lake, int around, OGRCoordinateTransformationH to_ll)
{
    double east = 300000 + 4000 * (lake % 100), north = 4900000 + 4000 * (lake / 100);
    int status = 0;

    for (int k = 0; k < RINGS && status == 0; k++) {
        OGRFeatureH feature = OGR_F_Create(OGR_L_GetLayerDefn(layer));
        char name[32], number[32];

        snprintf(name, sizeof name, "Lake %d", lake);
        snprintf(number, sizeof number, "%08d", 1000 + lake);
        OGR_F_SetFieldString(feature, 0, name);
        OGR_F_SetFieldString(feature, 1, number);
        OGR_F_SetFieldInteger(feature, 2, 5 * k);
        OGR_F_SetGeometryDirectly(feature, ring(east, north, 300 - 30 * k, lake, around, to_ll));
        status = OGR_L_CreateFeature(layer, feature) == OGRERR_NONE ? 0 : -1;
        OGR_F_Destroy(feature);
    }
    return status;
}

int main(int argc, char **argv)
{
    static const struct form all[] = {
        {"gpkg", "GPKG", 120}, {"shp", "ESRI Shapefile", 124}, {"geojson", "GeoJSON", 78}};
    char *digits[] = {"COORDINATE_PRECISION=6", NULL};
    const struct form *form = NULL;
    OGRCoordinateTransformationH to_ll = NULL;
    OGRSpatialReferenceH utm = OSRNewSpatialReference(NULL), wgs84 = OSRNewSpatialReference(NULL);
    GDALDatasetH data;
    OGRLayerH layer;
    int status = 0;

    for (size_t i = 0; argc == 3 && i < sizeof all / sizeof *all; i++)
        if (strcmp(argv[1], all[i].name) == 0)
            form = &all[i];
    if (!form) {
        fprintf(stderr, "usage: statewide gpkg|shp|geojson OUT\n");
        return 2;
    }
    GDALAllRegister();
    OSRImportFromEPSG(utm, 26915);
    OSRImportFromEPSG(wgs84, 4326);
    OSRSetAxisMappingStrategy(utm, OAMS_TRADITIONAL_GIS_ORDER);
    OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
    if (strcmp(form->name, "geojson") == 0)
        to_ll = OCTNewCoordinateTransformation(utm, wgs84);
    data = GDALCreate(GDALGetDriverByName(form->driver), argv[2], 0, 0, 0, GDT_Unknown, NULL);
    if (!data)
        return 1;
    layer = GDALDatasetCreateLayer(data, "lakes", to_ll ? wgs84 : utm, wkbPolygon,
                                   to_ll ? digits : NULL);
    if (!layer)
        return 1;
    add_field(layer, "LAKE_NAME", OFTString);
    add_field(layer, "DOWLKNUM", OFTString);
    add_field(layer, "DEPTH_FT", OFTInteger);
    if (GDALDatasetTestCapability(data, ODsCTransactions))
        GDALDatasetStartTransaction(data, FALSE);
    for (int lake = 0; lake < LAKES && status == 0; lake++)
        status = add_lake(layer, lake, form->around, to_ll);
    if (GDALDatasetTestCapability(data, ODsCTransactions))
        GDALDatasetCommitTransaction(data);
    GDALClose(data);
    return status ? 1 : 0;
}
