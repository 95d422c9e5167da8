/* Rings onto masks. */
#include "mask.h"

#include "lipwalk/chart/ring.h"

struct paint {
    bool *mask;
    size_t nx;
    bool set; /* else flipped */
};

static void paint(void *context, int row, int from, int end)
{
    const struct paint *paint = context;
    bool *cell = paint->mask + (size_t)row * paint->nx;

    for (int j = from; j < end; j++)
        cell[j] = paint->set || !cell[j];
}

int lw_mask_flip(const struct lw_line *ring, const struct lw_grid *grid, bool *mask)
{
    return lw_ring_rows(ring, grid, paint, &(struct paint){mask, (size_t)grid->nx, false});
}

int lw_mask_set(const struct lw_line *ring, const struct lw_grid *grid, bool *mask)
{
    return lw_ring_rows(ring, grid, paint, &(struct paint){mask, (size_t)grid->nx, true});
}
