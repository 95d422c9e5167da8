/* The lips of a chart, for `lipwalk chart --lips`. */
#ifndef LIPWALK_SRC_CMD_CHART_LIPS_H
#define LIPWALK_SRC_CMD_CHART_LIPS_H

#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"

/* Finds the lips and writes them and their places as a GeoJSON collection to the file (replaced
 * when whole); unless `quiet`, a line for each lip goes to stdout in people's units. */
int lw_chart_write_lips(const struct lw_chart *chart, const char *path, enum lw_units units,
                        bool quiet, struct lw_error *err);

#endif
