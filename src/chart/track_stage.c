/* Today's level: the sounder's depth minus the map's.
 *
 * The median over the cells, each with the weight that its depths deserve: a fix that is a metre
 * off says little on a slope, and the map is surer beside its contours than between them, where an
 * interpolated bottom lies too deep or too shallow for a whole run along a lip. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/chart/track_places.h"

#define PLACES_MIN 30
/* Of a normal distribution: half the middle half's width, and what a median's error is more than a
 * mean's (sqrt(pi / 2)). */
#define QUARTILE     0.6745
#define MEDIAN_ERROR 1.2533
/* One sigma of an interpolated bottom halfway between two contours, in steps of the contours; none
 * on them. From lakes in closed form with 5-ft contours. */
#define BETWEEN 0.3
/* What a surface says of itself holds mostly a contour's own place, which errs now to one side and
 * now to the other along the way; a bottom drawn too high between two contours does not. So between
 * contours the surface's word counts by this share. From the same lakes: 1, as without contours,
 * states a level by half to twice too unsure. */
#define OWN_SHARE 0.3
#define LEVEL     0.005 /* so level a bottom may be far from the contour that it is as deep as */
#define BANDS_MAX 64

struct diff {
    double m, weight, along_m, map_sigma_m;
};
struct bands { /* those that the track meets, by the depth of their upper contour */
    double upper_m[BANDS_MAX];
    size_t n;
};

static int by_value(const void *a, const void *b)
{
    const struct diff *p = a, *q = b;

    return (p->m > q->m) - (p->m < q->m);
}

/* The value that `share` of the weight lies below; d[n] sorted. */
static double quantile(const struct diff *d, size_t n, double share)
{
    double all = 0, sum = 0;

    for (size_t i = 0; i < n; i++)
        all += d[i].weight;
    for (size_t i = 0; i < n; i++) {
        sum += d[i].weight;
        if (sum >= share * all)
            return d[i].m;
    }
    return NAN;
}

static double median(struct diff *d, size_t n) /* sorts */
{
    qsort(d, n, sizeof *d, by_value);
    return quantile(d, n, 0.5);
}

static double grid_sigma(const struct lw_grid *grid, struct lw_en at)
{
    long row = lround((at.n_m - grid->n0_m) / grid->cell_m);
    long column = lround((at.e_m - grid->e0_m) / grid->cell_m);
    double sigma;

    if (!grid->sigma_m || row < 0 || column < 0 || row >= grid->ny || column >= grid->nx)
        return 0;
    sigma = (double)grid->sigma_m[(size_t)row * (size_t)grid->nx + (size_t)column];
    return isnan(sigma) ? 0 : sigma;
}

static void meet(struct bands *bands, double upper_m)
{
    for (size_t i = 0; i < bands->n; i++)
        if (fabs(bands->upper_m[i] - upper_m) < 1e-3)
            return;
    if (bands->n < BANDS_MAX)
        bands->upper_m[bands->n++] = upper_m;
}

/* How sure the map's depth is, from the contours above and below it and from its surface's own
 * word. The contours are sorted by depth. */
static double map_sigma(const struct lw_chart *chart, struct lw_en at, double map_m, double steep,
                        struct bands *bands)
{
    size_t low = 0, high = chart->contours;
    double step, t, own = grid_sigma(&chart->grid, at);

    while (low < high) { /* the first contour deeper than map_m */
        size_t middle = low + (high - low) / 2;

        if (chart->contour[middle].depth_m > map_m)
            high = middle;
        else
            low = middle + 1;
    }
    meet(bands, low ? chart->contour[low - 1].depth_m : -1);
    if (low == 0 || low == chart->contours)
        return own;
    step = chart->contour[low].depth_m - chart->contour[low - 1].depth_m;
    t = steep > LEVEL ? (map_m - chart->contour[low - 1].depth_m) / step : 0.5;
    return hypot(OWN_SHARE * own, BETWEEN * step * 4 * t * (1 - t));
}

/* How many values count as one, from the autocorrelation of what they lie off `middle`: 1 + 2 sum
 * of rho while pairs of it stay positive (the initial positive sequence, Geyer 1992, Statist. Sci.
 * 7:473). Values beyond 3 sigma are drawn in, so that one of them does not hide the rest. */
static double inflation(const struct diff *d, size_t n, double middle, double sigma)
{
    double var = 0, sum = 1;

    for (size_t i = 0; i < n; i++) {
        double off = fmax(-3 * sigma, fmin(3 * sigma, d[i].m - middle));

        var += off * off;
    }
    for (size_t lag = 1; var > 0 && lag + 1 < n / 4; lag += 2) {
        double rho = 0;

        for (size_t k = lag; k < lag + 2; k++)
            for (size_t i = 0; i + k < n; i++)
                rho += fmax(-3 * sigma, fmin(3 * sigma, d[i].m - middle)) *
                       fmax(-3 * sigma, fmin(3 * sigma, d[i + k].m - middle)) / var;
        if (rho <= 0)
            break;
        sum += 2 * rho;
    }
    return sum;
}

