/* Which cells' centres lie inside rings. */
#ifndef LIPWALK_SRC_MAP_MASK_H
#define LIPWALK_SRC_MAP_MASK_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/chart/chart.h"

/* Flips mask[ny * nx] inside the ring (even-odd): all rings of an area with holes, one after the
 * other, leave true what lies in the area. The grid's e0, n0, cell, nx, ny say where. -1 without
 * memory. */
int lw_mask_flip(const struct lw_line *ring, const struct lw_grid *grid, bool *mask);
/* Sets it inside the ring. */
int lw_mask_set(const struct lw_line *ring, const struct lw_grid *grid, bool *mask);

#endif
