/* A depth grid's file: which band, where it lies, its values. */
#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "gdal.h"
#include "lipwalk/base/text.h"
#include "raster_parts.h"
#include "reader.h"
#include "scratch.h"

#define CELLS_MAX 25e6         /* more are read only about a place: 100 MB of values */
#define WINDOW    5000         /* cells on a side, about that place */
#define BLOCK_MAX (256u << 20) /* bytes that GDAL must hold for one block */
#define AT_ONCE   1000000      /* values read at a time */

static const char *const drivers[] = {"GTiff", "AAIGrid", "netCDF", "GMT", "HFA", NULL};

struct opening {
    const char *map;
    const struct lw_map_file *file;
    GDALDatasetH data;
    GDALRasterBandH band;
    int band_number;
    char last[200]; /* GDAL's own last message, cleaned */
};

static void CPL_STDCALL keep_message(CPLErr class, CPLErrorNum number, const char *text)
{
    struct opening *o = CPLGetErrorHandlerUserData();

    (void)number;
    if (class >= CE_Failure && o)
        lw_text_clean(o->last, sizeof o->last, text);
}

/* A netCDF file of several variables has no band of its own, but a name for each. */
static int open_variable(struct opening *o, struct lw_error *err)
{
    char **list = GDALGetMetadata(o->data, "SUBDATASETS");
    char names[300] = "", chosen[1400] = "";
    int best = 1000, ties = 0;

    for (int i = 0; list && list[i]; i++) {
        const char *value = strchr(list[i], '='), *colon = strrchr(list[i], ':');
        char name[64];
        int rank;

        if (!value || !colon || !strstr(list[i], "_NAME=") || strncasecmp(value + 1, "NETCDF:", 7))
            continue;
        lw_text_clean(name, sizeof name, colon + 1);
        rank = lw_depth_rank(name);
        lw_text_add(names, sizeof names, "%s%s", *names ? ", " : "", name);
        if (o->file->depth_field)
            rank = strcasecmp(o->file->depth_field, name) == 0 ? 1 : 0;
        if (rank && rank == best)
            ties++;
        if (!rank || rank >= best)
            continue;
        best = rank;
        ties = 0;
        snprintf(chosen, sizeof chosen, "%s", value + 1);
    }
    if (!*names)
        return lw_fail(err, "%s holds no grid: a grid of depths or bed elevations is needed",
                       o->map);
    if (!*chosen || ties)
        return lw_fail(err,
                       "%s holds several grids (%s) and %s: give --depth-field with the name of "
                       "the one with the depths",
                       o->map, names,
                       o->file->depth_field ? "none by that name"
                                            : "their names do not tell the depths from the rest");
    GDALClose(o->data);
    o->data = GDALOpenEx(chosen, GDAL_OF_RASTER | GDAL_OF_READONLY, drivers, NULL, NULL);
    if (!o->data)
        return lw_fail(err, "%s: its grid %s cannot be read (%s)", o->map, chosen, o->last);
    return 0;
}

static int open_data(struct opening *o, struct lw_error *err)
{
    char path[1200];
    bool copied;

    if (lw_scratch_stage(o->file->path, "", path, sizeof path, &copied, err))
        return -1;
    o->data = GDALOpenEx(path, GDAL_OF_RASTER | GDAL_OF_READONLY, drivers, NULL, NULL);
    if (!o->data)
        return lw_fail(err,
                       "%s could not be read as a GeoTIFF, ASCII grid or netCDF grid%s%s%s: check "
                       "that the file is complete, or get it again from its source",
                       o->map, *o->last ? " (" : "", o->last, *o->last ? ")" : "");
    return GDALGetRasterCount(o->data) == 0 ? open_variable(o, err) : 0;
}

static bool is_picture(GDALRasterBandH band)
{
    GDALColorInterp kind = GDALGetRasterColorInterpretation(band);

    return kind != GCI_GrayIndex && kind != GCI_Undefined;
}

static int band_fits(struct opening *o, struct lw_error *err)
{
    int block_x = 1, block_y = 1, bytes;

    if (GDALDataTypeIsComplex(GDALGetRasterDataType(o->band)))
        return lw_fail(err, "%s holds complex numbers, no depths: a grid of depths is needed",
                       o->map);
    if (is_picture(o->band))
        return lw_fail(err,
                       "%s is a coloured picture, not a grid of depths: get the data behind it "
                       "from its source",
                       o->map);
    GDALGetBlockSize(o->band, &block_x, &block_y);
    bytes = GDALGetDataTypeSizeBytes(GDALGetRasterDataType(o->band));
    if ((double)block_x * block_y * bytes > BLOCK_MAX)
        return lw_fail(err,
                       "%s is stored in blocks of %d by %d cells, too large to hold: rewrite it in "
                       "tiles (gdal_translate -co TILED=YES)",
                       o->map, block_x, block_y);
    return 0;
}

