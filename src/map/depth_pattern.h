/* What a set of depth values looks like by itself: range, signs, whole multiples, usual step. */
#ifndef LIPWALK_SRC_MAP_DEPTH_PATTERN_H
#define LIPWALK_SRC_MAP_DEPTH_PATTERN_H

#include <stddef.h>

#include "depth_field.h"

struct lw_depth_stats {
    double min, max; /* of the known values */
    size_t known, negative, positive;
    double multiple; /* all are whole multiples of it: 10, 5, 2, 1, or 1.524, 0.3048 (5 ft, 1 ft in
                        metres), 0.5; 0 when of none */
};
void lw_depth_stats(struct lw_depth_stats *stats, const double *value, size_t n);
/* "looks like feet: the values are whole multiples of 5", and the unit (NONE: could be either). */
void lw_depth_looks(char *to, size_t size, const struct lw_depth_stats *stats,
                    enum lw_depth_unit *unit);

#endif
