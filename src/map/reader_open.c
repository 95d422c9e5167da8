/* Opening a map with GDAL and choosing layers. */
#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gdal.h"
#include "lipwalk/base/text.h"
#include "reader_own.h"
#include "scratch.h"

/* GDAL's messages never reach the terminal; the last one may help a sentence. */
static void CPL_STDCALL keep_message(CPLErr class, CPLErrorNum number, const char *text)
{
    struct lw_reader *reader = CPLGetErrorHandlerUserData();

    (void)number;
    if (class >= CE_Failure && reader)
        lw_text_clean(reader->last, sizeof reader->last, text);
}

void lw_reader_listen(struct lw_reader *reader)
{
    CPLPushErrorHandlerEx(keep_message, reader);
}

void lw_reader_hush(void)
{
    CPLPopErrorHandler();
}

static void configure(void)
{
    static const char *const options[][2] = {
        {"SHAPE_RESTORE_SHX", "NO"},
        {"OGR_SQLITE_LOAD_EXTENSIONS", NULL},
        {"OGR_SQLITE_JOURNAL", "OFF"},
        {"LIBKML_RESOLVE_STYLE", "NO"},
        /* Each sounding a feature of its own, with its depth; no geometry in pieces. */
        {"OGR_S57_OPTIONS", "SPLIT_MULTIPOINT=ON,ADD_SOUNDG_DEPTH=ON,RETURN_PRIMITIVES=OFF,"
                            "RETURN_LINKAGES=OFF,LNAM_REFS=OFF"},
    };

    lw_gdal_private();
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        CPLSetConfigOption(options[i][0], options[i][1]);
}

static int open_data(struct lw_reader *reader, const char *scratch, struct lw_error *err)
{
    static const char *const drivers[] = {"ESRI Shapefile", "GPKG", "GeoJSON", "GeoJSONSeq",
                                          "LIBKML",         "KML",  "S57",     NULL};
    static const char *const immutable[] = {"IMMUTABLE=YES", NULL};
    const char *map = reader->file->path;
    char path[1200];
    bool copied = false;

    if (lw_scratch_stage(map, scratch, path, sizeof path, &copied, err))
        return -1;
    if (copied) /* the copy may be written to: an index rebuilt, a log folded in */
        CPLSetConfigOption("SHAPE_RESTORE_SHX", "YES");
    reader->data = GDALOpenEx(path, GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers,
                              copied || !lw_scratch_is(map, "gpkg") ? NULL : immutable, NULL);
    CPLSetConfigOption("SHAPE_RESTORE_SHX", "NO");
    if (!reader->data)
        return lw_fail(err,
                       "%s could not be read as a Shapefile, GeoPackage, GeoJSON, KML, KMZ or S-57 "
                       "cell%s%s%s: check that the file is complete, or get it again from its "
                       "source",
                       map, *reader->last ? " (" : "", reader->last, *reader->last ? ")" : "");
    snprintf(reader->driver, sizeof reader->driver, "%s",
             GDALGetDriverShortName(GDALGetDatasetDriver(reader->data)));
    return 0;
}

static void list_layers(struct lw_reader *reader)
{
    int count = GDALDatasetGetLayerCount(reader->data);

    for (int i = 0; i < count && reader->layers < LW_LAYERS_MAX; i++) {
        OGRLayerH layer = GDALDatasetGetLayer(reader->data, i);

        if (layer)
            reader->layer[reader->layers++] = layer;
    }
    lw_reader_judge(reader);
}

int lw_reader_open(const struct lw_map_file *file, const char *scratch, struct lw_reader **out,
                   struct lw_error *err)
{
    struct lw_reader *reader = calloc(1, sizeof *reader);
    int status;

    if (!reader)
        return lw_fail(err, "out of memory");
    reader->file = file;
    reader->first = -1;
    reader->kept_box = lw_box_empty();
    lw_text_clean(reader->map, sizeof reader->map, file->path);
    lw_reader_listen(reader);
    configure();
    GDALAllRegister();
    status = open_data(reader, scratch, err);
    if (status == 0)
        list_layers(reader);
    lw_reader_hush();
    if (status) {
        lw_reader_close(reader);
        return -1;
    }
    *out = reader;
    return 0;
}

static void forget_use(struct lw_reader *reader)
{
    for (int l = 0; l < reader->layers; l++) {
        free(reader->column[l]);
        reader->column[l] = NULL;
    }
    memset(reader->use, 0, sizeof reader->use);
    lw_raw_free(&reader->kept);
    reader->kept_box = lw_box_empty();
    reader->first = -1;
}

void lw_reader_close(struct lw_reader *reader)
{
    if (!reader)
        return;
    lw_reader_listen(reader);
    forget_use(reader);
    lw_reader_forget_crs(reader);
    if (reader->data)
        GDALClose(reader->data);
    lw_reader_hush();
    free(reader);
}

size_t lw_reader_layers(const struct lw_reader *reader, const struct lw_layer **out)
{
    *out = reader->about;
    return (size_t)reader->layers;
}

bool lw_reader_is_kml(const struct lw_reader *reader)
{
    return strcmp(reader->driver, "LIBKML") == 0 || strcmp(reader->driver, "KML") == 0;
}

bool lw_reader_is_s57(const struct lw_reader *reader)
{
    return strcmp(reader->driver, "S57") == 0;
}

const char *lw_reader_crs(const struct lw_reader *reader)
{
    return reader->crs;
}

const char *lw_reader_note(const struct lw_reader *reader)
{
    return reader->note;
}

const char *lw_reader_map(const struct lw_reader *reader)
{
    return reader->map;
}

int lw_reader_use(struct lw_reader *reader, const bool *use, struct lw_error *err)
{
    int status;

    forget_use(reader);
    for (int l = 0; l < reader->layers; l++) {
        reader->use[l] = use[l];
        if (use[l] && reader->first < 0)
            reader->first = l;
    }
    if (reader->first < 0)
        return lw_fail(err, "%s has no layer to read", reader->map);
    lw_reader_listen(reader);
    status = lw_reader_settle_crs(reader, err);
    lw_reader_hush();
    return status;
}
