/* What stage, shift and folding share: a track's depths brought to places on the map. */
#ifndef LIPWALK_CHART_TRACK_PLACES_H
#define LIPWALK_CHART_TRACK_PLACES_H

#include <stddef.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/track.h"

/* Depths closer together than this say the same of the map: its errors, and the receiver's, change
 * slowly along the way. Common practice, no source. */
#define LW_TRACK_BLOCK_M 10.0

struct lw_track_place { /* all the soundings of one cell of the chart's grid */
    struct lw_en at;    /* their mean place */
    double depth_m;     /* their median depth, as the sounder gave it */
    double along_m;     /* how far along the track the first of them is */
    size_t n;
};
struct lw_track_places {
    struct lw_track_place *p; /* p[n], in the order of the track; owned */
    size_t n;
    size_t spikes; /* soundings that lw_track_clean left out */
    size_t used;   /* soundings that are in the places */
};
/* Cleans the track and gathers it by the cells of the chart's grid, also beside the grid. -1 with a
 * sentence when memory runs out. */
int lw_track_places(const struct lw_chart *chart, const struct lw_track *track,
                    struct lw_track_places *out, struct lw_error *err);
void lw_track_places_free(struct lw_track_places *places);

/* The bottom's gradient by central differences a cell to each side; NaN beside land. */
struct lw_en lw_track_gradient(const struct lw_chart *chart, struct lw_en at);

/* One sigma of the difference of a sounder's depth and a map's: the sounder's own noise, and what a
 * fix that is off makes on a slope. slope NaN: unknown, as none. */
double lw_track_sigma(double depth_m, double slope);

double lw_track_median(double *value, size_t n); /* sorts; NaN for none */

#endif
