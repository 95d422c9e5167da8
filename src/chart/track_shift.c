/* A shift of the whole map, from the sounder's depths: a robust fit of east, north and level.
 *
 * The level alone is the median of the differences, so a coarse search goes over shifts only; from
 * its best the three are fitted together by reweighted least squares. One straight line along a
 * contour says nothing of the shift along it, a bottom of one slope nothing at all: a soft bound at
 * the reach of the search keeps such a fit from running off, and the stated sigma then comes out as
 * wide as the bound. A difference that grows with depth (a wrong speed of sound) is not modelled.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "track_parts.h"

#define PLACES_MIN  30
#define PLACES_MAX  4000 /* more tell no more, neighbours being alike */
#define REACH_M     30.0
#define COARSE_M    3.0
#define STEPS       ((int)(REACH_M / COARSE_M))
#define ROUNDS      25
#define DONE_M      0.01
#define BLOCKS_MIN  15
#define SCALE_MIN_M 0.05  /* no sounder and map agree better */
#define HUBER       1.345 /* in sigmas; Huber 1981, "Robust Statistics" */
#define SPIKE       4.0   /* in sigmas; beyond it a depth has no say */
#define MAD         1.4826
/* clear: sigmas that the shift must measure, the shortest worth a question, how much nearer sounder
 * and map must come, and chi-square of two more unknowns at 0.1 %. Common practice, no source. */
#define CLEAR_SIGMAS 3.0
#define CLEAR_M      2.0
#define CLEAR_BETTER 0.9
#define CLEAR_CHI2   13.8

struct fit {
    const struct lw_chart *chart;
    const struct lw_track_place *p; /* p[n] */
    size_t n;
    double *work, *left; /* work[n], left[n]: what a shift leaves of the differences */
};

/* left[i] = sounder - map at that shift; NaN outside the water. Their median into *level. Returns
 * how many there are. */
static size_t differ(const struct fit *fit, struct lw_en shift, double *level)
{
    size_t n = 0;

    for (size_t i = 0; i < fit->n; i++) {
        struct lw_en at = {fit->p[i].at.e_m + shift.e_m, fit->p[i].at.n_m + shift.n_m};

        fit->left[i] = fit->p[i].depth_m - lw_chart_depth(fit->chart, at);
        if (!isnan(fit->left[i]))
            fit->work[n++] = fit->left[i];
    }
    *level = lw_track_median(fit->work, n);
    return n;
}

/* One sigma of left[] about the level, from the median of the distances. */
static double scale_of(const struct fit *fit, double level)
{
    size_t n = 0;

    for (size_t i = 0; i < fit->n; i++)
        if (!isnan(fit->left[i]))
            fit->work[n++] = fabs(fit->left[i] - level);
    return fmax(SCALE_MIN_M, MAD * lw_track_median(fit->work, n));
}

/* Mean of min(r^2, cut^2): a depth that a shift puts ashore counts as a spike. */
static double misfit(const struct fit *fit, struct lw_en shift, double cut_m)
{
    double level, sum = 0;

    if (differ(fit, shift, &level) < PLACES_MIN)
        return INFINITY;
    for (size_t i = 0; i < fit->n; i++) {
        double r = isnan(fit->left[i]) ? cut_m : fmin(cut_m, fabs(fit->left[i] - level));

        sum += r * r;
    }
    return sum / (double)fit->n;
}

/* The best of the grid of shifts; a second round with the scale that the first one left. */
static struct lw_en search(const struct fit *fit)
{
    struct lw_en best = {0, 0};
    double level;

    differ(fit, best, &level);
    for (int round = 0; round < 2; round++) {
        double cut_m = 2.5 * scale_of(fit, level), least = INFINITY;

        for (int i = -STEPS; i <= STEPS; i++)
            for (int j = -STEPS; j <= STEPS; j++) {
                struct lw_en shift = {COARSE_M * j, COARSE_M * i};
                double m = hypot(shift.e_m, shift.n_m) <= REACH_M ? misfit(fit, shift, cut_m)
                                                                  : INFINITY;

                if (m < least) {
                    least = m;
                    best = shift;
                }
            }
        differ(fit, best, &level);
    }
    return best;
}

/* The inverse of a symmetric matrix; -1 when it has none. */
static int invert(double m[3][3], double inverse[3][3])
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

/* The row of place i: d(map + level) / d(east, north, level), its weight (0: no say). */
static double row_of(const struct fit *fit, size_t i, const double x[3], double scale_m,
                     double row[3])
{
    struct lw_en at = {fit->p[i].at.e_m + x[0], fit->p[i].at.n_m + x[1]};
    struct lw_en g = lw_track_gradient(fit->chart, at);
    double r = (fit->left[i] - x[2]) / scale_m;

    if (isnan(r) || isnan(g.e_m) || isnan(g.n_m) || fabs(r) > SPIKE)
        return 0;
    row[0] = g.e_m;
    row[1] = g.n_m;
    row[2] = 1;
    return fabs(r) <= HUBER ? 1 : HUBER / fabs(r);
}

