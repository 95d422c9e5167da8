/* Points and inside turns: where a lip bends in the plan. */
#include <math.h>
#include <stdlib.h>

#include "lip_parts.h"
#include "lipwalk/base/array.h"

#define WIDEST_M   100.0 /* a wider bend than this radius is no place; common practice, no source */
#define FAINT_M    250.0 /* a place's stretch ends where it bends less than this radius */
#define LEAST_TURN 0.6   /* radians: a third of a right angle more or less than a straight run */
#define ALIKE      0.7   /* of the greatest bend */
#define ROUNDER    1.5   /* times the mean bend of a ring: a round hump is no point all round */

struct track { /* a lip's vertices, about evenly spaced */
    const struct lw_lip_point *p;
    int n; /* of a ring: without the repeated one */
    bool closed;
    double step_m;
    int half; /* vertices in a chord: nearer to an open end nothing is known of the bend */
};

static struct lw_en at(const struct track *t, int k)
{
    if (t->closed)
        k = (k % t->n + t->n) % t->n;
    return t->p[k].at;
}

/* The turn between the chords before and after a vertex, over their length: the bend of a circle
 * through the three points, whatever the digitising between them. */
static double bend_at(const struct track *t, int k, int half)
{
    struct lw_en a, b, c;
    double e0, n0, e1, n1, far;

    if (!t->closed) {
        half = k < half ? k : half;
        half = t->n - 1 - k < half ? t->n - 1 - k : half;
    }
    if (half < 1)
        return 0;
    a = at(t, k - half);
    b = at(t, k);
    c = at(t, k + half);
    e0 = b.e_m - a.e_m;
    n0 = b.n_m - a.n_m;
    e1 = c.e_m - b.e_m;
    n1 = c.n_m - b.n_m;
    far = half * t->step_m;
    return -atan2(e0 * n1 - n0 * e1, e0 * e1 + n0 * n1) / far;
}

/* Ends are bent by few points: the bend of the nearest vertex with a whole chord stands for them.
 */
static void bend_all(struct lw_lip *lip, const struct track *t, int half)
{
    for (int k = 0; k < t->n; k++)
        lip->p[k].bend_per_m = bend_at(t, k, half);
    for (int k = 0; k < half && !t->closed; k++) {
        lip->p[k].bend_per_m = t->n > 2 * half ? lip->p[half].bend_per_m : 0;
        lip->p[t->n - 1 - k].bend_per_m = t->n > 2 * half ? lip->p[t->n - 1 - half].bend_per_m : 0;
    }
    if (t->closed)
        lip->p[t->n].bend_per_m = lip->p[0].bend_per_m;
}

/* Where the stretch bends most. A blunt end bends alike all round: of the vertices that bend nearly
 * as much as the one that bends most, the one with half of their turn on either side. */
static void put_at_most(const struct track *t, double mean, int from, int n,
                        struct lw_lip_place *out)
{
    double most = 0, turn = 0, passed = 0;

    for (int pass = 0; pass < 3; pass++)
        for (int i = 0; i < n; i++) {
            int k = t->closed ? (from + i) % t->n : from + i;
            double more = fabs(t->p[k].bend_per_m - mean);

            if (!t->closed && (k < t->half || k >= t->n - t->half))
                continue;
            if (pass == 0 && more > most) {
                most = more;
                out->radius_m = 1 / fabs(t->p[k].bend_per_m);
            } else if (pass == 1 && more >= ALIKE * most) {
                turn += more;
            } else if (pass == 2 && more >= ALIKE * most) {
                passed += more;
                if (passed < turn / 2)
                    continue;
                out->at = t->p[k].at;
                out->along_m = k * t->step_m;
                return;
            }
        }
}

/* One stretch of one sense from vertex `from` on; gives its length in vertices. radius_m is NaN
 * where it is no place. */
static int stretch(const struct track *t, const struct lw_lip_scale *scale, double mean, int from,
                   int most, struct lw_lip_place *out)
{
    double faint = 1 / (FAINT_M * scale->unit), turn = 0;
    int n = 0, sense = 0;

    out->radius_m = NAN;
    for (; n < most; n++) {
        int k = t->closed ? (from + n) % t->n : from + n;
        double more = t->p[k].bend_per_m - mean;
        int way = more > faint ? 1 : more < -faint ? -1 : 0;

        if (n == 0)
            sense = way;
        if (way != sense)
            break;
        turn += more * t->step_m;
    }
    out->inside_turn = sense < 0;
    out->turn_deg = fabs(turn) * 180 / M_PI;
    out->length_m = n * t->step_m;
    if (sense != 0 && fabs(turn) >= LEAST_TURN)
        put_at_most(t, mean, from, n, out);
    if (!(out->radius_m <= WIDEST_M * scale->unit) ||
        (mean > 0 && sense > 0 && 1 / out->radius_m < ROUNDER * mean))
        out->radius_m = NAN;
    return n;
}

static int add(struct lw_lips *lips, size_t *cap, const struct lw_lip_place *place)
{
    if (lw_array_room(&lips->place, lips->places, cap))
        return -1;
    lips->place[lips->places++] = *place;
    return 0;
}

int lw_lip_places(const struct lw_lip_scale *scale, struct lw_lips *lips, struct lw_error *err)
{
    size_t cap = 0;

    for (size_t l = 0; l < lips->lips; l++) {
        struct lw_lip *lip = &lips->lip[l];
        struct track t = {lip->p, (int)lip->n - lip->closed, lip->closed, 0, 0};
        double chord_m = (scale->sparse ? 30 : 20) * scale->unit, mean = 0;
        int half, start = 0, done = 0;

        if (t.n < 3)
            continue;
        t.step_m = lip->length_m / (double)(lip->n - 1);
        half = (int)fmax(1, round(chord_m / t.step_m));
        if (t.closed && half > t.n / 4)
            half = t.n / 4 > 1 ? t.n / 4 : 1;
        t.half = half;
        bend_all(lip, &t, half);
        if (t.closed) {
            mean = 2 * M_PI / lip->length_m * (lip->kind == LW_LIP_HUMP ? 1 : -1);
            for (int k = 0; k < t.n; k++) /* begin where no stretch is cut in two */
                if (fabs(t.p[k].bend_per_m - mean) < fabs(t.p[start].bend_per_m - mean))
                    start = k;
        }
        while (done < t.n) {
            struct lw_lip_place place = {.lip = l};

            done += stretch(&t, scale, mean, start + done, t.n - done, &place);
            if (!isnan(place.radius_m) && add(lips, &cap, &place))
                return lw_fail(err, "out of memory for the places of %zu lips", lips->lips);
        }
    }
    return 0;
}
