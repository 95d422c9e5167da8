/* Which depth a stretch has, by what lies on its sides. */
#include "s57_edges.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

#define STEP_DEG 1e-7 /* the finest that cells are written in (COMF 10^7) */

struct lw_edge {
    int64_t key[4]; /* the two ends in steps, the lesser first */
    bool taken;     /* the slot holds an edge */
    bool drawn;
    unsigned char waters, lands, lines;
    double shallow_m[2]; /* of the first two waters; NaN unknown */
    double line_m;       /* of the line that runs here */
};

static void key_of(struct lw_ll a, struct lw_ll b, int64_t key[4])
{
    int64_t p[2] = {llround(a.lon_deg / STEP_DEG), llround(a.lat_deg / STEP_DEG)};
    int64_t q[2] = {llround(b.lon_deg / STEP_DEG), llround(b.lat_deg / STEP_DEG)};
    bool turn = p[0] > q[0] || (p[0] == q[0] && p[1] > q[1]);

    memcpy(key, turn ? q : p, sizeof p);
    memcpy(key + 2, turn ? p : q, sizeof p);
}

static uint64_t hash_of(const int64_t key[4])
{
    uint64_t hash = 0x9e3779b97f4a7c15u;

    for (int i = 0; i < 4; i++) {
        hash = (hash ^ (uint64_t)key[i]) * 0xff51afd7ed558ccdu;
        hash ^= hash >> 32;
    }
    return hash;
}

static struct lw_edge *slot_of(struct lw_edge *table, size_t slots, const int64_t key[4])
{
    size_t at = hash_of(key) & (slots - 1);

    while (table[at].taken && memcmp(table[at].key, key, sizeof table[at].key) != 0)
        at = (at + 1) & (slots - 1);
    return &table[at];
}

static int widen(struct lw_edges *edges)
{
    size_t slots = edges->slots ? 2 * edges->slots : 1024;
    struct lw_edge *table = calloc(slots, sizeof *table);

    if (!table)
        return -1;
    for (size_t i = 0; i < edges->slots; i++)
        if (edges->table[i].taken)
            *slot_of(table, slots, edges->table[i].key) = edges->table[i];
    free(edges->table);
    edges->table = table;
    edges->slots = slots;
    return 0;
}

/* The edge between two places, made where there is none; NULL without memory. */
static struct lw_edge *edge_of(struct lw_edges *edges, struct lw_ll a, struct lw_ll b)
{
    struct lw_edge *edge;
    int64_t key[4];

    if (2 * edges->used >= edges->slots && widen(edges))
        return NULL;
    key_of(a, b, key);
    edge = slot_of(edges->table, edges->slots, key);
    if (!edge->taken) {
        memcpy(edge->key, key, sizeof key);
        edge->taken = true;
        edge->shallow_m[0] = edge->shallow_m[1] = edge->line_m = NAN;
        edges->used++;
    }
    return edge;
}

static int add_path(struct lw_edges *edges, const struct lw_raw_part *part)
{
    struct lw_raw_part copy = *part;

    copy.p = malloc(part->n * sizeof *copy.p);
    if (!copy.p || lw_array_room(&edges->path, edges->paths, &edges->path_cap)) {
        free(copy.p);
        return -1;
    }
    memcpy(copy.p, part->p, part->n * sizeof *copy.p);
    edges->path[edges->paths++] = copy;
    return 0;
}

static int no_memory(struct lw_error *err)
{
    return lw_fail(err, "out of memory for the cell's areas");
}

int lw_edges_add_ring(struct lw_edges *edges, const struct lw_raw_part *ring,
                      enum lw_edge_side side, double depth_m, struct lw_error *err)
{
    if (add_path(edges, ring))
        return no_memory(err);
    for (size_t k = 0; k + 1 < ring->n; k++) {
        struct lw_edge *edge = edge_of(edges, ring->p[k], ring->p[k + 1]);

        if (!edge)
            return no_memory(err);
        if (side == LW_SIDE_LAND)
            edge->lands = edge->lands < 9 ? edge->lands + 1 : 9;
        else {
            if (edge->waters < 2)
                edge->shallow_m[edge->waters] = depth_m;
            edge->waters = edge->waters < 9 ? edge->waters + 1 : 9;
        }
    }
    return 0;
}

