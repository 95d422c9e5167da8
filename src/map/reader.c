/* Reading features from the layers chosen. */
#include <cpl_string.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"
#include "reader_own.h"
#include "reader_parts.h"

#define KEEP_M                                                                                     \
    6000.0            /* half of the box that is kept at least: farther than a lake is looked for  \
                       */
#define BORDER    11  /* places on each side of a box */
#define KEEP_MORE 3.0 /* when that was too small: so many times what is wanted */

/* The fields of the layers used, by name without regard to case. */
static int list_fields(struct lw_reader *reader, struct lw_raw *raw, struct lw_error *err)
{
    size_t total = 0;

    for (int l = 0; l < reader->layers; l++)
        if (reader->use[l])
            total += (size_t)OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(reader->layer[l]));
    raw->field = calloc(total + 1, sizeof *raw->field);
    if (!raw->field)
        return lw_fail(err, "out of memory");
    for (int l = 0; l < reader->layers; l++) {
        OGRFeatureDefnH defn = OGR_L_GetLayerDefn(reader->layer[l]);
        int count = OGR_FD_GetFieldCount(defn);

        if (!reader->use[l])
            continue;
        free(reader->column[l]);
        reader->column[l] = calloc((size_t)count + 1, sizeof *reader->column[l]);
        if (!reader->column[l])
            return lw_fail(err, "out of memory");
        for (int i = 0; i < count; i++) {
            char name[64];
            size_t k;

            lw_text_clean(name, sizeof name, OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i)));
            for (k = 0; k < raw->fields && strcasecmp(raw->field[k], name) != 0; k++)
                ;
            if (k == raw->fields)
                lw_text_copy(raw->field[raw->fields++], sizeof raw->field[0], name);
            reader->column[l][i] = (int)k;
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

/* Takes one feature over into raw. */
static int take_with(struct lw_reader *reader, int layer, OGRFeatureH from, OGRGeometryH geometry,
                     bool with_geometry, struct lw_raw *raw, struct lw_error *err)
{
    struct lw_raw_feature feature = {
        .z = NAN, .number = (long long)OGR_F_GetFID(from), .layer = layer};
    int status = read_attributes(from, reader->column[layer], raw->fields, &feature, err);

    if (status == 0 && with_geometry)
        status = lw_reader_parts(geometry, reader->to_ll, reader->geographic, &feature, reader->map,
                                 err);
    raw->has_z = raw->has_z || !isnan(feature.z);
    if (status == 0 && with_geometry && feature.parts == 0)
        raw->skipped++;
    else if (status == 0)
        status = lw_raw_take(raw, &feature, err);
    lw_raw_feature_free(&feature, raw->fields);
    return status;
}

/* Places gathered in one feature are a feature each: each has a height of its own. */
static int take(struct lw_reader *reader, int layer, OGRFeatureH from, bool with_geometry,
                struct lw_raw *raw, struct lw_error *err)
{
    OGRGeometryH geometry = with_geometry ? OGR_F_GetGeometryRef(from) : NULL;
    int status = 0;

    if (!geometry || wkbFlatten(OGR_G_GetGeometryType(geometry)) != wkbMultiPoint)
        return take_with(reader, layer, from, geometry, with_geometry, raw, err);
    for (int i = 0; i < OGR_G_GetGeometryCount(geometry) && status == 0; i++)
        status = take_with(reader, layer, from, OGR_G_GetGeometryRef(geometry, i), true, raw, err);
    return status;
}

struct rect {
    double x0, y0, x1, y1;
    bool any; /* everything */
};

/* The box about the border's places in the layer's system. Not by OCTTransformBounds: that looks
 * the transformation up in PROJ's database anew each time, half of the time that a small lake
 * takes. */
static bool bounds(struct lw_reader *reader, const struct lw_box *box, struct rect *to)
{
    double x[4 * BORDER], y[4 * BORDER];
    int n = 0;

    for (int i = 0; i < BORDER; i++) {
        double t = (double)i / (BORDER - 1);
        double lon = box->lon_min + t * (box->lon_max - box->lon_min);
        double lat = box->lat_min + t * (box->lat_max - box->lat_min);
        const double at[4][2] = {
            {lon, box->lat_min}, {lon, box->lat_max}, {box->lon_min, lat}, {box->lon_max, lat}};

        for (int k = 0; k < 4; k++, n++) {
            x[n] = at[k][0];
            y[n] = at[k][1];
        }
    }
    if (!OCTTransform(reader->from_ll, n, x, y, NULL))
        return false;
    to->x0 = to->y0 = INFINITY;
    to->x1 = to->y1 = -INFINITY;
    for (int i = 0; i < n; i++) {
        if (!isfinite(x[i]) || !isfinite(y[i]))
            return false;
        to->x0 = fmin(to->x0, x[i]);
        to->x1 = fmax(to->x1, x[i]);
        to->y0 = fmin(to->y0, y[i]);
        to->y1 = fmax(to->y1, y[i]);
    }
    return true;
}

