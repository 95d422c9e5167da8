/* The belt along the beat as polygons (GEOS).
 *
 * GEOS's single-sided buffer reverses and leaves gaps, so each side is taken out of a two-sided
 * flat-ended buffer: the buffer's border and the edge itself are noded and polygonised, and the
 * faces on the wanted side are kept. */
#define GEOS_USE_ONLY_R_API
#include <geos_c.h>
#include <math.h>
#include <stdlib.h>

#include "steps.h"

#define QUADRANT_SEGMENTS 8
#define SLIVER_M2         0.1
#define BEYOND_M                                                                                   \
    1.0 /* the cutting line runs so far past the buffer's flat ends, to cut them too               \
         */

struct side {
    double reach_m;
    bool left;
};

static void quiet(const char *message, void *to)
{
    (void)message;
    (void)to;
}

static GEOSGeometry *to_geos(GEOSContextHandle_t h, const struct lw_line *line)
{
    GEOSCoordSequence *seq = GEOSCoordSeq_create_r(h, (unsigned)line->n, 2);

    if (!seq)
        return NULL;
    for (size_t i = 0; i < line->n; i++)
        GEOSCoordSeq_setXY_r(h, seq, (unsigned)i, line->p[i].e_m, line->p[i].n_m);
    return GEOSGeom_createLineString_r(h, seq);
}

/* The beat with both ends drawn out straight. */
static int lengthen(const struct lw_line *beat, struct lw_line *out)
{
    size_t n = beat->n;
    double first_deg = lw_en_bearing(beat->p[1], beat->p[0]);
    double last_deg = lw_en_bearing(beat->p[n - 2], beat->p[n - 1]);

    if (lw_line_copy(out, beat))
        return -1;
    if (beat->closed)
        return 0;
    out->p[0] = lw_en_step(beat->p[0], first_deg, BEYOND_M);
    out->p[n - 1] = lw_en_step(beat->p[n - 1], last_deg, BEYOND_M);
    return 0;
}

static bool on_side(GEOSContextHandle_t h, const GEOSGeometry *face, const struct lw_line *beat,
                    struct side side)
{
    GEOSGeometry *point = GEOSPointOnSurface_r(h, face);
    struct lw_en at = {NAN, NAN};
    struct lw_near near;

    if (point) {
        GEOSGeomGetX_r(h, point, &at.e_m);
        GEOSGeomGetY_r(h, point, &at.n_m);
        GEOSGeom_destroy_r(h, point);
    }
    if (isnan(at.e_m))
        return false;
    near = lw_line_nearest(beat, at);
    return near.dist_m <= side.reach_m && (near.left_m > 0) == side.left;
}

/* Adds the faces of one side to face[n..]. Returns -1 when GEOS failed. */
static int add_faces(GEOSContextHandle_t h, const struct lw_line *beat, const GEOSGeometry *line,
                     const GEOSGeometry *knife, struct side side, GEOSGeometry ***face, unsigned *n)
{
    GEOSGeometry *buffer = NULL, *border = NULL, *noded = NULL, *faces = NULL, **more;
    int rc = -1, count;

    if (!(side.reach_m > 0))
        return 0;
    buffer = GEOSBufferWithStyle_r(h, line, side.reach_m, QUADRANT_SEGMENTS, GEOSBUF_CAP_FLAT,
                                   GEOSBUF_JOIN_ROUND, 5);
    border = buffer ? GEOSBoundary_r(h, buffer) : NULL;
    noded = border ? GEOSUnion_r(h, border, knife) : NULL;
    faces = noded ? GEOSPolygonize_r(h, (const GEOSGeometry *const *)&noded, 1) : NULL;
    if (!faces)
        goto done;
    count = GEOSGetNumGeometries_r(h, faces);
    more = realloc(*face, (*n + (size_t)count + 1) * sizeof *more);
    if (!more)
        goto done;
    *face = more;
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *one = GEOSGetGeometryN_r(h, faces, i);

        if (on_side(h, one, beat, side) && (more[*n] = GEOSGeom_clone_r(h, one)))
            (*n)++;
    }
    rc = 0;
done:
    GEOSGeom_destroy_r(h, faces);
    GEOSGeom_destroy_r(h, noded);
    GEOSGeom_destroy_r(h, border);
    GEOSGeom_destroy_r(h, buffer);
    return rc;
}

