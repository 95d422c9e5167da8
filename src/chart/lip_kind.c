/* What a lip goes round: the shore's flat, a hump's top, or water below another lip.
 *
 * Cells join from the shallowest down (union-find, Tarjan 1975, from memory): at a lip's depth all
 * that is shallower and hangs together with its flat is one set, and it holds the shore or not. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lip_parts.h"

#define BINS 65536
#define EACH 5 /* every so many vertices are asked */

static int32_t root_of(int32_t *parent, int32_t k)
{
    while (parent[k] != k) {
        parent[k] = parent[parent[k]];
        k = parent[k];
    }
    return k;
}

struct pool {
    const struct lw_grid *grid;
    int32_t *order;  /* cells with a depth, shallowest first */
    int32_t *parent; /* -1: not joined yet */
    uint8_t *shore;  /* of a root: its set touches land or the grid's rim */
    int32_t cells, joined;
};

static int sort_cells(struct pool *pool)
{
    const struct lw_grid *g = pool->grid;
    int32_t all = g->nx * g->ny, *first = calloc(BINS + 1, sizeof *first);
    float least = INFINITY, most = -INFINITY;
    double per;

    if (!first)
        return -1;
    for (int32_t k = 0; k < all; k++)
        if (!isnan(g->depth_m[k])) {
            least = fminf(least, g->depth_m[k]);
            most = fmaxf(most, g->depth_m[k]);
        }
    per = (BINS - 1) / fmax((double)most - (double)least, 1e-6);
    for (int32_t k = 0; k < all; k++)
        if (!isnan(g->depth_m[k]))
            first[1 + (int)(((double)g->depth_m[k] - (double)least) * per)]++;
    for (int b = 0; b < BINS; b++)
        first[b + 1] += first[b];
    pool->cells = first[BINS];
    for (int32_t k = 0; k < all; k++)
        if (!isnan(g->depth_m[k]))
            pool->order[first[(int)(((double)g->depth_m[k] - (double)least) * per)]++] = k;
    free(first);
    return 0;
}

static void join_down_to(struct pool *pool, double depth_m)
{
    const struct lw_grid *g = pool->grid;

    for (; pool->joined < pool->cells; pool->joined++) {
        int32_t k = pool->order[pool->joined];
        int i = k / g->nx, j = k % g->nx;
        bool shore = i == 0 || j == 0 || i == g->ny - 1 || j == g->nx - 1;

        if ((double)g->depth_m[k] > depth_m)
            return;
        pool->parent[k] = k;
        for (int a = i > 0 ? i - 1 : 0; a <= i + 1 && a < g->ny; a++)
            for (int b = j > 0 ? j - 1 : 0; b <= j + 1 && b < g->nx; b++) {
                int32_t n = a * g->nx + b, r;

                if (isnan(g->depth_m[n])) {
                    shore = true;
                    continue;
                }
                if (n == k || pool->parent[n] < 0)
                    continue;
                r = root_of(pool->parent, n);
                shore |= pool->shore[r];
                pool->parent[r] = root_of(pool->parent, k);
            }
        pool->shore[root_of(pool->parent, k)] |= shore;
    }
}

struct query {
    double depth_m;
    int32_t cell;
    int lip;
};

static int by_depth(const void *a, const void *b)
{
    const struct query *x = a, *y = b;

    return x->depth_m != y->depth_m ? (x->depth_m > y->depth_m ? 1 : -1)
                                    : (x->cell > y->cell) - (x->cell < y->cell);
}

/* The shallowest cell about a place a little up the fall line: a cell of the lip's own flat. */
static int32_t flat_cell(const struct lw_lip_field *field, struct lw_en at, double up_m)
{
    const struct lw_grid *g = field->grid;
    struct lw_en fall = lw_lip_fall(field, at);
    double far = hypot(fall.e_m, fall.n_m) + 1e-9;
    int j = (int)round((at.e_m - up_m * fall.e_m / far - g->e0_m) / g->cell_m);
    int i = (int)round((at.n_m - up_m * fall.n_m / far - g->n0_m) / g->cell_m);
    int32_t best = -1;

    for (int a = i - 1; a <= i + 1; a++)
        for (int b = j - 1; b <= j + 1; b++) {
            int32_t k = a * g->nx + b;

            if (a >= 0 && b >= 0 && a < g->ny && b < g->nx && !isnan(g->depth_m[k]) &&
                (best < 0 || g->depth_m[k] < g->depth_m[best]))
                best = k;
        }
    return best;
}

