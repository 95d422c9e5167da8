/* A weave: its making from a case, and what is asked of it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "weave_parts.h"

#define LOG_ROOM 16384 /* changes of a round; more end it */

/* Marks what casts can reach and is not worked yet; its worth. */
static double mark_reached(struct weave *w)
{
    const struct weave_case *c = w->c;
    double sum = 0;

    for (size_t i = 0; i < c->cell0[c->casts]; i++)
        w->cell[c->cell[i]] = 1;
    for (size_t j = 0; j < c->cells; j++) {
        if (c->worked && c->worked[j]) {
            w->had += (double)c->worth[j];
            w->cell[j] = 0;
        }
        sum += w->cell[j] ? (double)c->worth[j] : 0;
    }
    return sum;
}

/* Worth in grains of a power of two, so that most floats are whole numbers of them; the sum of all
 * stays below 2^47. What is worked already is worth nothing any more. */
static void weigh(struct weave *w, double want)
{
    double sum = mark_reached(w), more = want - w->had;
    int64_t all = 0;
    int e = 0;

    frexp(sum, &e);
    w->grain = ldexp(1, e - 46);
    for (size_t j = 0; j < w->c->cells; j++) {
        int64_t grains = w->cell[j] ? llrint((double)w->c->worth[j] / w->grain) : 0;

        w->cell[j] = (uint64_t)grains << WEAVE_SHIFT;
        all += grains;
    }
    w->want = more > 0 ? more < sum ? (int64_t)ceil(more / w->grain * (1 - 1e-12)) : all : 0;
    w->want = w->want < all ? w->want : all;
}

static int64_t ticks(double seconds)
{
    return (int64_t)ceil(seconds / WEAVE_TICK_S);
}

/* Rounded up, so that an answer never takes longer than its ticks. Travel is a difference of
 * places, which rounding may shorten by a tick: true when it does not. */
static bool time_all(struct weave *w)
{
    const struct weave_case *c = w->c;
    bool whole = true;

    for (uint32_t s = 0; s < c->stations; s++) {
        double travel = (c->at_m[s] - c->at_m[0]) * c->travel_spm;

        w->at[s] = ticks(travel);
        whole = whole && (double)w->at[s] * WEAVE_TICK_S == travel;
        for (uint32_t i = c->cast0[s]; i < c->cast0[s + 1]; i++) {
            w->home[i] = s;
            w->ticks[i] = ticks((double)c->cast_s[i]);
        }
    }
    w->stop = ticks(c->stop_s);
    return whole;
}

static void want_set(struct weave *w, const struct weave_want *want, bool whole)
{
    bool seconds = !isnan(want->seconds), worth = !isnan(want->worth);

    weigh(w, worth ? want->worth : seconds ? INFINITY : 0);
    w->limit = INT64_MAX / 2;
    if (seconds && want->seconds < (double)w->limit * WEAVE_TICK_S)
        w->limit = (int64_t)floor(fmax(want->seconds, 0) / WEAVE_TICK_S) - !whole;
}

static void *room(size_t n, size_t size)
{
    return calloc(n + 1, size);
}

static uint32_t most_casts(const struct weave_case *c)
{
    uint32_t most = 0;

    for (size_t s = 0; s < c->stations; s++)
        if (c->cast0[s + 1] - c->cast0[s] > most)
            most = c->cast0[s + 1] - c->cast0[s];
    return most;
}

static int alloc(struct weave *w)
{
    const struct weave_case *c = w->c;

    w->cell = room(c->cells, sizeof *w->cell);
    w->at = room(c->stations, sizeof *w->at);
    w->held = room(c->stations, sizeof *w->held);
    w->ticks = room(c->casts, sizeof *w->ticks);
    w->home = room(c->casts, sizeof *w->home);
    w->in = room(c->casts, sizeof *w->in);
    w->best = room(c->casts, sizeof *w->best);
    w->listed = room(c->casts, sizeof *w->listed);
    w->differs = room(c->casts, sizeof *w->differs);
    w->rate = room(c->casts, sizeof *w->rate);
    w->log_spare = 4 * (size_t)most_casts(c) + 1024;
    w->log_size = LOG_ROOM + w->log_spare;
    w->log = room(w->log_size, sizeof *w->log);
    return w->cell && w->at && w->held && w->ticks && w->home && w->in && w->best && w->listed &&
                   w->differs && w->rate && w->log
               ? 0
               : -1;
}

struct weave *weave_new(const struct weave_case *c, const struct weave_want *want, uint64_t seed)
{
    struct weave *w = calloc(1, sizeof *w);

    if (!w)
        return NULL;
    w->c = c;
    w->random = seed;
    w->first = w->last = WEAVE_NONE;
    if (alloc(w) < 0) {
        weave_free(w);
        return NULL;
    }
    want_set(w, want, time_all(w));
    if (weave_start(w) < 0) {
        weave_free(w);
        return NULL;
    }
    w->manner = w->best_worth < w->want ? 2 : 0; /* see the manners of rounds */
    w->price_least = w->price * 1e-3;
    w->price_most = w->price * 1e4;
    return w;
}

size_t weave_chosen(const struct weave *w, uint32_t *chosen)
{
    size_t n = 0;

    for (size_t i = 0; i < w->c->casts; i++)
        if (w->best[i])
            chosen[n++] = (uint32_t)i;
    return n;
}

double weave_seconds(const struct weave *w)
{
    const struct weave_case *c = w->c;
    double sum = 0, first = NAN, last = NAN;

    for (size_t s = 0; s < c->stations; s++) {
        bool used = false;

        for (uint32_t i = c->cast0[s]; i < c->cast0[s + 1]; i++)
            if (w->best[i]) {
                sum += (double)c->cast_s[i];
                used = true;
            }
        if (!used)
            continue;
        sum += c->stop_s;
        first = isnan(first) ? c->at_m[s] : first;
        last = c->at_m[s];
    }
    return isnan(first) ? 0 : sum + (last - first) * c->travel_spm;
}

double weave_worth(const struct weave *w)
{
    return w->had + (double)w->best_worth * w->grain;
}

void weave_free(struct weave *w)
{
    if (!w)
        return;
    free(w->cell);
    free(w->at);
    free(w->held);
    free(w->ticks);
    free(w->home);
    free(w->in);
    free(w->best);
    free(w->listed);
    free(w->differs);
    free(w->rate);
    free(w->log);
    free(w);
}
