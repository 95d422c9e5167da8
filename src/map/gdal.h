/* What every use of GDAL here has in common: it touches no network and writes no side files, and
 * systems of coordinates give longitude first. */
#ifndef LIPWALK_SRC_MAP_GDAL_H
#define LIPWALK_SRC_MAP_GDAL_H

#include <ogr_srs_api.h>
#include <stddef.h>

#include "lipwalk/base/error.h"

/* To be called before anything is opened or made, in the child. */
void lw_gdal_private(void);

/* The caller's to destroy. */
OGRSpatialReferenceH lw_crs_wgs84(void);
/* The system that --crs names by an EPSG code, the caller's to destroy; NULL with a sentence for
 * any other text: GDAL's general import opens files and addresses on the network. */
OGRSpatialReferenceH lw_crs_wanted(const char *wanted, struct lw_error *err);
/* "EPSG:3070 (NAD83 / Wisconsin Transverse Mercator)", or the name alone; cleaned. */
void lw_crs_name(OGRSpatialReferenceH crs, char *to, size_t size);

#endif
