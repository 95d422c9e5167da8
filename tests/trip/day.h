/* An invented day for the tests of the trip: events by the minute, places by the metre. */
#ifndef LW_TRIP_DAY_H
#define LW_TRIP_DAY_H

#include <math.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/trip/trip.h"
#include "lw_test.h"

/* 2026-05-11 T h:m:s Z, in ms. */
#define HMS(h, m, s) (INT64_C(1778457600000) + ((h)*3600 + (m)*60 + (s)) * INT64_C(1000))

#define MINUTES 60.0

static const struct lw_trip_rules day_rules = {.dwell_s = 20 * MINUTES,
                                               .away_s = 5 * MINUTES,
                                               .place_radius_m = 20,
                                               .return_after_s = 150 * MINUTES,
                                               .ripe_before_s = 15 * MINUTES,
                                               .late_after_s = 30 * MINUTES,
                                               .near_m = 60,
                                               .day_end_utc_ms = INT64_MAX};

struct day {
    struct lw_trip *trip;
    uint64_t origin, seq;
};

static inline struct day day_begin(const struct lw_trip_rules *rules)
{
    struct day day = {lw_trip_new(rules), 0xA1, 0};

    cr_assert_not_null(day.trip);
    return day;
}

/* So many metres north of the day's middle (a degree of latitude at 46 N: 111,151 m, by the series
 * 111132.95 - 559.85 cos 2p + 1.175 cos 4p, NIMA TR8350.2, from memory). */
static inline struct lw_ll north(double metres)
{
    return (struct lw_ll){46.0 + metres / 111151.0, -89.7};
}

static inline struct lw_event_id day_do(struct day *day, struct lw_event event)
{
    event.id = (struct lw_event_id){day->origin, ++day->seq};
    cr_assert(lw_trip_apply(day->trip, &event));
    return event.id;
}

static inline void day_track(struct day *day, int64_t at, struct lw_ll place)
{
    struct lw_event event = lw_event_new(LW_EV_TRACK, at);

    event.u.track.where.at = place;
    event.u.track.where.age_s = 0.2;
    day_do(day, event);
}

static inline struct lw_event day_mark_event(int64_t at, enum lw_mark_kind kind, struct lw_ll place)
{
    struct lw_event event = lw_event_new(LW_EV_MARK, at);

    event.u.mark.kind = kind;
    event.u.mark.where.at = place;
    event.u.mark.where.age_s = lw_ll_known(place) ? 0.2 : NAN;
    snprintf(event.u.mark.who_name, sizeof event.u.mark.who_name, "Rae");
    return event;
}

static inline struct lw_event_id day_mark(struct day *day, int64_t at, enum lw_mark_kind kind,
                                          struct lw_ll place)
{
    return day_do(day, day_mark_event(at, kind, place));
}

static inline void day_undo(struct day *day, int64_t at, struct lw_event_id target)
{
    struct lw_event event = lw_event_new(LW_EV_UNDO, at);

    event.u.undo.target = target;
    day_do(day, event);
}

static inline void day_return(struct day *day, int64_t at, struct lw_event_id place,
                              enum lw_return_act act, double snooze_s)
{
    struct lw_event event = lw_event_new(LW_EV_RETURN, at);

    event.u.ret.place = place;
    event.u.ret.act = act;
    event.u.ret.snooze_s = snooze_s;
    day_do(day, event);
}

static inline void day_clock(struct day *day, int64_t at, int64_t step_ms)
{
    struct lw_event event = lw_event_new(LW_EV_CLOCK, at);

    event.u.clock.step_ms = step_ms;
    day_do(day, event);
}

static inline struct lw_trip_now day_now(const struct day *day, int64_t at)
{
    struct lw_trip_now now;

    lw_trip_at(day->trip, at, &now);
    return now;
}

/* The boat lies at `place` from one time to another, seen once a second. */
static inline void day_stay(struct day *day, int64_t from, int64_t to, struct lw_ll place)
{
    for (; from <= to; from += 1000)
        day_track(day, from, place);
}

#define HERE    north(0)
#define FAR_OFF north(200)

#endif
