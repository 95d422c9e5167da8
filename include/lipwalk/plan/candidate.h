/* Beats worth a look: the first break outside each spawning ground, ranked, each score in words. */
#ifndef LIPWALK_PLAN_CANDIDATE_H
#define LIPWALK_PLAN_CANDIDATE_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/lip.h"
#include "lipwalk/plan/care.h"

enum lw_ground_kind {
    LW_GROUND_INFLOW,
    LW_GROUND_ROCK_SHORE, /* rock or gravel in shallow water along the shore */
    LW_GROUND_ROCK_POINT, /* the same on a point, or off the shore */
    LW_GROUND_SAND,       /* shallow sand */
    LW_GROUND_KINDS
};
const char *lw_ground_name(enum lw_ground_kind kind);
/* The kind that a word from a file means ("inflow", "creek", "gravel"); -1 none. */
int lw_ground_of(const char *word);
struct lw_ground {
    enum lw_ground_kind kind;
    struct lw_en at;
    char words[64]; /* its name; "" none */
    bool crew;      /* marked by the crew or imported, else found in the map's cover */
};

enum lw_score {
    LW_SCORE_GROUND, /* distance over water from the spawning ground */
    LW_SCORE_DEPTH,  /* lip depth against the season's range */
    LW_SCORE_SHARP,  /* how sharp the lip, how steep the break */
    LW_SCORE_BENDS,  /* points and inside turns on it */
    LW_SCORE_WIND,   /* waves that the wind raises against it */
    LW_SCORE_RAMP,   /* the way by water from the ramp */
    LW_SCORES
};
const char *lw_score_name(enum lw_score score);

struct lw_candidate {
    size_t ground;       /* number of its ground; SIZE_MAX: none is known near it */
    size_t lip;          /* of the lips given */
    double from_m, to_m; /* along of the lip */
    struct lw_ll middle;
    double depth_m, length_m, ground_m, ramp_m, fetch_m, wave_m; /* NaN unknown */
    double score[LW_SCORES];    /* 0..1; NaN: cannot be told, then not counted */
    double total;               /* 0..1, weighted mean of those that are known */
    char words[LW_SCORES][120]; /* why, one clause each; "" unknown */
    char first_break[160]; /* how the break lies to the ground, and that spawn + 30 days is practice
                            */
};

struct lw_candidate_want {
    const struct lw_ground *ground; /* ground[grounds], the crew's and the imported */
    size_t grounds;
    struct lw_ll ramp;               /* NaN: not known */
    double depth_min_m, depth_max_m; /* the season's range of lip depths */
    double wind_mps, wind_from_deg;  /* NaN: not known */
    double length_m;                 /* a longer lip is cut into pieces of about this */
    double weight[LW_SCORES];
    struct lw_care care;
    enum lw_units units;
};
struct lw_candidates {
    struct lw_candidate *beat; /* beat[n], best first; owned */
    size_t n;
    struct lw_ground *ground; /* ground[grounds]: those given and those found in the map; owned */
    size_t grounds;
};
int lw_candidates_find(const struct lw_chart *chart, const struct lw_lips *lips,
                       const struct lw_candidate_want *want, struct lw_candidates *out,
                       struct lw_error *err);
void lw_candidates_free(struct lw_candidates *candidates); /* frees and zeroes */

/* Fetch (m): the way over water from `at` toward where the wind comes from, the mean of nine
 * radials 3 degrees apart about it (common practice, no source); mean depth (m) along them in
 * *depth_m. */
double lw_fetch(const struct lw_chart *chart, struct lw_en at, double wind_from_deg,
                double *depth_m);

#endif
