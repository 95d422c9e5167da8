/* Opening a map with GDAL and choosing its layers. */
#include "reader.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"
#include "reader_parts.h"
#include "scratch.h"

#define LAYERS_MAX 256

struct lw_reader {
    GDALDatasetH data;
    OGRLayerH layer[LAYERS_MAX];
    int layers;
    OGRSpatialReferenceH from, wgs84;
    OGRCoordinateTransformationH to_ll, from_ll;
    bool geographic;
    char crs[128], note[256], map[512];
    char last[256]; /* GDAL's own last message, cleaned */
};

/* GDAL's messages never reach the terminal; the last one may help a sentence. */
static void CPL_STDCALL keep_message(CPLErr class, CPLErrorNum number, const char *text)
{
    struct lw_reader *reader = CPLGetErrorHandlerUserData();

    (void)number;
    if (class >= CE_Failure && reader)
        lw_text_clean(reader->last, sizeof reader->last, text);
}

static void configure(void)
{
    static const char *const options[][2] = {
        {"GDAL_PAM_ENABLED", "NO"},
        {"SHAPE_RESTORE_SHX", "NO"},
        {"OGR_SQLITE_LOAD_EXTENSIONS", NULL},
        {"GDAL_DISABLE_READDIR_ON_OPEN", "NO"},
        {"CPL_VSIL_CURL_ALLOWED_EXTENSIONS", "{noext}"},
        {"GDAL_HTTP_TIMEOUT", "1"},
        {"OGR_SQLITE_JOURNAL", "OFF"},
        {"LIBKML_RESOLVE_STYLE", "NO"},
        {"GDAL_DRIVER_PATH", "disable"},
    };

    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        CPLSetConfigOption(options[i][0], options[i][1]);
    OSRSetPROJEnableNetwork(0);
}

static int open_data(struct lw_reader *reader, const char *map, const char *scratch,
                     struct lw_error *err)
{
    static const char *const drivers[] = {"ESRI Shapefile", "GPKG", "GeoJSON", "GeoJSONSeq",
                                          "LIBKML",         "KML",  NULL};
    static const char *const immutable[] = {"IMMUTABLE=YES", NULL};
    char path[1200];
    bool copied = false;

    if (lw_scratch_stage(map, scratch, path, sizeof path, &copied, err))
        return -1;
    if (copied) /* the copy may be written to: an index rebuilt, a log folded in */
        CPLSetConfigOption("SHAPE_RESTORE_SHX", "YES");
    reader->data = GDALOpenEx(path, GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers,
                              copied || !lw_scratch_is(map, "gpkg") ? NULL : immutable, NULL);
    if (!reader->data)
        return lw_fail(
            err,
            "%s could not be read as a Shapefile, GeoPackage, GeoJSON, KML or KMZ%s%s%s: "
            "check that the file is complete, or get it again from its source",
            map, *reader->last ? " (" : "", reader->last, *reader->last ? ")" : "");
    return 0;
}

/* Best rank of a depth-like attribute in the layer; 100 when only its geometry could tell. */
static int layer_rank(OGRLayerH layer)
{
    OGRFeatureDefnH defn = OGR_L_GetLayerDefn(layer);
    int best = 100;

    for (int i = 0; i < OGR_FD_GetFieldCount(defn); i++) {
        int rank = lw_depth_rank(OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i)));

        if (rank && rank < best)
            best = rank;
    }
    return best;
}

static bool layer_may_hold_lines(OGRLayerH layer)
{
    OGRwkbGeometryType type = wkbFlatten(OGR_L_GetGeomType(layer));

    return type != wkbNone && type != wkbPoint && type != wkbMultiPoint;
}

/* In KML a folder is a layer, and one map may use a folder for each depth: all are read. Other
 * formats keep different things in different layers, so the one that fits best is read. */
