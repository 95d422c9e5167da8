/* Where the boat could stop: every two metres of the hold line. */
#include <math.h>
#include <stdlib.h>

#include "fan_parts.h"

#define SPOT_STEP_M 3.0
#define MOST_SPOTS  200000
#define BEARING_M   3.0 /* the hold line's direction is its mean over so much either way */

static size_t part_spots(const struct lw_line *part, double *step_m)
{
    double length_m = lw_line_length(part);
    double n = fmax(1, ceil(length_m / SPOT_STEP_M - 1e-9));

    *step_m = length_m / n;
    return (size_t)n + !part->closed;
}

/* Walks along a part: asked for places in rising order only, so that all of them cost one pass. */
struct walker {
    const struct lw_line *part;
    size_t i;        /* on the run p[i] .. p[i + 1] */
    double before_m; /* along of p[i] */
};

static struct lw_en walk_to(struct walker *w, double m)
{
    for (;;) {
        struct lw_en a = w->part->p[w->i], b = w->part->p[w->i + 1];
        double run_m = lw_en_distance(a, b);

        if (m <= w->before_m + run_m || w->i + 2 >= w->part->n)
            return lw_en_between(a, b, run_m > 0 ? fmin(1, fmax(0, (m - w->before_m) / run_m)) : 0);
        w->before_m += run_m;
        w->i++;
    }
}

static struct fan_spot spot_at(const struct lw_plan *plan, struct walker *behind,
                               struct walker *here, struct walker *ahead, double m)
{
    struct fan_spot spot = {.at = walk_to(here, m)};
    struct lw_offset_at off = lw_plan_offset(plan, spot.at);
    struct lw_en from = walk_to(behind, m - BEARING_M), to = walk_to(ahead, m + BEARING_M);

    spot.along_m = off.along_m;
    spot.square_deg = lw_en_bearing(spot.at, off.foot);
    spot.bow_deg = lw_en_bearing(from, to);
    if (plan->params.backward)
        spot.bow_deg = lw_bearing_wrap(spot.bow_deg + 180);
    return spot;
}

/* The way from the end of part i to the next: round, where a detour is known, else straight. */
static double way_on(const struct lw_plan *plan, size_t i)
{
    const struct lw_line *a = &plan->hold.line[i], *b = &plan->hold.line[i + 1];

    for (size_t k = 0; k < plan->detours; k++)
        if (plan->detour[k].after == (int)i + 1 && isfinite(plan->detour[k].length_m))
            return plan->detour[k].length_m;
    return lw_en_distance(a->p[a->n - 1], b->p[0]);
}

int fan_spots(const struct lw_plan *plan, struct lw_fan_work *work, struct lw_error *err)
{
    size_t most = 0, n = 0;
    double step_m, way_m = 0;

    for (size_t i = 0; i < plan->hold.n; i++)
        most += part_spots(&plan->hold.line[i], &step_m);
    if (most > MOST_SPOTS)
        return lw_fail(err, "a beat of %s is too long for one plan; give a shorter one",
                       lw_plan_words(&plan->params, lw_plan_beat_length(plan)));
    work->spot = calloc(most + 1, sizeof *work->spot);
    if (!work->spot)
        return lw_fail(err, "memory ran out while placing %zu stations", most);
    for (size_t i = 0; i < plan->hold.n; i++) {
        const struct lw_line *part = &plan->hold.line[i];
        size_t count = part_spots(part, &step_m);
        struct walker behind = {part, 0, 0}, here = behind, ahead = behind;

        for (size_t k = 0; k < count; k++) {
            struct fan_spot *spot = &work->spot[n++];

            *spot = spot_at(plan, &behind, &here, &ahead, (double)k * step_m);
            spot->way_m = way_m + (double)k * step_m;
            if (part->closed && k == 0) /* the ring's start, and by rounding its end */
                spot->along_m = 0;
        }
        way_m += lw_line_length(part);
        if (i + 1 < plan->hold.n)
            way_m += way_on(plan, i);
    }
    work->spots = n;
    return 0;
}
