/* What happens, as plain structs: the journal's content and the only input of `trip`.
 *
 * Events are appended and never changed. Each carries (origin, seq): origin is drawn at random when
 * a process opens the journal, seq counts from 1 in it, so that journals can be merged. */
#ifndef LIPWALK_EVENT_EVENT_H
#define LIPWALK_EVENT_EVENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/point.h"

struct lw_event_id {
    uint64_t origin, seq; /* origin 0: no event */
};
bool lw_event_id_same(struct lw_event_id a, struct lw_event_id b);

enum lw_mark_kind {
    LW_MARK_BITE,
    LW_MARK_FISH,
    LW_MARK_FOLLOW,
    LW_MARK_SNAG,
    LW_MARK_WEED,
    LW_MARK_ROCK,
    LW_MARK_BOTTOM, /* bottom change */
    LW_MARK_NOTE,
    LW_MARK_KINDS
};
/* One row a kind: the table behind keys, screens, files and docs. */
struct lw_mark_info {
    const char *name; /* "bite", "bottom change": for people, and `lipwalk mark NAME` */
    char letter;      /* its letter on the strip: b f o s w r c n */
    bool productive;  /* makes or renews a dwell (bite, fish) */
    bool makes_place; /* counts for clustering into a place (bite, fish, follow) */
};
/* NULL outside the kinds. */
const struct lw_mark_info *lw_mark_info(enum lw_mark_kind kind);
/* The kind of a name ("bottom", "bottom change" and "bottom-change" are one); -1 if none. */
int lw_mark_kind_of(const char *name);

#define LW_NAME_MAX 32
#define LW_TEXT_MAX 256
#define LW_PATH_MAX 512

/* Where the boat was when something happened, as the receiver sees it: no map shift in it. */
struct lw_where {
    struct lw_ll at;       /* NaN: never had a fix */
    double age_s;          /* age of that position; 0 for a fresh one, NaN if none */
    double sigma_m;        /* NaN unknown */
    double along_m, off_m; /* relative to the edge then worked; NaN without one */
};

enum lw_event_kind {
    LW_EV_TRIP,     /* a trip begins */
    LW_EV_TRIP_END, /* ... and is closed by the crew */
    LW_EV_TRACK,    /* where the boat is, about once a second */
    LW_EV_MARK,
    LW_EV_WORDS,     /* words for a mark made before (a note typed after its key) */
    LW_EV_UNDO,      /* takes back the event `target` (a mark or a cast) */
    LW_EV_CAST,      /* a cast was made */
    LW_EV_DWELL_END, /* the crew ends the dwell by key */
    LW_EV_RETURN,    /* the crew acts on a return */
    LW_EV_CALL,      /* a return was called out (bell and line) */
    LW_EV_SETTING,   /* a setting changed during the trip, or a value typed in */
    LW_EV_PLAN,      /* the plan worked from now on */
    LW_EV_DRIVE,     /* an edge is recorded by driving it: start, end */
    LW_EV_FREEZE,    /* the emergency key: position frozen, or released */
    LW_EV_CLOCK,     /* the trip's clock was stepped */
    LW_EV_KINDS
};
/* "trip", "trip-end", "track", ...; NULL outside the kinds. */
const char *lw_event_kind_name(enum lw_event_kind kind);

struct lw_ev_trip {
    char name[LW_NAME_MAX * 2]; /* the lake */
    char map[LW_PATH_MAX], plan[LW_PATH_MAX];
    char crew[2][LW_NAME_MAX]; /* angler, co-angler */
};
struct lw_ev_track {
    struct lw_where where;
    double sog_mps, cog_deg, heading_deg, depth_m, water_c, wind_mps, wind_from_deg;
};
struct lw_ev_mark {
    enum lw_mark_kind kind;
    int who; /* 0 angler, 1 co-angler, 2 another terminal */
    char who_name[LW_NAME_MAX];
    struct lw_where where;       /* the boat */
    struct lw_ll bait;           /* where the bait was; NaN if unknown */
    bool bait_from_cast;         /* from the active cast; else the edge abeam */
    int station, cast;           /* order numbers from 1; 0 none */
    double depth_m, map_depth_m; /* sounder under the boat; map at the bait */
    double water_c, wind_mps, wind_from_deg;
    char note[LW_TEXT_MAX];
};
struct lw_ev_words {
    struct lw_event_id target;
    char text[LW_TEXT_MAX];
};
struct lw_ev_undo {
    struct lw_event_id target;
};
struct lw_ev_cast {
    int station, cast; /* order numbers from 1; 0: not of the plan */
    bool assumed;      /* nobody pressed a key: its time at the station was over */
    int who;           /* as a mark's; -1: not told */
    struct lw_where where;
    struct lw_ll landing; /* NaN if unknown */
};
enum lw_return_act { LW_RETURN_DONE, LW_RETURN_SNOOZE, LW_RETURN_DROP };
struct lw_ev_return {
    struct lw_event_id place; /* the mark that founded the place */
    enum lw_return_act act;
    double snooze_s; /* how far the target moves; for LW_RETURN_SNOOZE */
};
enum lw_call_step { LW_CALL_RIPE, LW_CALL_DUE, LW_CALL_LATE, LW_CALL_NEAR };
struct lw_ev_call {
    struct lw_event_id place;
    enum lw_call_step step;
    int64_t target_utc_ms; /* of the return called, so that a snoozed one calls anew */
};
struct lw_ev_setting {
    char name[LW_NAME_MAX]; /* a setting's name, or wind_mps, wind_from_deg, water_c, shift_e_m,
                               shift_n_m, stage_m (today's level beyond the chart's),
                               chart_stage_m (the --stage that is in the chart) */
    double value;           /* SI; NaN when it is text or cleared */
    char text[LW_TEXT_MAX];
};
struct lw_ev_plan {
    char path[LW_PATH_MAX]; /* the plan file */
};
struct lw_ev_drive {
    bool start; /* false: end */
};
struct lw_ev_freeze {
    bool on;
    struct lw_where where;
};
struct lw_ev_clock {
    int64_t step_ms; /* new minus old */
};

struct lw_event {
    struct lw_event_id id;
    char trip[24];     /* the trip's id, lw_trip_id() */
    int64_t at_utc_ms; /* by the trip's clock */
    enum lw_event_kind kind;
    union {
        struct lw_ev_trip trip;
        struct lw_ev_track track;
        struct lw_ev_mark mark;
        struct lw_ev_words words;
        struct lw_ev_undo undo;
        struct lw_ev_cast cast;
        struct lw_ev_return ret;
        struct lw_ev_call call;
        struct lw_ev_setting setting;
        struct lw_ev_plan plan;
        struct lw_ev_drive drive;
        struct lw_ev_freeze freeze;
        struct lw_ev_clock clock;
    } u;
};

/* A zeroed event of that kind with every double NaN. */
struct lw_event lw_event_new(enum lw_event_kind kind, int64_t at_utc_ms);

/* One event as one line of JSON (no newline) and back; exact both ways (doubles by 17 digits,
 * unknown as null, times as ISO 8601 and ids as hex). An unknown member is ignored; a missing one
 * is unknown, but kind and at_utc must be there. Texts pass lw_text_clean on the way out and in, so
 * that stray bytes never make an event unwritable. `to` of 4096 bytes always suffices. */
int lw_event_to_json(const struct lw_event *event, char *to, size_t size, struct lw_error *err);
int lw_event_from_json(const char *line, struct lw_event *event, struct lw_error *err);

#endif
