/* Small changes of the answer at hand, each tried and kept or undone at once. What a change costs
 * is its ticks less the price of the grains it wins; one that costs less than `most` is kept.
 *
 * Casts of a station stand in the order of their bearings, and those of neighbours look nearly the
 * same way, so that the cast beside another, or at the same rank of the next station, is like it.
 */
#include "weave_parts.h"

struct weave_mark weave_mark(const struct weave *w)
{
    return (struct weave_mark){weave_spent(w), w->worth, w->logged};
}

/* What an answer costs but for a constant. Beyond what is wanted a grain is worth less than short
 * of it, and a tick beyond the limit more than within, by the round's kink. */
static double cost_of(const struct weave *w, int64_t spent, int64_t worth)
{
    double t = (double)(w->timed ? spent - w->limit : spent);
    double g = (double)(w->timed ? worth : worth - w->want);

    if (w->timed)
        t *= t > 0 ? w->kink : 1 / w->kink;
    else
        g *= g < 0 ? w->kink : 1 / w->kink;
    return t - w->price_now * g;
}

double weave_cost(const struct weave *w, struct weave_mark since)
{
    return cost_of(w, weave_spent(w), w->worth) - cost_of(w, since.spent, since.worth);
}

/* Of one cast in or out at a station that stays used; grains is what that adds to or takes from. */
static double cost_of_turn(const struct weave *w, uint32_t cast, int64_t grains)
{
    int64_t spent = weave_spent(w), sign = w->in[cast] ? -1 : 1;

    return cost_of(w, spent + sign * w->ticks[cast], w->worth + sign * grains) -
           cost_of(w, spent, w->worth);
}

static void settle(struct weave *w, struct weave_mark since, double most)
{
    if (weave_cost(w, since) > most)
        weave_back(w, since.logged);
}

static uint32_t casts_of(const struct weave *w, uint32_t station)
{
    return w->c->cast0[station + 1] - w->c->cast0[station];
}

/* Any cast of a station that has some. */
static uint32_t any_cast(struct weave *w, uint32_t station)
{
    return w->c->cast0[station] + weave_below(w, casts_of(w, station));
}

/* A cast that is in, of a station used. */
static uint32_t cast_in(struct weave *w, uint32_t station)
{
    uint32_t from = w->c->cast0[station], to = w->c->cast0[station + 1], c = any_cast(w, station);

    while (!w->in[c])
        if (++c == to)
            c = from;
    return c;
}

/* A station used within the view; WEAVE_NONE: there is none. */
static uint32_t used_in(struct weave *w, struct weave_view v)
{
    uint32_t n = v.to - v.from, s = v.from + weave_below(w, n);

    for (uint32_t i = 0; i < n; i++) {
        if (w->held[s])
            return s;
        if (++s == v.to)
            s = v.from;
    }
    return WEAVE_NONE;
}

/* One cast in or out. Where the station stays used the cost is known before anything is touched. */
static void turn_one(struct weave *w, uint32_t station, double most)
{
    struct weave_mark since = weave_mark(w);
    uint32_t c;

    if (!casts_of(w, station))
        return;
    c = any_cast(w, station);
    if (w->in[c] && w->held[station] > 1) {
        if (cost_of_turn(w, c, weave_loss(w, c)) <= most)
            weave_turn(w, c);
    } else if (!w->in[c] && w->held[station]) {
        if (cost_of_turn(w, c, weave_gain(w, c)) <= most)
            weave_turn(w, c);
    } else {
        weave_turn(w, c);
        settle(w, since, most);
    }
}

/* A cast for another one. */
static void replace(struct weave *w, uint32_t out, uint32_t in, double most)
{
    struct weave_mark since = weave_mark(w);

    weave_turn(w, out);
    if (w->held[w->home[in]] &&
        weave_cost(w, since) + cost_of_turn(w, in, weave_gain(w, in)) > most) {
        weave_back(w, since.logged);
        return;
    }
    weave_turn(w, in);
    settle(w, since, most);
}

/* A cast turns to a bearing one or two further. */
static void nudge(struct weave *w, uint32_t station, double most)
{
    static const int by[6] = {-2, -1, -1, 1, 1, 2};
    uint32_t c = cast_in(w, station);
    int64_t other = (int64_t)c + by[weave_below(w, 6)];

    if (other < (int64_t)w->c->cast0[station] || other >= (int64_t)w->c->cast0[station + 1] ||
        w->in[other])
        return;
    replace(w, c, (uint32_t)other, most);
}

/* A cast is thrown at another bearing, or from another station used. */
static void pass(struct weave *w, uint32_t station, struct weave_view v, double most)
{
    uint32_t c = cast_in(w, station), other = any_cast(w, used_in(w, v));

    if (!w->in[other])
        replace(w, c, other, most);
}

/* A station's fan from another station, cast for cast; where that is used already the two merge. */
static void shift(struct weave *w, uint32_t station, struct weave_view v, double most)
{
    static const uint32_t by[8] = {1, 1, 1, 1, 2, 2, 3, 4};
    uint32_t k = by[weave_below(w, 8)], from = w->c->cast0[station], n = casts_of(w, station),
             other;
    bool up = weave_random(w) >> 63;
    struct weave_mark since = weave_mark(w);
    uint32_t to, m, middle;

    if (up ? station + k >= v.to : station < v.from + k)
        return;
    other = up ? station + k : station - k;
    to = w->c->cast0[other];
    m = casts_of(w, other);
    middle = m / 2 - n / 2; /* wraps round below 0, and back again */
    for (uint32_t i = 0; i < n; i++)
        if (w->in[from + i]) {
            uint32_t j = i + middle;

            weave_turn(w, from + i);
            if (j < m && !w->in[to + j])
                weave_turn(w, to + j);
        }
    settle(w, since, most);
}

/* All bearings of a station by one. */
static void swing(struct weave *w, uint32_t station, double most)
{
    uint32_t from = w->c->cast0[station], to = w->c->cast0[station + 1];
    struct weave_mark since = weave_mark(w);

    if (weave_random(w) >> 63) {
        for (uint32_t c = to; c-- > from;)
            if (w->in[c] != (c > from && w->in[c - 1]))
                weave_turn(w, c);
    } else {
        for (uint32_t c = from; c < to; c++)
            if (w->in[c] != (c + 1 < to && w->in[c + 1]))
                weave_turn(w, c);
    }
    settle(w, since, most);
}

/* A fan where none is. */
static void open(struct weave *w, struct weave_view v, double most)
{
    struct weave_mark since = weave_mark(w);

    weave_fan_fill(w, v.from + weave_below(w, v.to - v.from));
    settle(w, since, most);
}

bool weave_move(struct weave *w, struct weave_view v, double most)
{
    uint32_t s = used_in(w, v), r = weave_below(w, 256);

    if (s == WEAVE_NONE || r == 0)
        open(w, v, most);
    else if (r < 6)
        turn_one(w, v.from + weave_below(w, v.to - v.from), most);
    else if (r < 81)
        turn_one(w, s, most);
    else if (r < 142)
        nudge(w, s, most);
    else if (r < 247)
        pass(w, s, v, most);
    else if (r < 255)
        shift(w, s, v, most);
    else
        swing(w, s, most);
    return s != WEAVE_NONE;
}
