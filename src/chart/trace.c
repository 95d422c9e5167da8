/* Lines of equal depth on a grid: marching squares between cell centres.
 *
 * A node counts as deep when its depth is at least the level. Each square with deep and shallow
 * corners gives one segment, or two at a saddle, where the mean of the corners says which corners
 * hang together. Every segment runs with the deep side to its left, so that segments of
 * neighbouring squares meet head to tail and joining needs no turning. */
#include "trace.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

#define SHORTEST_M 5.0

/* A side between two nodes: 2 * node for the one to the east, 2 * node + 1 for the one to the
 * north. Kept small: a flat with noise on it has a segment in every other square. */
struct segment {
    uint32_t from, to;
};
struct segments {
    struct segment *s;
    size_t n, cap;
};
struct field {
    const struct lw_grid *grid;
    const struct lw_trace_fill *fill; /* NULL: none */
    double level;
};
enum { SHALLOW, DEEP, NONE };

static double value(const struct field *f, size_t node)
{
    float z = f->grid->depth_m[node];
    size_t nx = (size_t)f->grid->nx;

    if (isnan(z) && f->fill)
        z = f->fill->depth(f->fill->context, (int)(node / nx), (int)(node % nx));
    return (double)z;
}

static void sort_row(const struct field *f, int row, unsigned char *kind)
{
    size_t first = (size_t)row * (size_t)f->grid->nx;

    for (int j = 0; j < f->grid->nx; j++) {
        double z = value(f, first + (size_t)j);

        kind[j] = isnan(z) ? NONE : z >= f->level ? DEEP : SHALLOW;
    }
}

static int add_segment(struct segments *list, uint32_t from, uint32_t to)
{
    if (lw_array_room(&list->s, list->n, &list->cap))
        return -1;
    list->s[list->n++] = (struct segment){from, to};
    return 0;
}

/* The square whose south-west node is (i, j); `south` and `north` are the kinds of its rows. */
static int march(const struct field *f, int i, int j, const unsigned char *south,
                 const unsigned char *north, struct segments *list)
{
    /* counter-clockwise from SW */
    unsigned char kind[4] = {south[j], south[j + 1], north[j + 1], north[j]};
    size_t sw = (size_t)i * (size_t)f->grid->nx + (size_t)j, nw = sw + (size_t)f->grid->nx;
    size_t node[4] = {sw, sw + 1, nw + 1, nw};
    uint32_t side[4] = {(uint32_t)(2 * sw), (uint32_t)(2 * (sw + 1) + 1), (uint32_t)(2 * nw),
                        (uint32_t)(2 * sw + 1)}; /* S, E, N, W */
    int deep = 0, first;

    for (int k = 0; k < 4; k++) {
        if (kind[k] == NONE)
            return 0;
        deep |= (kind[k] == DEEP) << k;
    }
    if (deep == 0 || deep == 15)
        return 0;
    if (deep == 5 || deep == 10) {
        double mean = 0;
        bool joined; /* the deep corners hang together through the middle */

        for (int k = 0; k < 4; k++)
            mean += value(f, node[k]) / 4;
        joined = mean >= f->level;
        for (int k = 0; k < 4; k++) {
            if (!(deep >> k & 1))
                continue;
            /* Round the deep corner k alone, or round the shallow corner that follows it. */
            if (!joined && add_segment(list, side[k], side[(k + 3) % 4]))
                return -1;
            if (joined && add_segment(list, side[k], side[(k + 1) % 4]))
                return -1;
        }
        return 0;
    }
    /* One run of deep corners first..last, counter-clockwise: in by the side after the last, out by
     * the side before the first, has them on the left. */
    for (first = 0; !(deep >> first & 1) || (deep >> ((first + 3) % 4) & 1); first++)
        ;
    for (int last = first;; last = (last + 1) % 4)
        if (!(deep >> ((last + 1) % 4) & 1))
            return add_segment(list, side[last], side[(first + 3) % 4]);
}

