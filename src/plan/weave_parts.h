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

#define WEAVE_TICK_S 0x1p-30 /* a float of 1/64 s or more is a whole number of these */
#define WEAVE_SHIFT  16      /* a cell's grains stand above its hits */
#define WEAVE_HITS   ((1u << WEAVE_SHIFT) - 1)
#define WEAVE_NONE   UINT32_MAX

struct weave {
    const struct weave_case *c;
    double grain;   /* worth of one grain */
    double had;     /* worth of what is worked already */
    int64_t *ticks; /* per cast: its seconds */
    int64_t *at;    /* per station: its place, in ticks of travel */
    uint32_t *home; /* per cast: its station */
    int64_t stop;   /* ticks of a stop */
    int64_t want;   /* grains wanted; never more than can be reached */
    int64_t limit;  /* ticks allowed */
    /* the answer at hand */
    uint8_t *in;    /* per cast */
    uint16_t *held; /* per station: its casts that are in */
    uint64_t *cell; /* per cell: grains (none when worked before) and hits, casts in over it */
    int64_t worth, spent; /* grains; ticks of stops and casts */
    uint32_t first, last; /* stations used; WEAVE_NONE: none */
    /* the best answer */
    uint8_t *best;                  /* per cast */
    int64_t best_worth, best_spent; /* travel counted */
    uint32_t *differs;              /* casts that may differ between the two */
    uint8_t *listed;                /* per cast: stands in `differs` */
    size_t differ;
    /* casts turned since a place to come back to: one turned twice is as it was */
    uint32_t *log;
    size_t logged, log_size, log_spare; /* spare: the most that one move adds, and more */
    /* search */
    uint64_t random;
    double price, price_now; /* ticks that a grain is worth at the margin; in this round */
    double price_least, price_most;
    double kink;
    bool timed; /* time is what binds: less than wanted is worked within the limit */
    size_t manner;
    double epoch; /* times over the beat since the manner was looked at, */
    bool better;  /* and whether the best answer changed */
    double *rate; /* per cast: grains a tick that it would add, while a fan is filled */
};

/* weave_state.c */
int64_t weave_gain(const struct weave *w, uint32_t cast); /* grains that it would add */
int64_t weave_loss(const struct weave *w, uint32_t cast); /* grains that only it works */
void weave_turn(struct weave *w, uint32_t cast);          /* in when out, out when in */
void weave_back(struct weave *w, size_t logged);          /* undo down to that length of the log */
int64_t weave_spent(const struct weave *w);               /* with travel */
bool weave_keep(struct weave *w);   /* the answer at hand becomes the best if it is better */
void weave_recall(struct weave *w); /* the best becomes the answer at hand */

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
double weave_cost(const struct weave *w, struct weave_mark since); /* ticks, at the price now */
/* One try; false when no station of the view was used. */
bool weave_move(struct weave *w, struct weave_view v, double most);

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
