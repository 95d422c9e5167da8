/* From features to contours. */
#include "waters.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "join.h"

#define GAP_M 0.5  /* ends of one line in two pieces: digitising and rounding of coordinates */
#define SAME  0.01 /* rings whose boxes and areas differ by less, relatively, are one line */
#define SMALL 0.05 /* waters of less than this part of the largest are its bays or ponds */

struct span {
    double e_min, e_max, n_min, n_max;
};

static struct span span_of(const struct lw_line *line)
{
    struct span s = {INFINITY, -INFINITY, INFINITY, -INFINITY};

    for (size_t k = 0; k < line->n; k++) {
        s.e_min = fmin(s.e_min, line->p[k].e_m);
        s.e_max = fmax(s.e_max, line->p[k].e_m);
        s.n_min = fmin(s.n_min, line->p[k].n_m);
        s.n_max = fmax(s.n_max, line->p[k].n_m);
    }
    return s;
}

static int take(struct lw_waters *waters, struct lw_line *line, double depth_m)
{
    lw_line_clean(line);
    if (line->n < 2 || (line->closed && line->n < 4)) {
        lw_line_free(line);
        return 0;
    }
    if (waters->contours == waters->cap) {
        size_t cap = waters->cap ? 2 * waters->cap : 32;
        struct lw_contour *more = realloc(waters->contour, cap * sizeof *more);

        if (!more)
            return -1;
        waters->contour = more;
        waters->cap = cap;
    }
    waters->contour[waters->contours++] = (struct lw_contour){.depth_m = depth_m, .line = *line};
    memset(line, 0, sizeof *line);
    return 0;
}

static int part_line(const struct lw_frame *frame, const struct lw_raw_part *part,
                     struct lw_line *line)
{
    memset(line, 0, sizeof *line);
    for (size_t k = 0; k < part->n; k++)
        if (lw_line_add(line, lw_frame_to_en(frame, part->p[k])))
            return -1;
    line->closed = line->n >= 4 && lw_en_distance(line->p[0], line->p[line->n - 1]) < 1e-3;
    if (line->closed) {
        line->p[line->n - 1] = line->p[0];
    } else if (part->area && line->n >= 3) { /* a ring that its file left open */
        if (lw_line_add(line, line->p[0]))
            return -1;
        line->closed = true;
    }
    return 0;
}

struct item { /* a feature's depth, for going through them by depth */
    double depth_m;
    size_t feature;
};

static int by_depth(const void *a, const void *b)
{
    const struct item *x = a, *y = b;

    if (x->depth_m != y->depth_m)
        return x->depth_m > y->depth_m ? 1 : -1;
    return (x->feature > y->feature) - (x->feature < y->feature);
}

/* All features of one depth: areas as they are, lines joined. */
static int take_level(const struct lw_raw *raw, const struct item *item, size_t items,
                      struct lw_waters *out, struct lw_error *err)
{
    struct lw_lines lines = {0};
    struct lw_line line = {0};
    int status = -1;

    for (size_t i = 0; i < items; i++) {
        const struct lw_raw_feature *feature = &raw->feature[item[i].feature];

        for (size_t k = 0; k < feature->parts; k++) {
            if (part_line(&out->frame, &feature->part[k], &line))
                goto no_memory;
            if (feature->part[k].area ? take(out, &line, item->depth_m)
                                      : lw_lines_take(&lines, &line))
                goto no_memory;
        }
    }
    if (lines.n && lw_join_lines(&lines, GAP_M, err))
        goto done;
    for (size_t i = 0; i < lines.n; i++)
        if (take(out, &lines.line[i], item->depth_m))
            goto no_memory;
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for the map's contours");
done:
    lw_line_free(&line);
    lw_lines_free(&lines);
    return status;
}

struct shape {
    struct span span;
    double area_m2, depth_m;
};

