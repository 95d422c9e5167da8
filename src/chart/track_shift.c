/* A shift of the whole map, from the sounder's depths: a robust fit of east, north and level.
 *
 * The level alone is the median of the differences, so a coarse search goes over shifts only; from
 * its best the three are fitted together by reweighted least squares. A fix that is a metre off
 * makes a depth wrong by the slope there, so steep places weigh less than their slope alone would
 * have it. One straight line along a contour says nothing of the shift along it, a bottom of one
 * slope nothing at all: a soft bound at the reach of the search keeps such a fit from running off,
 * and the stated sigma then comes out as wide as the bound. A difference that grows with depth (a
 * wrong speed of sound) is not modelled. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "track_shift_parts.h"

#define PLACES_MAX  4000 /* more tell no more, neighbours being alike */
#define COARSE_M    3.0
#define STEPS       ((int)(LW_SHIFT_REACH_M / COARSE_M))
#define ROUNDS      30
#define DONE_M      0.01
#define SCALE_MIN_M 0.05 /* no sounder and map agree better */
#define MAD         1.4826

/* place[].left_m without a level taken off; the median into x[2]. Returns how many there are. */
static size_t differ(struct lw_shift *s, double e_m, double n_m)
{
    size_t n = 0;

    for (size_t i = 0; i < s->n; i++) {
        struct lw_en at = {s->p[i].at.e_m + e_m, s->p[i].at.n_m + n_m};

        s->place[i].left_m = s->p[i].depth_m - lw_chart_depth(s->chart, at);
        if (!isnan(s->place[i].left_m))
            s->work[n++] = s->place[i].left_m;
    }
    s->x[0] = e_m;
    s->x[1] = n_m;
    s->x[2] = lw_track_median(s->work, n);
    return n;
}

static double spread_m(const struct lw_shift *s)
{
    size_t n = 0;

    for (size_t i = 0; i < s->n; i++)
        if (!isnan(s->place[i].left_m))
            s->work[n++] = fabs(s->place[i].left_m - s->x[2]);
    return fmax(SCALE_MIN_M, MAD * lw_track_median(s->work, n));
}

/* Mean of min(r^2, cut^2): a depth that a shift puts ashore counts as a spike. */
static double misfit(struct lw_shift *s, double e_m, double n_m, double cut_m)
{
    double sum = 0;

    if (differ(s, e_m, n_m) < LW_SHIFT_PLACES_MIN)
        return INFINITY;
    for (size_t i = 0; i < s->n; i++) {
        double r = s->place[i].left_m - s->x[2];

        r = isnan(r) ? cut_m : fmin(cut_m, fabs(r));
        sum += r * r;
    }
    return sum / (double)s->n;
}

/* The best of the grid of shifts; a second round with the spread that the first one left. */
static void search(struct lw_shift *s)
{
    struct lw_en best = {0, 0};

    for (int round = 0; round < 2; round++) {
        double least = INFINITY, cut_m;

        differ(s, best.e_m, best.n_m);
        cut_m = 2.5 * spread_m(s);
        for (int i = -STEPS; i <= STEPS; i++)
            for (int j = -STEPS; j <= STEPS; j++) {
                double m = i * i + j * j <= STEPS * STEPS
                               ? misfit(s, COARSE_M * j, COARSE_M * i, cut_m)
                               : INFINITY;

                if (m < least) {
                    least = m;
                    best = (struct lw_en){COARSE_M * j, COARSE_M * i};
                }
            }
    }
    differ(s, best.e_m, best.n_m);
}

/* Everything of the places at x. Returns how many have a depth of both. */
static size_t place_all(struct lw_shift *s)
{
    size_t n = 0;

    for (size_t i = 0; i < s->n; i++) {
        struct lw_en at = {s->p[i].at.e_m + s->x[0], s->p[i].at.n_m + s->x[1]};
        struct lw_en g = lw_track_gradient(s->chart, at);
        struct lw_shift_place *place = &s->place[i];

        *place = (struct lw_shift_place){
            .left_m = s->p[i].depth_m - lw_chart_depth(s->chart, at) - s->x[2],
            .row = {g.e_m, g.n_m, 1},
            .sigma_m = lw_track_sigma(s->p[i].depth_m, hypot(g.e_m, g.n_m))};
        if (isnan(g.e_m) || isnan(g.n_m))
            place->left_m = NAN;
        if (!isnan(place->left_m))
            s->work[n++] = fabs(place->left_m) / place->sigma_m;
    }
    s->scale = fmax(0.2, MAD * lw_track_median(s->work, n));
    return n;
}

double lw_shift_weight(const struct lw_shift *s, size_t i)
{
    const struct lw_shift_place *place = &s->place[i];
    double r = fabs(place->left_m) / (place->sigma_m * s->scale);
    double w = 1 / (place->sigma_m * place->sigma_m);

    return !(r <= LW_SHIFT_SPIKE) ? 0 : r <= LW_SHIFT_HUBER ? w : w * LW_SHIFT_HUBER / r;
}

