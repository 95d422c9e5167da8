/* The lips of a chart, for `lipwalk chart --lips`. */
#ifndef LIPWALK_SRC_CMD_CHART_LIPS_H
#define LIPWALK_SRC_CMD_CHART_LIPS_H

#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/lip.h"

struct lw_lips_words { /* how the table for people is printed */
    enum lw_units units;
    bool ascii; /* +- instead of the sign */
};
/* Writes the lips and their places as a GeoJSON collection to the file (replaced
 * when whole); with `words`, a table of them goes to stdout too. */
int lw_chart_write_lips(const struct lw_chart *chart, const struct lw_lips *lips, const char *path,
                        const struct lw_lips_words *words, struct lw_error *err);

#endif
