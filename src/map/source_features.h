/* Hazards, cover and bottom from the files and the crew into the chart. */
#ifndef LIPWALK_SRC_MAP_SOURCE_FEATURES_H
#define LIPWALK_SRC_MAP_SOURCE_FEATURES_H

#include "source.h"

/* Those in or about the chart's grid, in its frame, hazards' depths moved by the stage; counts how
 * many. */
int lw_source_features(const struct lw_source *source, struct lw_chart *chart, double stage_m,
                       size_t *hazards, size_t *covers, struct lw_error *err);
int lw_crew_features(const struct lw_import_options *options, struct lw_chart *chart,
                     struct lw_error *err);

#endif
