/* From map files to a chart: the whole of the import, as it runs in the child process. */
#ifndef LIPWALK_SRC_MAP_BUILD_H
#define LIPWALK_SRC_MAP_BUILD_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/surface.h"
#include "lipwalk/map/import.h"

/* Reads options->map[] with GDAL; `scratch` is an existing private folder. Fills the report's
 * summary and warnings. Call it only where a crash does no harm. */
int lw_chart_build(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart **out, struct lw_import_report *report, struct lw_error *err);

struct lw_range {          /* an area in which depths lie between two bounds */
    struct lw_lines rings; /* even-odd */
    double least_m, most_m;
};
struct lw_assembly {
    const struct lw_import_options *options; /* cell, stage, tracks, progress */
    const struct lw_lines *limit;            /* rings (even-odd) where the water ends without a
                                                shore; NULL or none: it lies in closed contours */
    struct lw_range *range;                  /* range[ranges]; the caller frees */
    size_t ranges;
    struct lw_sounding *sounding; /* sounding[soundings], malloc'ed; the boat's own are added; the
                                     caller frees */
    size_t soundings;
    size_t outside; /* out: soundings left out because they lie outside the water */
    struct lw_import_report *report; /* what the tracks gave */
};
/* From contours and soundings in a frame to a chart: grid, surface, directions, area, stage. The
 * contours are the chart's already. */
int lw_chart_assemble(struct lw_chart *chart, struct lw_assembly *what, struct lw_error *err);

#endif
