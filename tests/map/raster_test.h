/* For the tests of grids: one read into a source, and analytic lakes written as grids. */
#ifndef RASTER_TEST_H
#define RASTER_TEST_H

#include "lw_test.h"

#include <cpl_conv.h>
#include <gdal.h>
#include <math.h>
#include <ogr_srs_api.h>

#include "../../src/map/raster.h"

/* A read grid and what was said of it; as static data, for a test runs in a process of its own. */
struct raster_case {
    struct lw_import_options options;
    struct lw_source source;
    struct lw_error err;
    char path[600];
};

static inline void raster_case_start(struct raster_case *c, const char *path)
{
    if (c->source.file)
        lw_source_free(&c->source);
    memset(c, 0, sizeof *c);
    snprintf(c->path, sizeof c->path, "%s", path);
    lw_import_options_clear(&c->options);
    c->options.maps = 1;
    c->options.map[0].path = c->path;
}

/* On failure the sentence is looked at, on success the file's part of the summary. */
static inline int raster_case_read(struct raster_case *c)
{
    int status;

    if (c->source.file)
        lw_source_free(&c->source);
    c->err.text[0] = '\0';
    lw_source_start(&c->source, &c->options.map[0]);
    status = lw_raster_read(&c->options.map[0], &c->options, &c->source, &c->err);
    if (status) {
        cr_assert_eq(status, -1);
        cr_assert_gt(strlen(c->err.text), 20, "%s: %s", c->path, c->err.text);
        cr_assert_null(strchr(c->err.text, '\n'), "one line: %s", c->err.text);
    } else {
        cr_assert_not_null(strstr(c->source.said, "depths"), "%s", c->source.said);
    }
    return status;
}

static inline bool raster_case_warned(const struct raster_case *c, const char *what)
{
    for (int i = 0; i < c->source.warnings; i++)
        if (strstr(c->source.warning[i], what))
            return true;
    return false;
}

/* A cone under water, on UTM 15N: the depth falls from the middle to 0 at the radius, and goes on
 * as land behind. */
#define CONE_DEPTH_M  20.0
#define CONE_RADIUS_M 600.0
#define CONE_E        500000.0 /* on the central meridian, where grid north is true north */
#define CONE_N        5000000.0
#define CONE_SCALE    0.9996 /* of UTM there: grid metres are this part of the ground's */

static inline double cone_depth(double e, double n)
{
    return CONE_DEPTH_M * (1 - hypot(e - CONE_E, n - CONE_N) / CONE_RADIUS_M);
}

struct cone {
    double cell_m, turn_deg;
    bool south_up, land_zero;
    double factor, add; /* value = factor * depth + add */
    const char *unit, *name;
    bool masked; /* land hidden by a mask band, 77 beneath */
    int n;       /* cells on a side */
    int sparse;  /* 0, or cells on a side that are declared and not written */
};

static inline void cone_write(const char *path, const struct cone *cone)
{
    GDALDriverH driver;
    GDALDatasetH data;
    GDALRasterBandH band;
    OGRSpatialReferenceH utm = OSRNewSpatialReference(NULL);
    double turn = cone->turn_deg * M_PI / 180, c = cone->cell_m, half = cone->n / 2.0;
    double down = cone->south_up ? c : -c;
    double gt[6] = {0, c * cos(turn), -down * sin(turn), 0, c * sin(turn), down * cos(turn)};
    float *row = malloc((size_t)cone->n * sizeof *row);
    unsigned char *shown = malloc((size_t)cone->n);
    char *sparse[] = {(char[]){"SPARSE_OK=TRUE"}, (char[]){"TILED=YES"}, NULL};
    char *wkt = NULL;

    gt[0] = CONE_E - half * gt[1] - half * gt[2];
    gt[3] = CONE_N - half * gt[4] - half * gt[5];
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
    GDALAllRegister();
    driver = GDALGetDriverByName("GTiff");
    data = cone->sparse
               ? GDALCreate(driver, path, cone->sparse, cone->sparse, 1, GDT_Float32, sparse)
               : GDALCreate(driver, path, cone->n, cone->n, 1, GDT_Float32, NULL);
    cr_assert_not_null(data);
    OSRImportFromEPSG(utm, 32615);
    OSRExportToWkt(utm, &wkt);
    GDALSetProjection(data, wkt);
    GDALSetGeoTransform(data, gt);
    band = GDALGetRasterBand(data, 1);
    if (cone->unit)
        GDALSetRasterUnitType(band, cone->unit);
    if (cone->name)
        GDALSetDescription(band, cone->name);
    if (cone->masked) {
        CPLSetConfigOption("GDAL_TIFF_INTERNAL_MASK", "YES");
        cr_assert_eq(GDALCreateDatasetMaskBand(data, GMF_PER_DATASET), CE_None);
    }
    for (int y = 0; !cone->sparse && y < cone->n; y++) {
        for (int x = 0; x < cone->n; x++) {
            double i = x + 0.5, j = y + 0.5;
            double depth = cone_depth(gt[0] + i * gt[1] + j * gt[2], gt[3] + i * gt[4] + j * gt[5]);

            shown[x] = depth > 0 ? 255 : 0;
            row[x] = cone->masked && depth <= 0      ? 77
                     : cone->land_zero && depth <= 0 ? 0
                                                     : (float)(cone->factor * depth + cone->add);
        }
        cr_assert_eq(
            GDALRasterIO(band, GF_Write, 0, y, cone->n, 1, row, cone->n, 1, GDT_Float32, 0, 0),
            CE_None);
        if (cone->masked)
            cr_assert_eq(GDALRasterIO(GDALGetMaskBand(band), GF_Write, 0, y, cone->n, 1, shown,
                                      cone->n, 1, GDT_Byte, 0, 0),
                         CE_None);
    }
    GDALClose(data);
    CPLFree(wkt);
    OSRDestroySpatialReference(utm);
    free(row);
    free(shown);
}

#endif
