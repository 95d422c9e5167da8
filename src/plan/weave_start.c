/* The first answer: fans by what they work for their seconds, the best first (the greedy of
 * weighted set cover, Chvatal 1979, with a station's fan as one set; lazily, Minoux 1978: what a
 * fan adds only falls while others are chosen). */
#include <math.h>
#include <stdlib.h>

#include "weave_parts.h"

struct heap {
    uint32_t *station;
    double *key; /* per station */
    size_t n;
};

static void sink(struct heap *h, size_t i)
{
    uint32_t s = h->station[i];

    for (size_t child; (child = 2 * i + 1) < h->n; i = child) {
        if (child + 1 < h->n && h->key[h->station[child + 1]] > h->key[h->station[child]])
            child++;
        if (h->key[h->station[child]] <= h->key[s])
            break;
        h->station[i] = h->station[child];
    }
    h->station[i] = s;
}

/* Grains a tick. */
static double worth_of(struct weave_fan fan)
{
    return fan.casts ? (double)fan.grains / (double)(fan.ticks + 1) : 0;
}

/* The keys of all stations while nothing is in. */
static void heap_make(struct weave *w, struct heap *h)
{
    for (size_t s = 0; s < w->c->stations; s++) {
        h->station[s] = (uint32_t)s;
        h->key[s] = worth_of(weave_fan_fill(w, (uint32_t)s));
        weave_back(w, 0);
    }
    h->n = w->c->stations;
    for (size_t i = h->n / 2; i-- > 0;)
        sink(h, i);
}

/* The last casts of a fan that are not needed any more. */
static void trim(struct weave *w)
{
    while (w->logged) {
        weave_back(w, w->logged - 1);
        if (w->worth < w->want) {
            /* it was needed after all: the log's room above holds it still */
            weave_turn(w, w->log[w->logged]);
            return;
        }
    }
}

/* Fans until enough is worked; the casts as they were picked. */
static size_t pick(struct weave *w, struct heap *h, uint32_t *order)
{
    size_t n = 0;

    heap_make(w, h);
    while (h->n && w->worth < w->want) {
        uint32_t s = h->station[0];
        double key = worth_of(weave_fan_fill(w, s)), was = h->key[s];

        h->key[s] = key;
        if (key <= 0)
            h->station[0] = h->station[--h->n];
        sink(h, 0);
        if (key <= 0)
            continue;
        if (key < was &&
            h->station[0] != s) { /* another is ahead: look again when its turn comes */
            weave_back(w, 0);
            continue;
        }
        if (w->worth >= w->want)
            trim(w);
        for (size_t i = 0; i < w->logged; i++)
            order[n++] = w->log[i];
        w->logged = 0;
        w->price = 1 / key;
        h->key[s] = INFINITY; /* what it would add now is not known yet */
    }
    return n;
}

/* Casts whose every cell others work too. */
static void prune(struct weave *w, const uint32_t *order, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (w->in[order[i]] && weave_loss(w, order[i]) == 0)
            weave_turn(w, order[i]);
    w->logged = 0;
}

int weave_start(struct weave *w)
{
    size_t stations = w->c->stations + 1;
    struct heap h = {malloc(stations * sizeof *h.station), malloc(stations * sizeof *h.key), 0};
    uint32_t *order = malloc((w->c->casts + 1) * sizeof *order);
    int status = h.station && h.key && order ? 0 : -1;

    if (status == 0) {
        size_t n = pick(w, &h, order);

        if (w->limit < weave_spent(w))
            status = weave_stretch(w, order, n);
        prune(w, order, n);
        weave_keep(w);
    }
    free(order);
    free(h.key);
    free(h.station);
    return status;
}