static bool same_shape(const struct shape *a, const struct shape *b)
{
    double slack = SAME * fmax(a->span.e_max - a->span.e_min, a->span.n_max - a->span.n_min);

    return fabs(a->area_m2 - b->area_m2) < SAME * a->area_m2 &&
           fabs(a->span.e_min - b->span.e_min) < slack &&
           fabs(a->span.e_max - b->span.e_max) < slack &&
           fabs(a->span.n_min - b->span.n_min) < slack &&
           fabs(a->span.n_max - b->span.n_max) < slack;
}

static bool has_holes(const struct lw_raw *raw)
{
    for (size_t i = 0; i < raw->features; i++)
        for (size_t k = 0; k < raw->feature[i].parts; k++)
            if (raw->feature[i].part[k].hole)
                return true;
    return false;
}

/* In a map whose areas are cut out of one another, a hole repeats the edge of the deeper area that
 * fills it: the line there is that area's, not the outer one's. Contours are in order of depth. */
static int drop_filled_holes(const struct lw_raw *raw, struct lw_waters *out)
{
    struct shape *shape;
    size_t kept = 0;

    if (!has_holes(raw))
        return 0;
    shape = calloc(out->contours + 1, sizeof *shape);
    if (!shape)
        return -1;
    for (size_t i = 0; i < out->contours; i++)
        shape[i] = (struct shape){span_of(&out->contour[i].line),
                                  fabs(lw_line_area(&out->contour[i].line)),
                                  out->contour[i].depth_m};
    for (size_t i = 0; i < out->contours; i++) {
        bool repeated = false;

        for (size_t k = i + 1; k < out->contours && !repeated; k++)
            repeated = shape[k].depth_m > shape[i].depth_m && same_shape(&shape[i], &shape[k]);
        if (repeated)
            lw_line_free(&out->contour[i].line);
        else
            out->contour[kept++] = out->contour[i];
    }
    out->contours = kept;
    free(shape);
    return 0;
}

int lw_waters_make(const struct lw_raw *raw, const double *value, const struct lw_depth_rule *rule,
                   struct lw_waters *out, struct lw_error *err)
{
    struct item *item = calloc(raw->features + 1, sizeof *item);
    struct lw_box box = lw_box_empty();
    size_t items = 0;
    int status = -1;

    memset(out, 0, sizeof *out);
    if (!item)
        return lw_fail(err, "out of memory for the map's contours");
    for (size_t i = 0; i < raw->features; i++) {
        double depth_m = lw_depth_of(rule, value[i]);

        if (isnan(depth_m)) {
            out->without_depth++;
        } else if (depth_m < 0) {
            out->above_water++;
        } else {
            item[items++] = (struct item){depth_m, i};
            lw_box_add(&box, lw_raw_feature_box(&raw->feature[i]));
        }
    }
    if (items == 0) {
        lw_fail(err,
                "the map has no contour below the water: check --depth-sign and --water-level");
        goto done;
    }
    out->frame.origin = (struct lw_ll){(box.lat_min + box.lat_max) / 2,
                                       (box.lon_min + box.lon_max) / 2};
    qsort(item, items, sizeof *item, by_depth);
    for (size_t from = 0, to; from < items; from = to) {
        for (to = from + 1; to < items && item[to].depth_m - item[from].depth_m < 1e-4; to++)
            ;
        if (take_level(raw, item + from, to - from, out, err))
            goto done;
    }
    if (drop_filled_holes(raw, out)) {
        lw_fail(err, "out of memory for the map's contours");
        goto done;
    }
    status = 0;
done:
    if (status)
        lw_waters_free(out);
    free(item);
    return status;
}

void lw_waters_free(struct lw_waters *waters)
{
    for (size_t i = 0; i < waters->contours; i++)
        lw_line_free(&waters->contour[i].line);
    free(waters->contour);
    memset(waters, 0, sizeof *waters);
}

/* More than half of the line's points (of up to 32) lie inside the ring. */
static bool lies_in(const struct lw_line *line, const struct lw_line *ring)
{
    size_t step = line->n / 32 + 1, in = 0, of = 0;

    for (size_t k = 0; k < line->n; k += step, of++)
        in += lw_line_contains(ring, line->p[k]);
    return 2 * in > of;
}

