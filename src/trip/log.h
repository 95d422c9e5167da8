/* The events of a day, kept in the order in which they are folded.
 *
 * That order is by time where two processes' events crossed on their way (a mark from another
 * terminal is read up to a second late, tracks are written up to 4 s late), so that a fold while
 * things happen and a fold of the journal after a restart are the same. Events of one origin stay
 * in the order they came; nothing moves across a step of the clock.
 *
 * A step of the clock (LW_EV_CLOCK) means that the clock of its process was wrong from the start of
 * that process up to the step: the times of the events since then are set right by it, so that all
 * folds in true time and no step ends or prolongs anything. */
#ifndef LW_TRIP_LOG_H
#define LW_TRIP_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "idset.h"
#include "lipwalk/trip/trip.h"

enum lw_item_kind { LW_ITEM_TRACK, LW_ITEM_EVENT };

/* Tracks come once a second: only what the fold needs of them is kept. */
struct lw_item {
    struct lw_event_id id;
    int64_t at_utc_ms;    /* set right by steps of the clock that came after */
    int64_t corrected_ms; /* by how much */
    enum lw_item_kind kind;
    union {
        struct {
            struct lw_ll at;
            double age_s;
        } track;
        struct lw_event *event; /* owned */
    } u;
};

struct lw_log {
    struct lw_item *item;
    size_t n, cap;
    struct lw_idset seen, undone;
};

/* Puts the event into its place. *from: the first item that is new or changed by it. False when it
 * was seen before or memory ran out: then nothing changed. */
bool lw_log_add(struct lw_log *log, const struct lw_event *event, size_t *from);
void lw_log_free(struct lw_log *log);

#endif
