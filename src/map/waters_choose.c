/* Which of the map's waters is meant. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/geo/span.h"
#include "waters.h"

#define SMALL   0.05 /* waters of less than this part of the largest are its bays or ponds */
#define ALONG_M 1.0
#define FAR_M                                                                                      \
    1000.0 /* waters of one name but this far apart, and their own size, are namesakes             \
            */

/* More than half of the line's points (of up to 32) lie inside the ring. */
static bool lies_in(const struct lw_line *line, const struct lw_line *ring)
{
    size_t step = line->n / 32 + 1, in = 0, of = 0;

    for (size_t k = 0; k < line->n; k += step, of++)
        in += lw_line_contains(ring, line->p[k]);
    return 2 * in > of;
}

/* A shore that runs along the limit lies neither in nor out. */
static bool lies_along(const struct lw_line *line, const struct lw_line *ring)
{
    size_t step = line->n / 32 + 1, along = 0, of = 0;

    for (size_t k = 0; k < line->n; k += step, of++)
        along += lw_line_nearest(ring, line->p[k]).dist_m < ALONG_M ||
                 lw_line_contains(ring, line->p[k]);
    return 2 * along > of;
}

struct ring {
    size_t contour;
    double area_m2;
    struct lw_span span;
};

static int by_area_falling(const void *a, const void *b)
{
    double x = ((const struct ring *)a)->area_m2, y = ((const struct ring *)b)->area_m2;

    return (x < y) - (x > y);
}

/* root[i]: the outermost ring about contour i, itself if it is one; SIZE_MAX for an open line in
 * none. Returns the number of outermost rings, largest first in `outer`, or SIZE_MAX. */
static size_t find_roots(const struct lw_waters *waters, size_t *root, struct ring *outer)
{
    struct ring *ring = calloc(waters->contours + 1, sizeof *ring);
    size_t rings = 0, outers = 0;

    if (!ring)
        return SIZE_MAX;
    for (size_t i = 0; i < waters->contours; i++) {
        const struct lw_line *line = &waters->contour[i].line;

        if (line->closed)
            ring[rings++] = (struct ring){i, fabs(lw_line_area(line)), lw_span_of(line)};
        root[i] = SIZE_MAX;
    }
    qsort(ring, rings, sizeof *ring, by_area_falling);
    for (size_t i = 0; i < rings; i++) {
        const struct lw_line *line = &waters->contour[ring[i].contour].line;

        for (size_t k = 0; k < outers && root[ring[i].contour] == SIZE_MAX; k++) {
            struct lw_span a = ring[i].span, b = outer[k].span;

            if (a.e_min < b.e_max && b.e_min < a.e_max && a.n_min < b.n_max && b.n_min < a.n_max &&
                lies_in(line, &waters->contour[outer[k].contour].line))
                root[ring[i].contour] = outer[k].contour;
        }
        if (root[ring[i].contour] == SIZE_MAX) {
            root[ring[i].contour] = ring[i].contour;
            outer[outers++] = ring[i];
        }
    }
    for (size_t i = 0; i < waters->contours; i++)
        for (size_t k = 0; k < outers && !waters->contour[i].line.closed && root[i] == SIZE_MAX;
             k++)
            if (lies_in(&waters->contour[i].line, &waters->contour[outer[k].contour].line) ||
                (isnan(waters->contour[outer[k].contour].depth_m) &&
                 lies_along(&waters->contour[i].line, &waters->contour[outer[k].contour].line)))
                root[i] = outer[k].contour;
    free(ring);
    return outers;
}

/* The one about the place or nearest to it, as a number in `outer`; sets off_m. */
static size_t root_at(struct lw_waters *waters, const struct ring *outer, size_t outers,
                      struct lw_ll at)
{
    struct lw_en place = lw_frame_to_en(&waters->frame, at);
    size_t best = 0;
    double nearest = INFINITY;

    for (size_t k = 0; k < outers; k++) {
        const struct lw_line *line = &waters->contour[outer[k].contour].line;
        double dist = lw_line_contains(line, place) ? -1 : lw_line_nearest(line, place).dist_m;

        if (dist < nearest) {
            nearest = dist;
            best = k;
        }
    }
    waters->off_m = fmax(0, nearest);
    return best;
}

/* Waters of one name that lie farther apart than their size: a state has many a Mud Lake. */
static bool far_apart(const struct lw_span *a, const struct lw_span *b)
{
    double e = fmax(fmax(a->e_min - b->e_max, b->e_min - a->e_max), 0);
    double n = fmax(fmax(a->n_min - b->n_max, b->n_min - a->n_max), 0);

    return hypot(e, n) > fmax(FAR_M, fmax(a->e_max - a->e_min, a->n_max - a->n_min));
}