int lw_edges_add_line(struct lw_edges *edges, const struct lw_raw_part *line, double depth_m,
                      struct lw_error *err)
{
    if (add_path(edges, line))
        return no_memory(err);
    for (size_t k = 0; k + 1 < line->n; k++) {
        struct lw_edge *edge = edge_of(edges, line->p[k], line->p[k + 1]);

        if (!edge)
            return no_memory(err);
        if (!edge->lines || depth_m < edge->line_m)
            edge->line_m = depth_m;
        edge->lines = 1;
    }
    return 0;
}

/* NaN: no contour. */
static double depth_of(const struct lw_edge *edge)
{
    if (edge->waters && edge->lands) /* a steep shore: whatever depth the area begins at */
        return 0;
    if (edge->lands && edge->lines && edge->line_m > 0)
        return edge->line_m;
    if (edge->lands) /* land against land, or inland */
        return NAN;
    if (edge->lines)
        return edge->line_m < 0 ? NAN : edge->line_m;
    if (edge->waters >= 2 && edge->shallow_m[0] != edge->shallow_m[1])
        return fmax(edge->shallow_m[0], edge->shallow_m[1]);
    return NAN;
}

static bool is_outline(const struct lw_edge *edge)
{
    return edge->waters == 1;
}

/* A run of a path as a feature: of lines with its depth, or of the limit. */
static int add_run(struct lw_source *out, const struct lw_raw_part *path, size_t from, size_t to,
                   double depth_m, bool limit)
{
    struct lw_raw_feature feature = {.z = NAN, .parts = 1};
    int status;

    feature.part = calloc(1, sizeof *feature.part);
    if (!feature.part)
        return -1;
    feature.part->n = to - from + 1;
    feature.part->p = malloc(feature.part->n * sizeof *feature.part->p);
    if (feature.part->p)
        memcpy(feature.part->p, path->p + from, feature.part->n * sizeof *feature.part->p);
    status = !feature.part->p ? -1
             : limit          ? lw_raw_take(&out->limit, &feature, NULL)
                              : lw_source_add_line(out, &feature, 0, depth_m);
    lw_raw_feature_free(&feature, 0);
    return status;
}

static int draw_path(struct lw_edges *edges, const struct lw_raw_part *path, bool limit,
                     struct lw_source *out)
{
    size_t from = 0;
    double run_m = NAN;

    for (size_t k = 0; k + 1 < path->n; k++) {
        struct lw_edge *edge = edge_of(edges, path->p[k], path->p[k + 1]);
        double depth_m = limit ? (is_outline(edge) ? 0 : NAN) : depth_of(edge);

        if (edge->drawn)
            depth_m = NAN;
        edge->drawn = edge->drawn || !isnan(depth_m);
        if (!isnan(run_m) && run_m != depth_m && add_run(out, path, from, k, run_m, limit))
            return -1;
        if (isnan(run_m) || run_m != depth_m)
            from = k;
        run_m = depth_m;
    }
    return isnan(run_m) ? 0 : add_run(out, path, from, path->n - 1, run_m, limit);
}

int lw_edges_draw(struct lw_edges *edges, struct lw_source *out, struct lw_error *err)
{
    bool ends = false; /* somewhere the water ends without a shore */

    for (size_t i = 0; i < edges->slots; i++)
        ends = ends || (edges->table[i].taken && is_outline(&edges->table[i]) &&
                        !edges->table[i].lands && isnan(depth_of(&edges->table[i])));
    for (int limit = 0; limit <= (ends ? 1 : 0); limit++) {
        for (size_t i = 0; i < edges->slots; i++)
            edges->table[i].drawn = false;
        for (size_t i = 0; i < edges->paths; i++)
            if (draw_path(edges, &edges->path[i], limit, out))
                return no_memory(err);
    }
    return 0;
}

void lw_edges_free(struct lw_edges *edges)
{
    for (size_t i = 0; i < edges->paths; i++)
        free(edges->path[i].p);
    free(edges->path);
    free(edges->table);
    memset(edges, 0, sizeof *edges);
}
