/* The shortest way between two places: Lazy Theta* over the cells, then drawn taut. */
#include <math.h>
#include <stdlib.h>

#include "water_parts.h"

#define NONE UINT32_MAX

struct search {
    const struct lw_water *w;
    struct lw_en from, to;
    size_t start, goal;
    float *g;         /* of each cell: the way so far; infinite: not reached */
    uint32_t *parent; /* the last bend before it */
    uint8_t *closed;
    struct water_heap heap;
};

static const int step_x[8] = {1, 1, 0, -1, -1, -1, 0, 1}, step_y[8] = {0, 1, 1, 1, 0, -1, -1, -1};

static struct lw_en place(const struct search *s, size_t cell)
{
    return cell == s->start ? s->from : cell == s->goal ? s->to : water_middle(s->w, cell);
}

/* The neighbour of a cell in one of eight directions, if the boat can go there. */
static bool neighbour(const struct lw_water *w, size_t cell, int k, size_t *next)
{
    long column = (long)(cell % (size_t)w->nx), row = (long)(cell / (size_t)w->nx);

    if (!water_is_open(w, column + step_x[k], row + step_y[k]))
        return false;
    if (step_x[k] && step_y[k] && !water_is_open(w, column + step_x[k], row) &&
        !water_is_open(w, column, row + step_y[k]))
        return false;
    *next = (size_t)(row + step_y[k]) * (size_t)w->nx + (size_t)(column + step_x[k]);
    return true;
}

/* The parent was only taken to see the cell: where it does not, the best neighbour is its parent.
 */
static void settle(struct search *s, size_t cell)
{
    struct lw_en here = place(s, cell);
    size_t next;

    if (cell == s->start || lw_water_sees(s->w, place(s, s->parent[cell]), here))
        return;
    s->g[cell] = INFINITY;
    for (int k = 0; k < 8; k++) {
        float g;

        if (!neighbour(s->w, cell, k, &next) || !s->closed[next])
            continue;
        g = s->g[next] + (float)lw_en_distance(place(s, next), here);
        if (g < s->g[cell]) {
            s->g[cell] = g;
            s->parent[cell] = (uint32_t)next;
        }
    }
}

static int expand(struct search *s, size_t cell)
{
    size_t next, parent = s->parent[cell];

    for (int k = 0; k < 8; k++) {
        struct lw_en there;
        float g;

        if (!neighbour(s->w, cell, k, &next) || s->closed[next])
            continue;
        there = place(s, next);
        g = s->g[parent] + (float)lw_en_distance(place(s, parent), there);
        if (g >= s->g[next] - 1e-6F)
            continue;
        s->g[next] = g;
        s->parent[next] = (uint32_t)parent;
        if (water_push(&s->heap, (struct water_offer){(double)g + lw_en_distance(there, s->to),
                                                      (uint32_t)next, 0}))
            return -1;
    }
    return 0;
}

/* 0 found, 1 no way, -1 memory. */
static int run(struct search *s)
{
    size_t all = (size_t)s->w->nx * (size_t)s->w->ny;

    s->g = malloc(all * sizeof *s->g);
    s->parent = malloc(all * sizeof *s->parent);
    s->closed = calloc(all, 1);
    if (!s->g || !s->parent || !s->closed)
        return -1;
    for (size_t i = 0; i < all; i++)
        s->g[i] = INFINITY;
    s->g[s->start] = 0;
    s->parent[s->start] = (uint32_t)s->start;
    if (water_push(&s->heap, (struct water_offer){0, (uint32_t)s->start, 0}))
        return -1;
    while (s->heap.n > 0) {
        size_t cell = water_pop(&s->heap).id;

        if (s->closed[cell])
            continue;
        settle(s, cell);
        s->closed[cell] = 1;
        if (cell == s->goal)
            return 0;
        if (expand(s, cell))
            return -1;
    }
    return 1;
}

static int trace(const struct search *s, struct lw_line *way)
{
    size_t cell = s->goal;

    for (;;) {
        if (lw_line_add(way, place(s, cell)))
            return -1;
        if (cell == s->start)
            break;
        cell = s->parent[cell];
    }
    lw_line_reverse(way);
    return 0;
}

static int find(struct search *s, struct lw_line *way)
{
    int rc;

    if (s->start == s->goal || lw_water_sees(s->w, s->from, s->to))
        return lw_line_add(way, s->from) || lw_line_add(way, s->to) ? -1 : 0;
    rc = run(s);
    if (rc == 0)
        rc = trace(s, way) || water_tighten(s->w, way) ? -1 : 0;
    free(s->g);
    free(s->parent);
    free(s->closed);
    free(s->heap.at);
    return rc;
}

int lw_water_way(const struct lw_water *w, struct lw_en from, struct lw_en to, double snap_m,
                 struct lw_line *way, double *length_m, struct lw_error *err)
{
    struct search s = {.w = w};
    int rc;

    *way = (struct lw_line){0};
    *length_m = NAN;
    if (!lw_water_nearest(w, from, snap_m, &s.from) || !lw_water_nearest(w, to, snap_m, &s.to) ||
        !water_cell(w, s.from, &s.start) || !water_cell(w, s.to, &s.goal))
        return 1;
    rc = find(&s, way);
    if (rc < 0) {
        lw_line_free(way);
        return lw_fail(err, "memory ran out while looking for a way over %d x %d cells", w->nx,
                       w->ny);
    }
    if (rc == 0)
        *length_m = lw_line_length(way);
    return rc;
}