/* Which outermost rings to keep: all[k] for outer[k]. */
static int judge(struct lw_waters *waters, const struct ring *outer, size_t outers,
                 const struct lw_waters_wish *wish, bool *keep, struct lw_error *err)
{
    bool placed = lw_ll_known(wish->at), named = wish->named;
    size_t own = placed ? root_at(waters, outer, outers, wish->at) : 0, large = 0, far = 0;
    struct lw_ll place = lw_frame_to_ll(&waters->frame,
                                        waters->contour[outer[0].contour].line.p[0]);

    for (size_t k = 0; k < outers; k++) {
        bool apart = far_apart(&outer[own].span, &outer[k].span);
        bool counts = outer[k].area_m2 >= SMALL * outer[0].area_m2;

        keep[k] = named ? !apart : !placed || k == own;
        large += counts;
        far += counts && apart;
    }
    if (placed)
        return 0;
    if (named && far)
        return lw_fail(
            err,
            "%s has %zu waters of that name, far apart: choose one with --at LAT,LON (the "
            "largest has its shore at %.5f,%.5f)",
            wish->map, far + 1, place.lat_deg, place.lon_deg);
    if (!named && large > 1)
        return lw_fail(err,
                       "%s holds %zu separate waters and does not name them: choose one with --at "
                       "LAT,LON (the largest has its shore at %.5f,%.5f)",
                       wish->map, large, place.lat_deg, place.lon_deg);
    return 0;
}

static void move(struct lw_line *line, const struct lw_frame *from, const struct lw_frame *to)
{
    for (size_t k = 0; k < line->n; k++)
        line->p[k] = lw_frame_to_en(to, lw_frame_to_ll(from, line->p[k]));
}

/* Moves the frame's origin to the middle of what is left. */
static void centre(struct lw_waters *waters)
{
    struct lw_span all = lw_span_of_nothing();
    struct lw_frame old = waters->frame;

    for (size_t i = 0; i < waters->contours; i++)
        lw_span_add(&all, &waters->contour[i].line);
    for (size_t i = 0; i < waters->limit.n; i++)
        lw_span_add(&all, &waters->limit.line[i]);
    waters->frame.origin = lw_frame_to_ll(
        &old, (struct lw_en){(all.e_min + all.e_max) / 2, (all.n_min + all.n_max) / 2});
    for (size_t i = 0; i < waters->contours; i++)
        move(&waters->contour[i].line, &old, &waters->frame);
    for (size_t i = 0; i < waters->limit.n; i++)
        move(&waters->limit.line[i], &old, &waters->frame);
}

/* Drops the contours of other waters; limits go to a list of their own. */
static int sift(struct lw_waters *waters, const size_t *root, const bool *wanted)
{
    size_t kept = 0;
    int status = 0;

    for (size_t i = 0; i < waters->contours; i++) {
        struct lw_contour *contour = &waters->contour[i];
        bool mine = root[i] != SIZE_MAX && wanted[root[i]];

        /* An open line outside every ring bounds no water that is known: it goes. */
        waters->outside += root[i] == SIZE_MAX;
        if (mine && !isnan(contour->depth_m)) {
            waters->note[kept] = waters->note[i];
            waters->contour[kept++] = *contour;
            continue;
        }
        /* root[i] >= contours kept so far only if it is a limit itself, and those come last */
        if (mine && isnan(waters->contour[root[i]].depth_m) && status == 0)
            status = lw_lines_take(&waters->limit, &contour->line);
        lw_line_free(&contour->line);
    }
    waters->contours = kept;
    return status;
}

int lw_waters_choose(struct lw_waters *waters, const struct lw_waters_wish *wish,
                     struct lw_error *err)
{
    size_t *root = calloc(waters->contours + 1, sizeof *root);
    struct ring *outer = calloc(waters->contours + 1, sizeof *outer);
    bool *keep = calloc(waters->contours + 1, sizeof *keep);     /* by outermost ring */
    bool *wanted = calloc(waters->contours + 1, sizeof *wanted); /* by contour that is one */
    size_t outers;
    int status = -1;

    if (!root || !outer || !keep || !wanted)
        goto no_memory;
    outers = find_roots(waters, root, outer);
    if (outers == SIZE_MAX)
        goto no_memory;
    if (outers == 0) {
        lw_fail(err,
                "%s: no contour closes, even joined end to end, so it is not known where the water "
                "ends: a map with closed contours or a shoreline is needed",
                wish->map);
        goto done;
    }
    if (judge(waters, outer, outers, wish, keep, err))
        goto done;
    for (size_t k = 0; k < outers; k++)
        wanted[outer[k].contour] = keep[k];
    if (sift(waters, root, wanted))
        goto no_memory;
    centre(waters);
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for the map's contours");
done:
    free(root);
    free(outer);
    free(keep);
    free(wanted);
    return status;
}
