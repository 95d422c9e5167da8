/* The fan of one station that works most for its seconds, the stop shared by its casts. */
#include "weave_parts.h"

static void rate(struct weave *w, uint32_t cast)
{
    w->rate[cast] = w->in[cast] ? 0 : (double)weave_gain(w, cast) / (double)(w->ticks[cast] + 1);
}

/* The best cast left. Rates only fall while casts are put in, so one that is still ahead of all
 * others after a second look needs no third. */
static uint32_t best(struct weave *w, uint32_t from, uint32_t to)
{
    for (;;) {
        uint32_t top = from;
        double was;

        for (uint32_t c = from + 1; c < to; c++)
            if (w->rate[c] > w->rate[top])
                top = c;
        was = w->rate[top];
        rate(w, top);
        if (w->rate[top] >= was)
            return top;
    }
}

struct weave_fan weave_fan_fill(struct weave *w, uint32_t station)
{
    uint32_t from = w->c->cast0[station], to = w->c->cast0[station + 1];
    struct weave_fan fan = {0, 0, w->held[station] ? 0 : w->stop};
    bool paid = w->held[station];

    for (uint32_t c = from; c < to; c++)
        rate(w, c);
    while (from < to && !(paid && fan.casts)) {
        uint32_t c = best(w, from, to);
        int64_t worth = w->worth;

        if (w->rate[c] <= 0 || w->rate[c] * (double)fan.ticks < (double)fan.grains)
            break;
        weave_turn(w, c);
        w->rate[c] = 0;
        fan.casts++;
        fan.grains += w->worth - worth;
        fan.ticks += w->ticks[c];
    }
    return fan;
}
