/* The weave's life, and the accounts of what is chosen. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "weave_parts.h"

/* splitmix64 (Steele, Lea and Flood 2014, from memory) */
double weave_random(struct weave *w)
{
    uint64_t z = w->random += 0x9e3779b97f4a7c15u;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static void change(struct weave *w, uint32_t cast)
{
    if (lw_array_room(&w->log, w->logs, &w->log_cap) ||
        lw_array_room(&w->since, w->sinces, &w->since_cap)) {
        w->failed = true;
        return;
    }
    w->log[w->logs++] = cast;
    w->since[w->sinces++] = cast;
}

/* A cell begins (sign -1) or ceases (+1) to be worked: every cast over it adds less or more. */
static void move_gain(struct weave *w, uint32_t cell, float sign)
{
    float worth = sign * w->c->worth[cell];

    for (uint32_t i = w->by0[cell]; i < w->by0[cell + 1]; i++)
        w->gain[w->by[i]] += worth;
}

static void set_ends(struct weave *w, size_t station)
{
    if (w->used[station] > 0) {
        if (w->first > w->last)
            w->first = w->last = station;
        else if (station < w->first)
            w->first = station;
        else if (station > w->last)
            w->last = station;
        return;
    }
    if (w->first == w->last && w->first == station) {
        w->first = 1;
        w->last = 0;
        return;
    }
    while (w->used[w->first] == 0 && w->first < w->last)
        w->first++;
    while (w->used[w->last] == 0 && w->last > w->first)
        w->last--;
}

void weave_put(struct weave *w, uint32_t cast)
{
    size_t s = w->station[cast];

    change(w, cast);
    w->chosen[cast] = true;
    w->worth += (double)w->gain[cast];
    w->stops_s += (double)w->c->cast_s[cast] + (w->used[s]++ == 0 ? w->c->stop_s : 0);
    if (w->used[s] == 1)
        set_ends(w, s);
    for (uint32_t i = w->c->cell0[cast]; i < w->c->cell0[cast + 1]; i++)
        if (w->count[w->c->cell[i]]++ == 0)
            move_gain(w, w->c->cell[i], -1);
}

void weave_drop(struct weave *w, uint32_t cast)
{
    size_t s = w->station[cast];

    change(w, cast);
    w->chosen[cast] = false;
    for (uint32_t i = w->c->cell0[cast]; i < w->c->cell0[cast + 1]; i++)
        if (--w->count[w->c->cell[i]] == 0)
            move_gain(w, w->c->cell[i], 1);
    w->worth -= (double)w->gain[cast];
    w->stops_s -= (double)w->c->cast_s[cast] + (--w->used[s] == 0 ? w->c->stop_s : 0);
    if (w->used[s] == 0)
        set_ends(w, s);
}

double weave_own(const struct weave *w, uint32_t cast)
{
    double own = 0;

    for (uint32_t i = w->c->cell0[cast]; i < w->c->cell0[cast + 1]; i++)
        if (w->count[w->c->cell[i]] == 1)
            own += (double)w->c->worth[w->c->cell[i]];
    return own;
}

double weave_now_s(const struct weave *w)
{
    return w->stops_s + (w->first < w->last
                             ? w->c->travel_spm * (w->c->at_m[w->last] - w->c->at_m[w->first])
                             : 0);
}

bool weave_meets(const struct weave *w, double worth, double seconds)
{
    if (isnan(w->want_s))
        return worth >= w->want_worth - 1e-6 * (1 + w->want_worth);
    return seconds <= w->want_s + 1e-9;
}

void weave_keep(struct weave *w)
{
    double seconds = weave_now_s(w);
    bool better = isnan(w->want_s) ? seconds < w->best_s - 1e-9 : w->worth > w->best_worth + 1e-9;

    if (!better || !weave_meets(w, w->worth, seconds))
        return;
    w->best_s = seconds;
    w->best_worth = w->worth;
    w->sinces = 0;
}

static int turn_round(struct weave *w)
{
    const struct weave_case *c = w->c;
    size_t all = c->cell0[c->casts];

    w->by0 = calloc(c->cells + 2, sizeof *w->by0);
    w->by = malloc((all + 1) * sizeof *w->by);
    if (!w->by0 || !w->by)
        return -1;
    for (size_t i = 0; i < all; i++)
        w->by0[c->cell[i] + 2]++;
    for (size_t i = 0; i < c->cells; i++)
        w->by0[i + 2] += w->by0[i + 1];
    for (uint32_t k = 0; k < c->casts; k++)
        for (uint32_t i = c->cell0[k]; i < c->cell0[k + 1]; i++)
            w->by[w->by0[c->cell[i] + 1]++] = k;
    return 0;
}

/* Nothing chosen; sums up what could be reached. */
static double open_accounts(struct weave *w)
{
    const struct weave_case *c = w->c;
    double reachable = 0;

    w->first = 1;
    for (size_t i = 0; i < c->cells; i++) {
        bool worked = c->worked && c->worked[i];

        if (worked) {
            w->count[i] = 1;
            w->worth += (double)c->worth[i];
        }
        if (worked || w->by0[i + 1] > w->by0[i])
            reachable += (double)c->worth[i];
    }
    for (size_t s = 0; s < c->stations; s++)
        for (uint32_t k = c->cast0[s]; k < c->cast0[s + 1]; k++) {
            w->station[k] = (uint32_t)s;
            for (uint32_t i = c->cell0[k]; i < c->cell0[k + 1]; i++)
                if (w->count[c->cell[i]] == 0)
                    w->gain[k] += c->worth[c->cell[i]];
        }
    return reachable;
}

struct weave *weave_new(const struct weave_case *c, const struct weave_want *want, uint64_t seed)
{
    struct weave *w = calloc(1, sizeof *w);

    if (!w)
        return NULL;
    w->c = c;
    w->random = seed;
    w->station = calloc(c->casts + 1, sizeof *w->station);
    w->count = calloc(c->cells + 1, sizeof *w->count);
    w->gain = calloc(c->casts + 1, sizeof *w->gain);
    w->noise = calloc(c->casts + 1, sizeof *w->noise);
    w->chosen = calloc(c->casts + 1, sizeof *w->chosen);
    w->used = calloc(c->stations + 1, sizeof *w->used);
    if (!w->station || !w->count || !w->gain || !w->noise || !w->chosen || !w->used ||
        turn_round(w))
        goto fail;
    w->want_worth = fmin(want->worth, open_accounts(w));
    w->want_s = isnan(want->worth) ? want->seconds : NAN;
    w->best_s = INFINITY;
    w->best_worth = -INFINITY;
    if (weave_begin(w) || w->failed)
        goto fail;
    return w;
fail:
    weave_free(w);
    return NULL;
}

size_t weave_chosen(const struct weave *w, uint32_t *chosen)
{
    size_t n = 0;

    for (size_t k = 0; k < w->c->casts; k++)
        chosen[k] = w->chosen[k];
    for (size_t i = 0; i < w->sinces; i++) /* back to the best */
        chosen[w->since[i]] ^= 1;
    for (uint32_t k = 0; k < w->c->casts; k++)
        if (chosen[k])
            chosen[n++] = k;
    return n;
}

double weave_seconds(const struct weave *w)
{
    return w->best_s;
}

double weave_worth(const struct weave *w)
{
    return w->best_worth;
}

void weave_free(struct weave *w)
{
    if (!w)
        return;
    free(w->by0);
    free(w->by);
    free(w->station);
    free(w->count);
    free(w->gain);
    free(w->noise);
    free(w->chosen);
    free(w->used);
    free(w->log);
    free(w->since);
    free(w);
}
