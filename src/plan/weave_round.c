/* Rounds of improvement. In each a stretch of the hold line is shaken: small changes are tried
 * there by the hundred, dearer ones let pass while it is hot and fewer as it cools (simulated
 * annealing, Kirkpatrick, Gelatt and Vecchi 1983); if the stretch is dearer in the end than it was,
 * all of it is undone. A round takes as long as its stretch is wide, however long the beat.
 *
 * What the whole beat must work (or how long it may take) is a bargain between places, so it is not
 * asked of any stretch: a stretch pays a price for what it leaves unworked (the multiplier of a
 * Lagrangian relaxation), and the price rises while too little is worked and falls while too much.
 * The answer at hand so swings about what is wanted. Each time it passes by, or a few changes
 * within the stretch take it there, it may become the best.
 */
#include <math.h>

#include "weave_parts.h"

#define MOVES  400
#define HOT_S  12.0
#define COLD_S .5
#define NEAR_M 8.0  /* a stretch reaches so far to both sides, */
#define FAR_M  30.0 /* at most so far */
#define EDGE_M 40.0 /* where travel counts stretches are looked for so far beyond what is used */
#define EMPTY  32   /* one round in so many may look where nothing is */
#define LAST   3    /* changes that may take an answer to what is wanted */
#define EPOCH  300  /* times over the beat before the manner may change */
#define KINK   1.5  /* when the answer at hand is compared with the best */

/* How loosely the answer at hand is held to what is wanted. Where the last worth is dear (most of
 * the belt is wanted) loose is best, where all places are alike (a part of it, or a short time) it
 * loses its way: cost is nearly the same for full and empty. */
static const struct manner {
    double kink[4]; /* one of these, at random, in each round: see weave_cost */
    double swing;   /* the price answers a want of 1 % at once by so many per cent, */
    double drift;   /* and for good by so much while all of the beat is gone over once */
    double astray;  /* back to the best when dearer than it by this part of its ticks */
} manners[] = {
    {{1, 1, 1, 1}, 10, .3, INFINITY},
    {{1.2, 1.2, 1.5, 1.5}, 3, .1, .01},
    {{1, 1, 1, 2}, 1, .1, INFINITY},
};

/* Stations between which stretches are sought. */
static struct weave_view range(const struct weave *w)
{
    const double *at = w->c->at_m;
    struct weave_view r = {0, (uint32_t)w->c->stations};

    if (w->first == WEAVE_NONE || !(w->c->travel_spm > 0))
        return r;
    r = (struct weave_view){w->first, w->last + 1};
    while (r.from > 0 && at[w->first] - at[r.from - 1] <= EDGE_M)
        r.from--;
    while (r.to < w->c->stations && at[r.to] - at[w->last] <= EDGE_M)
        r.to++;
    return r;
}

/* The used station nearest by number, mostly; what stands empty far about is looked at seldom. */
static uint32_t centre(struct weave *w, struct weave_view r)
{
    uint32_t s = r.from + weave_below(w, r.to - r.from);

    if (w->first == WEAVE_NONE || weave_below(w, EMPTY) == 0)
        return s;
    for (uint32_t k = 0;; k++) {
        if (s >= r.from + k && w->held[s - k])
            return s - k;
        if (s + k < r.to && w->held[s + k])
            return s + k;
    }
}

static struct weave_view view(struct weave *w, struct weave_view r)
{
    const double *at = w->c->at_m;
    uint32_t s = centre(w, r);
    double half = NEAR_M + (FAR_M - NEAR_M) * weave_unit(w);
    struct weave_view v = {s, s + 1};

    while (v.from > r.from && at[s] - at[v.from - 1] <= half)
        v.from--;
    while (v.to < r.to && at[v.to] - at[s] <= half)
        v.to++;
    return v;
}

/* The price for this round, and the one that the next starts from. */
static void set_price(struct weave *w, double share)
{
    double off = w->timed ? (double)(w->limit - weave_spent(w)) / (double)(w->limit + 1)
                          : (double)(w->want - w->worth) / (double)w->want;

    off = fmin(fmax(off, -.3), .3);
    w->price_now = w->price * exp(manners[w->manner].swing * off);
    w->price *= exp((off > 0 ? share : -share) * manners[w->manner].drift);
    w->price = fmin(fmax(w->price, w->price_least), w->price_most);
}

