/* Which cells' centres of a grid lie inside a ring. */
#ifndef LIPWALK_CHART_RING_H
#define LIPWALK_CHART_RING_H

#include "lipwalk/chart/chart.h"

/* Calls `take` for each stretch from..end (end not included, from < end) of a row's cells whose
 * centres lie inside the ring (even-odd), row by row. The grid's e0, n0, cell, nx, ny say where;
 * its depths are not read. -1 without memory. */
int lw_ring_rows(const struct lw_line *ring, const struct lw_grid *grid,
                 void (*take)(void *context, int row, int from, int end), void *context);

#endif
