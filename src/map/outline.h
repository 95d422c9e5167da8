/* Where soundings end, when no shore is known.
 *
 * The closing of the soundings by a disk (dilation, then erosion: Serra 1982, from memory): what no
 * disk of that radius reaches that holds no sounding. The radius follows from how far apart the
 * soundings lie, across the lines of a survey too. */
#ifndef LIPWALK_SRC_MAP_OUTLINE_H
#define LIPWALK_SRC_MAP_OUTLINE_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/line.h"

/* Rings about the places p[n]: outer ones, and large holes in them (even-odd). `radius_m` gets the
 * disk's. Zero rings: fewer than three places, or all on one spot or line. */
int lw_outline(const struct lw_en *p, size_t n, struct lw_lines *out, double *radius_m,
               struct lw_error *err);

#endif
