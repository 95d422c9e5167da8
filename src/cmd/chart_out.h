/* What `lipwalk chart` gives out beside its summary. */
#ifndef LIPWALK_SRC_CMD_CHART_OUT_H
#define LIPWALK_SRC_CMD_CHART_OUT_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"

/* The lines at depth_m as a GeoJSON collection, to the file (replaced when whole) or stdout. */
int lw_chart_write_contour(const struct lw_chart *chart, double depth_m, const char *path,
                           struct lw_error *err);

/* Copies the CSV file's rows to stdout with a column depth_m; lon_deg and lat_deg are columns of
 * its heading. Empty where the place is not on the water. */
int lw_chart_sample(const struct lw_chart *chart, const char *path, struct lw_error *err);

#endif