/* The one band; among several the one whose name is given, or says depth. */
static int choose_band(struct opening *o, struct lw_error *err)
{
    int count = GDALGetRasterCount(o->data), best = 1000;
    char names[300] = "";

    for (int i = 1; i <= count && i <= 64; i++) {
        GDALRasterBandH band = GDALGetRasterBand(o->data, i);
        char name[64], number[24];
        int rank;

        lw_text_clean(name, sizeof name, GDALGetDescription(band));
        snprintf(number, sizeof number, "%d", i);
        rank = count == 1 ? 1 : lw_depth_rank(name);
        if (o->file->depth_field && (count > 1 || *name))
            rank = strcasecmp(name, o->file->depth_field) == 0 ||
                           strcmp(number, o->file->depth_field) == 0
                       ? 1
                       : (count == 1);
        lw_text_add(names, sizeof names, "%s%s", *names ? ", " : "", *name ? name : number);
        if (rank && rank < best) {
            best = rank;
            o->band = band;
            o->band_number = i;
        }
    }
    if (!o->band && is_picture(GDALGetRasterBand(o->data, 1)))
        o->band = GDALGetRasterBand(o->data, 1); /* for the sentence about pictures */
    if (!o->band)
        return lw_fail(err,
                       "%s has %d bands (%s), none of them named as depths: give --depth-field "
                       "with the name or number of the right one",
                       o->map, count, names);
    return band_fits(o, err);
}

static int settle_place(struct opening *o, struct lw_raster *raster, struct lw_error *err)
{
    double *gt = raster->gt;
    bool none = GDALGetGeoTransform(o->data, gt) != CE_None;

    raster->file_w = GDALGetRasterXSize(o->data);
    raster->file_h = GDALGetRasterYSize(o->data);
    if (none && GDALGetGCPCount(o->data) > 0)
        return lw_fail(err,
                       "%s is placed by control points only: turn it into a grid with gdalwarp "
                       "first",
                       o->map);
    if (none)
        return lw_fail(err,
                       "%s does not say where it lies (no geotransform, no world file): get it "
                       "from its source as a GeoTIFF with its place",
                       o->map);
    for (int i = 0; i < 6; i++)
        if (!isfinite(gt[i]))
            return lw_fail(err, "%s: its place is no number: the file is damaged", o->map);
    if (!GDALInvGeoTransform(gt, raster->inv))
        return lw_fail(err, "%s: its cells have no size: the file is damaged", o->map);
    return 0;
}

static int no_crs(struct opening *o, const struct lw_raster *raster, struct lw_error *err)
{
    const double *gt = raster->gt;
    double x0 = gt[0], x1 = gt[0] + raster->file_w * gt[1] + raster->file_h * gt[2];
    double y0 = gt[3], y1 = gt[3] + raster->file_w * gt[4] + raster->file_h * gt[5];
    bool degrees = fmin(x0, x1) >= -180 && fmax(x0, x1) <= 360 && fmin(y0, y1) >= -90 &&
                   fmax(y0, y1) <= 90;

    return lw_fail(err,
                   "%s does not say its coordinate system; its coordinates, %.8g to %.8g and %.8g "
                   "to %.8g, %s",
                   o->map, fmin(x0, x1), fmax(x0, x1), fmin(y0, y1), fmax(y0, y1),
                   degrees ? "look like longitude and latitude: give --crs EPSG:4326 to confirm"
                           : "need --crs with the EPSG code that the publisher names, such as "
                             "--crs EPSG:26915");
}

/* netCDF grids seldom name a system, but their axes have CF's units of degrees; the few metres
 * between the datums in use are less than a grid's cell. */
static bool axes_in_degrees(GDALDatasetH data)
{
    char **items = GDALGetMetadata(data, NULL);
    bool north = false, east = false;

    for (int i = 0; items && items[i]; i++) {
        const char *unit = strstr(items[i], "#units=");

        north = north || (unit && strcmp(unit + 7, "degrees_north") == 0);
        east = east || (unit && strcmp(unit + 7, "degrees_east") == 0);
    }
    return north && east;
}

