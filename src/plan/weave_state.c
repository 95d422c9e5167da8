/* The answer at hand of a weave: casts in and out, the undo log, the best answer. */
#include "weave_parts.h"

static inline int64_t open_grains(uint64_t cell)
{
    return cell & WEAVE_HITS ? 0 : (int64_t)(cell >> WEAVE_SHIFT);
}

int64_t weave_gain(const struct weave *w, uint32_t cast)
{
    const uint32_t *cell = w->c->cell + w->c->cell0[cast],
                   *end = w->c->cell + w->c->cell0[cast + 1];
    int64_t sum = 0;

    for (; cell < end; cell++)
        sum += open_grains(w->cell[*cell]);
    return sum;
}

int64_t weave_loss(const struct weave *w, uint32_t cast)
{
    const uint32_t *cell = w->c->cell + w->c->cell0[cast],
                   *end = w->c->cell + w->c->cell0[cast + 1];
    int64_t sum = 0;

    for (; cell < end; cell++)
        sum += (w->cell[*cell] & WEAVE_HITS) == 1 ? (int64_t)(w->cell[*cell] >> WEAVE_SHIFT) : 0;
    return sum;
}

static void station_opened(struct weave *w, uint32_t station)
{
    w->spent += w->stop;
    if (w->first == WEAVE_NONE || station < w->first)
        w->first = station;
    if (w->last == WEAVE_NONE || station > w->last)
        w->last = station;
}

/* The next station used stands near the one that closed unless a long stretch is empty. */
static void station_closed(struct weave *w, uint32_t station)
{
    w->spent -= w->stop;
    if (w->first == w->last) {
        w->first = w->last = WEAVE_NONE;
        return;
    }
    if (station == w->first)
        while (!w->held[w->first])
            w->first++;
    if (station == w->last)
        while (!w->held[w->last])
            w->last--;
}

static void put(struct weave *w, uint32_t cast)
{
    const uint32_t *cell = w->c->cell + w->c->cell0[cast],
                   *end = w->c->cell + w->c->cell0[cast + 1];
    int64_t sum = 0;

    for (; cell < end; cell++)
        sum += open_grains(w->cell[*cell]++);
    w->worth += sum;
    w->spent += w->ticks[cast];
    w->in[cast] = 1;
    if (w->held[w->home[cast]]++ == 0)
        station_opened(w, w->home[cast]);
}

static void take(struct weave *w, uint32_t cast)
{
    const uint32_t *cell = w->c->cell + w->c->cell0[cast],
                   *end = w->c->cell + w->c->cell0[cast + 1];
    int64_t sum = 0;

    for (; cell < end; cell++)
        sum += open_grains(--w->cell[*cell]);
    w->worth -= sum;
    w->spent -= w->ticks[cast];
    w->in[cast] = 0;
    if (--w->held[w->home[cast]] == 0)
        station_closed(w, w->home[cast]);
}

static void turn(struct weave *w, uint32_t cast)
{
    if (w->in[cast])
        take(w, cast);
    else
        put(w, cast);
    if (!w->listed[cast]) {
        w->listed[cast] = 1;
        w->differs[w->differ++] = cast;
    }
}

void weave_turn(struct weave *w, uint32_t cast)
{
    turn(w, cast);
    if (w->logged < w->log_size) /* rounds stop long before it is full; the start needs none */
        w->log[w->logged++] = cast;
}

void weave_back(struct weave *w, size_t logged)
{
    while (w->logged > logged)
        turn(w, w->log[--w->logged]);
}

int64_t weave_spent(const struct weave *w)
{
    return w->first == WEAVE_NONE ? w->spent : w->spent + w->at[w->last] - w->at[w->first];
}

bool weave_keep(struct weave *w)
{
    int64_t spent = weave_spent(w), worth = w->worth < w->want ? w->worth : w->want;
    int64_t best = w->best_worth < w->want ? w->best_worth : w->want;

    if (spent > w->limit || worth < best || (worth == best && spent >= w->best_spent))
        return false;
    for (size_t i = 0; i < w->differ; i++) {
        w->best[w->differs[i]] = w->in[w->differs[i]];
        w->listed[w->differs[i]] = 0;
    }
    w->differ = 0;
    w->best_worth = w->worth;
    w->best_spent = spent;
    return true;
}

void weave_recall(struct weave *w)
{
    for (size_t i = 0; i < w->differ; i++) {
        uint32_t cast = w->differs[i];

        if (w->in[cast] != w->best[cast])
            turn(w, cast);
        w->listed[cast] = 0;
    }
    w->differ = 0;
    w->logged = 0;
}
