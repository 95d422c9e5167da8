/* Contour lines that a map holds in pieces, joined end to end. */
#ifndef LIPWALK_SRC_MAP_JOIN_H
#define LIPWALK_SRC_MAP_JOIN_H

#include "lipwalk/base/error.h"
#include "lipwalk/geo/line.h"

/* Joins open lines whose ends lie within gap_m of one another, the nearest ends first, and closes a
 * line whose own two ends do. `lines` is replaced; closed lines stay as they are. */
int lw_join_lines(struct lw_lines *lines, double gap_m, struct lw_error *err);

#endif
