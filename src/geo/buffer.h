/* The boundary of the area within a distance of a line (the only file that knows GEOS). */
#ifndef LIPWALK_SRC_GEO_BUFFER_H
#define LIPWALK_SRC_GEO_BUFFER_H

#include "lipwalk/geo/line.h"

/* Adds to `rings` every boundary ring of the area within dist_m of the line, round at the ends of
 * an open one. All come closed and turn so that the area lies on the right of their direction.
 * They stray from the distance by a hundredth of it or so in bends: GEOS smooths its input by that
 * much and draws a circle as 64 chords. */
int lw_buffer_rings(const struct lw_line *line, double dist_m, struct lw_lines *rings,
                    struct lw_error *err);

#endif
