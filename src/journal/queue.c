#include "queue.h"

#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define BODY_MAX 4096 /* lw_event_to_json always fits into it */

void lw_queue_init(struct lw_queue *queue)
{
    *queue = (struct lw_queue){.head = NULL, .tail = &queue->head};
}

struct lw_queued *lw_queued_new(const struct lw_event *event, struct lw_error *err)
{
    struct lw_queued *item;
    char body[BODY_MAX];

    if (lw_event_to_json(event, body, sizeof body, err))
        return NULL;
    item = malloc(sizeof *item + strlen(body) + 1);
    if (!item) {
        lw_fail(err, "no memory for the event: end other programs");
        return NULL;
    }
    item->next = NULL;
    item->seq = event->id.seq;
    item->at_utc_ms = event->at_utc_ms;
    item->kind = event->kind;
    lw_text_copy(item->trip, sizeof item->trip, event->trip);
    strcpy(item->body, body);
    return item;
}

int lw_queue_room(const struct lw_queue *queue, enum lw_event_kind kind, struct lw_error *err)
{
    if (queue->n < LW_QUEUE_MAX && !(kind == LW_EV_TRACK && queue->tracks >= LW_QUEUE_TRACKS))
        return 0;
    return lw_fail(err,
                   "%zu events wait for the disk and there is no room for more: mend the journal's "
                   "disk; this one is not kept",
                   queue->n);
}

void lw_queue_push(struct lw_queue *queue, struct lw_queued *item)
{
    *queue->tail = item;
    queue->tail = &item->next;
    queue->n++;
    queue->tracks += item->kind == LW_EV_TRACK;
}

void lw_queue_drop(struct lw_queue *queue, size_t n)
{
    while (n-- && queue->head) {
        struct lw_queued *first = queue->head;

        queue->head = first->next;
        if (!queue->head)
            queue->tail = &queue->head;
        queue->n--;
        queue->tracks -= first->kind == LW_EV_TRACK;
        free(first);
    }
}

void lw_queue_free(struct lw_queue *queue)
{
    lw_queue_drop(queue, queue->n);
}
