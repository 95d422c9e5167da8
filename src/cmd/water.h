/* The on-water program: what it holds, and the files that share it, each calling only those below
 * it:
 *
 *   water.c        starts and ends it
 *   water_loop.c   waits, takes in, folds, draws
 *   water_acts.c   keys to events
 *   water_map.c    the map, read in a thread of its own
 *   water_edge.c   edges and plans from the screen
 *   water_level.c  the sounder against the map: today's level, a shift
 *   water_jobs.c   what would make the screen wait, in a worker
 *   water_rules.c  the rules of dwell and return, kept with the trip
 *   water_core.c   clock, events, where the boat is */
#ifndef LIPWALK_CMD_WATER_H
#define LIPWALK_CMD_WATER_H

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/track.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/conf/settings.h"
#include "lipwalk/conf/theme.h"
#include "lipwalk/feed/feed.h"
#include "lipwalk/guide/guide.h"
#include "lipwalk/journal/journal.h"
#include "lipwalk/plan/plan.h"
#include "lipwalk/plan/worked.h"
#include "lipwalk/trip/trip.h"
#include "lipwalk/ui/screen.h"
#include "lipwalk/ui/term.h"

#define WATER_BEATS 32

enum water_job_kind {
    WATER_JOB_NONE,
    WATER_JOB_BEATS,
    WATER_JOB_PLAN,
    WATER_JOB_DRIVEN,
    WATER_JOB_ANEW, /* the plan now worked, with other parameters */
    WATER_JOB_FIT   /* the sounder against the map */
};

/* One piece of work in a thread. The worker reads the inputs and fills the outputs; nobody else
 * touches them until `done_fd` becomes readable. */
struct water_job {
    enum water_job_kind kind; /* WATER_JOB_NONE: idle */
    pthread_t thread;
    int done_fd;
    /* in */
    const struct lw_chart *chart;
    double depth_m; /* in today's water, as the depths of `params` are */
    double level_m; /* today's level beyond the chart's */
    struct lw_ll from;
    struct lw_plan_params params;
    struct lw_frame frame;
    struct lw_line driven;
    bool deep_left;
    const struct lw_plan *old; /* stays while the job runs: only a job's end replaces a plan */
    struct lw_made *made;      /* made[mades], owned */
    size_t mades;
    char path[LW_PATH_MAX]; /* where the plan is to be saved */
    struct lw_track track;  /* what the sounder gave, as the receiver saw it, */
    struct lw_en add;       /* and what brings it onto the map */
    bool quiet;             /* the level alone, and no word of a failure */
    /* out */
    int status;
    struct lw_error err;
    struct lw_beat beat[WATER_BEATS];
    size_t beats;
    struct lw_plan *plan;
    struct lw_stage_fit stage;
    struct lw_shift_fit shift; /* not clear where it could not be told */
};

/* The maps of the command line and the thread that reads them. */
struct water_map {
    struct lw_map_args *args; /* NULL: none were given */
    bool running;
    pthread_t thread;
    int done_fd;
    atomic_bool cancel;
    atomic_int percent;
    _Atomic(const char *) step; /* what is being done; NULL not told */
    /* out, as a job's */
    int status;
    struct lw_error err;
    struct lw_chart *chart;
    struct lw_import_report report;
    char why_none[400]; /* why there is no chart, a standing line; "" there is no trouble */
};

struct water {
    struct lw_conf conf;
    struct lw_clock clock;
    struct lw_clock_vote vote;
    struct lw_term *term;
    struct lw_canvas canvas;
    struct lw_journal *journal;
    struct lw_feed *feed;
    struct lw_chart *chart;   /* NULL none */
    struct lw_plan *plan;     /* NULL none */
    struct lw_worked *worked; /* of that plan; NULL none */
    size_t counted[2];        /* casts in the trip, taken back and not, when it was counted */
    struct lw_trip *trip;
    char trip_id[24];
    int64_t read_after; /* journal row up to which events were folded */
    int signal_fd;
    bool quit;

    struct lw_guide_memory memory;
    struct lw_guidance guidance;
    struct lw_trip_now day;
    struct lw_ui ui;
    struct lw_view view;
    struct water_job job;   /* what the crew asked for */
    struct water_job watch; /* the level, looked at without being asked */
    struct water_map map;
    struct lw_beat beat[WATER_BEATS]; /* of the last listing */
    size_t beats;
    double beats_depth_m;
    bool edges_wanted;          /* a depth was typed while the map was being read */
    struct lw_en shift_offered; /* what a "yes" to the shift question adds */

    struct lw_track sounded;       /* the trip's depths by the sounder */
    struct lw_shift_fit shift_fit; /* asked about once the level is answered */
    double level_offered;          /* what a "yes" to the level question sets */
    double refused_m;              /* the level that the crew said no to; NaN */
    int64_t watched_ms, offered_ms;
    size_t watched_n;

