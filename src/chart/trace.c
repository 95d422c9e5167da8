/* Lines of equal depth on a grid: marching squares between cell centres.
 *
 * A node counts as deep when its depth is at least the level. Each square with deep and shallow
 * corners gives one segment, or two at a saddle, where the mean of the corners says which corners
 * hang together. Every segment runs with the deep side to its left, so that segments of
 * neighbouring squares meet head to tail and joining needs no turning. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/chart/chart.h"

#define SHORTEST_M 5.0

/* A side between two nodes: 2 * node for the one to the east, 2 * node + 1 for the one to the
 * north. */
struct segment {
    int64_t from, to;
};
struct segments {
    struct segment *s;
    size_t n, cap;
};

static int add_segment(struct segments *list, int64_t from, int64_t to)
{
    if (lw_array_room(&list->s, list->n, &list->cap))
        return -1;
    list->s[list->n++] = (struct segment){from, to};
    return 0;
}

/* The square whose south-west node is (i, j). */
static int march(const struct lw_grid *grid, double level, int i, int j, struct segments *list)
{
    int64_t sw = (int64_t)i * grid->nx + j, nw = sw + grid->nx;
    const float *z = grid->depth_m;
    double corner[4] = {z[sw], z[sw + 1], z[nw + 1], z[nw]}; /* counter-clockwise from SW */
    int64_t side[4] = {2 * sw, 2 * (sw + 1) + 1, 2 * nw, 2 * sw + 1}; /* S, E, N, W */
    double mean = 0;
    int deep = 0, first;

    for (int k = 0; k < 4; k++) {
        if (isnan(corner[k]))
            return 0;
        mean += corner[k] / 4;
        deep |= (corner[k] >= level) << k;
    }
    if (deep == 0 || deep == 15)
        return 0;
    if (deep == 5 || deep == 10) {
        bool joined = mean >= level; /* the deep corners hang together through the middle */

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

static struct lw_en crossing(const struct lw_grid *grid, double level, int64_t side)
{
    int64_t a = side / 2, b = side % 2 ? a + grid->nx : a + 1;
    double za = grid->depth_m[a], zb = grid->depth_m[b], t = (level - za) / (zb - za);
    double j = (double)(a % grid->nx), i = (double)(a / grid->nx);

    if (side % 2)
        i += t;
    else
        j += t;
    return (struct lw_en){grid->e0_m + j * grid->cell_m, grid->n0_m + i * grid->cell_m};
}

static int by_from(const void *a, const void *b)
{
    int64_t x = ((const struct segment *)a)->from, y = ((const struct segment *)b)->from;

    return (x > y) - (x < y);
}

static size_t find(const struct segments *list, int64_t from)
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
static int follow(const struct lw_grid *grid, double level, const struct segments *list,
                  size_t start, unsigned char *used, struct lw_lines *out)
{
    struct lw_line line = {0};
    size_t at = start;

    if (lw_line_add(&line, crossing(grid, level, list->s[at].from)))
        goto failed;
    while (at != SIZE_MAX && !used[at]) {
        used[at] = 1;
        if (lw_line_add(&line, crossing(grid, level, list->s[at].to)))
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

int lw_chart_trace(const struct lw_grid *grid, double depth_m, struct lw_lines *out,
                   struct lw_error *err)
{
    struct segments list = {0};
    unsigned char *used = NULL, *entered = NULL;
    int status = -1;

    memset(out, 0, sizeof *out);
    for (int i = 0; i + 1 < grid->ny; i++)
        for (int j = 0; j + 1 < grid->nx; j++)
            if (march(grid, depth_m, i, j, &list))
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
        if (!entered[k] && follow(grid, depth_m, &list, k, used, out))
            goto done;
    for (size_t k = 0; k < list.n; k++)
        if (!used[k] && follow(grid, depth_m, &list, k, used, out))
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
