/* The boat's own depths folded into the soundings that the surface is made from. */
#ifndef LIPWALK_SRC_MAP_TRACK_FOLD_H
#define LIPWALK_SRC_MAP_TRACK_FOLD_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/surface.h"
#include "lipwalk/map/import.h"

/* Adds options->track[options->tracks] to sounding[n] (grown with realloc; the caller frees). The
 * chart already has a surface at the map's own level (no stage applied). Of each track the spikes
 * and what lies outside the water are left out, its day's level is taken off (its own stage_m, else
 * measured against the chart), and it is thinned to the median of each cell. What was done goes
 * into report->warning: one line for all that were folded in, and what was left out. -1 with a sentence only
 * when memory runs out. */
int lw_track_fold(struct lw_chart *chart, const struct lw_import_options *options,
                  struct lw_sounding **sounding, size_t *n, struct lw_import_report *report,
                  struct lw_error *err);

#endif
