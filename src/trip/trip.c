#include "lipwalk/trip/trip.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "state.h"

struct lw_trip *lw_trip_new(const struct lw_trip_rules *rules)
{
    struct lw_trip *trip = calloc(1, sizeof *trip);

    if (!trip)
        return NULL;
    trip->rules = *rules;
    trip->fold = malloc(sizeof *trip->fold);
    trip->folded = calloc(1, sizeof *trip->folded);
    if (!trip->fold || !trip->folded) {
        free(trip->fold);
        free(trip->folded);
        free(trip);
        return NULL;
    }
    lw_fold_start(trip->fold, rules);
    return trip;
}

void lw_trip_free(struct lw_trip *trip)
{
    if (!trip)
        return;
    lw_fold_free(trip->fold);
    lw_log_free(&trip->log);
    free(trip->fold);
    free(trip->folded);
    free(trip);
}

const struct lw_fold *lw_trip_fold(const struct lw_trip *trip)
{
    while (*trip->folded < trip->log.n)
        lw_fold_item(trip->fold, &trip->log.item[(*trip->folded)++], &trip->log.undone);
    return trip->fold;
}

static void fold_anew(struct lw_trip *trip)
{
    lw_fold_free(trip->fold);
    lw_fold_start(trip->fold, &trip->rules);
    *trip->folded = 0;
}

bool lw_trip_apply(struct lw_trip *trip, const struct lw_event *event)
{
    size_t from;

    if (!lw_log_add(&trip->log, event, &from))
        return false;
    if (from < *trip->folded ||
        (event->kind == LW_EV_UNDO && lw_idset_has(&trip->log.seen, event->u.undo.target)))
        fold_anew(trip);
    return true;
}

const struct lw_trip_rules *lw_trip_rules(const struct lw_trip *trip)
{
    return &lw_trip_fold(trip)->rules;
}

const struct lw_mark *lw_trip_marks(const struct lw_trip *trip, size_t *n)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    *n = fold->marks;
    return fold->mark;
}

const struct lw_place *lw_trip_places(const struct lw_trip *trip, size_t *n)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    *n = fold->places;
    return fold->place;
}

/* "fish, Rae, 14:25": what would be taken back. */
static void say_what(const struct lw_trip *trip, const struct lw_item *item, char *to, size_t size)
{
    const struct lw_fold *fold = lw_trip_fold(trip);
    const struct lw_event *event = item->u.event;
    bool mark = event->kind == LW_EV_MARK;
    int who = mark ? event->u.mark.who : event->u.cast.who;
    const char *name = mark ? event->u.mark.who_name : "";
    char clean[LW_NAME_MAX], time[16];

    if (!name[0] && fold->begun && (who == 0 || who == 1))
        name = fold->head.crew[who];
    lw_text_clean(clean, sizeof clean, name);
    lw_clock_local(time, sizeof time, item->at_utc_ms, "%H:%M");
    snprintf(to, size, "%s%s%s, %s", mark ? lw_mark_info(event->u.mark.kind)->name : "cast",
             clean[0] ? ", " : "", clean, time);
}

bool lw_trip_last(const struct lw_trip *trip, int who, struct lw_event_id *id, char *what,
                  size_t size)
{
    for (size_t i = trip->log.n; i-- > 0;) {
        const struct lw_item *item = &trip->log.item[i];
        const struct lw_event *event = item->u.event;
        bool mark;

        if (item->kind != LW_ITEM_EVENT || (event->kind != LW_EV_MARK && event->kind != LW_EV_CAST))
            continue;
        mark = event->kind == LW_EV_MARK;
        if ((mark && !lw_mark_info(event->u.mark.kind)) ||
            (who >= 0 && who != (mark ? event->u.mark.who : event->u.cast.who)) ||
            lw_idset_has(&trip->log.undone, event->id))
            continue;
        *id = event->id;
        if (what)
            say_what(trip, item, what, size);
        return true;
    }
    return false;
}

const struct lw_cast_made *lw_trip_casts(const struct lw_trip *trip, size_t *n)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    *n = fold->casts;
    return fold->cast;
}

bool lw_trip_cast_done(const struct lw_trip *trip, int station, int cast)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    if (station <= 0 || cast <= 0) /* order 0: not of the plan */
        return false;
    for (size_t i = fold->plan_cast; i < fold->casts; i++)
        if (!fold->cast[i].undone && fold->cast[i].station == station && fold->cast[i].cast == cast)
            return true;
    return false;
}

int lw_trip_count_casts(const struct lw_trip *trip)
{
    const struct lw_fold *fold = lw_trip_fold(trip);
    int n = 0;

    for (size_t i = 0; i < fold->casts; i++)
        n += !fold->cast[i].undone;
    return n;
}

int lw_trip_count_marks(const struct lw_trip *trip, enum lw_mark_kind kind)
{
    const struct lw_fold *fold = lw_trip_fold(trip);
    int n = 0;

    for (size_t i = 0; i < fold->marks; i++)
        n += !fold->mark[i].undone && fold->mark[i].m.kind == kind;
    return n;
}

double lw_trip_setting(const struct lw_trip *trip, const char *name)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    for (size_t i = 0; i < fold->sets; i++)
        if (strcmp(fold->set[i].name, name) == 0)
            return fold->set[i].value;
    return NAN;
}

const char *lw_trip_plan_path(const struct lw_trip *trip)
{
    return lw_trip_fold(trip)->plan;
}

const struct lw_ev_trip *lw_trip_head(const struct lw_trip *trip)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    return fold->begun ? &fold->head : NULL;
}

bool lw_trip_ended(const struct lw_trip *trip)
{
    return lw_trip_fold(trip)->ended;
}

bool lw_trip_frozen(const struct lw_trip *trip, struct lw_where *where, int64_t *at_utc_ms)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    if (!fold->frozen)
        return false;
    if (where)
        *where = fold->frozen_where;
    if (at_utc_ms)
        *at_utc_ms = fold->frozen_utc_ms;
    return true;
}

const struct lw_ll *lw_trip_driven(const struct lw_trip *trip, size_t *n, bool *recording)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    *n = fold->drivens;
    *recording = fold->driving;
    return fold->drivens ? fold->driven : NULL;
}

struct lw_ll lw_trip_boat(const struct lw_trip *trip, int64_t *at_utc_ms)
{
    const struct lw_fold *fold = lw_trip_fold(trip);

    *at_utc_ms = fold->boat_utc_ms;
    return fold->boat;
}

void lw_trip_id(char to[24], int64_t began_utc_ms, uint64_t origin)
{
    char begin[18]; /* "20261125-074012" */

    lw_clock_local(begin, sizeof begin, began_utc_ms, "%Y%m%d-%H%M%S");
    snprintf(to, 24, "%s-%04x", begin, (unsigned)(origin & 0xFFFF));
}
