/* The insides of a weave, for its own files: the answer at hand, the best one, and how they change.
 *
 * Seconds and worth are kept as whole numbers (ticks and grains), so that what is taken out and put
 * back leaves exactly what was there, however often; the best answer is kept as the difference to
 * the one at hand, so that a round costs what it touched and not what the beat is long. Cells need
 * no list of the casts over them: whatever is asked is asked of a cast.
 */
#ifndef LIPWALK_PLAN_WEAVE_PARTS_H
#define LIPWALK_PLAN_WEAVE_PARTS_H

#include <stdbool.h>

#include "weave.h"

#define WEAVE_TICK_S                                                                               \
    (1.0 / (1 << 30)) /* a float of a second or more is a whole number of these                    \
                       */
#define WEAVE_SHIFT 16
#define WEAVE_HITS  ((1u << WEAVE_SHIFT) - 1)
#define WEAVE_NONE  UINT32_MAX

struct weave {
    const struct weave_case *c;
    double grain;   /* worth of one grain */
    double had;     /* worth of what is worked already */
    int64_t *ticks; /* a cast's seconds */
    int64_t *at;    /* a station's place, in ticks of travel */
    uint32_t *home; /* a cast's station */
    int64_t stop;   /* ticks of a stop */
    bool both;      /* worth is wanted, but within so many seconds */
    bool fill;      /* seconds are given and worth is sought, not the other way about */
    int64_t want;   /* grains wanted; never more than can be reached */
    int64_t limit;  /* ticks allowed */
    /* the answer at hand */
    uint8_t *in;    /* per cast */
    uint16_t *held; /* per station: its casts that are in */
    uint64_t
        *cell; /* per cell: its grains (0 when worked already), and how many casts in work it */
    int64_t worth, spent; /* grains, and ticks of stops and casts */
    uint32_t first, last; /* stations used; WEAVE_NONE: none */
    /* the best answer */
    uint8_t *best;
    int64_t best_worth, best_spent; /* `spent` with travel here */
    uint32_t *differs;              /* casts that may differ between the two */
    uint8_t *listed;                /* per cast: stands in `differs` */
    size_t differ;
    /* what was changed since a place to come back to: a cast that is changed twice is as it was */
    uint32_t *log;
    size_t logged, log_size, log_spare; /* spare: the most that one move and what follows add */
    /* search */
    uint64_t random;
    double price, price_now; /* ticks a grain is worth at the margin; within the round */
    double price_least, price_most;
    double *rate; /* per cast: grains a tick it would add, while a fan is filled */
};

/* weave_state.c */
int64_t weave_gain(const struct weave *w, uint32_t cast);
int64_t weave_loss(const struct weave *w, uint32_t cast);
void weave_turn(struct weave *w, uint32_t cast); /* in when out, out when in */
void weave_back(struct weave *w, size_t logged); /* undo down to that length of the log */
int64_t weave_spent(const struct weave *w);      /* with travel */
bool weave_allowed(const struct weave *w);
bool weave_keep(struct weave *w); /* the answer at hand becomes the best if it is better */

/* weave_start.c: the first answer; -1 when memory ran out. */
int weave_start(struct weave *w);

/* weave_stretch.c: of casts picked in that order, all in, those of the stretch of stations and of
 * the first picks that work most within the limit stay, and more that fit; -1 when memory ran out.
 */
int weave_stretch(struct weave *w, const uint32_t *order, size_t n);

/* weave_fan.c */
struct weave_fan {
    size_t casts;
    int64_t grains, ticks; /* what they added; the stop counts when the station was not held */
};
/* Casts of a station, best first, while each adds more for its seconds than all of them do so far
 * (where the stop is paid for already: the best one). They are put in. */
struct weave_fan weave_fan_fill(struct weave *w, uint32_t station);

/* weave_move.c */
struct weave_view {
    uint32_t from, to; /* stations from .. to - 1 */
};
struct weave_mark { /* an answer at hand to come back to, or to compare with */
    int64_t spent, worth;
    size_t logged;
};
struct weave_mark weave_mark(const struct weave *w);
double weave_cost(const struct weave *w, struct weave_mark since);  /* ticks, at the price now */
void weave_move(struct weave *w, struct weave_view v, double most); /* one try */

static inline uint64_t weave_random(struct weave *w)
{
    uint64_t z = (w->random += 0x9e3779b97f4a7c15u); /* splitmix64, Steele, Lea and Flood 2014 */

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}
static inline uint32_t weave_below(struct weave *w, size_t n)
{
    return (uint32_t)(((weave_random(w) >> 32) * (uint64_t)n) >> 32);
}
static inline double weave_unit(struct weave *w) /* in (0, 1] */
{
    return (double)((weave_random(w) >> 11) + 1) * 0x1p-53;
}

#endif
