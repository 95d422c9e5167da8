/* A grid's own cells, as they are in the file: no interpolation. */
#ifndef LIPWALK_MAP_CELLS_H
#define LIPWALK_MAP_CELLS_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/point.h"
#include "lipwalk/map/import.h"

/* Whether the map is one grid of depths and nothing else: no other file, no track folded in, no
 * cell size of its own. */
bool lw_chart_is_grid(const struct lw_import_options *options);
/* depth_m[i], i < n: the depth in metres, positive down, of the very cell of the grid that at[i]
 * lies in, at today's level (options->stage_m). 0 where the file says 0, at any level; NaN on land
 * that has a height, where the file holds no value, and outside. Reads the file in a child process.
 * -1 with a sentence, also where lw_chart_is_grid is false. */
int lw_chart_cells(const struct lw_import_options *options, const struct lw_ll *at, size_t n,
                   double *depth_m, struct lw_error *err);

#endif
