/* The first answer: the cast that works most a second, again and again; then what became needless
 * is given up. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "weave_parts.h"

#define STOP_SHARE                                                                                 \
    0.25 /* of a stop that its first cast has to bear: the fan's others bear the rest */

struct offer {
    float key;
    uint32_t cast;
};
struct heap {
    struct offer *at;
    size_t n, cap;
};

static int push(struct heap *heap, struct offer offer)
{
    size_t i = heap->n;

    if (lw_array_room(&heap->at, heap->n, &heap->cap))
        return -1;
    heap->n++;
    while (i > 0 && heap->at[(i - 1) / 2].key < offer.key) {
        heap->at[i] = heap->at[(i - 1) / 2];
        i = (i - 1) / 2;
    }
    heap->at[i] = offer;
    return 0;
}

static void sink(struct heap *heap, size_t i, struct offer offer)
{
    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= heap->n)
            break;
        if (child + 1 < heap->n && heap->at[child + 1].key > heap->at[child].key)
            child++;
        if (heap->at[child].key <= offer.key)
            break;
        heap->at[i] = heap->at[child];
        i = child;
    }
    heap->at[i] = offer;
}

static struct offer offer_of(const struct weave *w, uint32_t cast)
{
    double s = (double)w->c->cast_s[cast] +
               (w->used[w->station[cast]] ? 0 : STOP_SHARE * w->c->stop_s);

    return (struct offer){(float)((double)w->gain[cast] / fmax(s, 1e-9)), cast};
}

static int fill_heap(const struct weave *w, struct heap *heap)
{
    heap->cap = w->c->casts + 1024;
    heap->at = malloc(heap->cap * sizeof *heap->at);
    if (!heap->at)
        return -1;
    for (uint32_t k = 0; k < w->c->casts; k++)
        heap->at[heap->n++] = offer_of(w, k);
    for (size_t i = heap->n / 2; i-- > 0;)
        sink(heap, i, heap->at[i]);
    return 0;
}

/* Offers of an opened station are better than they were. */
static int offer_again(const struct weave *w, struct heap *heap, size_t station)
{
    for (uint32_t k = w->c->cast0[station]; k < w->c->cast0[station + 1]; k++)
        if (!w->chosen[k] && w->gain[k] > 0 && push(heap, offer_of(w, k)))
            return -1;
    return 0;
}

/* Takes casts until the wanted worth is there (all that can be, when time is what is wanted). */
static int take_best(struct weave *w)
{
    struct heap heap = {0};
    int rc = fill_heap(w, &heap);

    while (rc == 0 && heap.n > 0 && !(isnan(w->want_s) && weave_meets(w, w->worth, 0))) {
        struct offer top = heap.at[0], now = offer_of(w, top.cast);
        size_t station = w->station[top.cast];
        bool opens = w->used[station] == 0;

        if (w->chosen[top.cast] || now.key < top.key) {
            if (w->chosen[top.cast] || now.key <= 0)
                now = heap.at[--heap.n]; /* gone for good */
            if (heap.n)
                sink(&heap, 0, now);
            continue;
        }
        now = heap.at[--heap.n];
        if (heap.n)
            sink(&heap, 0, now);
        w->price = top.key > 0 ? 1 / (double)top.key : w->price;
        weave_put(w, top.cast);
        if (opens)
            rc = offer_again(w, &heap, station);
    }
    free(heap.at);
    return rc;
}

static double station_s(const struct weave *w, size_t s)
{
    double sum_s = w->used[s] ? w->c->stop_s : 0;

    for (uint32_t k = w->c->cast0[s]; k < w->c->cast0[s + 1]; k++)
        sum_s += w->chosen[k] ? (double)w->c->cast_s[k] : 0;
    return sum_s;
}

static double station_own(const struct weave *w, size_t s)
{
    double own = 0;

    for (uint32_t k = w->c->cast0[s]; k < w->c->cast0[s + 1]; k++)
        own += w->chosen[k] ? weave_own(w, k) : 0;
    return own;
}

/* Too long a beat for the time: keeps the stretch of stations that has most worth within it. */
static int keep_stretch(struct weave *w)
{
    const struct weave_case *c = w->c;
    double *own = calloc(c->stations + 1, sizeof *own), *s = calloc(c->stations + 1, sizeof *s);
    double sum = 0, sum_s = 0, best = -1;
    size_t low = 0, from = 0, to = 0;

    if (!own || !s) {
        free(own);
        free(s);
        return -1;
    }
    for (size_t i = 0; i < c->stations; i++) {
        own[i] = station_own(w, i);
        s[i] = station_s(w, i);
        sum += own[i];
        sum_s += s[i];
        while (low <= i &&
               (!w->used[low] || sum_s + c->travel_spm * (c->at_m[i] - c->at_m[low]) > w->want_s)) {
            sum -= own[low];
            sum_s -= s[low++];
        }
        if (low <= i && sum > best) {
            best = sum;
            from = low;
            to = i + 1;
        }
    }
    for (uint32_t k = 0; k < c->casts; k++)
        if (w->chosen[k] && (w->station[k] < from || w->station[k] >= to))
            weave_drop(w, k);
    free(own);
    free(s);
    return 0;
}

int weave_begin(struct weave *w)
{
    w->price = 1;
    if (take_best(w))
        return -1;
    if (isnan(w->want_s)) {
        weave_prune(w, 0, w->c->stations, true);
    } else if (weave_now_s(w) > w->want_s && keep_stretch(w)) {
        return -1;
    }
    w->logs = 0;
    weave_keep(w);
    return 0;
}