static int settle_crs(struct opening *o, struct lw_raster *raster, struct lw_source *out,
                      struct lw_error *err)
{
    OGRSpatialReferenceH said = GDALGetSpatialRef(o->data);
    const char *const compare[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", NULL};
    const char *wanted = o->file->crs;

    raster->wgs84 = lw_crs_wgs84();
    if (wanted) {
        raster->from = lw_crs_wanted(wanted, err);
        if (!raster->from)
            return -1;
        if (said && OSRGetName(said) && !OSRIsSameEx(said, raster->from, compare))
            lw_source_warn(out,
                           "%s says its coordinate system is %.100s; it is read as %.20s by "
                           "--crs",
                           out->name, OSRGetName(said), wanted);
    } else {
        if (!said || !OSRGetName(said) || strncmp(OSRGetName(said), "Undefined", 9) == 0) {
            if (!axes_in_degrees(o->data))
                return no_crs(o, raster, err);
            said = raster->wgs84;
        }
        raster->from = OSRClone(said);
        /* the height's own system says nothing of the place, and would want its grids */
        if (OSRIsCompound(raster->from))
            OSRDemoteTo2D(raster->from, NULL);
    }
    if (OSRIsCompound(raster->from))
        OSRStripVertical(raster->from);
    OSRSetAxisMappingStrategy(raster->from, OAMS_TRADITIONAL_GIS_ORDER);
    lw_crs_name(raster->from, out->crs, sizeof out->crs);
    raster->geographic = OSRIsGeographic(raster->from) != 0;
    raster->to_ll = OCTNewCoordinateTransformation(raster->from, raster->wgs84);
    raster->from_ll = OCTNewCoordinateTransformation(raster->wgs84, raster->from);
    if (!raster->to_ll || !raster->from_ll)
        return lw_fail(err,
                       "%s: its coordinate system %s cannot be turned into longitude and latitude: "
                       "give --crs with the right EPSG code",
                       o->map, out->crs);
    return 0;
}

/* Every corner must be a place on earth: projected metres read as degrees show here. */
static int check_corners(struct opening *o, struct lw_raster *raster, struct lw_error *err)
{
    double middle = 0;

    for (int k = 0; k < 4; k++) {
        double c = k % 2 ? raster->file_w : 0, r = k / 2 ? raster->file_h : 0;
        double x = raster->gt[0] + c * raster->gt[1] + r * raster->gt[2];
        double y = raster->gt[3] + c * raster->gt[4] + r * raster->gt[5];
        struct lw_ll at;

        middle += x / 4;
        if ((raster->geographic && (fabs(x) > 360.01 || fabs(y) > 90.01)) ||
            lw_raster_place(raster, c, r, &at))
            return lw_fail(err,
                           "%s: its corner %.8g, %.8g is not possible in its coordinate system: "
                           "give --crs with the right EPSG code",
                           o->map, x, y);
    }
    raster->middle = middle;
    return 0;
}

static int settle_window(struct opening *o, const struct lw_import_options *options,
                         struct lw_raster *raster, struct lw_source *out, struct lw_error *err)
{
    double column, row;