double lw_shift_bound(const struct lw_shift *s)
{
    return s->scale * s->scale / (LW_SHIFT_REACH_M * LW_SHIFT_REACH_M);
}

void lw_shift_add(double m[3][3], const double row[3], double w)
{
    for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
            m[k][l] += w * row[k] * row[l];
}

int lw_shift_invert(double m[3][3], double inverse[3][3])
{
    double det = 0;

    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            int a = (j + 1) % 3, b = (j + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;

            inverse[i][j] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    for (int k = 0; k < 3; k++)
        det += m[0][k] * inverse[k][0];
    if (!(fabs(det) > 0) || !isfinite(det))
        return -1;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            inverse[i][j] /= det;
    return 0;
}

/* One step of the least squares into step[3]; -1 when there is none. */
static int least_squares(const struct lw_shift *s, double step[3])
{
    double m[3][3] = {{0}}, inverse[3][3], b[3] = {0}, bound = lw_shift_bound(s);

    for (size_t i = 0; i < s->n; i++) {
        const struct lw_shift_place *place = &s->place[i];
        double w = lw_shift_weight(s, i);

        if (!(w > 0))
            continue;
        lw_shift_add(m, place->row, w);
        for (int k = 0; k < 3; k++)
            b[k] += w * place->row[k] * place->left_m;
    }
    for (int k = 0; k < 2; k++) {
        m[k][k] += bound;
        b[k] -= bound * s->x[k];
    }
    if (lw_shift_invert(m, inverse))
        return -1;
    for (int k = 0; k < 3; k++)
        step[k] = inverse[k][0] * b[0] + inverse[k][1] * b[1] + inverse[k][2] * b[2];
    return 0;
}

/* From the coarse best to the least squares; a step longer than a coarse one is cut to that. */
static int refine(struct lw_shift *s)
{
    if (place_all(s) < LW_SHIFT_PLACES_MIN)
        return -1;
    for (int round = 0; round < ROUNDS; round++) {
        double step[3], length, part;

        if (least_squares(s, step))
            return -1;
        length = hypot(step[0], step[1]);
        part = length > COARSE_M ? COARSE_M / length : 1;
        for (int k = 0; k < 3; k++)
            s->x[k] += part * step[k];
        if (place_all(s) < LW_SHIFT_PLACES_MIN)
            return -1;
        if (length < DONE_M && fabs(step[2]) < 1e-3)
            break;
    }
    return 0;
}

/* Leaves out what is beyond the grid's reach; fewer places where there are very many. */
static size_t choose(const struct lw_chart *chart, struct lw_track_place *p, size_t n)
{
    const struct lw_grid *grid = &chart->grid;
    double east = grid->e0_m + grid->nx * grid->cell_m + LW_SHIFT_REACH_M;
    double north = grid->n0_m + grid->ny * grid->cell_m + LW_SHIFT_REACH_M;
    size_t near = 0, each, chosen = 0;

    for (size_t i = 0; i < n; i++)
        if (p[i].at.e_m > grid->e0_m - LW_SHIFT_REACH_M && p[i].at.e_m < east &&
            p[i].at.n_m > grid->n0_m - LW_SHIFT_REACH_M && p[i].at.n_m < north)
            p[near++] = p[i];
    each = near / PLACES_MAX + 1;
    for (size_t i = 0; i < near; i += each)
        p[chosen++] = p[i];
    return chosen;
}

int lw_shift_fit(const struct lw_chart *chart, const struct lw_track *track,
                 struct lw_shift_fit *out, struct lw_error *err)
{
    struct lw_track_places places;
    struct lw_shift s = {.chart = chart};
    double *before_m = NULL;
    int status = -1;

    *out = (struct lw_shift_fit){{NAN, NAN}, NAN, NAN, 0, NAN, NAN, 0, false};
    if (lw_track_places(chart, track, &places, err))
        return -1;
    s.p = places.p;
    s.n = choose(chart, places.p, places.n);
    s.place = malloc((s.n + 1) * sizeof *s.place);
    before_m = malloc(2 * (s.n + 1) * sizeof *before_m);
    if (!before_m || !s.place) {
        lw_fail(err, "out of memory for the track %s", track->name);
        goto done;
    }
    s.work = before_m + s.n + 1;
    out->places = differ(&s, 0, 0);
    for (size_t i = 0; i < s.n; i++)
        before_m[i] = s.place[i].left_m;
    if (out->places >= LW_SHIFT_PLACES_MIN) {
        search(&s);
        if (refine(&s) == 0)
            status = lw_shift_judge(&s, before_m, out);
    }
    if (status)
        lw_fail(err,
                "the track%s%s and the map share only %zu cells with a depth of both: a shift can "
                "be measured from %d on",
                *track->name ? " " : "", track->name, out->places, LW_SHIFT_PLACES_MIN);
done:
    free(before_m);
    free(s.place);
    lw_track_places_free(&places);
    return status;
}
