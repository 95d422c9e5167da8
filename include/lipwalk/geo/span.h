/* The upright box about lines in local metres. */
#ifndef LIPWALK_GEO_SPAN_H
#define LIPWALK_GEO_SPAN_H

#include "lipwalk/geo/line.h"

struct lw_span { /* of nothing: e_min > e_max */
    double e_min, e_max, n_min, n_max;
};
struct lw_span lw_span_of_nothing(void);
void lw_span_add(struct lw_span *span, const struct lw_line *line);
struct lw_span lw_span_of(const struct lw_line *line);

#endif
