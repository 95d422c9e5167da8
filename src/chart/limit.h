/* Between which depths a cell may lie, and bringing it there. */
#ifndef LIPWALK_SRC_CHART_LIMIT_H
#define LIPWALK_SRC_CHART_LIMIT_H

#include "lipwalk/chart/band.h"
#include "lipwalk/chart/surface.h"

/* Widens bands to what soundings say, where a band's limit is only a guess: a basin below its last
 * contour, a top above it, a lake known by its shore alone. */
void lw_limits_widen(const struct lw_surface_in *in, const struct lw_grid *grid,
                     struct lw_bands *bands);
/* Keeps each cell of grid->depth_m within its band; land becomes NaN. Where a sounding contradicts
 * its band by more than twice its sigma, the map is wrong there: around it the surface as it was
 * fitted comes back, fully at the sounding and less and less over LOOSE_M. 0, or -1 without
 * memory. */
int lw_limits_keep(const struct lw_surface_in *in, const struct lw_bands *bands,
                   struct lw_grid *grid);

#endif
