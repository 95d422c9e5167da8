/* What lw_line_nearest and the index share, so that both give the same answer to the last bit. */
#ifndef LIPWALK_SRC_GEO_NEAREST_H
#define LIPWALK_SRC_GEO_NEAREST_H

#include "lipwalk/geo/line.h"

/* The answer for the nearest segment (the lowest numbered one where several are equally near);
 * before_m is the along of its first vertex. */
struct lw_near lw_segment_near(const struct lw_line *line, size_t segment, double before_m,
                               struct lw_en at);

#endif