/* Of the soft bound in the normal equations: a shift is taken to be N(0, REACH_M^2) beforehand. */
static double bound_of(double scale_m)
{
    return scale_m * scale_m / (REACH_M * REACH_M);
}

/* Normal equations at x; `bread`: those of the covariance, where a depth that Huber's weight holds
 * back counts for nothing. */
static void normal(const struct fit *fit, const double x[3], double scale_m, bool bread,
                   double m[3][3], double b[3])
{
    double bound = bound_of(scale_m), row[3];

    memset(m, 0, 9 * sizeof m[0][0]);
    memset(b, 0, 3 * sizeof *b);
    for (size_t i = 0; i < fit->n; i++) {
        double w = row_of(fit, i, x, scale_m, row);

        if (bread && w < 1)
            continue;
        for (int k = 0; w > 0 && k < 3; k++) {
            b[k] += w * row[k] * (fit->left[i] - x[2]);
            for (int l = 0; l < 3; l++)
                m[k][l] += w * row[k] * row[l];
        }
    }
    for (int k = 0; k < 2; k++) {
        m[k][k] += bound;
        b[k] -= bound * x[k];
    }
}

/* From the coarse best to the least squares; a step longer than a coarse one is cut to that. */
static int refine(const struct fit *fit, double x[3], double *scale_m)
{
    for (int round = 0; round < ROUNDS; round++) {
        double m[3][3], inverse[3][3], b[3], step[3] = {0}, length, level;

        if (differ(fit, (struct lw_en){x[0], x[1]}, &level) < PLACES_MIN)
            return -1;
        *scale_m = scale_of(fit, level);
        if (round == 0)
            x[2] = level;
        normal(fit, x, *scale_m, false, m, b);
        if (invert(m, inverse))
            return -1;
        for (int k = 0; k < 3; k++)
            for (int l = 0; l < 3; l++)
                step[k] += inverse[k][l] * b[l];
        length = hypot(step[0], step[1]);
        for (int k = 0; k < 3; k++)
            x[k] += length > COARSE_M ? step[k] * COARSE_M / length : step[k];
        if (length < DONE_M && fabs(step[2]) < 1e-3)
            return 0;
    }
    return 0;
}

/* a m b for symmetric a, b */
static void sandwich(double a[3][3], double m[3][3], double out[3][3])
{
    memset(out, 0, 9 * sizeof out[0][0]);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            for (int k = 0; k < 3; k++)
                for (int l = 0; l < 3; l++)
                    out[i][j] += a[i][k] * m[k][l] * a[l][j];
}

/* Adds the square of a block's score; whether there was any. */
static bool add_block(const double score[3], double meat[3][3])
{
    if (score[2] == 0)
        return false;
    for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
            meat[k][l] += score[k] * score[l];
    return true;
}

/* The covariance of x, places within block_m of way counted as one: the inverse of the normal
 * equations about the sum of squares of the blocks' scores (Liang and Zeger 1986, Biometrika 73:13,
 * with G / (G - 1) for few blocks). Returns the number of blocks. */
static size_t covariance(const struct fit *fit, const double x[3], double scale_m,
                         double inverse[3][3], double block_m, double cov[3][3])
{
    double meat[3][3] = {{0}}, score[3] = {0}, row[3], begin = fit->p[0].along_m;
    double bound = bound_of(scale_m);
    size_t blocks = 0;

    for (size_t i = 0; i < fit->n; i++) {
        double w = row_of(fit, i, x, scale_m, row);

        if (fit->p[i].along_m - begin >= block_m) {
            blocks += add_block(score, meat);
            memset(score, 0, sizeof score);
            begin = fit->p[i].along_m;
        }
        for (int k = 0; w > 0 && k < 3; k++)
            score[k] += w * row[k] * (fit->left[i] - x[2]);
    }
    blocks += add_block(score, meat);
    for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
            meat[k][l] *= blocks > 1 ? (double)blocks / (double)(blocks - 1) : 1;
    for (int k = 0; k < 2; k++)
        meat[k][k] += bound * bound * REACH_M * REACH_M;
    sandwich(inverse, meat, cov);
    return blocks;
}

/* One sigma along the longer axis of the shift's ellipse, and the axis's bearing. */
static double worse_of(double cov[3][3], double *bearing_deg)
{
    double mean = (cov[0][0] + cov[1][1]) / 2, half = (cov[0][0] - cov[1][1]) / 2;
    double turn = atan2(cov[0][1], half) / 2; /* from east, counter-clockwise */

    *bearing_deg = fmod(450 - turn * 180 / M_PI, 180);
    return sqrt(mean + hypot(half, cov[0][1]));
}

/* The map's errors may hang together over more than a block: the length of block that makes the
 * fit least sure counts, while there are enough blocks to tell. Returns how many there are. */
