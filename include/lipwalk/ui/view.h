/* What a screen may see (struct lw_view, read only) and what it may keep (struct lw_ui). Reading,
 * computing and drawing never share a function: cmd fills the view, screens draw it. */
#ifndef LIPWALK_UI_VIEW_H
#define LIPWALK_UI_VIEW_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/conf/settings.h"
#include "lipwalk/conf/theme.h"
#include "lipwalk/guide/guide.h"
#include "lipwalk/plan/worked.h"
#include "lipwalk/sky/sun.h"
#include "lipwalk/ui/key.h"

enum lw_saved { LW_SAVED_NONE, LW_SAVED_PENDING, LW_SAVED_CONFIRMED, LW_SAVED_FAILED };

struct lw_view {
    int64_t now_utc_ms, mono_ms;
    const struct lw_conf *conf;
    const struct lw_guidance *guidance; /* never NULL */
    const struct lw_plan *plan;         /* NULL none */
    const struct lw_chart *chart;       /* NULL none */
    const struct lw_worked *worked;     /* of the plan; NULL without one */
    const struct lw_trip *trip;         /* never NULL */
    const struct lw_trip_now *day;      /* never NULL */
    struct lw_sun_day sun;
    int64_t day_end_utc_ms; /* INT64_MAX none */
    char source_words[160]; /* lw_feed_words */
    /* the last thing recorded: "14:25 fish, Rae, 9 ft" and whether it is on disk */
    char last_words[160];
    enum lw_saved last_saved;
    int64_t last_mono_ms; /* when it was recorded */
    char trouble[256];    /* the journal's or another standing trouble; "" none */
    char notice[400];     /* a passing line; "" none */
    enum lw_role notice_role;
    bool busy; /* a plan or map is being made */
    char busy_words[128];
    char no_map[400]; /* why there is none, and what to do; "" no trouble */
    bool driving;     /* an edge is being recorded */
    bool frozen;      /* emergency */
    struct lw_where frozen_where;
    int64_t frozen_utc_ms;
    /* the edges offered by the choosing screen */
    const struct lw_beat *beat;
    size_t beats;
    double beats_depth_m;
};

enum lw_screen_id {
    LW_SCREEN_STRIP,
    LW_SCREEN_FAR,
    LW_SCREEN_PLACES,
    LW_SCREEN_EDGE,
    LW_SCREEN_HELP,
    LW_SCREENS
};

enum lw_ask_kind { LW_ASK_NONE, LW_ASK_YES_NO, LW_ASK_TEXT };
/* One question at a time, in the bottom line; the app sets `about` and acts on the answer. While a
 * yes/no question is open, the keys of marks, casts and the emergency go on working; while text is
 * asked for, the emergency key does as long as nothing is typed. */
struct lw_ask {
    enum lw_ask_kind kind;
    enum lw_action about;
    char sentence[256]; /* the question, a whole sentence */
    char text[128];     /* typed so far (LW_ASK_TEXT) */
    bool yes;           /* the answer, at LW_ACT_ANSWER: accepted or not */
};

enum lw_edge_field { LW_EDGE_DEPTH, LW_EDGE_LIST, LW_EDGE_FROM, LW_EDGE_TO };

struct lw_ui {
    enum lw_screen_id screen, before_help;
    struct lw_ask ask;
    int return_chosen;   /* index into day->ret */
    int beat_chosen;     /* edge screen: row */
    char depth_text[32]; /* edge screen: the depth being typed */
    double from_m, to_m; /* edge screen: the beat's ends by along of the edge; NaN: not set */
    enum lw_edge_field edge_field; /* edge screen: where the keys go */
    char end_text[2][16];          /* edge screen: ends being typed, people's units */
    double page_from_m; /* strip: along at the left of the page now shown; NaN: not yet chosen */
    int help_top;       /* help: first row shown where not all fits */
};

struct lw_act { /* what a key came to */
    enum lw_action action;
    const struct lw_key *key; /* the row, for marks; may be NULL */
};

#endif