    struct lw_event_id last;           /* the newest event whose saving is shown */
    int assumed_station, assumed_cast; /* whose time runs since assume_from_ms */
    int64_t assume_from_ms;
    int64_t notice_until_ms, track_at_ms, track_fix_ms, fix_seen_ms;
    int64_t day_end_utc_ms; /* INT64_MAX none */
    double draw_tokens;
    int64_t tokens_at_ms;
    bool dirty;
};

/* water_core.c */
int64_t water_now(const struct water *w, int64_t mono_ms);
/* Journals the event and folds it. -1 when it could not even be queued; the trouble is shown. */
int water_happen(struct water *w, struct lw_event *event);
/* Shows a passing line. */
void water_say(struct water *w, enum lw_role role, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
struct lw_where water_where(const struct water *w, int64_t mono_ms);
struct lw_en water_shift(const struct water *w);
/* Takes the plan over (frees the old one); it is remembered in the journal by its path. */
void water_take_plan(struct water *w, struct lw_plan *plan, const char *path);
/* Reads what other processes wrote. */
int water_catch_up(struct water *w, bool skip_own, struct lw_error *err);

/* Journals what a person did and shows its words as pending until it is on disk. */
void water_record(struct water *w, struct lw_event *event, const char *words);
void water_ask(struct water *w, enum lw_ask_kind kind, enum lw_action about, const char *sentence);
/* Keeps a value for the trip (struct lw_ev_setting). */
int water_set(struct water *w, const char *name, double value, int64_t now);
enum lw_units water_units(const struct water *w);

/* water_map.c */
/* Starts reading the maps of `args`, which must stay where it is, and waits a moment: what is in
 * the cache is open when it returns. -1 with a sentence when it failed in that moment. */
int water_map_open(struct water *w, struct lw_map_args *args, struct lw_error *err);
void water_map_finish(struct water *w); /* to be called when done_fd is readable */
void water_map_key(struct water *w);    /* stops reading; reads again where there is no map */
void water_map_close(struct water *w);  /* stops it and waits */
void water_map_words(const struct water_map *map, char *to, size_t size); /* how far it is */
/* The trip's head says which map it is on (NULL: the one it had) and who fishes; written when that
 * is new. */
void water_write_head(struct water *w, const char *cache_path);

/* water_level.c */
double water_level(const struct water *w); /* today's beyond the chart's; 0 */
/* The map was opened with another --stage than before: a level taken on top of that one is void. */
void water_keep_stage(struct water *w, double chart_stage_m);
void water_sounded(struct water *w, const struct lw_event *event); /* keeps a track's depth */
void water_compare(struct water *w);                               /* the key: starts the fit */
void water_watch_level(struct water *w, int64_t mono_ms); /* looks by itself now and then */
void water_compared(struct water *w, const struct water_job *job); /* the fit is there */
void water_answer_level(struct water *w, bool yes, int64_t now);

/* water_rules.c */
void water_keep_rules(struct water *w); /* the settings' rules of dwell and return, where changed */
/* Works out the day's end anew and keeps it with the trip when it changed. */
void water_day_end(struct water *w);

/* water_loop.c */
void water_loop(struct water *w);

/* water_acts.c */
void water_act(struct water *w, struct lw_act act);
/* The cast shown was made, by key or (assumed) by its time. */
void water_cast_made(struct water *w, bool assumed, int64_t now, int64_t mono_ms);

/* water_worked.c */
void water_count_worked(struct water *w); /* anew where a cast was made or taken back */
/* Counts a cast as made when its time at the station is over, where the setting says so. */
void water_assume(struct water *w, int64_t mono_ms);

/* water_edge.c */
bool water_busy(struct water *w);        /* says so; asked before a job's inputs are touched */
void water_list_beats(struct water *w);  /* a depth was typed on the edge screen */
void water_settle_beat(struct water *w); /* a beat was picked: asks one sentence */
void water_plan_beat(struct water *w, int64_t now); /* ... and that was confirmed */
void water_drive(struct water *w, int64_t now);     /* starts or ends recording an edge */
void water_plan_driven(struct water *w, const char *side,
                       int64_t now); /* "l", "r"; "n" drives anew */
/* Starts a job that ends in a plan with a file of its own. */
void water_start_plan(struct water *w, enum water_job_kind kind, int64_t now);

/* water_anew.c */
void water_typed_anew(struct water *w, const char *text, int64_t now);
/* The plan now worked with these parameters; depth is today's. */
void water_anew(struct water *w, const struct lw_plan_params *params, int64_t now);
/* Today's wind and water, as far as they are known. */
void water_today(const struct water *w, struct lw_plan_params *params);

/* water_jobs.c */
int water_jobs_open(struct water_job *job, struct lw_error *err);
void water_jobs_close(struct water_job *job); /* waits for a running one */
/* Starts the job whose inputs were filled; -1 with a sentence when one is running. */
int water_job_start(struct water_job *job, enum water_job_kind kind, struct lw_error *err);
/* To be called when its done_fd is readable: joins, acts on the result. */
void water_job_finish(struct water *w, struct water_job *job);
/* Plan parameters from the settings and what the crew changed; depth, place and ends open. */
void water_plan_params(const struct water *w, struct lw_plan_params *params);

#endif
