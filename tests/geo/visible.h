/* Exact shortest ways in a polygon with a hole: a visibility graph over its vertices, sight by
 * GEOS, Dijkstra. Independent of the code under test, and of its grid. */
#ifndef LW_TEST_VISIBLE_H
#define LW_TEST_VISIBLE_H

#include <jansson.h>
#include <math.h>

#include "lipwalk/geo/line.h"
#include "lw_test.h"

struct visible {
    struct lw_line outer, hole;
    struct lw_en *node; /* vertices that a way may bend at */
    size_t n;
    bool *sees; /* sees[n * n] */
};

/* A ring of the small lakes' map by lake and depth, in metres about a place among them. */
static inline struct lw_line visible_ring(const char *lake, double depth_m)
{
    const struct lw_frame frame = {{46.0, -89.65}};
    struct lw_line line = {.closed = true};
    char path[300];
    json_t *root, *features;

    lw_test_data(path, sizeof path, "lakes/small-lakes-metres.geojson");
    root = json_load_file(path, 0, NULL);
    features = json_object_get(root, "features");
    for (size_t i = 0; i < json_array_size(features) && line.n == 0; i++) {
        json_t *f = json_array_get(features, i), *p = json_object_get(f, "properties");
        json_t *ring = json_array_get(
            json_object_get(json_object_get(f, "geometry"), "coordinates"), 0);

        if (strcmp(json_string_value(json_object_get(p, "LakeID")), lake) != 0 ||
            fabs(json_number_value(json_object_get(p, "Depth_m")) - depth_m) > 1e-6)
            continue;
        for (size_t k = 0; k < json_array_size(ring); k++) {
            json_t *at = json_array_get(ring, k);

            lw_line_add(
                &line,
                lw_frame_to_en(&frame, (struct lw_ll){json_number_value(json_array_get(at, 1)),
                                                      json_number_value(json_array_get(at, 0))}));
        }
    }
    json_decref(root);
    cr_assert_gt(line.n, 10);
    if (lw_line_area(&line) < 0)
        lw_line_reverse(&line);
    return line;
}

static inline double visible_side(struct lw_en a, struct lw_en b, struct lw_en c)
{
    return (b.e_m - a.e_m) * (c.n_m - a.n_m) - (b.n_m - a.n_m) * (c.e_m - a.e_m);
}

static inline bool visible_crosses(const struct lw_line *ring, struct lw_en a, struct lw_en b)
{
    for (size_t i = 0; i + 1 < ring->n; i++) {
        struct lw_en p = ring->p[i], q = ring->p[i + 1];

        if (visible_side(a, b, p) * visible_side(a, b, q) < 0 &&
            visible_side(p, q, a) * visible_side(p, q, b) < 0)
            return true;
    }
    return false;
}

static inline bool visible_inside(const struct visible *v, struct lw_en at)
{
    return lw_line_contains(&v->outer, at) && !lw_line_contains(&v->hole, at);
}

static inline bool visible_sees(const struct visible *v, struct lw_en a, struct lw_en b)
{
    /* shortened by a hair at both ends: rounding must not hide a vertex from its neighbour */
    struct lw_en p = lw_en_between(a, b, 1e-7), q = lw_en_between(a, b, 1 - 1e-7);
    struct lw_en middle = lw_en_between(a, b, 0.5);

    for (size_t i = 0; i + 1 < v->hole.n; i++) /* a side of a ring sees its other end */
        if ((lw_en_distance(v->hole.p[i], a) == 0 && lw_en_distance(v->hole.p[i + 1], b) == 0) ||
            (lw_en_distance(v->hole.p[i], b) == 0 && lw_en_distance(v->hole.p[i + 1], a) == 0))
            return true;
    for (size_t i = 0; i + 1 < v->outer.n; i++)
        if ((lw_en_distance(v->outer.p[i], a) == 0 && lw_en_distance(v->outer.p[i + 1], b) == 0) ||
            (lw_en_distance(v->outer.p[i], b) == 0 && lw_en_distance(v->outer.p[i + 1], a) == 0))
            return true;
    return !visible_crosses(&v->hole, p, q) && !visible_crosses(&v->outer, p, q) &&
           visible_inside(v, middle);
}

/* Vertices at which the water has a reflex corner; `ring` runs counter-clockwise. */
static inline void visible_nodes(struct visible *v, const struct lw_line *ring, bool island)
{
    size_t n = ring->n - 1;

    for (size_t i = 0; i < n; i++) {
        struct lw_en a = ring->p[(i + n - 1) % n], b = ring->p[i], c = ring->p[(i + 1) % n];
        double turn = (b.e_m - a.e_m) * (c.n_m - b.n_m) - (b.n_m - a.n_m) * (c.e_m - b.e_m);

        if ((turn > 0) == island && v->n < 2000)
            v->node[v->n++] = b;
    }
}

static inline void visible_open(struct visible *v, const char *lake, double shore_m, double hole_m)
{
    v->outer = visible_ring(lake, shore_m);
    v->hole = visible_ring(lake, hole_m);
    v->node = calloc(2000, sizeof *v->node);
    visible_nodes(v, &v->outer, false);
    visible_nodes(v, &v->hole, true);
    v->sees = calloc(v->n * v->n, sizeof *v->sees);
    for (size_t i = 0; i < v->n; i++)
        for (size_t k = 0; k < i; k++)
            v->sees[i * v->n + k] = v->sees[k * v->n + i] = visible_sees(v, v->node[i], v->node[k]);
}

static inline double visible_way(const struct visible *v, struct lw_en from, struct lw_en to)
{
    double *g = calloc(v->n + 1, sizeof *g), best = INFINITY;
    bool *done = calloc(v->n + 1, sizeof *done);

    if (visible_sees(v, from, to))
        best = lw_en_distance(from, to);
    for (size_t i = 0; i < v->n; i++)
        g[i] = isinf(best) && visible_sees(v, from, v->node[i]) ? lw_en_distance(from, v->node[i])
                                                                : INFINITY;
    for (size_t round = 0; isinf(best) && round < v->n; round++) {
        size_t at = v->n;

        for (size_t i = 0; i < v->n; i++)
            if (!done[i] && (at == v->n || g[i] < g[at]))
                at = i;
        if (at == v->n || isinf(g[at]))
            break;
        done[at] = true;
        for (size_t i = 0; i < v->n; i++)
            if (v->sees[at * v->n + i])
                g[i] = fmin(g[i], g[at] + lw_en_distance(v->node[at], v->node[i]));
    }
    for (size_t i = 0; i < v->n; i++)
        if (g[i] + lw_en_distance(v->node[i], to) < best && visible_sees(v, v->node[i], to))
            best = g[i] + lw_en_distance(v->node[i], to);
    free(g);
    free(done);
    return best;
}

static inline void visible_close(struct visible *v)
{
    lw_line_free(&v->outer);
    lw_line_free(&v->hole);
    free(v->node);
    free(v->sees);
}

#endif
