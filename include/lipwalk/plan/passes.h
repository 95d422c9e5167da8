/* The order in which a guide works a beat: a scan, the outside edge, and the flat when the wind
 * blows on it. Common practice, no source; each step says why. */
#ifndef LIPWALK_PLAN_PASSES_H
#define LIPWALK_PLAN_PASSES_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/plan/plan.h"

enum lw_pass_kind {
    LW_PASS_SCAN, /* along the hold line with the sounder on: marks, no casts */
    LW_PASS_EDGE, /* the plan itself */
    LW_PASS_FLAT, /* up on the flat, in 5 to 7 ft */
    LW_PASSES
};
struct lw_pass {
    enum lw_pass_kind kind;
    bool backward;   /* against increasing along */
    double depth_m;  /* of the edge of that pass; NaN a driven edge */
    double minutes;  /* NaN: not planned yet */
    char words[200]; /* what is done and why, one sentence */
};
const char *lw_pass_name(enum lw_pass_kind kind); /* "scan", "edge", "flat" */

/* How much the wind is against a boat that works the hold line with increasing along: 1 dead ahead,
 * -1 from astern; NaN where no wind is known. */
double lw_pass_headwind(const struct lw_plan *plan);
/* The share of the beat on which the wind blows: it comes from the deep side, within 60 degrees of
 * square to the edge. NaN where no wind is known. */
double lw_pass_wind_on(const struct lw_plan *plan);
/* The passes in order into pass[LW_PASSES]; how many. The flat is among them when the wind blows on
 * half of the beat at least, and the edge lies deeper than the flat's 7 ft. The scan ends where the
 * edge begins. */
size_t lw_passes(const struct lw_plan *plan, struct lw_pass *pass);

#endif
