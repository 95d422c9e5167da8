/* The features of one lake out of a map file. */
#ifndef LIPWALK_SRC_CHART_LAKE_H
#define LIPWALK_SRC_CHART_LAKE_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/import.h"
#include "raw.h"
#include "reader.h"

/* Reads into `raw` the features of the lake that options->at or ->lake picks, and no more of the
 * file than its surroundings; without either the file must name no more than one lake. `name` gets
 * the lake's name or id, or "". */
int lw_lake_read(struct lw_reader *reader, const struct lw_import_options *options,
                 struct lw_raw *raw, char name[64], struct lw_error *err);

#endif
