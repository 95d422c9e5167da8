/* Today's level: the sounder's depth minus the map's. */
#include <math.h>
#include <stdlib.h>

#include "track_parts.h"

#define PLACES_MIN 30
/* Of a normal distribution: half the middle half's width, and what a median's error is more than a
 * mean's (sqrt(pi / 2)). */
#define QUARTILE     0.6745
#define MEDIAN_ERROR 1.2533

static double quartile_half(const double *sorted, size_t n)
{
    return (sorted[n - 1 - n / 4] - sorted[n / 4]) / 2;
}

/* How many values count as one, from the autocorrelation of value[n] about `mean`: 1 + 2 sum of rho
 * while pairs of it stay positive (the initial positive sequence, Geyer 1992, Statist. Sci. 7:473).
 * Values beyond 3 sigma are drawn in, so that one of them does not hide the rest. */
static double inflation(const double *value, size_t n, double mean, double sigma)
{
    double var = 0, sum = 1;

    for (size_t i = 0; i < n; i++) {
        double d = fmax(-3 * sigma, fmin(3 * sigma, value[i] - mean));

        var += d * d;
    }
    for (size_t lag = 1; var > 0 && lag + 1 < n / 4; lag += 2) {
        double rho = 0;

        for (size_t k = lag; k < lag + 2; k++)
            for (size_t i = 0; i + k < n; i++)
                rho += fmax(-3 * sigma, fmin(3 * sigma, value[i] - mean)) *
                       fmax(-3 * sigma, fmin(3 * sigma, value[i + k] - mean)) / var;
        if (rho <= 0)
            break;
        sum += 2 * rho;
    }
    return sum;
}

/* Medians of diff_m[n] over blocks of the way; returns how many. `work` has room for n. */
static size_t blocks_of(const double *diff_m, const double *along_m, size_t n, double *block,
                        double *work)
{
    size_t blocks = 0;

    for (size_t i = 0, j; i < n; i = j) {
        for (j = i; j < n && along_m[j] - along_m[i] < LW_TRACK_BLOCK_M; j++)
            work[j - i] = diff_m[j];
        block[blocks++] = lw_track_median(work, j - i);
    }
    return blocks;
}

/* One sigma of the median of the differences, which come in the order of the way. */
static double error_of(const double *diff_m, const double *along_m, size_t n, double stage_m,
                       double *block, double *work)
{
    size_t blocks = blocks_of(diff_m, along_m, n, block, work);
    double sigma;

    for (size_t i = 0; i < blocks; i++)
        work[i] = fabs(block[i] - stage_m);
    sigma = lw_track_median(work, blocks) / QUARTILE;
    return MEDIAN_ERROR * sigma * sqrt(inflation(block, blocks, stage_m, sigma) / (double)blocks);
}

int lw_stage_fit(const struct lw_chart *chart, const struct lw_track *track,
                 struct lw_stage_fit *out, struct lw_error *err)
{
    struct lw_track_places places;
    double *diff_m = NULL, *along_m, *slope, *work, *block;
    size_t n = 0, slopes = 0;
    int status = -1;

    *out = (struct lw_stage_fit){NAN, NAN, NAN, 0, NAN, NAN};
    if (lw_track_places(chart, track, &places, err))
        return -1;
    diff_m = malloc(5 * (places.n + 1) * sizeof *diff_m);
    if (!diff_m) {
        lw_fail(err, "out of memory for the track %s", track->name);
        goto done;
    }
    along_m = diff_m + places.n + 1;
    slope = along_m + places.n + 1;
    work = slope + places.n + 1;
    block = work + places.n + 1;
    for (size_t i = 0; i < places.n; i++) {
        double map_m = lw_chart_depth(chart, places.p[i].at);
        struct lw_en g = lw_track_gradient(chart, places.p[i].at);

        if (isnan(map_m))
            continue;
        diff_m[n] = places.p[i].depth_m - map_m;
        along_m[n++] = places.p[i].along_m;
        if (isfinite(g.e_m) && isfinite(g.n_m))
            slope[slopes++] = hypot(g.e_m, g.n_m);
    }
    out->places = n;
    if (n < PLACES_MIN) {
        lw_fail(err,
                "the track%s%s and the map share only %zu cells with a depth of both: the level "
                "can be measured from %d on",
                *track->name ? " " : "", track->name, n, PLACES_MIN);
        goto done;
    }
    for (size_t i = 0; i < n; i++)
        work[i] = diff_m[i];
    out->stage_m = lw_track_median(work, n);
    out->spread_m = quartile_half(work, n);
    out->error_m = error_of(diff_m, along_m, n, out->stage_m, block, work);
    out->slope = lw_track_median(slope, slopes);
    out->edge_move_m = out->stage_m / out->slope;
    status = 0;
done:
    free(diff_m);
    lw_track_places_free(&places);
    return status;
}
