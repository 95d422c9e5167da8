/* Tracing a grid whose cells without a depth may be filled in on the way. */
#ifndef LIPWALK_SRC_CHART_TRACE_H
#define LIPWALK_SRC_CHART_TRACE_H

#include "lipwalk/chart/chart.h"

struct lw_trace_fill {
    /* What stands in for a cell without a depth; NaN: nothing. Asked more than once for a cell. */
    float (*depth)(const void *context, int row, int column);
    const void *context;
};
/* As lw_chart_trace. */
int lw_trace_filled(const struct lw_grid *grid, const struct lw_trace_fill *fill, double depth_m,
                    struct lw_lines *out, struct lw_error *err);

#endif
