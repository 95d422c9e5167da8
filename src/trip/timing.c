#include "timing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int64_t ms_of(double seconds)
{
    return llround(seconds * 1000);
}

/* The open return of a place; NULL none. */
static struct lw_open_return *return_of(struct lw_timing *timing, int place)
{
    for (int i = 0; i < timing->returns; i++)
        if (timing->ret[i].place == place)
            return &timing->ret[i];
    return NULL;
}

void lw_timing_close_return(struct lw_timing *timing, int place)
{
    struct lw_open_return *ret = return_of(timing, place);

    if (!ret)
        return;
    timing->returns--;
    memmove(ret, ret + 1, (size_t)(timing->ret + timing->returns - ret) * sizeof *ret);
}

/* When there are too many, the one longest overdue makes room. */
static void make_room(struct lw_timing *timing)
{
    int oldest = 0;

    if (timing->returns < LW_RETURNS_MAX)
        return;
    for (int i = 1; i < timing->returns; i++)
        if (timing->ret[i].target_utc_ms < timing->ret[oldest].target_utc_ms)
            oldest = i;
    lw_timing_close_return(timing, timing->ret[oldest].place);
}

static void make_return(struct lw_timing *timing, const struct lw_trip_rules *rules, int place,
                        int64_t end_utc_ms)
{
    struct lw_open_return ret = {.place = place,
                                 .target_utc_ms = end_utc_ms + ms_of(rules->return_after_s)};

    if (rules->day_end_utc_ms != INT64_MAX) {
        int64_t latest = rules->day_end_utc_ms - ms_of(rules->dwell_s);

        if (latest - end_utc_ms < LW_REST_LEAST_MS)
            return;
        if (ret.target_utc_ms > latest)
            ret.target_utc_ms = latest;
    }
    lw_timing_close_return(timing, place);
    make_room(timing);
    timing->ret[timing->returns++] = ret;
}

void lw_timing_end_dwell(struct lw_timing *timing, const struct lw_trip_rules *rules,
                         int64_t at_utc_ms)
{
    int place = timing->dwell.place;

    if (!timing->dwell.open)
        return;
    memset(&timing->dwell, 0, sizeof timing->dwell);
    make_return(timing, rules, place, at_utc_ms);
}

void lw_timing_pass(struct lw_timing *timing, const struct lw_trip_rules *rules, int64_t to_utc_ms)
{
    int64_t step, remains;

    if (!timing->started) {
        timing->started = true;
        timing->now_utc_ms = to_utc_ms;
    }
    if (to_utc_ms <= timing->now_utc_ms)
        return;
    step = to_utc_ms - timing->now_utc_ms;
    if (timing->dwell.open) {
        remains = timing->dwell.away ? ms_of(rules->away_s) - timing->dwell.away_ms
                                     : timing->dwell.left_ms;
        if (remains < 0) /* the rule was shortened meanwhile */
            remains = 0;
        if (step >= remains)
            lw_timing_end_dwell(timing, rules, timing->now_utc_ms + remains);
        else if (timing->dwell.away)
            timing->dwell.away_ms += step;
        else
            timing->dwell.left_ms -= step;
    }
    timing->now_utc_ms = to_utc_ms;
}

void lw_timing_productive(struct lw_timing *timing, const struct lw_trip_rules *rules, int place)
{
    if (timing->dwell.open && timing->dwell.place != place)
        lw_timing_end_dwell(timing, rules, timing->now_utc_ms);
    lw_timing_close_return(timing, place);
    if (!timing->dwell.open)
        timing->dwell.began_utc_ms = timing->now_utc_ms;
    timing->dwell.open = true;
    timing->dwell.place = place;
    timing->dwell.left_ms = ms_of(rules->dwell_s);
    lw_timing_seen(timing, false);
}

void lw_timing_seen(struct lw_timing *timing, bool away)
{
    if (!timing->dwell.open || (away && timing->dwell.away))
        return;
    timing->dwell.away = away;
    timing->dwell.away_ms = 0;
}

void lw_timing_snooze(struct lw_timing *timing, int place, double snooze_s)
{
    struct lw_open_return *ret = return_of(timing, place);

    if (!ret || !isfinite(snooze_s))
        return;
    if (ret->target_utc_ms < timing->now_utc_ms)
        ret->target_utc_ms = timing->now_utc_ms;
    ret->target_utc_ms += ms_of(snooze_s);
    memset(ret->called, 0, sizeof ret->called);
    ret->armed = false; /* the boat may be near right now: only coming back calls */
}

static bool same_target(int64_t a_utc_ms, int64_t b_utc_ms)
{
    return llabs(a_utc_ms - b_utc_ms) < LW_SAME_TARGET_MS;
}

void lw_timing_called(struct lw_timing *timing, int place, const struct lw_ev_call *call,
                      int64_t corrected_ms)
{
    struct lw_open_return *ret = return_of(timing, place);

    if (!ret || call->step < LW_CALL_RIPE || call->step > LW_CALL_NEAR ||
        (!same_target(call->target_utc_ms, ret->target_utc_ms) &&
         !same_target(call->target_utc_ms + corrected_ms, ret->target_utc_ms)))
        return;
    if (call->step == LW_CALL_NEAR) {
        ret->called[LW_CALL_NEAR] = true;
        ret->armed = false;
        return;
    }
    for (int step = LW_CALL_RIPE; step <= (int)call->step; step++)
        ret->called[step] = true; /* steps passed while the program was off are not called after */
}

enum lw_return_state lw_timing_state(const struct lw_open_return *ret,
                                     const struct lw_trip_rules *rules, int64_t now_utc_ms)
{
    if (now_utc_ms >= ret->target_utc_ms + ms_of(rules->late_after_s))
        return LW_RET_LATE;
    if (now_utc_ms >= ret->target_utc_ms)
        return LW_RET_DUE;
    if (now_utc_ms >= ret->target_utc_ms - ms_of(rules->ripe_before_s))
        return LW_RET_RIPE;
    return LW_RET_RESTING;
}
