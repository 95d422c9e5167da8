/* Inside the weave: what is chosen now, what every cast would add, and how both change. */
#ifndef LIPWALK_PLAN_WEAVE_PARTS_H
#define LIPWALK_PLAN_WEAVE_PARTS_H

#include <stdbool.h>

#include "weave.h"

struct weave {
    const struct weave_case *c;
    double want_worth, want_s; /* one of them is NaN */
    uint64_t random;           /* the generator's state */
    /* cells to casts: those that work cell i are by[by0[i]] .. by[by0[i + 1]) */
    uint32_t *by0, *by;
    uint32_t *station; /* of each cast */
    /* now */
    uint16_t *count;       /* of each cell: how often it is worked */
    float *gain;           /* of each cast: the worth of its cells that nothing works */
    bool *chosen;          /* each cast */
    uint16_t *used;        /* of each station: casts chosen */
    double worth, stops_s; /* of all; stops and casts, without travel */
    size_t first, last;    /* stations used; first > last: none */
    /* what to undo: casts changed since the round began, and since the best answer */
    uint32_t *log, *since;
    size_t logs, log_cap, sinces, since_cap;
    bool failed; /* memory ran out: the best answer stands */
    double best_worth, best_s;
    double price; /* seconds that one worth is worth just now */
    size_t rounds;
    /* of a round */
    float *noise; /* of each cast */
};

double weave_random(struct weave *w); /* 0 <= r < 1 */
/* Chooses a cast, or gives it up; the change is logged. */
void weave_put(struct weave *w, uint32_t cast);
void weave_drop(struct weave *w, uint32_t cast);
double weave_now_s(const struct weave *w); /* stops, casts and travel */
/* The worth that only this chosen cast works. */
double weave_own(const struct weave *w, uint32_t cast);
/* Whether an answer of so much meets what is wanted, and is better than the best. */
bool weave_meets(const struct weave *w, double worth, double seconds);
/* Keeps the present answer where it is the best. */
void weave_keep(struct weave *w);
/* The first answer. */
int weave_begin(struct weave *w);
/* Gives up casts and stations lo .. hi - 1 that are not worth their seconds, as long as what is
 * wanted stays met where `hold` is set. */
void weave_prune(struct weave *w, size_t lo, size_t hi, bool hold);

#endif
