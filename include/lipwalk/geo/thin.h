/* Fewer vertices for the same line, within a stated distance. */
#ifndef LIPWALK_GEO_THIN_H
#define LIPWALK_GEO_THIN_H

#include "lipwalk/base/error.h"
#include "lipwalk/geo/line.h"

/* Copies `line` into `out` without the vertices that a straight run passes within tol_m (Douglas
 * and Peucker 1973, from memory): every vertex left out lies within tol_m of `out`. Ends are kept;
 * a closed line stays closed. Fails only when memory runs out. */
int lw_line_thin(const struct lw_line *line, double tol_m, struct lw_line *out,
                 struct lw_error *err);

#endif
