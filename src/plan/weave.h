/* Choosing stations and casts together: the fewest seconds for so much worth of the belt, or the
 * most worth within so many seconds. Numbers only; where things are is the caller's business.
 *
 * A weave is an answer that can be used at once and be improved from then on; it never gets worse,
 * and the same case, seed and number of rounds give the same answer however the rounds are split.
 */
#ifndef LIPWALK_PLAN_WEAVE_H
#define LIPWALK_PLAN_WEAVE_H

#include <stddef.h>
#include <stdint.h>

struct weave_case {
    size_t cells;
    const float *worth;    /* worth[cells], >= 0 each */
    const uint8_t *worked; /* worked[cells]: already worked, free; NULL: none is */
    size_t stations;       /* places along the hold line where one may stop, */
    const double *at_m;    /* at_m[stations], ascending: metres along the hold line */
    const uint32_t
        *cast0; /* cast0[stations + 1]: casts of station s are cast0[s] .. cast0[s + 1] */
    size_t casts;
    const float *cast_s;   /* cast_s[casts]: seconds of each */
    const uint32_t *cell0; /* cell0[casts + 1]: cells that cast c works are */
    const uint32_t *cell;  /* cell[cell0[c] .. cell0[c + 1]), no cell twice in one cast */
    double stop_s;         /* what each station used costs */
    double travel_spm;     /* seconds a metre between the first and the last station used */
};
struct weave_want {
    double worth;   /* at least so much, worked cells counted; NaN: not asked (then `seconds` is) */
    double seconds; /* at most so long; NaN: not asked */
};

struct weave; /* keeps pointers into its case, which must outlive it */
/* A first answer. NULL when memory ran out. What cannot be reached at all is not asked: the wanted
 * worth is cut to what all casts together reach. */
struct weave *weave_new(const struct weave_case *c, const struct weave_want *want, uint64_t seed);
void weave_improve(struct weave *weave, size_t rounds);
/* The casts chosen, ascending, into chosen[c->casts]; how many. */
size_t weave_chosen(const struct weave *weave, uint32_t *chosen);
double weave_seconds(const struct weave *weave); /* stops, casts and travel */
double weave_worth(const struct weave *weave);   /* of all cells worked, those before included */
void weave_free(struct weave *weave);            /* NULL is no fault */

#endif
