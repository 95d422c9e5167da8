/* The surface of a water that ends at a shore or where its data end. */
#ifndef LIPWALK_SRC_MAP_FILL_H
#define LIPWALK_SRC_MAP_FILL_H

#include "build.h"

/* Drops the soundings that lie outside the water, and makes one of those that lie on one place. The
 * chart's grid has been laid. */
int lw_fill_sift(const struct lw_chart *chart, struct lw_assembly *what, struct lw_error *err);
/* Solves for the chart's grid; an earlier surface is replaced. */
int lw_fill_surface(struct lw_chart *chart, const struct lw_assembly *what, struct lw_error *err);

#endif
