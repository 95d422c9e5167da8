/* The state that the events of a day fold to. */
#ifndef LW_TRIP_FOLD_H
#define LW_TRIP_FOLD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "log.h"
#include "timing.h"

/* A track counts as near or away, and as a point of a driven edge, up to this age of its position.
 */
#define LW_TRACK_FRESH_S 5.0
/* A mark with an older position belongs to the running dwell's place rather than to that position.
 */
#define LW_MARK_FRESH_S 60.0
/* How much farther than near_m the boat must have been before passing near calls again. */
#define LW_NEAR_REARM 1.2

struct lw_set_value {
    char name[LW_NAME_MAX];
    double value;
    char text[LW_TEXT_MAX];
};

struct lw_fold {
    struct lw_trip_rules rules;
    struct lw_timing timing;
    struct lw_mark *mark;
    struct lw_place *place;
    int *located; /* per place: its marks with a position */
    struct lw_cast_made *cast;
    struct lw_set_value *set;
    struct lw_ll *driven;
    size_t marks, mark_cap, places, place_cap, casts, cast_cap, sets, set_cap;
    size_t drivens, driven_cap;
    bool driving;
    size_t plan_cast; /* the first cast of the plan now worked */
    char plan[LW_PATH_MAX];
    bool begun, ended;
    struct lw_ev_trip head;
    bool frozen;
    struct lw_where frozen_where;
    int64_t frozen_utc_ms;
    struct lw_ll boat;
    int64_t boat_utc_ms;
};

void lw_fold_start(struct lw_fold *fold,
                   const struct lw_trip_rules *rules); /* `fold` is overwritten */
void lw_fold_free(struct lw_fold *fold);
void lw_fold_item(struct lw_fold *fold, const struct lw_item *item, const struct lw_idset *undone);

int lw_fold_place_by_id(const struct lw_fold *fold, struct lw_event_id id); /* -1 none */
/* The place that a mark of a kind that makes places belongs to, founded if need be; counts the mark
 * there. -1 when its position is unknown and no dwell runs. An undone mark counts nowhere, but the
 * place it founded keeps its label and comes back when another mark is made there. */
int lw_fold_place_mark(struct lw_fold *fold, const struct lw_mark *mark);

#endif
