/* GPX 1.1 out: the plan as route, track and waypoints, valid by the schema. libxml2 writes it, so
 * that text is always escaped. */
#ifndef LIPWALK_SHARE_GPX_H
#define LIPWALK_SHARE_GPX_H

#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/plan/plan.h"

/* The hold line's parts as one track (a segment each) and, thinned to 2 m accuracy, as routes
 * (one a part); stations as waypoints "S1".. in order. created_utc_ms goes into metadata. */
int lw_gpx_write_plan(const struct lw_plan *plan, int64_t created_utc_ms, const char *path,
                      struct lw_error *err);

#endif
