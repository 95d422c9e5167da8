/* The features of one lake out of a map file. */
#ifndef LIPWALK_SRC_MAP_LAKE_H
#define LIPWALK_SRC_MAP_LAKE_H

#include "lipwalk/base/error.h"
#include "lipwalk/map/import.h"
#include "raw.h"
#include "reader.h"

#define LW_LAKE_UNNAMED 1

/* Reads into `raw` the features of the lake that options->at or ->lake picks, and no more of the
 * file than its surroundings; without either the file must name no more than one lake. Where
 * another file has picked the lake already, `place` (else NULL) is the box to read. `name` gets the
 * lake's name or id, or "". LW_LAKE_UNNAMED, with a sentence: the file has no lake of that name,
 * and could be read when the place is known. */
int lw_lake_read(struct lw_reader *reader, const struct lw_import_options *options,
                 const struct lw_box *place, struct lw_raw *raw, char name[64],
                 struct lw_error *err);

#endif
