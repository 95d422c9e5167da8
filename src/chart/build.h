/* From a map file to a chart: the whole of the import, as it runs in the child process. */
#ifndef LIPWALK_SRC_CHART_BUILD_H
#define LIPWALK_SRC_CHART_BUILD_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/import.h"

/* Reads options->map with GDAL; `scratch` is an existing private folder. Fills the report's summary
 * and warnings. Call it only where a crash does no harm. */
int lw_chart_build(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart **out, struct lw_import_report *report, struct lw_error *err);

/* From contours in a frame to a chart: grid, surface, directions, area, interval, stage. The
 * contours are moved into the chart. */
int lw_chart_assemble(struct lw_chart *chart, double cell_m, double stage_m, struct lw_error *err);

#endif