static void mark(const struct lw_grid *g, const struct lw_lip *lip, uint16_t name, uint16_t *marks)
{
    for (size_t k = 0; k + 1 < lip->n; k++) {
        double far = lw_en_distance(lip->p[k].at, lip->p[k + 1].at);

        for (double s = 0; s <= far; s += 0.5 * g->cell_m) {
            struct lw_en p = lw_en_between(lip->p[k].at, lip->p[k + 1].at, far > 0 ? s / far : 0);
            int j = (int)round((p.e_m - g->e0_m) / g->cell_m);
            int i = (int)round((p.n_m - g->n0_m) / g->cell_m);

            if (i >= 0 && j >= 0 && i < g->ny && j < g->nx)
                marks[(size_t)i * (size_t)g->nx + (size_t)j] = name;
            if (i >= 0 && j >= 0 && i < g->ny && j + 1 < g->nx) /* no way through a diagonal */
                marks[(size_t)i * (size_t)g->nx + (size_t)j + 1] = name;
        }
    }
}

/* Whether the way up the fall line meets another lip. */
static bool below_another(const struct lw_lip_field *field, struct lw_en at, uint16_t own,
                          const uint16_t *marks)
{
    const struct lw_grid *g = field->grid;

    for (int k = 0; k < 600 && lw_lip_wet(g, at); k++) {
        struct lw_en fall = lw_lip_fall(field, at);
        double far = hypot(fall.e_m, fall.n_m);
        int j = (int)round((at.e_m - g->e0_m) / g->cell_m);
        int i = (int)round((at.n_m - g->n0_m) / g->cell_m);
        uint16_t here = marks[(size_t)i * (size_t)g->nx + (size_t)j];

        if (here && here != own && k > 3)
            return true;
        if (far < 1e-5)
            return false;
        at.e_m -= 0.7 * g->cell_m * fall.e_m / far;
        at.n_m -= 0.7 * g->cell_m * fall.n_m / far;
    }
    return false;
}

static int tell(const struct lw_lip_field *field, double up_m, struct pool *pool,
                struct query *query, int *asked, int *shores, uint16_t *marks, struct lw_lips *lips)
{
    const struct lw_grid *g = field->grid;
    size_t n = 0;

    for (size_t l = 0; l < lips->lips; l++) {
        const struct lw_lip *lip = &lips->lip[l];

        mark(g, lip, (uint16_t)(1 + l % 65535), marks);
        for (size_t k = 0; k < lip->n; k += EACH) {
            int32_t cell = flat_cell(field, lip->p[k].at, up_m);

            if (cell >= 0)
                query[n++] = (struct query){
                    fmax(lip->p[k].depth_m, (double)g->depth_m[cell]) + 0.02, cell, (int)l};
        }
    }
    if (sort_cells(pool))
        return -1;
    qsort(query, n, sizeof *query, by_depth);
    for (size_t k = 0; k < n; k++) {
        join_down_to(pool, query[k].depth_m);
        asked[query[k].lip]++;
        shores[query[k].lip] += pool->shore[root_of(pool->parent, query[k].cell)];
    }
    for (size_t l = 0; l < lips->lips; l++) {
        struct lw_lip *lip = &lips->lip[l];
        size_t below = 0, looked = 0;

        lip->kind = 2 * shores[l] >= asked[l] ? LW_LIP_SHORE : LW_LIP_HUMP;
        for (size_t k = 0; k < lip->n; k += EACH, looked++)
            below += below_another(field, lip->p[k].at, (uint16_t)(1 + l % 65535), marks);
        if (2 * below > looked)
            lip->kind = LW_LIP_OTHER;
    }
    return 0;
}

int lw_lip_name_kinds(const struct lw_lip_field *field, double up_m, struct lw_lips *lips,
                      struct lw_error *err)
{
    const struct lw_grid *g = field->grid;
    size_t cells = (size_t)g->nx * (size_t)g->ny, points = 1;
    struct pool pool = {.grid = g};
    struct query *query;
    int *asked = calloc(lips->lips + 1, sizeof *asked), status = -1;
    int *shores = calloc(lips->lips + 1, sizeof *shores);
    uint16_t *marks = calloc(cells, sizeof *marks);

    for (size_t l = 0; l < lips->lips; l++)
        points += lips->lip[l].n / EACH + 1;
    query = malloc(points * sizeof *query);
    pool.order = malloc(cells * sizeof *pool.order);
    pool.parent = malloc(cells * sizeof *pool.parent);
    pool.shore = calloc(cells, sizeof *pool.shore);
    if (asked && shores && marks && query && pool.order && pool.parent && pool.shore) {
        memset(pool.parent, -1, cells * sizeof *pool.parent);
        status = tell(field, up_m, &pool, query, asked, shores, marks, lips);
    }
    if (status)
        lw_fail(err, "out of memory for the lips of %d x %d cells", g->nx, g->ny);
    free(query);
    free(asked);
    free(shores);
    free(marks);
    free(pool.order);
    free(pool.parent);
    free(pool.shore);
    return status;
}
