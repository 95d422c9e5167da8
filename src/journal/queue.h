/* Events on their way to the disk, in order. */
#ifndef LW_JOURNAL_QUEUE_H
#define LW_JOURNAL_QUEUE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/event/event.h"

/* A disk that stays full must not eat the memory: so many events wait at most, and tracks take no
 * more than half of it, so that there is room for marks (18 hours of tracks at once a second). */
#define LW_QUEUE_MAX    131072
#define LW_QUEUE_TRACKS (LW_QUEUE_MAX / 2)

struct lw_queued {
    struct lw_queued *next;
    uint64_t seq;
    int64_t at_utc_ms;
    enum lw_event_kind kind;
    char trip[24];
    char body[]; /* the event as JSON */
};

struct lw_queue {
    struct lw_queued *head, **tail;
    size_t n, tracks;
};

void lw_queue_init(struct lw_queue *queue);
/* NULL with the reason when the event cannot be said as JSON or memory ran out. */
struct lw_queued *lw_queued_new(const struct lw_event *event, struct lw_error *err);
/* -1 with the reason when there is no room for it. */
int lw_queue_room(const struct lw_queue *queue, enum lw_event_kind kind, struct lw_error *err);
void lw_queue_push(struct lw_queue *queue, struct lw_queued *item);
/* Frees the first `n`. */
void lw_queue_drop(struct lw_queue *queue, size_t n);
void lw_queue_free(struct lw_queue *queue);

#endif
