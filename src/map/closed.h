/* Areas closed by local rules, from polygon files of the crew's, into the chart. In the import's
 * child only. */
#ifndef LIPWALK_SRC_MAP_CLOSED_H
#define LIPWALK_SRC_MAP_CLOSED_H

#include "lipwalk/map/import.h"

/* Reads options->closed. An attribute named like a rule (closed, restriction, type, use) whose text
 * speaks of boats, navigation or entry closes an area to boats; one that speaks of entry, or of
 * fishing, or of nothing known, to fishing. A name or remark becomes its words. A file without
 * areas, or none about the chart, is a warning in the report; one that cannot be read is an error:
 * who gave it counts on it. */
int lw_closed_read(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart *chart, struct lw_import_report *report, struct lw_error *err);

#endif
