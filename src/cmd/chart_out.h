/* What `lipwalk chart` gives out. */
#ifndef LIPWALK_SRC_CMD_CHART_OUT_H
#define LIPWALK_SRC_CMD_CHART_OUT_H

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/lip.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/map/import.h"

/* The summary, and a line each for soundings, hazards and cover where the chart has any. */
void lw_chart_print_text(const struct lw_chart *chart, const struct lw_import_report *report);
/* One JSON object in SI units. `maps`: the files' paths as typed. */
int lw_chart_print_json(const struct lw_chart *chart, const struct lw_import_report *report,
                        const struct lw_arg_texts *maps, struct lw_error *err);

/* The lines at depth_m as a GeoJSON collection, to the file (replaced when whole) or stdout. */
int lw_chart_write_contour(const struct lw_chart *chart, double depth_m, const char *path,
                           struct lw_error *err);

/* The picture to print, with its lips and today's date; `stage_m`: the level that the chart is for.
 */
int lw_chart_draw(const struct lw_chart *chart, const struct lw_lips *lips, double stage_m,
                  enum lw_units units, const char *path, struct lw_error *err);

/* Copies the CSV file's rows to stdout with a column depth_m; lon_deg and lat_deg are columns of
 * its heading. Empty where the place is not on the water. Where the map is one grid, the depths are
 * its own cells'. */
int lw_chart_sample(const struct lw_chart *chart, const struct lw_import_options *options,
                    const char *path, struct lw_error *err);

#endif
