/* A ring row by row: an even number of crossings to the west is outside. */
#include "lipwalk/chart/ring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

static int clamp(double at, int n)
{
    return at < 0 ? 0 : at > n ? n : (int)at;
}

/* Crossings are gathered segment by segment, once to count and once to store: a long ring has few
 * of them in a row. */
int lw_ring_rows(const struct lw_line *ring, const struct lw_grid *grid,
                 void (*take)(void *context, int row, int from, int end), void *context)
{
    size_t *start = calloc((size_t)grid->ny + 2, sizeof *start);
    double *cross = NULL;
    int status = -1;

    if (!start)
        return -1;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k + 1 < ring->n; k++) {
            struct lw_en a = ring->p[k], b = ring->p[k + 1];
            int lo = clamp(ceil((fmin(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m), grid->ny);
            int hi = clamp(floor((fmax(a.n_m, b.n_m) - grid->n0_m) / grid->cell_m) + 1, grid->ny);

            for (int row = lo; row < hi; row++) {
                double n_m = grid->n0_m + row * grid->cell_m;

                if ((a.n_m > n_m) == (b.n_m > n_m))
                    continue;
                if (pass == 1)
                    cross[start[row]] = a.e_m + (n_m - a.n_m) / (b.n_m - a.n_m) * (b.e_m - a.e_m);
                start[row + (pass == 0 ? 2 : 0)]++;
            }
        }
        if (pass == 0) { /* counts to starts, one row late so that the second pass ends right */
            for (int row = 1; row < grid->ny + 2; row++)
                start[row] += start[row - 1];
            memmove(start, start + 1, ((size_t)grid->ny + 1) * sizeof *start);
            cross = malloc((start[grid->ny] + 1) * sizeof *cross);
            if (!cross)
                goto done;
        }
    }
    /* Now start[row] is the end of row's crossings, and start[row - 1] their beginning. */
    for (int row = 0; row < grid->ny; row++) {
        size_t from = row ? start[row - 1] : 0;

        qsort(cross + from, start[row] - from, sizeof *cross, lw_number_order);
        for (size_t k = from; k + 1 < start[row]; k += 2) {
            int j = clamp(ceil((cross[k] - grid->e0_m) / grid->cell_m), grid->nx);
            int end = clamp(floor((cross[k + 1] - grid->e0_m) / grid->cell_m) + 1, grid->nx);

            if (j < end)
                take(context, row, j, end);
        }
    }
    status = 0;
done:
    free(cross);
    free(start);
    return status;
}