struct ring {
    size_t contour;
    double area_m2;
    struct span span;
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
            ring[rings++] = (struct ring){i, fabs(lw_line_area(line)), span_of(line)};
        root[i] = SIZE_MAX;
    }
    qsort(ring, rings, sizeof *ring, by_area_falling);
    for (size_t i = 0; i < rings; i++) {
        const struct lw_line *line = &waters->contour[ring[i].contour].line;

        for (size_t k = 0; k < outers && root[ring[i].contour] == SIZE_MAX; k++) {
            struct span a = ring[i].span, b = outer[k].span;

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
            if (lies_in(&waters->contour[i].line, &waters->contour[outer[k].contour].line))
                root[i] = outer[k].contour;
    free(ring);
    return outers;
}

static size_t root_at(const struct lw_waters *waters, const struct ring *outer, size_t outers,
                      struct lw_ll at)
{
    struct lw_en place = lw_frame_to_en(&waters->frame, at);
    size_t best = outer[0].contour;
    double nearest = INFINITY;

    for (size_t k = 0; k < outers; k++) {
        const struct lw_line *line = &waters->contour[outer[k].contour].line;
        double dist = lw_line_contains(line, place) ? -1 : lw_line_nearest(line, place).dist_m;

        if (dist < nearest) {
            nearest = dist;
            best = outer[k].contour;
        }
    }
    return best;
}

/* Moves the frame's origin to the middle of what is left. */
static void centre(struct lw_waters *waters)
{
    struct span all = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    struct lw_frame old = waters->frame;

    for (size_t i = 0; i < waters->contours; i++) {
        struct span s = span_of(&waters->contour[i].line);

        all.e_min = fmin(all.e_min, s.e_min);
        all.e_max = fmax(all.e_max, s.e_max);
        all.n_min = fmin(all.n_min, s.n_min);
        all.n_max = fmax(all.n_max, s.n_max);
    }
    waters->frame.origin = lw_frame_to_ll(
        &old, (struct lw_en){(all.e_min + all.e_max) / 2, (all.n_min + all.n_max) / 2});
    for (size_t i = 0; i < waters->contours; i++)
        for (size_t k = 0; k < waters->contour[i].line.n; k++) {
            struct lw_en *p = &waters->contour[i].line.p[k];

            *p = lw_frame_to_en(&waters->frame, lw_frame_to_ll(&old, *p));
        }
}

int lw_waters_choose(struct lw_waters *waters, const struct lw_import_options *options, bool named,
                     struct lw_error *err)
{
    size_t *root = calloc(waters->contours + 1, sizeof *root);
    struct ring *outer = calloc(waters->contours + 1, sizeof *outer);
    size_t outers, kept = 0, wanted = SIZE_MAX, large = 0;
    int status = -1;

    if (!root || !outer)
        goto no_memory;
    outers = find_roots(waters, root, outer);
    if (outers == SIZE_MAX)
        goto no_memory;
    if (outers == 0) {
        lw_fail(err,
                "%s: no contour closes, even joined end to end, so it is not known where the water "
                "ends: a map with closed contours or a shoreline is needed",
                options->map);
        goto done;
    }
    for (size_t k = 0; k < outers; k++)
        large += outer[k].area_m2 >= SMALL * outer[0].area_m2;
    if (!named && lw_ll_known(options->at)) {
        wanted = root_at(waters, outer, outers, options->at);
    } else if (!named && large > 1) {
        struct lw_ll a = lw_frame_to_ll(&waters->frame,
                                        waters->contour[outer[0].contour].line.p[0]);

        lw_fail(err,
                "%s holds %zu separate waters and does not name them: choose one with --at LAT,LON "
                "(the largest has its shore at %.5f,%.5f)",
                options->map, large, a.lat_deg, a.lon_deg);
        goto done;
    }
    for (size_t i = 0; i < waters->contours; i++) {
        if (wanted == SIZE_MAX || root[i] == wanted)
            waters->contour[kept++] = waters->contour[i];
        else
            lw_line_free(&waters->contour[i].line);
    }
    waters->contours = kept;
    centre(waters);
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for the map's contours");
done:
    free(root);
    free(outer);
    return status;
}
