/* Rings row by row: an even number of crossings to the west is outside. */
#include "mask.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"

struct crossing {
    int row;
    double e_m;
};
struct crossings {
    struct crossing *p;
    size_t n, cap;
};

static int by_place(const void *a, const void *b)
{
    const struct crossing *x = a, *y = b;

    if (x->row != y->row)
        return x->row - y->row;
    return (x->e_m > y->e_m) - (x->e_m < y->e_m);
}

static int clamp(double at, int n)
{
    return at < 0 ? 0 : at > n ? n : (int)at;
}

static int find_crossings(const struct lw_line *ring, const struct lw_grid *grid,
                          struct crossings *out)
{
    for (size_t k = 0; k + 1 < ring->n; k++) {
        struct lw_en a = ring->p[k], b = ring->p[k + 1];
        int row = clamp(ceil((fmin(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m), grid->ny);
        int end = clamp(floor((fmax(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m) + 1, grid->ny);

        for (; row < end; row++) {
            double n_m = grid->n0_m + row * grid->cell_m;

            if ((a.n_m > n_m) == (b.n_m > n_m))
                continue;
            if (lw_array_room(&out->p, out->n, &out->cap))
                return -1;
            out->p[out->n++] = (struct crossing){row, a.e_m + (n_m - a.n_m) / (b.n_m - a.n_m) *
                                                                  (b.e_m - a.e_m)};
        }
    }
    return 0;
}

static int paint(const struct lw_line *ring, const struct lw_grid *grid, bool set, bool *mask)
{
    struct crossings all = {0};
    int status = find_crossings(ring, grid, &all);

    if (status == 0 && all.n)
        qsort(all.p, all.n, sizeof *all.p, by_place);
    for (size_t k = 0; k + 1 < all.n && status == 0; k += 2) {
        bool *row = mask + (size_t)all.p[k].row * (size_t)grid->nx;
        int j = clamp(ceil((all.p[k].e_m - grid->e0_m) / grid->cell_m), grid->nx);
        int end = clamp(floor((all.p[k + 1].e_m - grid->e0_m) / grid->cell_m) + 1, grid->nx);

        for (; j < end; j++)
            row[j] = set || !row[j];
    }
    free(all.p);
    return status;
}

int lw_mask_flip(const struct lw_line *ring, const struct lw_grid *grid, bool *mask)
{
    return paint(ring, grid, false, mask);
}

int lw_mask_set(const struct lw_line *ring, const struct lw_grid *grid, bool *mask)
{
    return paint(ring, grid, true, mask);
}
