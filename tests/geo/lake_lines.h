/* The contours of outside files as lines in metres, read by GDAL and nothing of ours. */
#ifndef LW_TEST_LAKE_LINES_H
#define LW_TEST_LAKE_LINES_H

#include <gdal.h>
#include <ogr_srs_api.h>

#include "lipwalk/geo/line.h"

/* NAD83 / Wisconsin Transverse Mercator, in metres: all of the lakes lie in it, and the file of
 * Wingra without a .prj is in it. */
#define LAKE_EPSG 3070

static inline void lake_add_geometry(OGRGeometryH shape, struct lw_lines *to)
{
    int parts = OGR_G_GetGeometryCount(shape), n = OGR_G_GetPointCount(shape);
    struct lw_line line = {0};

    for (int i = 0; i < parts; i++)
        lake_add_geometry(OGR_G_GetGeometryRef(shape, i), to);
    for (int i = 0; i < n; i++)
        lw_line_add(&line, (struct lw_en){OGR_G_GetX(shape, i), OGR_G_GetY(shape, i)});
    line.closed = n > 3 && lw_en_distance(line.p[0], line.p[n - 1]) < 1e-3;
    if (line.closed)
        line.p[n - 1] = line.p[0];
    lw_line_clean(&line);
    if (line.n >= (line.closed ? 4U : 2U))
        lw_lines_take(to, &line);
    lw_line_free(&line);
}

/* Adds every ring and line of the file; -1 when GDAL cannot open it. */
static inline int lake_read(const char *path, struct lw_lines *to)
{
    OGRSpatialReferenceH metres = OSRNewSpatialReference(NULL);
    GDALDatasetH file;

    GDALAllRegister();
    OSRImportFromEPSG(metres, LAKE_EPSG);
    OSRSetAxisMappingStrategy(metres, OAMS_TRADITIONAL_GIS_ORDER);
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    for (int k = 0; file && k < GDALDatasetGetLayerCount(file); k++) {
        OGRLayerH layer = GDALDatasetGetLayer(file, k);
        OGRSpatialReferenceH own = OGR_L_GetSpatialRef(layer);
        OGRCoordinateTransformationH turn = own ? OCTNewCoordinateTransformation(own, metres) : 0;
        OGRFeatureH feature;

        while ((feature = OGR_L_GetNextFeature(layer)) != NULL) {
            OGRGeometryH shape = OGR_F_GetGeometryRef(feature);

            if (shape && (!turn || OGR_G_Transform(shape, turn) == OGRERR_NONE))
                lake_add_geometry(shape, to);
            OGR_F_Destroy(feature);
        }
        if (turn)
            OCTDestroyCoordinateTransformation(turn);
    }
    OSRRelease(metres);
    if (!file)
        return -1;
    GDALClose(file);
    return 0;
}

#endif
