/* How far everything is over water: fast marching of the first order on the cells, begun with exact
 * distances where the start is seen near by. */
#include <math.h>
#include <stdlib.h>

#include "water_parts.h"

#define EXACT_CELLS 24 /* about the start */

struct march {
    const struct lw_water *w;
    float *d;      /* NaN not reached */
    uint8_t *done; /* settled */
    struct water_heap heap;
};

static double settled(const struct march *m, long column, long row)
{
    size_t i;

    if (!water_is_open(m->w, column, row))
        return INFINITY;
    i = (size_t)row * (size_t)m->w->nx + (size_t)column;
    return m->done[i] ? (double)m->d[i] : INFINITY;
}

/* |grad d| = 1 from the nearer settled neighbour of either axis. */
static double solve(const struct march *m, long column, long row)
{
    double x = fmin(settled(m, column - 1, row), settled(m, column + 1, row));
    double y = fmin(settled(m, column, row - 1), settled(m, column, row + 1));
    double h = m->w->cell_m, low = fmin(x, y), high = fmax(x, y);

    if (high - low >= h) /* of one axis only, or neither */
        return low + h;
    return (low + high + sqrt(2 * h * h - (high - low) * (high - low))) / 2;
}

static int offer(struct march *m, size_t cell, double d)
{
    if (m->done[cell] || (!isnan(m->d[cell]) && d >= (double)m->d[cell]))
        return 0;
    m->d[cell] = (float)d;
    return water_push(&m->heap, (struct water_offer){d, (uint32_t)cell, 0});
}

/* Cells near the start that it sees have their true distance. */
static int begin(struct march *m, struct lw_en from)
{
    const struct lw_water *w = m->w;
    long column = lround((from.e_m - w->e0_m) / w->cell_m);
    long row = lround((from.n_m - w->n0_m) / w->cell_m);

    for (long r = row - EXACT_CELLS; r <= row + EXACT_CELLS; r++)
        for (long c = column - EXACT_CELLS; c <= column + EXACT_CELLS; c++) {
            size_t cell = (size_t)r * (size_t)w->nx + (size_t)c;
            double d;

            if (!water_is_open(w, c, r))
                continue;
            d = lw_en_distance(from, water_middle(w, cell));
            if (d <= EXACT_CELLS * w->cell_m && lw_water_sees(w, from, water_middle(w, cell)) &&
                offer(m, cell, d))
                return -1;
        }
    return 0;
}

static int run(struct march *m)
{
    static const int dx[4] = {1, 0, -1, 0}, dy[4] = {0, 1, 0, -1};

    while (m->heap.n > 0) {
        size_t cell = water_pop(&m->heap).id;
        long column = (long)(cell % (size_t)m->w->nx), row = (long)(cell / (size_t)m->w->nx);

        if (m->done[cell])
            continue;
        m->done[cell] = 1;
        for (int k = 0; k < 4; k++) {
            long c = column + dx[k], r = row + dy[k];

            if (water_is_open(m->w, c, r) &&
                offer(m, (size_t)r * (size_t)m->w->nx + (size_t)c, solve(m, c, r)))
                return -1;
        }
    }
    return 0;
}

int lw_water_field(const struct lw_water *w, struct lw_en from, double snap_m, float *distance_m,
                   struct lw_error *err)
{
    size_t all = (size_t)w->nx * (size_t)w->ny;
    struct march m = {.w = w, .d = distance_m};
    struct lw_en start;
    int rc;

    for (size_t i = 0; i < all; i++)
        distance_m[i] = NAN;
    if (!lw_water_nearest(w, from, snap_m, &start))
        return 1;
    m.done = calloc(all, 1);
    rc = m.done && begin(&m, start) == 0 ? run(&m) : -1;
    free(m.done);
    free(m.heap.at);
    return rc ? lw_fail(err, "memory ran out while measuring ways over %zu cells", all) : 0;
}
