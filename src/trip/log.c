#include "log.h"

#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

/* Farther back in time an event is taken to come from a clock that is off, and stays where it came:
 * events cross by seconds only. */
#define CROSSING_MS 60000

static bool is_step(const struct lw_item *item)
{
    return item->kind == LW_ITEM_EVENT && item->u.event->kind == LW_EV_CLOCK;
}

static size_t place_of(const struct lw_log *log, const struct lw_event *event)
{
    size_t i = log->n;

    if (event->kind == LW_EV_CLOCK)
        return i;
    while (i > 0) {
        const struct lw_item *before = &log->item[i - 1];

        if (is_step(before) || before->id.origin == event->id.origin ||
            before->at_utc_ms < event->at_utc_ms ||
            before->at_utc_ms - event->at_utc_ms > CROSSING_MS ||
            (before->at_utc_ms == event->at_utc_ms && before->id.origin < event->id.origin))
            break;
        i--;
    }
    return i;
}

static bool steps_itself(const struct lw_log *log, uint64_t origin)
{
    for (size_t i = 0; i < log->n; i++)
        if (is_step(&log->item[i]) && log->item[i].id.origin == origin)
            return true;
    return false;
}

/* Sets the times right that were taken with the clock before the step, the last item. A mark from
 * another terminal was made by that clock too; another process that follows a receiver tells its
 * own steps. Returns the first item changed. */
static size_t correct(struct lw_log *log, int64_t step_ms)
{
    size_t last = log->n - 1, first = 0;
    uint64_t origin = log->item[last].id.origin;

    while (log->item[first].id.origin != origin)
        first++;
    for (size_t i = first; i < last; i++) {
        struct lw_item *item = &log->item[i];

        if (item->id.origin != origin && steps_itself(log, item->id.origin))
            continue;
        item->at_utc_ms += step_ms;
        item->corrected_ms += step_ms;
    }
    return first;
}

bool lw_log_add(struct lw_log *log, const struct lw_event *event, size_t *from)
{
    struct lw_item item = {.id = event->id, .at_utc_ms = event->at_utc_ms};

    if (lw_idset_has(&log->seen, event->id) || lw_array_room(&log->item, log->n, &log->cap))
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
    *from = place_of(log, event);
    memmove(&log->item[*from + 1], &log->item[*from], (log->n - *from) * sizeof item);
    log->item[*from] = item;
    log->n++;
    if (event->kind == LW_EV_CLOCK)
        *from = correct(log, event->u.clock.step_ms);
    return true;
}

void lw_log_free(struct lw_log *log)
{
    for (size_t i = 0; i < log->n; i++)
        if (log->item[i].kind == LW_ITEM_EVENT)
            free(log->item[i].u.event);
    free(log->item);
    lw_idset_free(&log->seen);
    lw_idset_free(&log->undone);
    *log = (struct lw_log){.item = NULL};
}
