/* Where the boat may be: deep enough for its draft, clear of hazards, not closed to boats. */
#ifndef LIPWALK_PLAN_CARE_H
#define LIPWALK_PLAN_CARE_H

#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/geo/water.h"

struct lw_care {
    double draft_m;     /* water shallower than this is closed */
    double clearance_m; /* kept from land and from shallower water */
    double berth_m;     /* kept from hazards that the draft could touch (or of unknown depth) */
};
/* Why a place is none for the boat, the gravest first. */
enum lw_care_why {
    LW_CARE_FREE,
    LW_CARE_LAND,    /* or off the map */
    LW_CARE_CLOSED,  /* an area closed to boats */
    LW_CARE_HAZARD,  /* nearer than its berth */
    LW_CARE_SHALLOW, /* less water than wanted */
};
/* `least_m` of water is wanted at the place. *which (may be NULL) gets the number of the hazard or
 * closed area. */
enum lw_care_why lw_care_at(const struct lw_chart *chart, const struct lw_care *care,
                            double least_m, struct lw_en at, size_t *which);
/* Whether a boat of that draft could touch a hazard: one with no more than a metre to spare over
 * it, or of unknown depth. */
bool lw_care_touches(const struct lw_hazard *hazard, const struct lw_care *care);
/* The water of a chart that the boat may be in, cells of the chart's own grid or, where those are
 * finer than 2 m, of 2 m: deep enough for the draft, clearance_m from what is not, outside the
 * berths of hazards and areas closed to boats. */
int lw_care_water(const struct lw_chart *chart, const struct lw_care *care, struct lw_water *out,
                  struct lw_error *err);
/* The closed area that a place lies in: to fishing (or to all) when `fishing`, else to boats (or to
 * all); -1 none. */
int lw_care_closed(const struct lw_chart *chart, struct lw_en at, bool fishing);

#endif
