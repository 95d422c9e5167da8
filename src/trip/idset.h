/* A set of event ids: which events were seen, which were taken back. */
#ifndef LW_TRIP_IDSET_H
#define LW_TRIP_IDSET_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/event/event.h"

/* Open addressing; origin 0 (no event) marks a free slot. Zero it to begin with. */
struct lw_idset {
    struct lw_event_id *slot;
    size_t cap, n; /* cap: a power of two, or 0 */
};

bool lw_idset_has(const struct lw_idset *set, struct lw_event_id id);
/* False when memory ran out, or for no event (origin 0). Adding twice is no error. */
bool lw_idset_add(struct lw_idset *set, struct lw_event_id id);
void lw_idset_free(struct lw_idset *set);

#endif
