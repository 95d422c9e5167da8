/* The box about a line in local metres. */
#ifndef LIPWALK_SRC_CHART_SPAN_H
#define LIPWALK_SRC_CHART_SPAN_H

#include "lipwalk/geo/line.h"

struct lw_span {
    double e_min, e_max, n_min, n_max;
};
struct lw_span lw_span_of(const struct lw_line *line);

#endif
