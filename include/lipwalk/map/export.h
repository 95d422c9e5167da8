/* Writing the depth surface for other programs. */
#ifndef LIPWALK_MAP_EXPORT_H
#define LIPWALK_MAP_EXPORT_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"

/* Writes the surface as GeoTIFF (float32, metres, positive down, NaN on land, north up), in an
 * azimuthal equidistant system about the lake's middle, WGS 84. GDAL runs in a child process. A
 * file already at `path` is replaced once the new one is whole. */
int lw_chart_export(const struct lw_chart *chart, const char *path, struct lw_error *err);

#endif