static int rect_of(struct lw_reader *reader, const struct lw_box *box, struct rect *to,
                   struct lw_error *err)
{
    *to = (struct rect){.any = !box};
    if (!box || bounds(reader, box, to))
        return 0;
    return lw_fail(err,
                   "%.4f,%.4f lies outside the coordinate system %s of %s: check --at and --crs",
                   (box->lat_min + box->lat_max) / 2, (box->lon_min + box->lon_max) / 2,
                   reader->crs, reader->map);
}

/* Longitudes may run from 0 to 360. */
static bool meets(const OGREnvelope *e, const struct rect *r, bool geographic)
{
    if (e->MinY > r->y1 || e->MaxY < r->y0)
        return false;
    for (int turn = -1; turn <= 1; turn++)
        if ((turn == 0 || geographic) && e->MinX <= r->x1 + 360 * turn &&
            e->MaxX >= r->x0 + 360 * turn)
            return true;
    return false;
}

/* Sets the layer's own filter where its extent is known, and says whether that is enough. */
static bool filter(struct lw_reader *reader, OGRLayerH layer, const struct rect *rect)
{
    OGREnvelope all;
    double shift = 0;

    OGR_L_SetSpatialFilter(layer, NULL);
    if (rect->any)
        return true;
    if (reader->geographic) {
        if (OGR_L_GetExtent(layer, &all, FALSE) != OGRERR_NONE)
            return false;
        if (rect->x0 < -180 || rect->x1 > 180 || (all.MaxX > 180 && all.MinX < -180))
            return false; /* about longitude 180 */
        shift = all.MaxX > 180 && rect->x1 < 0 ? 360 : 0;
        if (all.MaxX > 180 && all.MinX < 180 && rect->x0 < 0 && rect->x1 + 360 > 360)
            return false; /* about longitude 0 */
    }
    OGR_L_SetSpatialFilterRect(layer, rect->x0 + shift, rect->y0, rect->x1 + shift, rect->y1);
    return true;
}

static int read_layer(struct lw_reader *reader, int l, const struct rect *rect, struct lw_raw *raw,
                      struct lw_error *err)
{
    OGRLayerH layer = reader->layer[l];
    bool filtered = filter(reader, layer, rect);
    OGRFeatureH from;
    int status = 0;

    OGR_L_ResetReading(layer);
    while (status == 0 && (from = OGR_L_GetNextFeature(layer)) != NULL) {
        OGRGeometryH geometry = OGR_F_GetGeometryRef(from);
        OGREnvelope e;

        if (!filtered && geometry)
            OGR_G_GetEnvelope(geometry, &e);
        if (filtered || (geometry && meets(&e, rect, reader->geographic)))
            status = take(reader, l, from, true, raw, err);
        OGR_F_Destroy(from);
    }
    OGR_L_SetSpatialFilter(layer, NULL);
    return status;
}

static int read_all(struct lw_reader *reader, const struct lw_box *box, struct lw_raw *raw,
                    struct lw_error *err)
{
    struct rect rect;
    int status = list_fields(reader, raw, err);

    if (status == 0)
        status = rect_of(reader, box, &rect, err);
    for (int l = 0; l < reader->layers && status == 0; l++)
        if (reader->use[l])
            status = read_layer(reader, l, &rect, raw, err);
    return status;
}

static bool is_slow(const struct lw_reader *reader)
{
    for (int l = 0; l < reader->layers; l++)
        if (reader->use[l] && !OGR_L_TestCapability(reader->layer[l], OLCFastSpatialFilter))
            return true;
    return false;
}

/* One pass for all that will be asked of a place, most times. */
static int keep_about(struct lw_reader *reader, const struct lw_box *box, struct lw_error *err)
{
    double high = box->lat_max - box->lat_min;
    bool again = reader->kept.field != NULL;
    double more_m = again ? KEEP_MORE * high / 2 * 111e3 : fmax(0, KEEP_M - high / 2 * 111e3);

    lw_raw_free(&reader->kept);
    reader->kept_box = lw_box_grown(*box, more_m);
    return read_all(reader, &reader->kept_box, &reader->kept, err);
}

static int from_kept(const struct lw_reader *reader, const struct lw_box *box, struct lw_raw *raw,
                     struct lw_error *err)
{
    const struct lw_raw *kept = &reader->kept;

    raw->field = calloc(kept->fields + 1, sizeof *raw->field);
    if (!raw->field)
        return lw_fail(err, "out of memory");
    memcpy(raw->field, kept->field, kept->fields * sizeof *raw->field);
    raw->fields = kept->fields;
    raw->has_z = kept->has_z;
    raw->skipped = kept->skipped;
    for (size_t i = 0; i < kept->features; i++) {
        struct lw_raw_feature copy;

        if (!lw_box_meets(*box, lw_raw_feature_box(&kept->feature[i])))
            continue;
        if (lw_raw_feature_copy(&kept->feature[i], kept->fields, &copy))
            return lw_fail(err, "out of memory for the map's features");
        if (lw_raw_take(raw, &copy, err)) {
            lw_raw_feature_free(&copy, kept->fields);
            return -1;
        }
    }
    return 0;
}

