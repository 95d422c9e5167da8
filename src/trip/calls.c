/* The questions that depend on the clock: what is left of the dwell, what is ripe, what to call. */
#include <stdlib.h>
#include <string.h>

#include "lipwalk/trip/trip.h"
#include "state.h"

/* The timing of all events, run on to `now`. */
static struct lw_timing timing_at(const struct lw_trip *trip, int64_t now_utc_ms)
{
    const struct lw_fold *fold = lw_trip_fold(trip);
    struct lw_timing timing = fold->timing;

    lw_timing_pass(&timing, &fold->rules, now_utc_ms);
    return timing;
}

static int by_target(const void *a, const void *b)
{
    const struct lw_return *x = a, *y = b;

    if (x->target_utc_ms != y->target_utc_ms)
        return x->target_utc_ms < y->target_utc_ms ? -1 : 1;
    return x->place - y->place;
}

void lw_trip_at(const struct lw_trip *trip, int64_t now_utc_ms, struct lw_trip_now *out)
{
    struct lw_timing timing = timing_at(trip, now_utc_ms);
    const struct lw_trip_rules *rules = lw_trip_rules(trip);

    memset(out, 0, sizeof *out);
    out->dwell = (struct lw_dwell){.open = timing.dwell.open,
                                   .place = timing.dwell.open ? timing.dwell.place : -1,
                                   .began_utc_ms = timing.dwell.began_utc_ms,
                                   .left_s = (double)timing.dwell.left_ms / 1000,
                                   .away = timing.dwell.away,
                                   .away_s = (double)timing.dwell.away_ms / 1000};
    out->returns = timing.returns;
    for (int i = 0; i < timing.returns; i++) {
        struct lw_return *ret = &out->ret[i];

        ret->place = timing.ret[i].place;
        ret->target_utc_ms = timing.ret[i].target_utc_ms;
        ret->state = lw_timing_state(&timing.ret[i], rules, timing.now_utc_ms);
        memcpy(ret->called, timing.ret[i].called, sizeof ret->called);
    }
    qsort(out->ret, (size_t)out->returns, sizeof *out->ret, by_target);
}

int lw_trip_calls(const struct lw_trip *trip, int64_t now_utc_ms, struct lw_ll boat,
                  struct lw_ev_call *calls, int max)
{
    static const enum lw_call_step step_of[] = {
        [LW_RET_RIPE] = LW_CALL_RIPE, [LW_RET_DUE] = LW_CALL_DUE, [LW_RET_LATE] = LW_CALL_LATE};
    const struct lw_fold *fold = lw_trip_fold(trip);
    struct lw_timing timing = timing_at(trip, now_utc_ms);
    int n = 0;

    if (fold->ended)
        return 0;
    /* A place that is dwelt at has no open return: its dwell closed it. */
    for (int i = 0; i < timing.returns; i++) {
        const struct lw_open_return *ret = &timing.ret[i];
        const struct lw_place *place = &fold->place[ret->place];
        enum lw_return_state state = lw_timing_state(ret, &fold->rules, timing.now_utc_ms);
        struct lw_ev_call call = {.place = place->id, .target_utc_ms = ret->target_utc_ms};

        if (state == LW_RET_RESTING)
            continue;
        call.step = step_of[state];
        if (!ret->called[call.step] && n < max)
            calls[n++] = call;
        call.step = LW_CALL_NEAR;
        if (ret->armed && lw_ll_known(boat) && lw_ground_m(place->at, boat) <= fold->rules.near_m &&
            n < max)
            calls[n++] = call;
    }
    return n;
}
