#include "buffer.h"

#include <assert.h>
#include <stdlib.h>

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#define QUADRANT_CHORDS 16 /* round parts stray d (1 - cos 2.8 deg) = 0.3 % or less */
#define MITRE_UNUSED    5.0

static_assert(sizeof(struct lw_en) == 2 * sizeof(double), "read by GEOS as pairs of doubles");

/* GEOS tells of its errors through a callback; keep the sentence for the caller's. */
static void keep_message(const char *message, void *userdata)
{
    struct lw_error *kept = userdata;

    lw_fail(kept, "%s", message);
}

static GEOSGeometry *to_geos(GEOSContextHandle_t geos, const struct lw_line *line)
{
    GEOSCoordSequence *points = GEOSCoordSeq_copyFromBuffer_r(
        geos, (const double *)(const void *)line->p, (unsigned)line->n, 0, 0);

    return points ? GEOSGeom_createLineString_r(geos, points) : NULL;
}

/* Takes one ring out; `outer` says whether the area lies inside of it. */
static int take_ring(GEOSContextHandle_t geos, const GEOSGeometry *ring, bool outer,
                     struct lw_lines *rings)
{
    const GEOSCoordSequence *points = GEOSGeom_getCoordSeq_r(geos, ring);
    struct lw_line line = {.closed = true};
    unsigned n = 0;

    if (!points || !GEOSCoordSeq_getSize_r(geos, points, &n))
        return -1;
    line.p = calloc(n ? n : 1, sizeof *line.p);
    if (!line.p)
        return -1;
    line.n = line.cap = n;
    if (!GEOSCoordSeq_copyToBuffer_r(geos, points, (double *)(void *)line.p, 0, 0))
        goto fail;
    if ((lw_line_area(&line) > 0) == outer)
        lw_line_reverse(&line);
    if (lw_lines_take(rings, &line) == 0)
        return 0;
fail:
    lw_line_free(&line);
    return -1;
}

static int take_polygon(GEOSContextHandle_t geos, const GEOSGeometry *polygon,
                        struct lw_lines *rings)
{
    int holes = GEOSGetNumInteriorRings_r(geos, polygon);

    if (GEOSisEmpty_r(geos, polygon) == 1)
        return 0;
    if (take_ring(geos, GEOSGetExteriorRing_r(geos, polygon), true, rings) != 0)
        return -1;
    for (int i = 0; i < holes; i++)
        if (take_ring(geos, GEOSGetInteriorRingN_r(geos, polygon, i), false, rings) != 0)
            return -1;
    return 0;
}

int lw_buffer_rings(const struct lw_line *line, double dist_m, struct lw_lines *rings,
                    struct lw_error *err)
{
    struct lw_error said = {"memory ran out"};
    GEOSContextHandle_t geos = GEOS_init_r();
    GEOSGeometry *shape = NULL, *area = NULL;
    int status = -1, parts;

    if (!geos)
        goto done;
    GEOSContext_setErrorMessageHandler_r(geos, keep_message, &said);
    shape = to_geos(geos, line);
    if (!shape)
        goto done;
    area = GEOSBufferWithStyle_r(geos, shape, dist_m, QUADRANT_CHORDS, GEOSBUF_CAP_ROUND,
                                 GEOSBUF_JOIN_ROUND, MITRE_UNUSED);
    if (!area)
        goto done;
    parts = GEOSGetNumGeometries_r(geos, area);
    for (int i = 0; i < parts; i++)
        if (take_polygon(geos, GEOSGetGeometryN_r(geos, area, i), rings) != 0)
            goto done;
    status = 0;

done:
    if (area)
        GEOSGeom_destroy_r(geos, area);
    if (shape)
        GEOSGeom_destroy_r(geos, shape);
    if (geos)
        GEOS_finish_r(geos);
    if (status != 0)
        return lw_fail(err,
                       "the area within %g m of a line of %zu vertices cannot be found (%s); "
                       "try a shorter stretch",
                       dist_m, line->n, said.text);
    return 0;
}
