/* The boat's own depths folded into the soundings that the surface is made from. */
#include "track_fold.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/chart/track_places.h"
#include "say.h"

/* A track is of another unit, lake or datum when its differences from the map lie farther apart
 * than this, its level would be higher than that, or its bottom is so much hillier or flatter.
 * Common practice, no source. */
#define SPREAD_M     1.0
#define SPREAD_SHARE 0.15 /* of the map's median depth */
#define LEVEL_M      1.5
#define LEVEL_SHARE  0.75
#define HILLY_M      0.4
#define HILLY_TIMES  2.0
/* No sounder is taken to be better, however smooth its depths: the boat heaves and the beam is
 * wide. With less, 1-ft contours within 5 mm of the bottom got worse by 13 mm. */
#define NOISE_LEAST_M 0.1
#define PAIRS_MIN     30     /* from so many on the track's own noise is known */
#define SCATTER       1.2106 /* 1 / (0.6745 sqrt(1.5)): from the median off two neighbours' mean */
/* Tracks left out are named up to so many; the report has room for few lines. */
#define NAMED_MAX 3

struct folded { /* what was done with all the tracks, for one line */
    const struct lw_track *one;
    int tracks, measured, left_out, elsewhere;
    size_t used, spikes, outside, cells, elsewhere_depths;
    double least_m, most_m; /* of the levels */
};

/* Keeps the places that are in the water; returns how many soundings went with the others. */
static size_t keep_wet(const struct lw_chart *chart, struct lw_track_places *places)
{
    size_t n = 0, out = 0;

    for (size_t i = 0; i < places->n; i++)
        if (isnan(lw_chart_depth(chart, places->p[i].at)))
            out += places->p[i].n;
        else
            places->p[n++] = places->p[i];
    places->n = n;
    places->used -= out;
    return out;
}

/* One sigma of this sounder's depths, from how far each lies off the mean of those before and after
 * it; a rough bottom makes it larger. NaN where there are too few. */
static double noise_of(const struct lw_track_places *places)
{
    double *off_m = malloc((places->n + 1) * sizeof *off_m), noise_m = NAN;
    size_t n = 0;

    for (size_t i = 1; off_m && i + 1 < places->n; i++) {
        const struct lw_track_place *p = &places->p[i];

        if (p[1].along_m - p[-1].along_m <= LW_TRACK_BLOCK_M)
            off_m[n++] = fabs(p->depth_m - (p[-1].depth_m + p[1].depth_m) / 2);
    }
    if (n >= PAIRS_MIN)
        noise_m = fmax(NOISE_LEAST_M, SCATTER * lw_track_median(off_m, n));
    free(off_m);
    return noise_m;
}

/* A fix's error is the same in neighbours on the way: as far as the surface looks they know no more
 * of a slope than one. The level's error is not in it: it is the map's own, on average along the
 * way, and the same in all. */
static double sigma_of(const struct lw_chart *chart, const struct lw_track_place *place,
                       double track_noise_m)
{
    struct lw_en g = lw_track_gradient(chart, place->at);
    double usual_m = lw_track_sigma(place->depth_m, 0);
    double noise_m = isnan(track_noise_m) ? usual_m : track_noise_m;
    double fix_m2 = pow(lw_track_sigma(place->depth_m, hypot(g.e_m, g.n_m)), 2) - pow(usual_m, 2);
    double alike = fmax(1, LW_TRACK_BLOCK_M / chart->grid.cell_m);

    return sqrt(pow(noise_m, 2) + alike * fix_m2);
}

/* Half the middle half's width of depth_m[n]; sorts. */
static double spread_of(double *depth_m, size_t n)
{
    qsort(depth_m, n, sizeof *depth_m, lw_number_order);
    return (depth_m[n - 1 - n / 4] - depth_m[n / 4]) / 2;
}

/* Feet read as metres make a bottom three times as hilly, metres as feet a third: a level alone
 * could explain either on a flat, so the spreads count where there are any. */
static bool is_of_this_map(const struct lw_chart *chart, const struct lw_track_places *places,
                           const struct lw_stage_fit *fit)
{
    size_t n = places->n;
    double *depth_m = malloc((n + 1) * sizeof *depth_m), map_m, own_m, median_m;

    if (!depth_m)
        return true;
    for (size_t i = 0; i < n; i++)
        depth_m[i] = places->p[i].depth_m;
    own_m = spread_of(depth_m, n);
    for (size_t i = 0; i < n; i++)
        depth_m[i] = lw_chart_depth(chart, places->p[i].at);
    map_m = spread_of(depth_m, n);
    median_m = depth_m[n / 2];
    free(depth_m);
    if (map_m > HILLY_M && (own_m < map_m / HILLY_TIMES || own_m > map_m * HILLY_TIMES))
        return false;
    return fit->spread_m <= fmax(SPREAD_M, SPREAD_SHARE * median_m) &&
           fit->stage_m <= fmax(LEVEL_M, LEVEL_SHARE * median_m);
}