/* Medians of d[n], which comes in the order of the way, over blocks of the way, into block[];
 * returns how many. */
static size_t blocks_of(const struct diff *d, size_t n, struct diff *block, struct diff *work)
{
    size_t blocks = 0;

    for (size_t i = 0, j; i < n; i = j) {
        double weight = 0;

        for (j = i; j < n && d[j].along_m - d[i].along_m < LW_TRACK_BLOCK_M; j++) {
            work[j - i] = d[j];
            weight = fmax(weight, d[j].weight);
        }
        block[blocks++] = (struct diff){median(work, j - i), weight, d[i].along_m, 0};
    }
    return blocks;
}

/* One sigma of the median of the differences, which come in the order of the way. */
static double error_of(const struct diff *d, size_t n, double stage_m, struct diff *block,
                       struct diff *work)
{
    size_t blocks = blocks_of(d, n, block, work);
    double sigma, sum = 0, squares = 0;

    for (size_t i = 0; i < blocks; i++) {
        work[i] = (struct diff){fabs(block[i].m - stage_m), block[i].weight, 0, 0};
        sum += block[i].weight;
        squares += block[i].weight * block[i].weight;
    }
    sigma = median(work, blocks) / QUARTILE;
    return MEDIAN_ERROR * sigma *
           sqrt(inflation(block, blocks, stage_m, sigma) * squares / (sum * sum));
}

/* What the map's own errors make of the level: they are alike all along a band between two contours
 * and differ from one band to the next. */
static double error_of_map(const struct diff *d, size_t n, const struct bands *bands)
{
    double sum = 0, weight = 0;

    for (size_t i = 0; i < n; i++) {
        sum += d[i].weight * d[i].map_sigma_m;
        weight += d[i].weight;
    }
    return sum / weight / sqrt((double)bands->n);
}

/* d[] and slope[] from the places that have a depth of both; returns how many. */
static size_t differ(const struct lw_chart *chart, const struct lw_track_places *places,
                     struct diff *d, double *slope, size_t *slopes, struct bands *bands)
{
    size_t n = 0;

    *slopes = 0;
    for (size_t i = 0; i < places->n; i++) {
        const struct lw_track_place *p = &places->p[i];
        double map_m = lw_chart_depth(chart, p->at), steep, sigma, map;
        struct lw_en g = lw_track_gradient(chart, p->at);

        if (isnan(map_m))
            continue;
        steep = hypot(g.e_m, g.n_m);
        map = map_sigma(chart, p->at, map_m, steep, bands);
        sigma = hypot(lw_track_sigma(p->depth_m, steep), map);
        d[n++] = (struct diff){p->depth_m - map_m, 1 / (sigma * sigma), p->along_m, map};
        if (!isnan(steep))
            slope[(*slopes)++] = steep;
    }
    return n;
}

int lw_stage_fit(const struct lw_chart *chart, const struct lw_track *track,
                 struct lw_stage_fit *out, struct lw_error *err)
{
    struct lw_track_places places;
    struct diff *d, *work, *block;
    struct bands bands = {.n = 0};
    double *slope;
    size_t n, slopes;
    int status = -1;

    *out = (struct lw_stage_fit){NAN, NAN, NAN, 0, NAN, NAN};
    if (lw_track_places(chart, track, &places, err))
        return -1;
    d = malloc(3 * (places.n + 1) * sizeof *d);
    slope = malloc((places.n + 1) * sizeof *slope);
    if (!d || !slope) {
        lw_fail(err, "out of memory for the track %s", track->name);
        goto done;
    }
    work = d + places.n + 1;
    block = work + places.n + 1;
    n = out->places = differ(chart, &places, d, slope, &slopes, &bands);
    if (n < PLACES_MIN) {
        lw_fail(err,
                "the track%s%s and the map share only %zu cells with a depth of both: the level "
                "can be measured from %d on",
                *track->name ? " " : "", track->name, n, PLACES_MIN);
        goto done;
    }
    for (size_t i = 0; i < n; i++)
        work[i] = d[i];
    out->stage_m = median(work, n);
    out->spread_m = (quantile(work, n, 0.75) - quantile(work, n, 0.25)) / 2;
    out->error_m = hypot(error_of(d, n, out->stage_m, block, work), error_of_map(d, n, &bands));
    out->slope = lw_track_median(slope, slopes);
    out->edge_move_m = out->stage_m / out->slope;
    status = 0;
done:
    free(d);
    free(slope);
    lw_track_places_free(&places);
    return status;
}