int lw_reader_read(struct lw_reader *reader, const struct lw_box *box, struct lw_raw *raw,
                   struct lw_error *err)
{
    int status = 0;

    lw_raw_free(raw);
    lw_reader_listen(reader);
    if (!box || !is_slow(reader)) {
        status = read_all(reader, box, raw, err);
    } else {
        if (!lw_box_contains(reader->kept_box, *box))
            status = keep_about(reader, box, err);
        if (status == 0)
            status = from_kept(reader, box, raw, err);
    }
    lw_reader_hush();
    if (status)
        lw_raw_free(raw);
    return status;
}

static void ignore(OGRLayerH layer, bool (*want)(const char *field))
{
    OGRFeatureDefnH defn = OGR_L_GetLayerDefn(layer);
    char **names = CSLAddString(NULL, "OGR_GEOMETRY");

    for (int i = 0; i < OGR_FD_GetFieldCount(defn); i++) {
        const char *name = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i));

        if (!want(name))
            names = CSLAddString(names, name);
    }
    names = CSLAddString(names, "OGR_STYLE");
    OGR_L_SetIgnoredFields(layer, (const char **)names);
    CSLDestroy(names);
}

int lw_reader_scan(struct lw_reader *reader, bool (*want)(const char *field), struct lw_raw *raw,
                   struct lw_error *err)
{
    OGRFeatureH from;
    int status;

    lw_raw_free(raw);
    lw_reader_listen(reader);
    status = list_fields(reader, raw, err);
    for (int l = 0; l < reader->layers && status == 0; l++) {
        if (!reader->use[l])
            continue;
        ignore(reader->layer[l], want);
        OGR_L_SetSpatialFilter(reader->layer[l], NULL);
        OGR_L_ResetReading(reader->layer[l]);
        while (status == 0 && (from = OGR_L_GetNextFeature(reader->layer[l])) != NULL) {
            status = take(reader, l, from, false, raw, err);
            OGR_F_Destroy(from);
        }
        OGR_L_SetIgnoredFields(reader->layer[l], NULL);
    }
    lw_reader_hush();
    if (status)
        lw_raw_free(raw);
    return status;
}

static int by_number(const void *a, const void *b)
{
    const struct lw_raw_feature *x = *(struct lw_raw_feature *const *)a,
                                *y = *(struct lw_raw_feature *const *)b;

    if (x->layer != y->layer)
        return x->layer - y->layer;
    return (x->number > y->number) - (x->number < y->number);
}

static int fetch_layer(struct lw_reader *reader, int l, const struct lw_raw_feature **wanted,
                       size_t n, struct lw_raw *raw, struct lw_error *err)
{
    OGRLayerH layer = reader->layer[l];
    bool jump = OGR_L_TestCapability(layer, OLCRandomRead);
    OGRFeatureH from;
    int status = 0;

    if (n == 0)
        return 0;
    for (size_t i = 0; i < n && jump && status == 0; i++) {
        from = OGR_L_GetFeature(layer, (GIntBig)wanted[i]->number);
        if (from) {
            status = take(reader, l, from, true, raw, err);
            OGR_F_Destroy(from);
        }
    }
    if (jump)
        return status;
    OGR_L_SetSpatialFilter(layer, NULL);
    OGR_L_ResetReading(layer);
    while (status == 0 && (from = OGR_L_GetNextFeature(layer)) != NULL) {
        struct lw_raw_feature key = {.number = (long long)OGR_F_GetFID(from), .layer = l};
        const struct lw_raw_feature *at = &key;

        if (bsearch(&at, wanted, n, sizeof *wanted, by_number))
            status = take(reader, l, from, true, raw, err);
        OGR_F_Destroy(from);
    }
    return status;
}

int lw_reader_fetch(struct lw_reader *reader, const struct lw_raw *list, const bool *keep,
                    struct lw_raw *raw, struct lw_error *err)
{
    const struct lw_raw_feature **wanted = calloc(list->features + 1, sizeof *wanted);
    size_t n = 0, from = 0;
    int status;

    lw_raw_free(raw);
    if (!wanted)
        return lw_fail(err, "out of memory for the map's features");
    for (size_t i = 0; i < list->features; i++)
        if (keep[i])
            wanted[n++] = &list->feature[i];
    qsort(wanted, n, sizeof *wanted, by_number);
    lw_reader_listen(reader);
    status = list_fields(reader, raw, err);
    for (int l = 0; l < reader->layers && status == 0; l++) {
        size_t end = from;

        while (end < n && wanted[end]->layer == l)
            end++;
        status = fetch_layer(reader, l, wanted + from, end - from, raw, err);
        from = end;
    }
    lw_reader_hush();
    free(wanted);
    if (status)
        lw_raw_free(raw);
    return status;
}
