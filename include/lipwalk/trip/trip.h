/* The state of a day: a fold over its events. Pure: no clock, no file, no screen.
 *
 * lw_trip_apply takes events in the order of the journal; the same events always give the same
 * state. What depends on the clock (time left, ripe, due, late) is asked for with a `now`.
 *
 * Dwell: a productive mark makes what remains the full target again. It pauses while the boat is
 * farther than the place radius from the place (by the LW_EV_TRACK events) and ends after `away`
 * of that, by key, or when nothing remains. Without tracks the dwell runs on: the boat is taken to
 * be where it was last seen. Its end makes a return for the place; a productive mark at a place
 * with an open return closes that return as done and starts the dwell anew. A return's target is
 * the end of the dwell + return-after, but no later than the day's end less the dwell (the last
 * useful target); where that leaves less than 15 minutes of rest after the end of the dwell, no
 * return is made. It is ripe from target - ripe-before, due from target, late from target +
 * late-after.
 *
 * LW_EV_CLOCK says that its process's clock was wrong from its start up to the step: all times
 * since then are set right by the step (those of marks, casts, dwell and returns alike), so that
 * nothing ends or lasts by a step. A mark taken back counts as never made; only the label of a
 * place that it founded stays taken. A setting named "dwell", "away", "place-radius",
 * "return-after", "ripe-before", "late-after", "near" or "day_end_utc_ms" (NaN: none) changes that
 * rule from then on, so that a day replays with the rules it had. Pointers that the questions
 * return hold until the next event. */
#ifndef LIPWALK_TRIP_TRIP_H
#define LIPWALK_TRIP_TRIP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/event/event.h"
#include "lipwalk/geo/point.h"

struct lw_trip_rules {
    double dwell_s, away_s, place_radius_m, return_after_s, ripe_before_s, late_after_s;
    double near_m;
    int64_t day_end_utc_ms; /* INT64_MAX: none */
};

struct lw_mark {
    struct lw_event_id id;
    int64_t at_utc_ms;
    struct lw_ev_mark m;
    bool undone;
    int place; /* index into places, -1 none */
};
struct lw_place {
    struct lw_event_id id; /* the mark that founded it */
    char label[4];         /* A, B, ... Z, AA, ... in order of founding */
    struct lw_ll at;       /* mean of its marks */
    int bites, fish, marks;
    int64_t last_utc_ms; /* of its last productive mark */
    bool gone;           /* all its marks were undone */
};

enum lw_return_state { LW_RET_RESTING, LW_RET_RIPE, LW_RET_DUE, LW_RET_LATE };
struct lw_return {
    int place;
    int64_t target_utc_ms;
    enum lw_return_state state; /* at `now` */
    bool called[4];             /* by enum lw_call_step, for this target */
};
struct lw_dwell {
    bool open; /* place is -1 when not */
    int place;
    int64_t began_utc_ms;
    double left_s; /* at `now` */
    bool away;     /* paused */
    double away_s; /* how long it has been away at `now` */
};

/* What depends on `now`; `ret` sorted by target. */
#define LW_RETURNS_MAX 64
struct lw_trip_now {
    struct lw_dwell dwell;
    struct lw_return ret[LW_RETURNS_MAX];
    int returns;
};

struct lw_trip; /* opaque */
/* `rules` hold until a setting changes them. NULL when memory ran out. */
struct lw_trip *lw_trip_new(const struct lw_trip_rules *rules);
void lw_trip_free(struct lw_trip *trip);
const struct lw_trip_rules *lw_trip_rules(const struct lw_trip *trip); /* now in force */

/* Folds one event in. An event seen before (same id) is ignored: returns false. One that crossed
 * with others by less than a minute is put in by its time. */
bool lw_trip_apply(struct lw_trip *trip, const struct lw_event *event);

/* `now` before the newest event counts as that event's time. */
void lw_trip_at(const struct lw_trip *trip, int64_t now_utc_ms, struct lw_trip_now *out);

/* The calls that are to be made now: returns whose state was reached and not called for, and ripe
 * ones the boat at `boat` (NaN unknown) passes within near_m. The caller journals an LW_EV_CALL for
 * each. Returns how many; calls[max]. */
int lw_trip_calls(const struct lw_trip *trip, int64_t now_utc_ms, struct lw_ll boat,
                  struct lw_ev_call *calls, int max);

const struct lw_mark *lw_trip_marks(const struct lw_trip *trip, size_t *n); /* in order */
const struct lw_place *lw_trip_places(const struct lw_trip *trip, size_t *n);
/* The newest mark or cast by `who` (-1: anybody) that is not undone; false when none. `what` says
 * what would be taken back ("fish, Rae, 14:25"), in local time; may be NULL. */
bool lw_trip_last(const struct lw_trip *trip, int who, struct lw_event_id *id, char *what,
                  size_t size);

struct lw_cast_made {
    struct lw_event_id id;
    int64_t at_utc_ms;
    int station, cast;
    bool undone;
};
/* All casts made, undone ones among them, in order; valid until the next event. */
const struct lw_cast_made *lw_trip_casts(const struct lw_trip *trip, size_t *n);
bool lw_trip_cast_done(const struct lw_trip *trip, int station,
                       int cast); /* of the plan now worked */
int lw_trip_count_casts(const struct lw_trip *trip);
/* Marks of that kind that were not taken back. */
int lw_trip_count_marks(const struct lw_trip *trip, enum lw_mark_kind kind);

/* What the crew set during the trip: NaN when never set. Names as struct lw_ev_setting. */
double lw_trip_setting(const struct lw_trip *trip, const char *name);
const char *lw_trip_plan_path(const struct lw_trip *trip);         /* "" none */
const struct lw_ev_trip *lw_trip_head(const struct lw_trip *trip); /* NULL before LW_EV_TRIP */
bool lw_trip_ended(const struct lw_trip *trip);
/* where, at_utc_ms: may be NULL. */
bool lw_trip_frozen(const struct lw_trip *trip, struct lw_where *where, int64_t *at_utc_ms);
/* The driven edge's points so far (or the last finished one); NULL when none. */
const struct lw_ll *lw_trip_driven(const struct lw_trip *trip, size_t *n, bool *recording);
struct lw_ll lw_trip_boat(const struct lw_trip *trip, int64_t *at_utc_ms); /* last track or mark */

/* A canonical text of the whole state at `now`, for tests: equal text, equal state. Caller frees.
 */
char *lw_trip_text(const struct lw_trip *trip, int64_t now_utc_ms);

/* A fresh trip id from its start: "20261125-074012-3f9c". */
void lw_trip_id(char to[24], int64_t began_utc_ms, uint64_t origin);

#endif
