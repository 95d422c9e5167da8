#include "log.h"

#include <stdlib.h>
#include <string.h>

/* Farther back in time an event is taken to come from a clock that is off, and stays where it came:
 * events cross by seconds only. */
#define CROSSING_MS 60000

static bool reserve(struct lw_log *log)
{
    size_t cap = log->cap ? log->cap * 2 : 1024;
    struct lw_item *item;

    if (log->n < log->cap)
        return true;
    item = realloc(log->item, cap * sizeof *item);
    if (!item)
        return false;
    log->item = item;
    log->cap = cap;
    return true;
}

static bool is_barrier(const struct lw_item *item)
{
    return item->kind == LW_ITEM_RULES ||
           (item->kind == LW_ITEM_EVENT && item->u.event->kind == LW_EV_CLOCK);
}

static size_t place_of(const struct lw_log *log, const struct lw_event *event)
{
    size_t i = log->n;

    if (event->kind == LW_EV_CLOCK)
        return i;
    while (i > 0) {
        const struct lw_item *before = &log->item[i - 1];

        if (is_barrier(before) || before->id.origin == event->id.origin ||
            before->at_utc_ms < event->at_utc_ms ||
            before->at_utc_ms - event->at_utc_ms > CROSSING_MS ||
            (before->at_utc_ms == event->at_utc_ms && before->id.origin < event->id.origin))
            break;
        i--;
    }
    return i;
}

bool lw_log_add(struct lw_log *log, const struct lw_event *event, size_t *at)
{
    struct lw_item item = {.id = event->id, .at_utc_ms = event->at_utc_ms};

    if (lw_idset_has(&log->seen, event->id) || !reserve(log))
        return false;
    if (event->kind == LW_EV_TRACK) {
        item.kind = LW_ITEM_TRACK;
        item.u.track.at = event->u.track.where.at;
        item.u.track.age_s = event->u.track.where.age_s;
    } else {
        item.kind = LW_ITEM_EVENT;
        item.u.event = malloc(sizeof *item.u.event);
        if (!item.u.event)
            return false;
        *item.u.event = *event;
        if (event->kind == LW_EV_UNDO)
            lw_idset_add(&log->undone, event->u.undo.target);
    }
    lw_idset_add(&log->seen, event->id);
    *at = place_of(log, event);
    memmove(&log->item[*at + 1], &log->item[*at], (log->n - *at) * sizeof item);
    log->item[*at] = item;
    log->n++;
    return true;
}

bool lw_log_add_rules(struct lw_log *log, const struct lw_trip_rules *rules)
{
    struct lw_item item = {.kind = LW_ITEM_RULES};

    if (!reserve(log))
        return false;
    item.u.rules = malloc(sizeof *item.u.rules);
    if (!item.u.rules)
        return false;
    *item.u.rules = *rules;
    log->item[log->n++] = item;
    return true;
}

void lw_log_free(struct lw_log *log)
{
    for (size_t i = 0; i < log->n; i++) {
        if (log->item[i].kind == LW_ITEM_EVENT)
            free(log->item[i].u.event);
        else if (log->item[i].kind == LW_ITEM_RULES)
            free(log->item[i].u.rules);
    }
    free(log->item);
    lw_idset_free(&log->seen);
    lw_idset_free(&log->undone);
    *log = (struct lw_log){.item = NULL};
}
