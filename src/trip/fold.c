#include "fold.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"

#define DAY_MS INT64_C(86400000)

void lw_fold_start(struct lw_fold *fold, const struct lw_trip_rules *rules)
{
    memset(fold, 0, sizeof *fold);
    fold->rules = *rules;
    fold->boat = (struct lw_ll){NAN, NAN};
}

void lw_fold_free(struct lw_fold *fold)
{
    free(fold->mark);
    free(fold->place);
    free(fold->located);
    free(fold->cast);
    free(fold->set);
    free(fold->driven);
    memset(fold, 0, sizeof *fold);
}

static void see_boat(struct lw_fold *fold, struct lw_ll at, double age_s, int64_t at_utc_ms)
{
    if (!lw_ll_known(at))
        return;
    fold->boat = at;
    fold->boat_utc_ms = at_utc_ms - (age_s > 0 ? llround(age_s * 1000) : 0);
}

static void drive_on(struct lw_fold *fold, struct lw_ll at)
{
    const struct lw_ll *last = fold->drivens ? &fold->driven[fold->drivens - 1] : NULL;

    if (!fold->driving || (last && last->lat_deg == at.lat_deg && last->lon_deg == at.lon_deg) ||
        lw_array_room(&fold->driven, fold->drivens, &fold->driven_cap))
        return;
    fold->driven[fold->drivens++] = at;
}

static void fold_track(struct lw_fold *fold, const struct lw_item *item)
{
    struct lw_timing *timing = &fold->timing;
    struct lw_ll at = item->u.track.at;

    see_boat(fold, at, item->u.track.age_s, item->at_utc_ms);
    if (!lw_ll_known(at) || !(item->u.track.age_s <= LW_TRACK_FRESH_S))
        return;
    drive_on(fold, at);
    if (timing->dwell.open)
        lw_timing_seen(timing, lw_ground_m(fold->place[timing->dwell.place].at, at) >
                                   fold->rules.place_radius_m);
    for (int i = 0; i < timing->returns; i++)
        if (!timing->ret[i].armed && lw_ground_m(fold->place[timing->ret[i].place].at, at) >
                                         fold->rules.near_m * LW_NEAR_REARM)
            timing->ret[i].armed = true;
}

static void fold_mark(struct lw_fold *fold, const struct lw_item *item, bool undone)
{
    const struct lw_event *event = item->u.event;
    const struct lw_mark_info *info = lw_mark_info(event->u.mark.kind);
    struct lw_mark *mark;

    if (!info || lw_array_room(&fold->mark, fold->marks, &fold->mark_cap))
        return;
    mark = &fold->mark[fold->marks++];
    *mark = (struct lw_mark){.id = event->id,
                             .at_utc_ms = item->at_utc_ms,
                             .m = event->u.mark,
                             .undone = undone,
                             .place = -1};
    if (info->makes_place)
        mark->place = lw_fold_place_mark(fold, mark);
    if (undone)
        return;
    see_boat(fold, mark->m.where.at, mark->m.where.age_s, mark->at_utc_ms);
    if (info->productive && mark->place >= 0)
        lw_timing_productive(&fold->timing, &fold->rules, mark->place);
}

static void fold_words(struct lw_fold *fold, const struct lw_ev_words *words)
{
    for (size_t i = fold->marks; i-- > 0;)
        if (lw_event_id_same(fold->mark[i].id, words->target)) {
            lw_text_copy(fold->mark[i].m.note, sizeof fold->mark[i].m.note, words->text);
            return;
        }
}

static void fold_cast(struct lw_fold *fold, const struct lw_item *item, bool undone)
{
    const struct lw_event *event = item->u.event;

    if (lw_array_room(&fold->cast, fold->casts, &fold->cast_cap))
        return;
    fold->cast[fold->casts++] = (struct lw_cast_made){.id = event->id,
                                                      .at_utc_ms = item->at_utc_ms,
                                                      .station = event->u.cast.station,
                                                      .cast = event->u.cast.cast,
                                                      .undone = undone};
}

static void fold_return(struct lw_fold *fold, const struct lw_ev_return *act)
{
    int place = lw_fold_place_by_id(fold, act->place);

    if (place < 0)
        return;
    if (act->act == LW_RETURN_SNOOZE)
        lw_timing_snooze(&fold->timing, place, act->snooze_s);
    else
        lw_timing_close_return(&fold->timing, place);
}

/* The rules that a setting of that name changes from then on, so that a day with changed rules
 * replays as it was. */
