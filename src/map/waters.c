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
#define NEAR         0.25 /* and of one depth from two files: they may be digitised anew ... */
#define NEAR_MOST_M  25.0 /* ... but two humps near each other are two */
#define NEAR_AREA    1.5

static int take(struct lw_waters *waters, struct lw_line *line, double depth_m,
                struct lw_waters_note note)
{
    size_t cap;

    lw_line_clean(line);
    if (line->n < 2 || (line->closed && line->n < 4)) {
        lw_line_free(line);
        return 0;
    }
    cap = waters->cap; /* both arrays grow alike */
    if (lw_array_room(&waters->note, waters->contours, &cap) ||
        lw_array_room(&waters->contour, waters->contours, &waters->cap))
        return -1;
    waters->note[waters->contours] = note;
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
    size_t part, feature;
};

static int by_depth(const void *a, const void *b)
{
    const struct item *x = a, *y = b;

    if (x->depth_m != y->depth_m)
        return x->depth_m > y->depth_m ? 1 : -1;
    if (x->part != y->part)
        return x->part > y->part ? 1 : -1;
    return (x->feature > y->feature) - (x->feature < y->feature);
}

/* All features of one depth from one file: areas as they are, lines joined. */
static int take_level(const struct lw_raw *raw, const struct item *item, size_t items,
                      struct lw_waters *out, struct lw_error *err)
{
    struct lw_lines lines = {0};
    struct lw_line line = {0};
    int status = -1;

    for (size_t i = 0; i < items; i++) {
        const struct lw_raw_feature *feature = &raw->feature[item[i].feature];

        for (size_t k = 0; k < feature->parts; k++) {
            struct lw_waters_note note = {feature->part[k].hole, item->part};

            if (part_line(&out->frame, &feature->part[k], &line))
                goto no_memory;
            if (feature->part[k].area ? take(out, &line, item->depth_m, note)
                                      : lw_lines_take(&lines, &line))
                goto no_memory;
        }
    }
    if (lines.n && lw_join_lines(&lines, GAP_M, err))
        goto done;
    for (size_t i = 0; i < lines.n; i++)
        if (take(out, &lines.line[i], item->depth_m, (struct lw_waters_note){false, item->part}))
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

/* near_m: how far the boxes' sides may be apart; 0 for one line only. */
static bool same_place(const struct shape *a, const struct shape *b, double near_m)
{
    double size = fmax(a->span.e_max - a->span.e_min, a->span.n_max - a->span.n_min);
    double slack = fmax(SAME * size, fmin(NEAR * size, near_m));

    return (near_m > 0 || b->area_m2 <= (1 + SAME) * a->area_m2) &&
           fabs(a->span.e_min - b->span.e_min) < slack &&
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
    if (isnan(waters->contour[k].depth_m)) /* a limit where there is a shore */
        return k;
    if (waters->contour[k].depth_m - waters->contour[i].depth_m < SAME_DEPTH_M)
        return k;
    if (waters->note[i].hole)
        return waters->note[k].hole ? k : i;
    return SIZE_MAX;
}

/* Of a lake that two files have, digitised anew, one line stands for both; else the inner one of
 * two shores would be an island as large as the lake. */
static double near_m(const struct lw_waters *waters, size_t i, size_t k)
{
    double a_m = waters->contour[i].depth_m, b_m = waters->contour[k].depth_m;

    if (waters->note[i].part == waters->note[k].part || !(fabs(a_m - b_m) < SAME_DEPTH_M))
        return 0;
    return a_m < SAME_DEPTH_M ? INFINITY : NEAR_MOST_M;
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
        for (size_t b = a + 1; b < shapes && shape[b].area_m2 <= NEAR_AREA * shape[a].area_m2;
             b++) {
            size_t i = shape[a].contour, k = shape[b].contour, less;
            double near = near_m(out, i, k);

            if (drop[i] || drop[k] || !same_place(&shape[a], &shape[b], near))
                continue;
            less = repeated(out, i < k ? i : k, i < k ? k : i);
            if (less == SIZE_MAX)
                continue;
            drop[less] = true;
            out->twice += near > 0;
        }
    for (size_t i = 0; i < out->contours; i++) {
        if (drop[i]) {
            lw_line_free(&out->contour[i].line);
        } else {
            out->note[kept] = out->note[i];
            out->contour[kept++] = out->contour[i];
        }
    }
    out->contours = kept;
    status = 0;
done:
    free(shape);
    free(drop);
    return status;
}

int lw_waters_add_limit(struct lw_waters *waters, struct lw_lines *lines)
{
    for (size_t i = 0; i < lines->n; i++)
        if (lines->line[i].closed &&
            take(waters, &lines->line[i], NAN, (struct lw_waters_note){false, SIZE_MAX}))
            return -1;
    return 0;
}

/* Where a file's charted area ends, its pieces joined to rings. */
static int take_limit(const struct lw_raw *raw, struct lw_waters *out, struct lw_error *err)
{
    struct lw_lines lines = {0};
    struct lw_line line = {0};
    int status = -1;

    for (size_t i = 0; i < raw->features; i++)
        for (size_t k = 0; k < raw->feature[i].parts; k++)
            if (part_line(&out->frame, &raw->feature[i].part[k], &line) ||
                lw_lines_take(&lines, &line))
                goto no_memory;
    if (lines.n && lw_join_lines(&lines, GAP_M, err))
        goto done;
    status = lw_waters_add_limit(out, &lines);
    if (status == 0)
        goto done;
no_memory:
    lw_fail(err, "out of memory for the map's border");
done:
    lw_line_free(&line);
    lw_lines_free(&lines);
    return status;
}

static size_t list_items(const struct lw_waters_part *part, size_t parts, struct item *item,
                         struct lw_waters *out)
{
    size_t items = 0;

    for (size_t p = 0; p < parts; p++)
        for (size_t i = 0; i < part[p].lines->features; i++) {
            double depth_m = part[p].line_m[i];

            if (isnan(depth_m)) {
                out->without_depth++;
            } else if (depth_m < 0) {
                out->above_water++;
            } else {
                item[items++] = (struct item){depth_m, p, i};
                out->deepest_m = fmax(out->deepest_m, depth_m);
            }
        }
    qsort(item, items, sizeof *item, by_depth);
    return items;
}

int lw_waters_make(const struct lw_waters_part *part, size_t parts, struct lw_ll middle,
                   struct lw_waters *out, struct lw_error *err)
{
    struct item *item;
    size_t items = 0;
    int status = -1;

    memset(out, 0, sizeof *out);
    for (size_t p = 0; p < parts; p++)
        items += part[p].lines->features;
    item = calloc(items + 1, sizeof *item);
    if (!item)
        return lw_fail(err, "out of memory for the map's contours");
    out->frame.origin = middle;
    items = list_items(part, parts, item, out);
    for (size_t from = 0, to; from < items; from = to) {
        for (to = from + 1; to < items && item[to].part == item[from].part &&
                            item[to].depth_m - item[from].depth_m < SAME_DEPTH_M;
             to++)
            ;
        if (take_level(part[item[from].part].lines, item + from, to - from, out, err))
            goto done;
    }
    for (size_t p = 0; p < parts; p++)
        if (take_limit(part[p].limit, out, err))
            goto done;
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
    free(waters->note);
    lw_lines_free(&waters->limit);
    memset(waters, 0, sizeof *waters);
}
