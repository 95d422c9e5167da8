/* A map to print for the ramp: the chart as one SVG file. */
#ifndef LIPWALK_SHARE_PICTURE_H
#define LIPWALK_SHARE_PICTURE_H

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/lip.h"

struct lw_picture {
    const struct lw_chart *chart;
    const struct lw_lips *lips; /* NULL none */
    enum lw_units units;
    double stage_m; /* the level over the map's datum that the chart's depths are for */
    char date[32];  /* printed as given; "" none */
};
/* Depth tint, contours with their depths, lips, hazards, cover, scale bar, north, caution. Replaces
 * the file at `path` once the new one is whole. */
int lw_picture_write(const struct lw_picture *picture, const char *path, struct lw_error *err);

#endif
