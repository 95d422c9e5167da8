/* Tops above the last contour, where nothing says how the bottom goes on.
 *
 * A stiff surface carries the slope at that contour straight on, so that a small hump ends in a
 * point as high as a cone's. Tops are taken to be rounded (common practice, no source): a dome that
 * begins with slope s at its rim and lies level r from it rises s (d - d^2 / 2r) at d from the rim,
 * in the middle half as much as the cone. Nothing is left above that dome. A large top meets its
 * band's limit near the rim and hardly feels it. */
#ifndef LIPWALK_SRC_CHART_DOME_H
#define LIPWALK_SRC_CHART_DOME_H

#include "lipwalk/chart/band.h"
#include "lipwalk/chart/surface.h"

/* Brings grid->depth_m below the domes of bands whose least depth is a guess; a band with a
 * sounding in it is left as it is. 0, or -1 without memory. */
int lw_domes_keep(const struct lw_surface_in *in, const struct lw_bands *bands,
                  struct lw_grid *grid);

#endif
