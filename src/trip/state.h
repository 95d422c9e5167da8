/* What stands behind struct lw_trip: the events and the state folded from them so far. */
#ifndef LW_TRIP_STATE_H
#define LW_TRIP_STATE_H

#include "fold.h"

/* Folding waits until it is asked for: a journal of a whole day is read with one fold at its end,
 * and a mark taken back (or one that came late) only sets `folded` back to the start. */
struct lw_trip {
    struct lw_trip_rules rules; /* at the start */
    struct lw_log log;
    struct lw_fold *fold; /* its contents are the work of lw_trip_fold() */
    size_t *folded;       /* log items that are in *fold */
};

/* The state of all events. */
const struct lw_fold *lw_trip_fold(const struct lw_trip *trip);

#endif