static int take_ring(GEOSContextHandle_t h, const GEOSGeometry *ring, bool outer,
                     struct lw_lines *out)
{
    const GEOSCoordSequence *seq = GEOSGeom_getCoordSeq_r(h, ring);
    struct lw_line line = {.closed = true};
    unsigned n = 0;

    GEOSCoordSeq_getSize_r(h, seq, &n);
    for (unsigned i = 0; i < n; i++) {
        struct lw_en at;

        GEOSCoordSeq_getXY_r(h, seq, i, &at.e_m, &at.n_m);
        if (lw_line_add(&line, at)) {
            lw_line_free(&line);
            return -1;
        }
    }
    if ((lw_line_area(&line) > 0) != outer)
        lw_line_reverse(&line);
    if (lw_lines_take(out, &line)) {
        lw_line_free(&line);
        return -1;
    }
    return 0;
}

static int take_polygons(GEOSContextHandle_t h, const GEOSGeometry *all, struct lw_lines *out)
{
    for (int i = 0; i < GEOSGetNumGeometries_r(h, all); i++) {
        const GEOSGeometry *one = GEOSGetGeometryN_r(h, all, i);
        double area_m2 = 0;

        if (GEOSGeomTypeId_r(h, one) != GEOS_POLYGON || !GEOSArea_r(h, one, &area_m2) ||
            area_m2 < SLIVER_M2)
            continue;
        if (take_ring(h, GEOSGetExteriorRing_r(h, one), true, out))
            return -1;
        for (int k = 0; k < GEOSGetNumInteriorRings_r(h, one); k++)
            if (take_ring(h, GEOSGetInteriorRingN_r(h, one, k), false, out))
                return -1;
    }
    return 0;
}

int lw_belt_make(struct lw_plan *plan, struct lw_error *err)
{
    struct side sides[2] = {{plan->params.past_m, plan->deep_left},
                            {plan->params.up_m, !plan->deep_left}};
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *line = NULL, *knife = NULL, *set = NULL, *all = NULL, **face = NULL;
    struct lw_line beat = {0}, longer = {0};
    unsigned faces = 0;
    int rc = -1;

    if (!h)
        return lw_fail(err, "memory ran out while making the belt");
    GEOSContext_setNoticeMessageHandler_r(h, quiet, NULL);
    GEOSContext_setErrorMessageHandler_r(h, quiet, NULL);
    if (lw_line_cut(&plan->edge, plan->beat_from_m, plan->beat_to_m, &beat, err))
        goto done;
    lw_line_clean(&beat);
    if (beat.n < 2 || lengthen(&beat, &longer))
        goto fail;
    line = to_geos(h, &beat);
    knife = to_geos(h, &longer);
    if (!line || !knife || add_faces(h, &beat, line, knife, sides[0], &face, &faces) ||
        add_faces(h, &beat, line, knife, sides[1], &face, &faces))
        goto fail;
    if (faces == 0) { /* no reach on either side: no belt */
        rc = 0;
        goto done;
    }
    set = GEOSGeom_createCollection_r(h, GEOS_GEOMETRYCOLLECTION, face, faces);
    if (!set)
        goto fail;
    faces = 0; /* now the collection's */
    all = GEOSUnaryUnion_r(h, set);
    if (!all || take_polygons(h, all, &plan->belt))
        goto fail;
    rc = 0;
    goto done;
fail:
    lw_fail(err, "the belt along the beat from %s to %s could not be made; choose other ends",
            lw_plan_words(&plan->params, plan->beat_from_m),
            lw_plan_words(&plan->params, plan->beat_to_m));
done:
    for (unsigned i = 0; i < faces; i++)
        GEOSGeom_destroy_r(h, face[i]);
    free(face);
    GEOSGeom_destroy_r(h, all);
    GEOSGeom_destroy_r(h, set);
    GEOSGeom_destroy_r(h, knife);
    GEOSGeom_destroy_r(h, line);
    GEOS_finish_r(h);
    lw_line_free(&beat);
    lw_line_free(&longer);
    return rc;
}

double lw_belt_worth(const struct lw_plan *plan, struct lw_en at)
{
    double off_m = lw_plan_offset(plan, at).off_m;
    double reach_m = off_m > 0 ? plan->params.past_m : plan->params.up_m;
    double near = reach_m > 0 ? fmax(0, 1 - fabs(off_m) / reach_m) : 0;

    return 1 + (plan->params.lip_worth - 1) * near;
}