    raster->w = raster->file_w;
    raster->h = raster->file_h;
    if ((double)raster->w * raster->h <= CELLS_MAX)
        return 0;
    if (!lw_ll_known(options->at))
        return lw_fail(err,
                       "%s declares %d by %d cells, more than are read at once: give --at LAT,LON "
                       "with a place on the wanted water",
                       o->map, raster->w, raster->h);
    if (lw_raster_where(raster, options->at, &column, &row) || column < 0 || row < 0 ||
        column >= raster->w || row >= raster->h)
        return lw_fail(err, "%s does not reach to the place given by --at", o->map);
    raster->w = raster->w < WINDOW ? raster->w : WINDOW;
    raster->h = raster->h < WINDOW ? raster->h : WINDOW;
    raster->x0 = (int)fmin(fmax(0, column - raster->w / 2), raster->file_w - raster->w);
    raster->y0 = (int)fmin(fmax(0, row - raster->h / 2), raster->file_h - raster->h);
    lw_source_warn(out, "%s is large: only the %d by %d cells about the place of --at are read",
                   out->name, raster->w, raster->h);
    return 0;
}

/* An ASCII grid has at least a digit and a space for each cell; GDAL looks for those that are not
 * there until the end of days. */
static int check_length(struct opening *o, const struct lw_raster *raster, struct lw_error *err)
{
    struct stat st;

    if (strcmp(GDALGetDriverShortName(GDALGetDatasetDriver(o->data)), "AAIGrid") != 0 ||
        stat(o->file->path, &st) || (double)st.st_size >= 2.0 * raster->file_w * raster->file_h - 1)
        return 0;
    return lw_fail(err,
                   "%s declares %d by %d cells but holds only %lld bytes: it is cut short or its "
                   "first lines are wrong; get it again from its source",
                   o->map, raster->file_w, raster->file_h, (long long)st.st_size);
}

static int load(struct opening *o, struct lw_raster *raster, struct lw_error *err)
{
    int has_none = 0, has_scale = 0, has_offset = 0, at_once;
    double none = GDALGetRasterNoDataValue(o->band, &has_none);
    double scale = GDALGetRasterScale(o->band, &has_scale);
    double offset = GDALGetRasterOffset(o->band, &has_offset);
    /* a mask of the file's own, as GeoTIFF may have it; not that of nodata, which is told above */
    GDALRasterBandH mask = GDALGetMaskFlags(o->band) == GMF_PER_DATASET ? GDALGetMaskBand(o->band)
                                                                        : NULL;
    size_t w = (size_t)raster->w;
    double *row, *shown = NULL;
    int status = 0;

    at_once = raster->w < AT_ONCE ? AT_ONCE / raster->w : 1;
    at_once = at_once < raster->h ? at_once : raster->h;
    scale = has_scale && isfinite(scale) && scale != 0 ? scale : 1;
    offset = has_offset && isfinite(offset) ? offset : 0;
    row = malloc(w * (size_t)at_once * sizeof *row);
    raster->raw = malloc(w * (size_t)raster->h * sizeof *raster->raw);
    if (mask)
        shown = malloc(w * (size_t)at_once * sizeof *shown);
    if (!row || !raster->raw || (mask && !shown))
        status = lw_fail(err, "%s: out of memory for %d by %d cells", o->map, raster->w, raster->h);
    for (int y = 0; status == 0 && y < raster->h; y += at_once) {
        int n = raster->h - y < at_once ? raster->h - y : at_once;
        float *to = raster->raw + (size_t)y * w;

        if (GDALRasterIO(o->band, GF_Read, raster->x0, raster->y0 + y, raster->w, n, row, raster->w,
                         n, GDT_Float64, 0, 0) != CE_None ||
            (mask && GDALRasterIO(mask, GF_Read, raster->x0, raster->y0 + y, raster->w, n, shown,
                                  raster->w, n, GDT_Float64, 0, 0) != CE_None)) {
            status = lw_fail(err,
                             "%s breaks off or is damaged near row %d of %d%s%s%s: get it again "
                             "from its source",
                             o->map, raster->y0 + y + 1, raster->file_h, *o->last ? " (" : "",
                             o->last, *o->last ? ")" : "");
            break;
        }
        for (size_t k = 0; k < w * (size_t)n; k++) {
            /* nodata is often written with more digits than the cells hold */
            bool is_none = (mask && shown[k] == 0) ||
                           (has_none && (row[k] == none || (float)row[k] == (float)none));

            to[k] = is_none || !isfinite(row[k]) || fabs(row[k]) > 1e30
                        ? NAN
                        : (float)(row[k] * scale + offset);
        }
    }
    free(shown);
    free(row);
    return status;
}

static void listen_to(struct opening *o, const struct lw_raster *raster,
                      struct lw_raster_says *says)
{
    const char *variable = GDALGetMetadataItem(o->band, "NETCDF_VARNAME", NULL);
    const char *about = GDALGetMetadataItem(o->band, "long_name", NULL);
    const char *positive = GDALGetMetadataItem(o->band, "positive", NULL);
    const char *unit = GDALGetRasterUnitType(o->band);
    char *name = NULL;

    if (!unit || !*unit)
        unit = GDALGetMetadataItem(o->band, "units", NULL);
    lw_text_clean(says->name, sizeof says->name, variable ? variable : GDALGetDescription(o->band));
    lw_text_clean(says->about, sizeof says->about, about ? about : "");
    lw_text_clean(says->unit, sizeof says->unit, unit ? unit : "");
    if (positive)
        says->positive = strcasecmp(positive, "up") == 0     ? 1
                         : strcasecmp(positive, "down") == 0 ? -1
                                                             : 0;
    says->map_in_feet = !raster->geographic && OSRGetLinearUnits(raster->from, &name) < 0.5;
}

int lw_raster_open(const struct lw_map_file *file, const struct lw_import_options *options,
                   struct lw_source *out, struct lw_raster *raster, struct lw_raster_says *says,
                   struct lw_error *err)
{
    char map[300];
    struct opening o = {.map = map, .file = file};
    int status = -1;

    lw_text_clean(map, sizeof map, file->path);
    CPLPushErrorHandlerEx(keep_message, &o);
    lw_gdal_private();
    CPLSetConfigOption("GDAL_CACHEMAX", "32");
    CPLSetConfigOption("GTIFF_REPORT_COMPD_CS", "YES");
    GDALAllRegister();
    if (open_data(&o, err) || choose_band(&o, err) || settle_place(&o, raster, err) ||
        check_length(&o, raster, err) || settle_crs(&o, raster, out, err) ||
        check_corners(&o, raster, err) || settle_window(&o, options, raster, out, err) ||
        load(&o, raster, err))
        goto done;
    listen_to(&o, raster, says);
    if (!*says->name)
        snprintf(says->name, sizeof says->name, "band %d", o.band_number);
    status = 0;
done:
    if (o.data)
        GDALClose(o.data);
    CPLPopErrorHandler();
    return status;
}
