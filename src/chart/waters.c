/* From features to contours. */
#include "waters.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "join.h"
#include "lipwalk/base/array.h"
#include "lipwalk/geo/span.h"

#define GAP_M        0.5 /* ends of one line in two pieces: digitising and rounding of coordinates */
#define CLOSED_GAP_M 1e-3 /* ends of one ring: rounding of coordinates */
#define SAME_DEPTH_M 1e-4
#define SAME         0.01 /* rings whose boxes and areas differ by less, relatively, are one line */

static int take(struct lw_waters *waters, struct lw_line *line, double depth_m, bool hole)
{
    size_t cap;

    lw_line_clean(line);
    if (line->n < 2 || (line->closed && line->n < 4)) {
        lw_line_free(line);
        return 0;
    }
    cap = waters->cap; /* both arrays grow alike */
    if (lw_array_room(&waters->hole, waters->contours, &cap) ||
        lw_array_room(&waters->contour, waters->contours, &waters->cap))
        return -1;
    waters->hole[waters->contours] = hole;
    waters->contour[waters->contours++] = (struct lw_contour){.depth_m = depth_m, .line = *line};
    memset(line, 0, sizeof *line);
    return 0;
}

static int part_line(const struct lw_frame *frame, const struct lw_raw_part *part,
                     struct lw_line *line)
{
    if (lw_raw_part_line(part, frame, CLOSED_GAP_M, line))
        return -1;
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
            if (feature->part[k].area ? take(out, &line, item->depth_m, feature->part[k].hole)
                                      : lw_lines_take(&lines, &line))
                goto no_memory;
        }
    }
    if (lines.n && lw_join_lines(&lines, GAP_M, err))
        goto done;
    for (size_t i = 0; i < lines.n; i++)
        if (take(out, &lines.line[i], item->depth_m, false))
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
    struct lw_span span;
    double area_m2;
    size_t contour;
};

static int by_area(const void *a, const void *b)
{
    const struct shape *x = a, *y = b;

    if (x->area_m2 != y->area_m2)
        return x->area_m2 > y->area_m2 ? 1 : -1;
    return (x->contour > y->contour) - (x->contour < y->contour);
}

static bool same_place(const struct shape *a, const struct shape *b)
{
    double slack = SAME * fmax(a->span.e_max - a->span.e_min, a->span.n_max - a->span.n_min);

    return fabs(a->span.e_min - b->span.e_min) < slack &&
           fabs(a->span.e_max - b->span.e_max) < slack &&
           fabs(a->span.n_min - b->span.n_min) < slack &&
           fabs(a->span.n_max - b->span.n_max) < slack;
}

/* Which of two rings of one shape says nothing of its own; SIZE_MAX: neither. i < k, so that i is
 * not the deeper one.
 *
 * A ring twice in a map is one ring: the second of two shores would be an island as large as the
 * lake. Where areas are cut out of one another, a hole repeats the edge of the deeper area that
 * fills it. An island cut out of all areas that it lies in is a hole at the shallowest's depth. */
static size_t repeated(const struct lw_waters *waters, size_t i, size_t k)
{
    if (waters->contour[k].depth_m - waters->contour[i].depth_m < SAME_DEPTH_M)
        return k;
    if (waters->hole[i])
        return waters->hole[k] ? k : i;
    return SIZE_MAX;
}

/* Contours are in order of depth. */
static int drop_repeats(struct lw_waters *out)
{
    struct shape *shape = calloc(out->contours + 1, sizeof *shape);
    bool *drop = calloc(out->contours + 1, sizeof *drop);
    size_t shapes = 0, kept = 0;
    int status = -1;

    if (!shape || !drop)
        goto done;
    for (size_t i = 0; i < out->contours; i++)
        if (out->contour[i].line.closed)
            shape[shapes++] = (struct shape){lw_span_of(&out->contour[i].line),
                                             fabs(lw_line_area(&out->contour[i].line)), i};
    qsort(shape, shapes, sizeof *shape, by_area);
    for (size_t a = 0; a < shapes; a++)
        for (size_t b = a + 1; b < shapes && shape[b].area_m2 <= (1 + SAME) * shape[a].area_m2;
             b++) {
            size_t i = shape[a].contour, k = shape[b].contour, less;

            if (drop[i] || drop[k] || !same_place(&shape[a], &shape[b]))
                continue;
            less = repeated(out, i < k ? i : k, i < k ? k : i);
            if (less != SIZE_MAX)
                drop[less] = true;
        }
    for (size_t i = 0; i < out->contours; i++) {
        if (drop[i])
            lw_line_free(&out->contour[i].line);
        else
            out->contour[kept++] = out->contour[i];
    }
    out->contours = kept;
    status = 0;
done:
    free(shape);
    free(drop);
    return status;
}

int lw_waters_make(const struct lw_raw *raw, const double *value, const struct lw_depth_rule *rule,
                   struct lw_waters *out, struct lw_error *err)
{
    struct item *item = calloc(raw->features + 1, sizeof *item);
    struct lw_box box = lw_box_empty();
    size_t items = 0;
    double deepest_m = 0;
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
            deepest_m = fmax(deepest_m, depth_m);
            lw_box_add(&box, lw_raw_feature_box(&raw->feature[i]));
        }
    }
    if (deepest_m < SAME_DEPTH_M) {
        lw_fail(err,
                "the map has no contour below the water: check --depth-sign and --water-level");
        goto done;
    }
    out->frame.origin = (struct lw_ll){(box.lat_min + box.lat_max) / 2,
                                       (box.lon_min + box.lon_max) / 2};
    qsort(item, items, sizeof *item, by_depth);
    for (size_t from = 0, to; from < items; from = to) {
        for (to = from + 1; to < items && item[to].depth_m - item[from].depth_m < SAME_DEPTH_M;
             to++)
            ;
        if (take_level(raw, item + from, to - from, out, err))
            goto done;
    }
    if (drop_repeats(out)) {
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
    free(waters->hole);
    memset(waters, 0, sizeof *waters);
}
