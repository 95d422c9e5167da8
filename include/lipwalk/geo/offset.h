/* The line at a fixed distance from a line, on one side (GEOS buffers).
 *
 * GEOS's own offset curve loses more than a tenth of a closed line in most cases and errs by metres
 * at the ends of an open one, so it is not used: the boundary of a two-sided buffer is filtered to
 * the wanted side, end caps dropped, densified to a metre and each vertex moved to the exact
 * distance from its nearest point on the edge. */
#ifndef LIPWALK_GEO_OFFSET_H
#define LIPWALK_GEO_OFFSET_H

#include "lipwalk/geo/line.h"

/* The parts of the line at dist_m (> 0) to the left (or right) of `edge`, each oriented by
 * increasing along of the edge, ordered by first along. Parts are absent where no such line exists
 * (inside of a bend tighter than dist_m; a small ring): zero parts is not an error.
 * Every vertex is within 1 mm of dist_m from the nearest point of the whole edge.
 * Between vertices a part keeps the distance to 2 cm. Parts shorter than 1 m are dropped.
 *
 * A part of an open edge is open; where nothing of the edge is nearer, it begins and ends exactly
 * square to the edge's ends. On a closed edge every whole ring comes back closed and starts at its
 * least along: mostly one full turn, two where a narrow neck parts two basins. */
int lw_offset_line(const struct lw_line *edge, double dist_m, bool left, struct lw_lines *out,
                   struct lw_error *err);

#endif
