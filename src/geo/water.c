#include "lipwalk/geo/water.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "water_parts.h"

#define FAR_CELLS2 1e12

int lw_water_init(struct lw_water *w, double e0_m, double n0_m, double cell_m, int nx, int ny,
                  struct lw_error *err)
{
    *w = (struct lw_water){e0_m, n0_m, cell_m, nx, ny, NULL};
    if (nx < 1 || ny < 1 || !(cell_m > 0))
        return lw_fail(err, "a water of %d x %d cells of %g m is none", nx, ny, cell_m);
    w->open = calloc((size_t)nx, (size_t)ny);
    return w->open ? 0 : lw_fail(err, "memory ran out for %d x %d cells of water", nx, ny);
}

void lw_water_free(struct lw_water *w)
{
    free(w->open);
    memset(w, 0, sizeof *w);
}

bool water_cell(const struct lw_water *w, struct lw_en at, size_t *cell)
{
    double x = floor((at.e_m - w->e0_m) / w->cell_m + 0.5);
    double y = floor((at.n_m - w->n0_m) / w->cell_m + 0.5);

    if (!(x >= 0 && y >= 0 && x < w->nx && y < w->ny))
        return false;
    *cell = (size_t)y * (size_t)w->nx + (size_t)x;
    return true;
}

bool lw_water_open(const struct lw_water *w, struct lw_en at)
{
    size_t cell;

    return water_cell(w, at, &cell) && w->open[cell];
}

bool lw_water_nearest(const struct lw_water *w, struct lw_en at, double within_m,
                      struct lw_en *open)
{
    long reach = (long)ceil(within_m / w->cell_m) + 1;
    long column = lround((at.e_m - w->e0_m) / w->cell_m);
    long row = lround((at.n_m - w->n0_m) / w->cell_m);
    double least = within_m;
    bool found = false;

    *open = at;
    if (lw_water_open(w, at))
        return true;
    for (long r = row - reach; r <= row + reach; r++)
        for (long c = column - reach; c <= column + reach; c++) {
            struct lw_en there = {w->e0_m + (double)c * w->cell_m, w->n0_m + (double)r * w->cell_m};
            double far_m = lw_en_distance(at, there);

            if (far_m > least || !water_is_open(w, c, r))
                continue;
            least = far_m;
            *open = there;
            found = true;
        }
    return found;
}

/* ---- shrinking: squared distances to the nearest closed middle, rows then columns ---- */

struct envelope { /* of parabolas, one for each place of a line of n */
    size_t n;
    double *from, *to; /* squared distances before and after */
    size_t *at;        /* the parabola that is lowest from edge[k] on */
    double *edge;
};

static void lower(struct envelope *v)
{
    size_t k = 0;

    v->at[0] = 0;
    v->edge[0] = -INFINITY;
    v->edge[1] = INFINITY;
    for (size_t q = 1; q < v->n; q++) {
        double s;

        for (;;) {
            size_t p = v->at[k];

            s = (v->from[q] + (double)(q * q) - v->from[p] - (double)(p * p)) /
                (2 * ((double)q - (double)p));
            if (s > v->edge[k] || k == 0)
                break;
            k--;
        }
        if (s > v->edge[k])
            k++;
        v->at[k] = q;
        v->edge[k] = k ? s : -INFINITY;
        v->edge[k + 1] = INFINITY;
    }
    k = 0;
    for (size_t q = 0; q < v->n; q++) {
        double d;

        while (v->edge[k + 1] < (double)q)
            k++;
        d = (double)q - (double)v->at[k];
        v->to[q] = d * d + v->from[v->at[k]];
    }
}

static void distances(const struct lw_water *w, struct envelope *v, double *square)
{
    size_t nx = (size_t)w->nx, ny = (size_t)w->ny;

    v->n = nx;
    for (size_t r = 0; r < ny; r++) {
        for (size_t c = 0; c < nx; c++)
            v->from[c] = w->open[r * nx + c] ? FAR_CELLS2 : 0;
        lower(v);
        memcpy(square + r * nx, v->to, nx * sizeof *square);
    }
    v->n = ny;
    for (size_t c = 0; c < nx; c++) {
        for (size_t r = 0; r < ny; r++)
            v->from[r] = square[r * nx + c];
        lower(v);
        for (size_t r = 0; r < ny; r++)
            square[r * nx + c] = v->to[r];
    }
}

int lw_water_shrink(struct lw_water *w, double clearance_m, struct lw_error *err)
{
    size_t most = (size_t)(w->nx > w->ny ? w->nx : w->ny), all = (size_t)w->nx * (size_t)w->ny;
    double limit = clearance_m / w->cell_m, *square = calloc(all, sizeof *square);
    struct envelope v = {.from = calloc(most, sizeof *v.from),
                         .to = calloc(most, sizeof *v.to),
                         .at = calloc(most, sizeof *v.at),
                         .edge = calloc(most + 1, sizeof *v.edge)};
    int rc = -1;

    if (!square || !v.from || !v.to || !v.at || !v.edge) {
        lw_fail(err, "memory ran out while keeping clear of land on %zu cells", all);
        goto done;
    }
    distances(w, &v, square);
    for (size_t i = 0; i < all; i++)
        if (square[i] < limit * limit * (1 - 1e-12))
            w->open[i] = 0;
    rc = 0;
done:
    free(square);
    free(v.from);
    free(v.to);
    free(v.at);
    free(v.edge);
    return rc;
}

/* ---- the heap ---- */

int water_push(struct water_heap *heap, struct water_offer offer)
{
    size_t i = heap->n;

    if (lw_array_room(&heap->at, heap->n, &heap->cap))
        return -1;
    heap->n++;
    while (i > 0 && heap->at[(i - 1) / 2].key > offer.key) {
        heap->at[i] = heap->at[(i - 1) / 2];
        i = (i - 1) / 2;
    }
    heap->at[i] = offer;
    return 0;
}

struct water_offer water_pop(struct water_heap *heap)
{
    struct water_offer top = heap->at[0], last = heap->at[--heap->n];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= heap->n)
            break;
        if (child + 1 < heap->n && heap->at[child + 1].key < heap->at[child].key)
            child++;
        if (heap->at[child].key >= last.key)
            break;
        heap->at[i] = heap->at[child];
        i = child;
    }
    if (heap->n)
        heap->at[i] = last;
    return top;
}