static int choose_layers(struct lw_reader *reader, struct lw_error *err)
{
    const char *driver = GDALGetDriverShortName(GDALGetDatasetDriver(reader->data));
    bool all = strcmp(driver, "LIBKML") == 0 || strcmp(driver, "KML") == 0;
    int count = GDALDatasetGetLayerCount(reader->data), best = 1000, left = 0;
    char name[64];

    for (int i = 0; i < count; i++) {
        OGRLayerH layer = GDALDatasetGetLayer(reader->data, i);
        int rank;

        if (!layer || !layer_may_hold_lines(layer))
            continue;
        if (all) {
            if (reader->layers < LAYERS_MAX)
                reader->layer[reader->layers++] = layer;
            continue;
        }
        rank = layer_rank(layer);
        left += reader->layers;
        if (rank < best) {
            best = rank;
            reader->layer[0] = layer;
        }
        reader->layers = 1;
    }
    if (!reader->layers)
        return lw_fail(err,
                       "%s holds no lines and no areas%s: contour lines or polygons are needed",
                       reader->map, count ? ", only points or tables" : "");
    if (left) {
        lw_text_clean(name, sizeof name, OGR_L_GetName(reader->layer[0]));
        snprintf(reader->note, sizeof reader->note,
                 "only the layer %s was read, %d other layers were not", name, left);
    }
    return 0;
}

/* "EPSG:3070 (NAD83 / Wisconsin Transverse Mercator)", or the name alone. */
static void name_crs(struct lw_reader *reader)
{
    const char *authority = OSRGetAuthorityName(reader->from, NULL);
    const char *code = OSRGetAuthorityCode(reader->from, NULL);
    const char *name = OSRGetName(reader->from);
    char text[256];

    if (authority && code)
        snprintf(text, sizeof text, "%s:%s (%s)", authority, code, name ? name : "unnamed");
    else
        snprintf(text, sizeof text, "%s", name ? name : "unnamed");
    lw_text_clean(reader->crs, sizeof reader->crs, text);
}

static int no_crs(struct lw_reader *reader, struct lw_error *err)
{
    OGREnvelope box = {0};
    const char *prj = lw_scratch_is(reader->map, "shp") ? " (there is no .prj file)" : "";

    if (OGR_L_GetExtent(reader->layer[0], &box, TRUE) != OGRERR_NONE ||
        !(box.MinX < box.MaxX || box.MinY < box.MaxY))
        return lw_fail(err, "%s holds no lines and no areas: contour lines or polygons are needed",
                       reader->map);
    if (box.MinX >= -180 && box.MaxX <= 180 && box.MinY >= -90 && box.MaxY <= 90)
        return lw_fail(err,
                       "%s does not say its coordinate system%s; its coordinates, %g to %g and %g "
                       "to %g, look like longitude and latitude: give --crs EPSG:4326 to confirm",
                       reader->map, prj, box.MinX, box.MaxX, box.MinY, box.MaxY);
    return lw_fail(err,
                   "%s does not say its coordinate system%s; its coordinates are %.0f to %.0f and "
                   "%.0f to %.0f: give --crs with the EPSG code that the publisher names, such as "
                   "--crs EPSG:26915",
                   reader->map, prj, box.MinX, box.MaxX, box.MinY, box.MaxY);
}

int lw_reader_epsg(const char *crs)
{
    const char *digits = strncasecmp(crs, "EPSG:", 5) == 0 ? crs + 5 : crs;
    size_t n = strspn(digits, "0123456789");

    return n >= 4 && n <= 6 && digits[n] == '\0' ? atoi(digits) : 0;
}