/* Casts that do not pay. */
static void drop(struct weave *w, struct weave_view v)
{
    for (uint32_t s = v.from; s < v.to; s++)
        for (uint32_t c = w->c->cast0[s]; w->held[s] && c < w->c->cast0[s + 1]; c++)
            if (w->in[c] && (double)w->ticks[c] > w->price_now * (double)weave_loss(w, c))
                weave_turn(w, c);
}

static void shake(struct weave *w, struct weave_view v)
{
    const double cooling = pow(COLD_S / HOT_S, 1.0 / MOVES);
    double heat = HOT_S / WEAVE_TICK_S;
    int empty = 0;

    for (int i = 0; i < MOVES && empty < 4 && w->logged + w->log_spare < w->log_size; i++) {
        empty = weave_move(w, v, -heat * log(weave_unit(w))) ? 0 : empty + 1;
        heat *= cooling;
    }
    drop(w, v);
}

/* How much a change of one cast helps towards what is wanted; 0: not at all. */
static double help(const struct weave *w, uint32_t c, bool add)
{
    int64_t need = w->want - w->worth, spare = w->limit - weave_spent(w), part;
    double ticks = (double)(w->ticks[c] + 1);

    if (w->in[c] == add)
        return 0;
    if (add) {
        part = weave_gain(w, c);
        if (w->timed && w->ticks[c] > spare)
            return 0;
        return (double)(part < need ? part : need) / ticks;
    }
    part = weave_loss(w, c);
    if (w->timed)
        return ticks / (double)(part + 1);
    return part <= -need ? ticks : 0;
}

static bool help_most(struct weave *w, struct weave_view v, bool add)
{
    uint32_t pick = WEAVE_NONE;
    double top = 0;

    for (uint32_t s = v.from; s < v.to; s++)
        for (uint32_t c = w->c->cast0[s]; w->held[s] && c < w->c->cast0[s + 1]; c++) {
            double h = help(w, c, add);

            if (h > top) {
                top = h;
                pick = c;
            }
        }
    if (pick != WEAVE_NONE)
        weave_turn(w, pick);
    return pick != WEAVE_NONE;
}

/* The answer at hand as the best, or one a few changes off; it stays as it is. */
static void reach(struct weave *w, struct weave_view v)
{
    size_t logged = w->logged;

    w->better |= weave_keep(w);
    for (int i = 0; i < LAST; i++) {
        bool over = w->timed && weave_spent(w) > w->limit;
        bool add = w->timed ? !over : w->worth < w->want;

        if (!help_most(w, v, add))
            break;
        w->better |= weave_keep(w);
    }
    weave_back(w, logged);
}

/* An epoch without a better answer: another manner, from the best answer. */
static void next_epoch(struct weave *w, double share)
{
    w->epoch += share;
    if (w->epoch < EPOCH)
        return;
    w->epoch = 0;
    if (!w->better) {
        w->manner = (w->manner + 1) % (sizeof manners / sizeof manners[0]);
        weave_recall(w);
    }
    w->better = false;
}

static bool astray(struct weave *w)
{
    struct weave_mark best = {w->best_spent, w->best_worth, 0};

    w->kink = KINK;
    return weave_cost(w, best) > manners[w->manner].astray * (double)w->best_spent;
}

static void round_once(struct weave *w)
{
    struct weave_view r = range(w), v = view(w, r);
    double share = (double)(v.to - v.from) / (double)(r.to - r.from);
    struct weave_mark since;

    w->timed = w->best_worth < w->want;
    w->kink = manners[w->manner].kink[weave_below(w, 4)];
    set_price(w, share);
    w->logged = 0;
    since = weave_mark(w);
    shake(w, v);
    if (weave_cost(w, since) > 0)
        weave_back(w, since.logged);
    else
        reach(w, v);
    if (astray(w))
        weave_recall(w);
    next_epoch(w, share);
}

void weave_improve(struct weave *w, size_t rounds)
{
    if (w->want == 0)
        return;
    for (size_t i = 0; i < rounds; i++)
        round_once(w);
}