/* The level of the day; false, and said, when the track cannot be used. */
static bool level_of(const struct lw_chart *chart, const struct lw_track *track,
                     const struct lw_track_places *places, struct lw_stage_fit *fit,
                     struct folded *all, struct lw_import_report *report)
{
    struct lw_error why = {""};
    bool measured = lw_stage_fit(chart, track, fit, &why) == 0;
    bool strange = measured && !is_of_this_map(chart, places, fit);

    if (!strange && !isnan(track->stage_m)) {
        fit->stage_m = track->stage_m;
        return true;
    }
    if (measured && !strange) {
        all->measured++;
        all->cells += fit->places;
        return true;
    }
    if (all->left_out++ >= NAMED_MAX)
        return false;
    if (strange)
        lw_say_warn(
            report,
            "track %s was left out: its depths lie %+.1f m off the map's, by %.1f m more or less, "
            "as in another unit or at another place",
            track->name, fit->stage_m, fit->spread_m);
    else
        lw_say_warn(report, "track %s was left out, its water level is not known: %s", track->name,
                    why.text);
    return false;
}

static int add_places(const struct lw_chart *chart, const struct lw_track_places *places,
                      double stage_m, struct lw_sounding **sounding, size_t *n)
{
    struct lw_sounding *more = realloc(*sounding, (*n + places->n + 1) * sizeof *more);
    double noise_m = noise_of(places);

    if (!more)
        return -1;
    *sounding = more;
    for (size_t i = 0; i < places->n; i++)
        more[(*n)++] = (struct lw_sounding){places->p[i].at, places->p[i].depth_m - stage_m,
                                            sigma_of(chart, &places->p[i], noise_m)};
    return 0;
}

static int fold_track(const struct lw_chart *chart, const struct lw_track *track,
                      struct lw_sounding **sounding, size_t *n, struct lw_import_report *report,
                      struct folded *all, struct lw_error *err)
{
    struct lw_track_places places;
    struct lw_stage_fit fit;
    size_t out;
    int status = 0;

    if (lw_track_places(chart, track, &places, err))
        return -1;
    out = keep_wet(chart, &places);
    if (places.n == 0) {
        all->elsewhere += track->n > 0;
        all->elsewhere_depths += track->n;
    } else if (level_of(chart, track, &places, &fit, all, report)) {
        status = add_places(chart, &places, fit.stage_m, sounding, n);
        all->one = track;
        all->least_m = all->tracks ? fmin(all->least_m, fit.stage_m) : fit.stage_m;
        all->most_m = all->tracks ? fmax(all->most_m, fit.stage_m) : fit.stage_m;
        all->tracks++;
        all->used += places.used;
        all->spikes += places.spikes;
        all->outside += out;
    }
    lw_track_places_free(&places);
    return status ? lw_fail(err, "out of memory for the track %s", track->name) : 0;
}

/* One line for all that were folded in, one for those of other lakes: a journal holds a season. */
static void sum_up(const struct folded *all, struct lw_import_report *report)
{
    char who[100], level[100], beside[64] = "";

    if (all->left_out > NAMED_MAX)
        lw_say_warn(report, "%d more tracks were left out for the like", all->left_out - NAMED_MAX);
    if (all->elsewhere)
        lw_say_warn(report, "%d track%s left out: none of the %zu depths lies in the water",
                    all->elsewhere, all->elsewhere == 1 ? " was" : "s were", all->elsewhere_depths);
    if (!all->tracks)
        return;
    snprintf(who, sizeof who, "%d tracks", all->tracks);
    snprintf(level, sizeof level, "levels %+.2f to %+.2f m, %d of them measured", all->least_m,
             all->most_m, all->measured);
    if (all->tracks == 1) {
        snprintf(who, sizeof who, "track %s", all->one->name);
        snprintf(level, sizeof level, "level %+.2f m as given", all->least_m);
        if (all->measured)
            snprintf(level, sizeof level, "level %+.2f m measured over %zu cells", all->least_m,
                     all->cells);
    }
    if (all->outside)
        snprintf(beside, sizeof beside, ", %zu outside the water", all->outside);
    lw_say_warn(report, "%s: %zu soundings folded in, %s, %zu spikes left out%s", who, all->used,
                level, all->spikes, beside);
}

int lw_track_fold(struct lw_chart *chart, const struct lw_import_options *options,
                  struct lw_sounding **sounding, size_t *n, struct lw_import_report *report,
                  struct lw_error *err)
{
    struct folded all = {0};

    for (int i = 0; i < options->tracks; i++)
        if (fold_track(chart, &options->track[i], sounding, n, report, &all, err))
            return -1;
    sum_up(&all, report);
    return 0;
}