static int march_all(const struct field *f, struct segments *list)
{
    size_t nx = (size_t)f->grid->nx;
    unsigned char *rows = malloc(2 * nx + 1), *south = rows, *north = rows + nx;
    int status = rows ? 0 : -1;

    if (rows && f->grid->ny > 0)
        sort_row(f, 0, south);
    for (int i = 0; i + 1 < f->grid->ny && status == 0; i++) {
        unsigned char *done = south;

        sort_row(f, i + 1, north);
        for (int j = 0; j + 1 < f->grid->nx && status == 0; j++)
            if (south[j] != south[j + 1] || south[j] != north[j] || south[j] != north[j + 1])
                status = march(f, i, j, south, north, list);
        south = north;
        north = done;
    }
    free(rows);
    return status;
}

static struct lw_en crossing(const struct field *f, uint32_t side)
{
    const struct lw_grid *grid = f->grid;
    size_t nx = (size_t)grid->nx, a = side / 2, b = side % 2 ? a + nx : a + 1;
    double za = value(f, a), zb = value(f, b), t = (f->level - za) / (zb - za);
    double j = (double)(a % nx), i = (double)(a / nx);

    if (side % 2)
        i += t;
    else
        j += t;
    return (struct lw_en){grid->e0_m + j * grid->cell_m, grid->n0_m + i * grid->cell_m};
}

static int by_from(const void *a, const void *b)
{
    uint32_t x = ((const struct segment *)a)->from, y = ((const struct segment *)b)->from;

    return (x > y) - (x < y);
}

static size_t find(const struct segments *list, uint32_t from)
{
    size_t lo = 0, hi = list->n;

    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;

        if (list->s[mid].from < from)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo < list->n && list->s[lo].from == from ? lo : SIZE_MAX;
}

/* Follows the segments from `start` on; marks them used. */
static int follow(const struct field *f, const struct segments *list, size_t start,
                  unsigned char *used, struct lw_lines *out)
{
    struct lw_line line = {0};
    size_t at = start;

    if (lw_line_add(&line, crossing(f, list->s[at].from)))
        goto failed;
    while (at != SIZE_MAX && !used[at]) {
        used[at] = 1;
        if (lw_line_add(&line, crossing(f, list->s[at].to)))
            goto failed;
        at = find(list, list->s[at].to);
    }
    line.closed = at == start;
    lw_line_clean(&line);
    if (line.n < 2 || lw_line_length(&line) < SHORTEST_M) {
        lw_line_free(&line);
        return 0;
    }
    return lw_lines_take(out, &line);
failed:
    lw_line_free(&line);
    return -1;
}

int lw_trace_filled(const struct lw_grid *grid, const struct lw_trace_fill *fill, double depth_m,
                    struct lw_lines *out, struct lw_error *err)
{
    struct field f = {grid, fill, depth_m};
    struct segments list = {0};
    unsigned char *used = NULL, *entered = NULL;
    int status = -1;

    memset(out, 0, sizeof *out);
    if ((uint64_t)grid->nx * (uint64_t)grid->ny > UINT32_MAX / 2)
        return lw_fail(err, "a grid of %d x %d cells is too large to trace", grid->nx, grid->ny);
    if (march_all(&f, &list))
        goto done;
    if (list.n)
        qsort(list.s, list.n, sizeof *list.s, by_from);
    used = calloc(list.n + 1, 1);
    entered = calloc(list.n + 1, 1);
    if (!used || !entered)
        goto done;
    for (size_t k = 0; k < list.n; k++) {
        size_t next = find(&list, list.s[k].to);

        if (next != SIZE_MAX)
            entered[next] = 1;
    }
    for (size_t k = 0; k < list.n; k++) /* lines that begin at land or the border first */
        if (!entered[k] && follow(&f, &list, k, used, out))
            goto done;
    for (size_t k = 0; k < list.n; k++)
        if (!used[k] && follow(&f, &list, k, used, out))
            goto done;
    status = 0;
done:
    if (status) {
        lw_lines_free(out);
        lw_fail(err, "out of memory while tracing the contour at %g m", depth_m);
    }
    free(list.s);
    free(used);
    free(entered);
    return status;
}

int lw_chart_trace(const struct lw_grid *grid, double depth_m, struct lw_lines *out,
                   struct lw_error *err)
{
    return lw_trace_filled(grid, NULL, depth_m, out, err);
}
