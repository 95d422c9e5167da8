/* The running dwell and the open returns, and how time passes over them.
 *
 * Everything is a value of (what happened, now): letting time pass in one step or in many ends in
 * the same state, so a question about `now` copies this struct and lets the copy run on. */
#ifndef LW_TRIP_TIMING_H
#define LW_TRIP_TIMING_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/trip/trip.h"

/* A return needs some rest before it: with less than this between the end of a dwell and the last
 * useful target of the day (the day's end less a dwell) none is made (common practice, no source).
 */
#define LW_REST_LEAST_MS (15 * 60 * 1000)
/* Two targets closer than this are the same one (a snooze is a minute at least). */
#define LW_SAME_TARGET_MS 30000

struct lw_open_return {
    int place;
    int64_t target_utc_ms;
    bool called[4]; /* by enum lw_call_step, for this target */
    bool armed;     /* the boat was far since the last near call: passing near calls again */
};
struct lw_timing {
    bool started; /* time counts from the first event on */
    int64_t now_utc_ms;
    struct {
        bool open, away;
        int place;
        int64_t began_utc_ms, left_ms, away_ms;
    } dwell;
    struct lw_open_return ret[LW_RETURNS_MAX];
    int returns;
};

/* Lets time run on to to_utc_ms; an earlier time changes nothing. A dwell that runs out on the way
 * ends at its own moment. */
void lw_timing_pass(struct lw_timing *timing, const struct lw_trip_rules *rules, int64_t to_utc_ms);
/* A productive mark at `place`: ends a dwell elsewhere, closes the place's return, fills the dwell.
 */
void lw_timing_productive(struct lw_timing *timing, const struct lw_trip_rules *rules, int place);
/* Ends the dwell, if any, at at_utc_ms and makes its return. */
void lw_timing_end_dwell(struct lw_timing *timing, const struct lw_trip_rules *rules,
                         int64_t at_utc_ms);
/* The boat was seen: near the dwell's place or away from it. */
void lw_timing_seen(struct lw_timing *timing, bool away);

void lw_timing_close_return(struct lw_timing *timing, int place);
void lw_timing_snooze(struct lw_timing *timing, int place, double snooze_s);
/* A call was made for the target given; by a clock that was corrected_ms behind, if the target was
 * its work too. One for an earlier target changes nothing. */
void lw_timing_called(struct lw_timing *timing, int place, const struct lw_ev_call *call,
                      int64_t corrected_ms);
enum lw_return_state lw_timing_state(const struct lw_open_return *ret,
                                     const struct lw_trip_rules *rules, int64_t now_utc_ms);

#endif