static void change_rule(struct lw_trip_rules *rules, const char *name, double value,
                        int64_t corrected_ms)
{
    const struct {
        const char *name;
        double *value;
    } rule[] = {
        {"dwell", &rules->dwell_s},
        {"away", &rules->away_s},
        {"place-radius", &rules->place_radius_m},
        {"return-after", &rules->return_after_s},
        {"ripe-before", &rules->ripe_before_s},
        {"late-after", &rules->late_after_s},
        {"near", &rules->near_m},
    };

    for (size_t i = 0; i < sizeof rule / sizeof *rule; i++)
        if (strcmp(rule[i].name, name) == 0 && isfinite(value))
            *rule[i].value = value;
    /* The day's end came from a calendar, not from the running of the clock: a clock that was wrong
     * by hours had it right, one that began in 1970 had it on another day. */
    if (strcmp(name, "day_end_utc_ms") == 0)
        rules->day_end_utc_ms = isfinite(value)
                                    ? llround(value) +
                                          llround((double)corrected_ms / DAY_MS) * DAY_MS
                                    : INT64_MAX;
}

static void fold_setting(struct lw_fold *fold, const struct lw_ev_setting *setting,
                         int64_t corrected_ms)
{
    struct lw_set_value *set = NULL;

    for (size_t i = 0; i < fold->sets && !set; i++)
        if (strcmp(fold->set[i].name, setting->name) == 0)
            set = &fold->set[i];
    if (!set) {
        if (lw_array_room(&fold->set, fold->sets, &fold->set_cap))
            return;
        set = &fold->set[fold->sets++];
        lw_text_copy(set->name, sizeof set->name, setting->name);
    }
    set->value = setting->value;
    lw_text_copy(set->text, sizeof set->text, setting->text);
    change_rule(&fold->rules, setting->name, setting->value, corrected_ms);
}

/* Casts made count for the plan now worked; the same file named again is the same plan (a restart
 * names it again). */
static void work_plan(struct lw_fold *fold, const char *path)
{
    if (strcmp(fold->plan, path) == 0)
        return;
    lw_text_copy(fold->plan, sizeof fold->plan, path);
    fold->plan_cast = fold->casts;
}

static void fold_event(struct lw_fold *fold, const struct lw_item *item, bool undone)
{
    const struct lw_event *event = item->u.event;
    const struct lw_ev_call *call = &event->u.call;

    switch (event->kind) {
    case LW_EV_TRIP:
        fold->head = event->u.trip;
        fold->begun = true;
        fold->ended = false;
        if (event->u.trip.plan[0])
            work_plan(fold, event->u.trip.plan);
        break;
    case LW_EV_TRIP_END:
        lw_timing_end_dwell(&fold->timing, &fold->rules, fold->timing.now_utc_ms);
        fold->ended = true;
        break;
    case LW_EV_MARK:
        fold_mark(fold, item, undone);
        break;
    case LW_EV_WORDS:
        fold_words(fold, &event->u.words);
        break;
    case LW_EV_CAST:
        fold_cast(fold, item, undone);
        if (!undone)
            see_boat(fold, event->u.cast.where.at, event->u.cast.where.age_s, item->at_utc_ms);
        break;
    case LW_EV_DWELL_END:
        lw_timing_end_dwell(&fold->timing, &fold->rules, fold->timing.now_utc_ms);
        break;
    case LW_EV_RETURN:
        fold_return(fold, &event->u.ret);
        break;
    case LW_EV_CALL:
        lw_timing_called(&fold->timing, lw_fold_place_by_id(fold, call->place), call,
                         item->corrected_ms);
        break;
    case LW_EV_SETTING:
        fold_setting(fold, &event->u.setting, item->corrected_ms);
        break;
    case LW_EV_PLAN:
        work_plan(fold, event->u.plan.path);
        break;
    case LW_EV_DRIVE:
        if (event->u.drive.start)
            fold->drivens = 0;
        fold->driving = event->u.drive.start;
        break;
    case LW_EV_FREEZE:
        fold->frozen = event->u.freeze.on;
        fold->frozen_where = event->u.freeze.where;
        fold->frozen_utc_ms = item->at_utc_ms;
        break;
    case LW_EV_CLOCK: /* done by the log: it set the times right */
    case LW_EV_UNDO:  /* done by the log: the target is folded as undone */
    case LW_EV_TRACK: /* an item of its own */
    case LW_EV_KINDS:
        break;
    }
}

void lw_fold_item(struct lw_fold *fold, const struct lw_item *item, const struct lw_idset *undone)
{
    bool taken_back = lw_idset_has(undone, item->id);

    if (!taken_back) /* a mark that never was lets no time pass either */
        lw_timing_pass(&fold->timing, &fold->rules, item->at_utc_ms);
    if (item->kind == LW_ITEM_TRACK)
        fold_track(fold, item);
    else
        fold_event(fold, item, taken_back);
}