/* The user's word counts over the map's, but not silently. */
static int wanted_crs(struct lw_reader *reader, const char *wanted, struct lw_error *err)
{
    OGRSpatialReferenceH said = OGR_L_GetSpatialRef(reader->layer[0]);
    int code = lw_reader_epsg(wanted);
    /* GeoJSON's degrees come longitude first, whatever the system says of its axes. */
    const char *const compare[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", NULL};
    char name[100];

    reader->from = OSRNewSpatialReference(NULL);
    /* Not GDAL's general import: that opens files and addresses on the network. */
    if (!code || OSRImportFromEPSG(reader->from, code) != OGRERR_NONE)
        return lw_fail(err, "--crs %s: give a known EPSG code, such as EPSG:4326 or EPSG:26915",
                       wanted);
    if (said && OSRGetName(said) && !OSRIsSameEx(said, reader->from, compare) && !*reader->note) {
        lw_text_clean(name, sizeof name, OSRGetName(said));
        snprintf(reader->note, sizeof reader->note,
                 "the map says its coordinate system is %s; it is read as %.20s by --crs", name,
                 wanted);
    }
    return 0;
}

static int settle_crs(struct lw_reader *reader, const char *wanted, struct lw_error *err)
{
    reader->wgs84 = OSRNewSpatialReference(NULL);
    OSRImportFromEPSG(reader->wgs84, 4326);
    OSRSetAxisMappingStrategy(reader->wgs84, OAMS_TRADITIONAL_GIS_ORDER);
    if (wanted) {
        if (wanted_crs(reader, wanted, err))
            return -1;
    } else {
        OGRSpatialReferenceH said = OGR_L_GetSpatialRef(reader->layer[0]);

        if (!said || !OSRGetName(said) || strncmp(OSRGetName(said), "Undefined", 9) == 0)
            return no_crs(reader, err);
        reader->from = OSRClone(said);
    }
    OSRSetAxisMappingStrategy(reader->from, OAMS_TRADITIONAL_GIS_ORDER);
    name_crs(reader);
    reader->geographic = OSRIsGeographic(reader->from) != 0;
    reader->to_ll = OCTNewCoordinateTransformation(reader->from, reader->wgs84);
    reader->from_ll = OCTNewCoordinateTransformation(reader->wgs84, reader->from);
    if (!reader->to_ll || !reader->from_ll)
        return lw_fail(err,
                       "%s: its coordinate system %s cannot be turned into longitude and latitude: "
                       "give --crs with the right EPSG code",
                       reader->map, reader->crs);
    return 0;
}

int lw_reader_open(const char *map, const char *scratch, const struct lw_import_options *options,
                   struct lw_reader **out, struct lw_error *err)
{
    struct lw_reader *reader = calloc(1, sizeof *reader);

    if (!reader)
        return lw_fail(err, "out of memory");
    lw_text_clean(reader->map, sizeof reader->map, map);
    CPLPushErrorHandlerEx(keep_message, reader);
    configure();
    GDALAllRegister();
    if (open_data(reader, map, scratch, err) || choose_layers(reader, err) ||
        settle_crs(reader, options->map[0].crs, err)) {
        lw_reader_close(reader);
        return -1;
    }
    *out = reader;
    return 0;
}

void lw_reader_close(struct lw_reader *reader)
{
    if (!reader)
        return;
    if (reader->to_ll)
        OCTDestroyCoordinateTransformation(reader->to_ll);
    if (reader->from_ll)
        OCTDestroyCoordinateTransformation(reader->from_ll);
    if (reader->from)
        OSRDestroySpatialReference(reader->from);
    if (reader->wgs84)
        OSRDestroySpatialReference(reader->wgs84);
    if (reader->data)
        GDALClose(reader->data);
    CPLPopErrorHandler();
    free(reader);
}

const char *lw_reader_crs(const struct lw_reader *reader)
{
    return reader->crs;
}

const char *lw_reader_note(const struct lw_reader *reader)
{
    return reader->note;
}

static int set_filter(struct lw_reader *reader, OGRLayerH layer, const struct lw_box *box,
                      struct lw_error *err)
{
    double x0, y0, x1, y1;

    if (!box) {
        OGR_L_SetSpatialFilter(layer, NULL);
        return 0;
    }
    if (!OCTTransformBounds(reader->from_ll, box->lon_min, box->lat_min, box->lon_max, box->lat_max,
                            &x0, &y0, &x1, &y1, 21) ||
        !isfinite(x0) || !isfinite(y0) || !isfinite(x1) || !isfinite(y1))
        return lw_fail(
            err, "%.4f,%.4f lies outside the coordinate system %s of %s: check --at and --crs",
            (box->lat_min + box->lat_max) / 2, (box->lon_min + box->lon_max) / 2, reader->crs,
            reader->map);
    OGR_L_SetSpatialFilterRect(layer, x0, y0, x1, y1);
    return 0;
}

/* The fields of all layers, by name without regard to case. */
static int list_fields(struct lw_reader *reader, struct lw_raw *raw, int *column[],
                       struct lw_error *err)
{
    size_t total = 0;

    for (int l = 0; l < reader->layers; l++)
        total += (size_t)OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(reader->layer[l]));
    raw->field = calloc(total + 1, sizeof *raw->field);
    if (!raw->field)
        return lw_fail(err, "out of memory");
    for (int l = 0; l < reader->layers; l++) {
        OGRFeatureDefnH defn = OGR_L_GetLayerDefn(reader->layer[l]);
        int count = OGR_FD_GetFieldCount(defn);

        column[l] = calloc((size_t)count + 1, sizeof *column[l]);
        if (!column[l])
            return lw_fail(err, "out of memory");
        for (int i = 0; i < count; i++) {
            char name[64];
            size_t k;

            lw_text_clean(name, sizeof name, OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i)));
            for (k = 0; k < raw->fields && strcasecmp(raw->field[k], name) != 0; k++)
                ;
            if (k == raw->fields)
                lw_text_copy(raw->field[raw->fields++], sizeof raw->field[0], name);
            column[l][i] = (int)k;
        }
    }
    return 0;
}

