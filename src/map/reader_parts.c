/* Taking geometries apart. */
#include "reader_parts.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"

#define NESTING_MAX 8
#define PARTS_MAX   (1u << 19)

struct walk {
    OGRCoordinateTransformationH to_ll;
    bool geographic;
    struct lw_raw_feature *feature;
    const char *map;
    struct lw_error *err;
    double z_min, z_max;
    size_t cap;
};

/* A projected system read as degrees, or degrees under the wrong system, shows here. */
static int bad_place(struct walk *w, double x, double y)
{
    if (w->geographic && fabs(y) > 90 && fabs(y) <= 360 && fabs(x) <= 90)
        return lw_fail(w->err,
                       "%s, feature %lld: the latitude %.6g is beyond 90: longitude and latitude "
                       "look exchanged; a map with the longitude first is needed",
                       w->map, w->feature->number, y);
    return lw_fail(w->err,
                   "%s, feature %lld: the place %.6g, %.6g is not possible in the map's coordinate "
                   "system: give --crs with the right EPSG code",
                   w->map, w->feature->number, x, y);
}

static int to_degrees(struct walk *w, double *x, double *y, struct lw_ll *to, int n)
{
    double x0 = x[0], y0 = y[0];

    for (int i = 0; i < n; i++)
        if (!isfinite(x[i]) || !isfinite(y[i]) ||
            (w->geographic && (fabs(x[i]) > 360 || fabs(y[i]) > 90)))
            return bad_place(w, x[i], y[i]);
    if (!OCTTransform(w->to_ll, n, x, y, NULL))
        return bad_place(w, x0, y0);
    for (int i = 0; i < n; i++) {
        if (x[i] > 180)
            x[i] -= 360;
        else if (x[i] < -180)
            x[i] += 360;
        to[i] = (struct lw_ll){.lat_deg = y[i], .lon_deg = x[i]};
        if (!lw_ll_known(to[i]))
            return bad_place(w, x0, y0);
    }
    return 0;
}

static int add_part(struct walk *w, OGRGeometryH line, bool area, bool hole)
{
    int n = OGR_G_GetPointCount(line), status = -1;
    double *x = NULL, *y = NULL;
    struct lw_raw_part part = {.area = area, .hole = hole};

    if (n < 1 || (n == 1 && area))
        return 0;
    if (w->feature->parts >= PARTS_MAX ||
        lw_array_room(&w->feature->part, w->feature->parts, &w->cap))
        return lw_fail(w->err, "%s: feature %lld has too many parts", w->map, w->feature->number);
    x = malloc((size_t)n * sizeof *x);
    y = malloc((size_t)n * sizeof *y);
    part.p = malloc((size_t)n * sizeof *part.p);
    part.n = (size_t)n;
    if (!x || !y || !part.p) {
        lw_fail(w->err, "%s: out of memory for a line of %d points", w->map, n);
        goto done;
    }
    for (int i = 0; i < n; i++) {
        x[i] = OGR_G_GetX(line, i);
        y[i] = OGR_G_GetY(line, i);
        if (OGR_G_Is3D(line)) {
            w->z_min = fmin(w->z_min, OGR_G_GetZ(line, i));
            w->z_max = fmax(w->z_max, OGR_G_GetZ(line, i));
        }
    }
    status = to_degrees(w, x, y, part.p, n);
    if (status == 0) {
        w->feature->part[w->feature->parts++] = part;
        part.p = NULL;
    }
done:
    free(x);
    free(y);
    free(part.p);
    return status;
}

static int walk(struct walk *w, OGRGeometryH geometry, int depth)
{
    OGRwkbGeometryType type = wkbFlatten(OGR_G_GetGeometryType(geometry));
    int status = 0;

    if (depth > NESTING_MAX)
        return 0;
    switch (type) {
    case wkbPoint:
    case wkbLineString:
        return add_part(w, geometry, false, false);
    case wkbPolygon:
        for (int i = 0; i < OGR_G_GetGeometryCount(geometry) && status == 0; i++)
            status = add_part(w, OGR_G_GetGeometryRef(geometry, i), true, i > 0);
        return status;
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection:
        for (int i = 0; i < OGR_G_GetGeometryCount(geometry) && status == 0; i++)
            status = walk(w, OGR_G_GetGeometryRef(geometry, i), depth + 1);
        return status;
    case wkbCircularString:
    case wkbCompoundCurve:
    case wkbCurvePolygon:
    case wkbMultiCurve:
    case wkbMultiSurface: {
        OGRGeometryH linear = OGR_G_GetLinearGeometry(geometry, 0, NULL);

        if (linear) {
            status = walk(w, linear, depth + 1);
            OGR_G_DestroyGeometry(linear);
        }
        return status;
    }
    default: /* solids, triangles: no contour */
        return 0;
    }
}

int lw_reader_parts(OGRGeometryH geometry, OGRCoordinateTransformationH to_ll, bool geographic,
                    struct lw_raw_feature *feature, const char *map, struct lw_error *err)
{
    struct walk w = {.to_ll = to_ll,
                     .geographic = geographic,
                     .feature = feature,
                     .map = map,
                     .err = err,
                     .z_min = INFINITY,
                     .z_max = -INFINITY};

    feature->z = NAN;
    if (!geometry || OGR_G_IsEmpty(geometry))
        return 0;
    if (walk(&w, geometry, 0))
        return -1;
    /* The height of a contour is one height; 1 cm covers rounding. */
    if (w.z_max >= w.z_min && w.z_max - w.z_min < 0.01)
        feature->z = (w.z_min + w.z_max) / 2;
    return 0;
}
