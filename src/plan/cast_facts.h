/* What a cast does under water, for the casts that were chosen. */
#ifndef LIPWALK_PLAN_CAST_FACTS_H
#define LIPWALK_PLAN_CAST_FACTS_H

#include "lipwalk/plan/plan.h"
#include "lipwalk/rig/fall.h"

/* Fills cast->facts and landing_depth_m, crosses_edge from its from, to, length_m. chart NULL:
 * depths NaN. `fall` NULL: no count-down (NaN). */
void lw_cast_facts(const struct lw_chart *chart, const struct lw_plan *plan,
                   const struct lw_fall *fall, struct lw_cast *cast);

#endif
