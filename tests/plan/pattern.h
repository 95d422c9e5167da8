/* Fixed patterns as they are cast today: a stop every so many metres, at each the same fan,
 * symmetric about square. Covers are looked up in a table made once a strip. */
#ifndef LIPWALK_TEST_PATTERN_H
#define LIPWALK_TEST_PATTERN_H

#include "plan/strip.h"

#define PATTERN_WIDE 80 /* degrees to each side */

struct pattern {
    int spacing_m, step_deg, half_deg, first_m;
    double full_s, cut_s; /* casts at full length; cut to the last cell each can work */
    size_t covered;
};

struct pattern_table {
    int places, turns; /* every metre of the hold line; every half degree */
    uint32_t *cell0, *cell;
    float *far_m;
    uint8_t *counts; /* cells that count as coverable */
    uint32_t *stamp, now;
};

static inline struct pattern_table *pattern_table_new(const struct strip *s, const uint8_t *counts)
{
    struct pattern_table *t = calloc(1, sizeof *t);
    size_t n = 0, room = 1 << 16, at = 0;

    t->places = (int)s->hold_m + 1;
    t->turns = 4 * PATTERN_WIDE + 1;
    t->cell0 = malloc(((size_t)t->places * (size_t)t->turns + 1) * sizeof *t->cell0);
    t->far_m = malloc((size_t)t->places * (size_t)t->turns * sizeof *t->far_m);
    t->cell = malloc(room * sizeof *t->cell);
    t->counts = malloc(s->cells);
    memcpy(t->counts, counts, s->cells);
    t->stamp = calloc(s->cells, sizeof *t->stamp);
    for (int p = 0; p < t->places; p++)
        for (int k = 0; k < t->turns; k++, at++) {
            double far;

            if (n + 2048 > room)
                t->cell = realloc(t->cell, (room *= 2) * sizeof *t->cell);
            t->cell0[at] = (uint32_t)n;
            n += strip_cast(s, strip_at(s, p), k * .5 - PATTERN_WIDE, t->cell + n, &far);
            t->far_m[at] = (float)far;
        }
    t->cell0[at] = (uint32_t)n;
    return t;
}

static inline void pattern_table_free(struct pattern_table *t)
{
    free(t->cell0);
    free(t->cell);
    free(t->far_m);
    free(t->counts);
    free(t->stamp);
    free(t);
}

static inline void pattern_cast(const struct strip *s, struct pattern_table *t, size_t at,
                                struct pattern *p)
{
    for (uint32_t i = t->cell0[at]; i < t->cell0[at + 1]; i++)
        if (t->stamp[t->cell[i]] != t->now) {
            t->stamp[t->cell[i]] = t->now;
            p->covered += t->counts[t->cell[i]];
        }
    p->full_s += strip_cast_s(s, s->shape.cast_m);
    p->cut_s += t->cell0[at] == t->cell0[at + 1] ? 0 : strip_cast_s(s, (double)t->far_m[at]);
}

/* As many turns of `step` as fit within twice the half angle, centred on square. */
static inline void pattern_lay(const struct strip *s, struct pattern_table *t, struct pattern *p)
{
    int n = 2 * p->half_deg / p->step_deg + 1, low = -(n - 1) * p->step_deg; /* half degrees */

    t->now++;
    p->full_s = p->cut_s = 0;
    p->covered = 0;
    for (int m = p->first_m; m < t->places; m += p->spacing_m) {
        p->full_s += s->shape.stop_s;
        p->cut_s += s->shape.stop_s;
        for (int k = 0; k < n; k++)
            pattern_cast(s, t,
                         (size_t)m * (size_t)t->turns +
                             (size_t)(low + 2 * k * p->step_deg + 2 * PATTERN_WIDE),
                         p);
    }
}

/* The cheapest patterns that cover so many cells: casts at full length, and cut. */
static inline void pattern_sweep(const struct strip *s, struct pattern_table *t, size_t enough,
                                 struct pattern *full, struct pattern *cut)
{
    full->full_s = cut->cut_s = INFINITY;
    for (int spacing = 4; spacing <= 30; spacing++)
        for (int step = 4; step <= 20; step++)
            for (int half = 20; half <= PATTERN_WIDE; half += 5)
                for (int first = 0; first <= spacing / 2; first += spacing / 2) {
                    struct pattern p = {spacing, step, half, first, 0, 0, 0};

                    pattern_lay(s, t, &p);
                    if (p.covered >= enough && p.full_s < full->full_s)
                        *full = p;
                    if (p.covered >= enough && p.cut_s < cut->cut_s)
                        *cut = p;
                }
}

#endif
