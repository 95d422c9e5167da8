/* Rounds of improvement: what lies in a window of the hold line is given up and chosen anew, with
 * some chance; kept when it is no worse, or a little worse at first (simulated annealing,
 * Kirkpatrick et al. 1983, from memory). Worth has a price in seconds that follows what is wanted,
 * so that the last cells are left where they cost most. */
#include <math.h>

#include "weave_parts.h"

#define REACH_M   16.0  /* stations so far beside the window may take over its cells */
#define WARM      5.0   /* seconds that a round may cost at the start, and ... */
#define COOL      100.0 /* ... rounds for each 100 stations in which that halves */
#define PRICE_MAX 1e9

struct window {
    size_t lo, hi;    /* stations given up */
    size_t low, high; /* stations that may be used instead */
};

static struct window choose_window(struct weave *w)
{
    const struct weave_case *c = w->c;
    size_t at = (size_t)(weave_random(w) * (double)c->stations);
    double half_m = 2 + 24 * weave_random(w) * weave_random(w);
    struct window v = {at, at + 1, 0, 0};

    while (v.lo > 0 && c->at_m[at] - c->at_m[v.lo - 1] <= half_m)
        v.lo--;
    while (v.hi < c->stations && c->at_m[v.hi] - c->at_m[at] <= half_m)
        v.hi++;
    v.low = v.lo;
    v.high = v.hi;
    while (v.low > 0 && c->at_m[v.lo] - c->at_m[v.low - 1] <= REACH_M)
        v.low--;
    while (v.high < c->stations && c->at_m[v.high] - c->at_m[v.hi - 1] <= REACH_M)
        v.high++;
    return v;
}

/* What one cast costs, a stop shared with its fan and the way there included. */
static double cost_s(const struct weave *w, uint32_t cast, double share)
{
    size_t s = w->station[cast];
    double cost = (double)w->c->cast_s[cast];

    if (w->used[s])
        return cost;
    cost += share * w->c->stop_s;
    if (w->first <= w->last && s < w->first)
        cost += share * w->c->travel_spm * (w->c->at_m[w->first] - w->c->at_m[s]);
    else if (w->first <= w->last && s > w->last)
        cost += share * w->c->travel_spm * (w->c->at_m[s] - w->c->at_m[w->last]);
    return cost;
}

static void give_up(struct weave *w, const struct window *v)
{
    double keep = weave_random(w) < 0.5 ? 0 : 0.4;

    for (size_t s = v->lo; s < v->hi; s++) {
        if (w->used[s] == 0 || (keep > 0 && weave_random(w) < keep))
            continue;
        for (uint32_t k = w->c->cast0[s]; k < w->c->cast0[s + 1]; k++)
            if (w->chosen[k])
                weave_drop(w, k);
    }
}

/* Chooses anew. `hard`: up to what is wanted; else as long as the worth is worth its price. */
static void refill(struct weave *w, const struct window *v, bool hard)
{
    const struct weave_case *c = w->c;
    double share = 0.05 + 0.6 * weave_random(w), spread = 0.15 * weave_random(w);
    bool timed = !isnan(w->want_s);

    for (uint32_t k = c->cast0[v->low]; k < c->cast0[v->high]; k++)
        w->noise[k] = (float)(1 + spread * (weave_random(w) - 0.5));
    for (;;) {
        double best = 0;
        uint32_t which = 0;

        if (hard && !timed && weave_meets(w, w->worth, 0))
            return;
        for (size_t s = v->low; s < v->high; s++)
            for (uint32_t k = c->cast0[s]; k < c->cast0[s + 1]; k++) {
                double worth = (double)w->gain[k], score;

                if (!(worth > 0) || w->chosen[k])
                    continue;
                score = worth * (double)w->noise[k] / fmax(cost_s(w, k, share), 1e-9);
                if (score > best &&
                    !(hard && timed && weave_now_s(w) + cost_s(w, k, 1) > w->want_s)) {
                    best = score;
                    which = k;
                }
            }
        if (!(best > 0) || (!hard && best * w->price < 1))
            return;
        weave_put(w, which);
    }
}

/* Undoes what the round did. */
static void undo(struct weave *w, size_t sinces)
{
    size_t n = w->logs;

    while (n-- > 0) {
        uint32_t cast = w->log[n];

        if (w->chosen[cast])
            weave_drop(w, cast);
        else
            weave_put(w, cast);
    }
    w->sinces = sinces;
}

/* The price that makes just enough worth worth while. */
static void follow(struct weave *w)
{
    double off; /* + too little worth is taken */

    if (isnan(w->want_s))
        off = (w->want_worth - w->worth) / (0.002 * w->want_worth + 1);
    else
        off = (w->want_s - weave_now_s(w)) / (0.01 * w->want_s + 1);
    w->price *= exp(0.02 * fmax(-1, fmin(1, off)));
    w->price = fmin(fmax(w->price, 1e-6), PRICE_MAX);
}

static void one_round(struct weave *w)
{
    size_t sinces = w->sinces;
    double before_s = weave_now_s(w), before = w->worth, gained, heat;
    bool met = weave_meets(w, before, before_s), hard = met && weave_random(w) < 0.2;
    struct window v = choose_window(w);

    w->logs = 0;
    give_up(w, &v);
    refill(w, &v, hard);
    weave_prune(w, v.low, v.high, hard);
    gained = before_s - weave_now_s(w);
    heat = WARM * exp2(-(double)w->rounds++ / (COOL * ((double)w->c->stations / 100 + 1)));
    if (hard && !weave_meets(w, w->worth, weave_now_s(w)))
        gained = -INFINITY;
    else
        gained += w->price * (w->worth - before);
    if (w->failed || gained < heat * log(weave_random(w) + 1e-300))
        undo(w, sinces);
    else
        weave_keep(w);
    follow(w);
}

void weave_improve(struct weave *w, size_t rounds)
{
    for (size_t i = 0; i < rounds && w->c->casts > 0 && !w->failed; i++)
        one_round(w);
}

/* A whole station that is worth less than it costs. */
static void prune_station(struct weave *w, size_t s, bool hold)
{
    const struct weave_case *c = w->c;
    size_t logs = w->logs, sinces = w->sinces;
    double before_s = weave_now_s(w), before = w->worth;
    bool needless;

    for (uint32_t k = c->cast0[s]; k < c->cast0[s + 1]; k++)
        if (w->chosen[k])
            weave_drop(w, k);
    needless = hold && isnan(w->want_s)
                   ? weave_meets(w, w->worth, 0)
                   : w->price * (before - w->worth) < before_s - weave_now_s(w);
    if (needless)
        return;
    for (size_t i = w->logs; i-- > logs;)
        weave_put(w, w->log[i]);
    w->logs = logs;
    w->sinces = sinces;
}

void weave_prune(struct weave *w, size_t lo, size_t hi, bool hold)
{
    const struct weave_case *c = w->c;

    hold = hold && isnan(w->want_s);
    for (size_t s = lo; s < hi; s++) {
        if (w->used[s] == 0)
            continue;
        for (uint32_t k = c->cast0[s]; k < c->cast0[s + 1]; k++) {
            double own;

            if (!w->chosen[k])
                continue;
            own = weave_own(w, k);
            if (own <= 0 ||
                (hold ? weave_meets(w, w->worth - own, 0) : w->price * own < (double)c->cast_s[k]))
                weave_drop(w, k);
        }
        if (w->used[s] > 0)
            prune_station(w, s, hold);
    }
}