static size_t judge(const struct fit *fit, const double x[3], double scale_m,
                    struct lw_shift_fit *out)
{
    double m[3][3], inverse[3][3], cov[3][3], b[3];
    size_t independent = 0;

    out->sigma_m = REACH_M;
    normal(fit, x, scale_m, true, m, b);
    if (invert(m, inverse))
        return 0;
    out->sigma_m = 0;
    for (double block_m = LW_TRACK_BLOCK_M; block_m < 200; block_m *= 2) {
        double deg;
        size_t blocks = covariance(fit, x, scale_m, inverse, block_m, cov);
        double sigma_m = worse_of(cov, &deg);

        if (independent && blocks < BLOCKS_MIN)
            break;
        if (sigma_m > out->sigma_m) {
            out->sigma_m = sigma_m;
            out->worse_deg = deg;
            independent = blocks;
        }
    }
    return independent;
}

/* The rms of what the level leaves, before and after, over the places that count in both. */
static void compare(const struct fit *fit, const double x[3], double scale_m, const double *before,
                    struct lw_shift_fit *out)
{
    double level, sum[2] = {0};
    size_t n = 0;

    for (size_t i = 0; i < fit->n; i++)
        if (fabs(fit->left[i] - x[2]) <= SPIKE * scale_m && !isnan(before[i]))
            fit->work[n++] = before[i];
    level = lw_track_median(fit->work, n);
    for (size_t i = 0; i < fit->n; i++)
        if (fabs(fit->left[i] - x[2]) <= SPIKE * scale_m && !isnan(before[i])) {
            sum[0] += (before[i] - level) * (before[i] - level);
            sum[1] += (fit->left[i] - x[2]) * (fit->left[i] - x[2]);
        }
    out->places = n;
    out->rms_before_m = sqrt(sum[0] / (double)n);
    out->rms_after_m = sqrt(sum[1] / (double)n);
}

static bool is_clear(const struct lw_shift_fit *fit, size_t independent)
{
    double length = hypot(fit->shift.e_m, fit->shift.n_m);
    double gain = 2 * log(fit->rms_before_m / fmax(fit->rms_after_m, SCALE_MIN_M));

    return length >= CLEAR_M && length >= CLEAR_SIGMAS * fit->sigma_m &&
           length < REACH_M - COARSE_M && fit->rms_after_m < CLEAR_BETTER * fit->rms_before_m &&
           (double)independent * gain > CLEAR_CHI2;
}

/* Fewer places where there are very many; out of the lake's reach none. */
static size_t choose(const struct lw_chart *chart, struct lw_track_place *p, size_t n)
{
    const struct lw_grid *grid = &chart->grid;
    double east = grid->e0_m + grid->nx * grid->cell_m + REACH_M;
    double north = grid->n0_m + grid->ny * grid->cell_m + REACH_M;
    size_t near = 0, each, chosen = 0;

    for (size_t i = 0; i < n; i++)
        if (p[i].at.e_m > grid->e0_m - REACH_M && p[i].at.e_m < east &&
            p[i].at.n_m > grid->n0_m - REACH_M && p[i].at.n_m < north)
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
    struct fit fit = {.chart = chart};
    double x[3] = {0}, level, scale_m, *before = NULL;
    struct lw_en start;
    size_t independent;
    int status = -1;

    *out = (struct lw_shift_fit){{NAN, NAN}, NAN, NAN, 0, NAN, NAN, 0, false};
    if (lw_track_places(chart, track, &places, err))
        return -1;
    fit.p = places.p;
    fit.n = choose(chart, places.p, places.n);
    before = malloc(3 * (fit.n + 1) * sizeof *before);
    if (!before) {
        lw_fail(err, "out of memory for the track %s", track->name);
        goto done;
    }
    fit.work = before + fit.n + 1;
    fit.left = fit.work + fit.n + 1;
    out->places = differ(&fit, (struct lw_en){0, 0}, &level);
    memcpy(before, fit.left, fit.n * sizeof *before);
    if (out->places < PLACES_MIN)
        goto too_few;
    start = search(&fit);
    x[0] = start.e_m;
    x[1] = start.n_m;
    if (refine(&fit, x, &scale_m))
        goto too_few;
    differ(&fit, (struct lw_en){x[0], x[1]}, &level);
    independent = judge(&fit, x, scale_m, out);
    compare(&fit, x, scale_m, before, out);
    if (out->places < PLACES_MIN)
        goto too_few;
    out->shift = (struct lw_en){x[0], x[1]};
    out->stage_m = x[2];
    out->clear = is_clear(out, independent);
    status = 0;
    goto done;
too_few:
    lw_fail(err,
            "the track%s%s and the map share only %zu cells with a depth of both: a shift can be "
            "measured from %d on",
            *track->name ? " " : "", track->name, out->places, PLACES_MIN);
done:
    free(before);
    lw_track_places_free(&places);
    return status;
}
