/* The first answer within so many seconds: which stretch of the beat, and how thoroughly.
 *
 * The first k picks of the greedy are an answer for every k, thorough where k is large; each pick
 * counts for what it added then, so a stretch of stations works at least the sum of its own. For
 * some k the best stretch is found with two fingers, for travel counts from its first station to
 * its last.
 */
#include <stdlib.h>

#include "weave_parts.h"

#define LEVELS 24

struct stretch {
    uint32_t from, to; /* stations*/
    size_t picks;
    int64_t grains;
};
struct sums { /* per station: of the picks so far */
    int64_t *grains, *ticks;
};

static void look(const struct weave *w, const struct sums *sums, size_t picks, struct stretch *best)
{
    int64_t grains = 0, ticks = 0;
    uint32_t from = 0;

    for (uint32_t to = 0; to < w->c->stations; to++) {
        if (!sums->ticks[to])
            continue;
        grains += sums->grains[to];
        ticks += sums->ticks[to];
        while (from <= to && (!sums->ticks[from] || ticks + w->at[to] - w->at[from] > w->limit)) {
            grains -= sums->grains[from];
            ticks -= sums->ticks[from++];
        }
        if (grains > best->grains)
            *best = (struct stretch){from, to, picks, grains};
    }
}

/* All picks are put in anew, in their order, to learn what each adds. */
static struct stretch seek(struct weave *w, const uint32_t *order, size_t n, struct sums *sums)
{
    struct stretch best = {0, 0, 0, 0};

    for (size_t i = 0; i < n; i++) {
        int64_t worth = w->worth, spent = w->spent;
        uint32_t s = w->home[order[i]];

        weave_turn(w, order[i]);
        sums->grains[s] += w->worth - worth;
        sums->ticks[s] += w->spent - spent;
        if ((i + 1) * LEVELS / n != i * LEVELS / n)
            look(w, sums, i + 1, &best);
    }
    return best;
}

static bool fits(const struct weave *w, uint32_t cast, uint32_t from, uint32_t to)
{
    int64_t stop = w->held[w->home[cast]] ? 0 : w->stop;

    return !w->in[cast] && w->spent + w->ticks[cast] + stop + w->at[to] - w->at[from] <= w->limit;
}

/* The cast of the stretch that adds most for its seconds and fits. */
static uint32_t fits_best(const struct weave *w, uint32_t from, uint32_t to)
{
    uint32_t pick = WEAVE_NONE;
    double top = 0;

    for (uint32_t c = w->c->cast0[from]; c < w->c->cast0[to + 1]; c++)
        if (fits(w, c, from, to)) {
            int64_t stop = w->held[w->home[c]] ? 0 : w->stop;
            double rate = (double)weave_gain(w, c) / (double)(w->ticks[c] + stop + 1);

            if (rate > top) {
                top = rate;
                pick = c;
            }
        }
    return pick;
}

/* More of the stretch: the picks that came later, and when none of these fits, whatever does. */
static void fill_up(struct weave *w, const uint32_t *order, size_t n, struct stretch s)
{
    uint32_t c;

    for (size_t i = s.picks; i < n; i++)
        if (w->home[order[i]] >= s.from && w->home[order[i]] <= s.to &&
            fits(w, order[i], s.from, s.to) && weave_gain(w, order[i]) > 0)
            weave_turn(w, order[i]);
    while (w->worth < w->want && (c = fits_best(w, s.from, s.to)) != WEAVE_NONE)
        weave_turn(w, c);
}

int weave_stretch(struct weave *w, const uint32_t *order, size_t n)
{
    size_t size = (w->c->stations + 1) * sizeof(int64_t);
    struct sums sums = {calloc(1, size), calloc(1, size)};
    int status = sums.grains && sums.ticks ? 0 : -1;

    for (size_t i = 0; status == 0 && i < n; i++)
        if (w->in[order[i]])
            weave_turn(w, order[i]);
    if (status == 0 && n) {
        struct stretch s = seek(w, order, n, &sums);

        if (!s.grains) /* no stretch fits: a single cast may */
            s = (struct stretch){0, (uint32_t)w->c->stations - 1, 0, 0};
        for (size_t i = 0; i < n; i++)
            if (i >= s.picks || w->home[order[i]] < s.from || w->home[order[i]] > s.to)
                weave_turn(w, order[i]);
        fill_up(w, order, n, s);
    }
    w->logged = 0;
    free(sums.grains);
    free(sums.ticks);
    return status;
}
