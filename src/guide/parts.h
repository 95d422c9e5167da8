/* The parts of one step of guidance, each from what the parts before it worked out. */
#ifndef LW_GUIDE_PARTS_H
#define LW_GUIDE_PARTS_H

#include "lipwalk/guide/guide.h"

/* A bait lands so much farther than planned, at most. */
#define GUIDE_REACH 1.25

/* Rate of `off` over the last seconds, after noting the present one. NaN until enough is known. */
double guide_off_rate(struct lw_guide_memory *memory, int64_t at_utc_ms, double off_m);

/* Station worked or headed for, its next cast, and the way to both. */
void guide_work(const struct lw_guide_in *in, struct lw_guide_memory *memory,
                struct lw_guidance *out);
const struct lw_station *guide_station(const struct lw_plan *plan, int order); /* NULL: none */
const struct lw_cast *guide_cast(const struct lw_plan *plan, int station, int order);

/* The course that leads back to the hold line and along it. */
void guide_steer(const struct lw_guide_in *in, struct lw_guidance *out);

/* Cover under the boat and at the next landing, and the hazard that is near. */
void guide_ground(const struct lw_guide_in *in, struct lw_guidance *out);

void guide_alarms(const struct lw_guide_in *in, struct lw_guidance *out);

/* + on the side of the hold line, so that side * off grows away from the edge. */
static inline double guide_side(const struct lw_plan *plan)
{
    return plan->params.hold_deep ? 1.0 : -1.0;
}

#endif
