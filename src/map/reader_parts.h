/* One OGR geometry into lines and rings in longitude and latitude. */
#ifndef LIPWALK_SRC_MAP_READER_PARTS_H
#define LIPWALK_SRC_MAP_READER_PARTS_H

#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "raw.h"

/* Fills feature->part and ->z. Geometry that is no place, line or area leaves it
 * without parts. */
int lw_reader_parts(OGRGeometryH geometry, OGRCoordinateTransformationH to_ll, bool geographic,
                    struct lw_raw_feature *feature, const char *map, struct lw_error *err);

#endif