static int read_attributes(OGRFeatureH from, const int *column, size_t fields,
                           struct lw_raw_feature *to, struct lw_error *err)
{
    to->text = calloc(fields + 1, sizeof *to->text);
    to->value = calloc(fields + 1, sizeof *to->value);
    if (!to->text || !to->value)
        return lw_fail(err, "out of memory");
    for (size_t k = 0; k < fields; k++)
        to->value[k] = NAN;
    for (int i = 0; i < OGR_F_GetFieldCount(from); i++) {
        OGRFieldType type = OGR_Fld_GetType(OGR_F_GetFieldDefnRef(from, i));
        size_t k = (size_t)column[i];
        enum lw_depth_unit unit;
        char clean[128];

        if (!OGR_F_IsFieldSetAndNotNull(from, i))
            continue;
        lw_text_clean(clean, sizeof clean, OGR_F_GetFieldAsString(from, i));
        free(to->text[k]);
        to->text[k] = strdup(clean);
        if (!to->text[k])
            return lw_fail(err, "out of memory");
        if (type == OFTInteger || type == OFTInteger64 || type == OFTReal)
            to->value[k] = OGR_F_GetFieldAsDouble(from, i);
        else
            lw_depth_text(clean, &to->value[k], &unit);
        if (!isfinite(to->value[k]))
            to->value[k] = NAN;
    }
    return 0;
}

static int read_layer(struct lw_reader *reader, OGRLayerH layer, const int *column,
                      bool with_geometry, struct lw_raw *raw, struct lw_error *err)
{
    OGRFeatureH from;
    int status = 0;

    OGR_L_ResetReading(layer);
    while (status == 0 && (from = OGR_L_GetNextFeature(layer)) != NULL) {
        struct lw_raw_feature feature = {.z = NAN, .number = (long long)OGR_F_GetFID(from)};

        status = read_attributes(from, column, raw->fields, &feature, err);
        if (status == 0 && with_geometry)
            status = lw_reader_parts(OGR_F_GetGeometryRef(from), reader->to_ll, reader->geographic,
                                     &feature, reader->map, err);
        if (status == 0 && !with_geometry && !lw_reader_has_parts(OGR_F_GetGeometryRef(from)))
            raw->skipped++;
        else if (status == 0 && with_geometry && feature.parts == 0)
            raw->skipped++;
        else if (status == 0)
            status = lw_raw_take(raw, &feature, err);
        raw->has_z = raw->has_z || !isnan(feature.z) ||
                     (raw->features && !isnan(raw->feature[raw->features - 1].z));
        lw_raw_feature_free(&feature, raw->fields);
        OGR_F_Destroy(from);
    }
    return status;
}

int lw_reader_read(struct lw_reader *reader, const struct lw_box *box, bool with_geometry,
                   struct lw_raw *raw, struct lw_error *err)
{
    int *column[LAYERS_MAX] = {0};
    int status;

    lw_raw_free(raw);
    status = list_fields(reader, raw, column, err);
    for (int l = 0; l < reader->layers && status == 0; l++) {
        status = set_filter(reader, reader->layer[l], box, err);
        if (status == 0)
            status = read_layer(reader, reader->layer[l], column[l], with_geometry, raw, err);
    }
    for (int l = 0; l < reader->layers; l++)
        free(column[l]);
    if (status)
        lw_raw_free(raw);
    return status;
}
