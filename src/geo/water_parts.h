/* Inside the ways over water: cells by number, and a heap of them. */
#ifndef LIPWALK_GEO_WATER_PARTS_H
#define LIPWALK_GEO_WATER_PARTS_H

#include "lipwalk/geo/water.h"

static inline struct lw_en water_middle(const struct lw_water *w, size_t cell)
{
    return (struct lw_en){w->e0_m + (double)(cell % (size_t)w->nx) * w->cell_m,
                          w->n0_m + (double)(cell / (size_t)w->nx) * w->cell_m};
}

static inline bool water_is_open(const struct lw_water *w, long column, long row)
{
    return column >= 0 && row >= 0 && column < w->nx && row < w->ny &&
           w->open[(size_t)row * (size_t)w->nx + (size_t)column];
}

/* The cell that a place lies in; false outside the grid. */
bool water_cell(const struct lw_water *w, struct lw_en at, size_t *cell);

struct water_offer {
    double key;
    uint32_t id, from;
};
struct water_heap { /* least key first */
    struct water_offer *at;
    size_t n, cap;
};
int water_push(struct water_heap *heap, struct water_offer offer); /* -1: memory */
struct water_offer water_pop(struct water_heap *heap);             /* of one that is not empty */

/* Draws a way taut: `way` runs from its first to its last vertex over open water and is replaced by
 * the shortest one over the corners of closed cells near it. */
int water_tighten(const struct lw_water *w, struct lw_line *way);

#endif
