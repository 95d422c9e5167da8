/* Several reports of one epoch made into one fix. Pure.
 *
 * Parts carry the receiver's time. A field that a part lacks never erases one that is there; a part
 * with a newer time closes the running epoch. A part older than the running epoch is dropped,
 * unless time has stepped back for good (three parts in a row): then everything starts anew. */
#ifndef LIPWALK_FEED_EPOCH_H
#define LIPWALK_FEED_EPOCH_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/event/position.h"

struct lw_epoch {
    struct lw_fix run; /* the epoch being gathered; at_utc_ms 0: none */
    int back;          /* parts in a row with an older time */
    bool given;        /* `run` was given out already and may only be refined */
};
/* No epoch seen yet. */
void lw_epoch_clear(struct lw_epoch *epoch);
/* Takes one part (unknown fields NaN, mode 0 unknown, at_utc_ms 0 unknown: then it belongs to the
 * running epoch). Returns true, with the finished previous epoch in *done, when it began a new one.
 */
bool lw_epoch_part(struct lw_epoch *epoch, const struct lw_fix *part, struct lw_fix *done);
/* The running epoch was not given yet and says what a listener can use: position with mode, or that
 * there is no fix. Only then is a silence worth waiting for. */
bool lw_epoch_ready(const struct lw_epoch *epoch);
/* The running epoch, when it has position and mode and no part came for quiet_ms: so that the last
 * epoch is not held back until the next second. True once an epoch. */
bool lw_epoch_quiet(struct lw_epoch *epoch, int64_t mono_ms, int64_t quiet_ms, struct lw_fix *done);

#endif
