/* The surface as a GeoTIFF. */
#include "lipwalk/map/export.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <errno.h>
#include <gdal.h>
#include <limits.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "child.h"
#include "gdal.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"

#define TIMEOUT_S 120
#define MEMORY_MB 2048

struct task {
    const struct lw_chart *chart;
    const char *path, *name; /* written to, and meant */
};

static int set_place(GDALDatasetH data, const struct lw_chart *chart)
{
    const struct lw_grid *grid = &chart->grid;
    double half = grid->cell_m / 2;
    double place[6] = {
        grid->e0_m - half, grid->cell_m, 0, grid->n0_m + (grid->ny - 1) * grid->cell_m + half, 0,
        -grid->cell_m};
    char proj[200], lat[32], lon[32], *wkt = NULL;
    OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);
    int status = -1;

    lw_text_number(lat, sizeof lat, chart->frame.origin.lat_deg, 15);
    lw_text_number(lon, sizeof lon, chart->frame.origin.lon_deg, 15);
    snprintf(proj, sizeof proj, "+proj=aeqd +lat_0=%s +lon_0=%s +datum=WGS84 +units=m +no_defs",
             lat, lon);
    if (OSRImportFromProj4(crs, proj) == OGRERR_NONE && OSRExportToWkt(crs, &wkt) == OGRERR_NONE &&
        GDALSetProjection(data, wkt) == CE_None && GDALSetGeoTransform(data, place) == CE_None)
        status = 0;
    CPLFree(wkt);
    OSRDestroySpatialReference(crs);
    return status;
}

static int write_in_child(const void *from, void *reply, struct lw_error *err)
{
    const struct task *task = from;
    const struct lw_grid *grid = &task->chart->grid;
    static const char *const options[] = {"COMPRESS=DEFLATE", "PREDICTOR=3", NULL};
    GDALDatasetH data;
    GDALRasterBandH band;
    int status = -1;

    (void)reply;
    CPLPushErrorHandler(CPLQuietErrorHandler);
    lw_gdal_private();
    GDALAllRegister();
    data = GDALCreate(GDALGetDriverByName("GTiff"), task->path, grid->nx, grid->ny, 1, GDT_Float32,
                      (char **)(void *)options);
    if (!data)
        return lw_fail(err, "%s cannot be written: %s", task->name, CPLGetLastErrorMsg());
    band = GDALGetRasterBand(data, 1);
    if (set_place(data, task->chart) || GDALSetRasterNoDataValue(band, NAN) != CE_None)
        goto done;
    for (int row = 0; row < grid->ny; row++) { /* ours runs from the south */
        float *line = grid->depth_m + (size_t)(grid->ny - 1 - row) * (size_t)grid->nx;

        if (GDALRasterIO(band, GF_Write, 0, row, grid->nx, 1, line, grid->nx, 1, GDT_Float32, 0,
                         0) != CE_None)
            goto done;
    }
    status = 0;
done:
    CPLErrorReset();
    GDALClose(data);
    if (status || CPLGetLastErrorType() >= CE_Failure)
        return lw_fail(err, "%s cannot be written whole: %s", task->name, CPLGetLastErrorMsg());
    return 0;
}

int lw_chart_export(const struct lw_chart *chart, const char *path, struct lw_error *err)
{
    char real[PATH_MAX], draft[PATH_MAX + 32], what[1100], nothing;
    struct stat st;
    struct task task = {chart, draft, path};
    struct lw_child child = {.work = write_in_child,
                             .task = &task,
                             .reply = &nothing,
                             .reply_size = 1,
                             .what = what,
                             .timeout_s = TIMEOUT_S,
                             .memory_mb = MEMORY_MB};

    if (strlen(path) > 1000)
        return lw_fail(err, "the path of the surface is too long");
    if (!realpath(path, real)) /* not there yet, or its folder is not: the writer will tell */
        strcpy(real, path);
    else if (stat(real, &st) == 0 && !S_ISREG(st.st_mode)) /* a device must not be replaced */
        return lw_fail(
            err, "%s cannot be written: it is not a file; give the surface a file's name", path);
    lw_file_draft(draft, sizeof draft, real, getpid());
    snprintf(what, sizeof what, "writing %s", path);
    if (lw_child_run(&child, err)) {
        unlink(draft);
        return -1;
    }
    if (rename(draft, real)) {
        lw_fail(err, "%s cannot be written: %s", path, strerror(errno));
        unlink(draft);
        return -1;
    }
    return 0;
}
