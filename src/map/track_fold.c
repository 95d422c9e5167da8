/* The boat's own depths folded into the soundings that the surface is made from. */
#include "track_fold.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/track_places.h"

/* A track is of another unit, lake or datum when its differences from the map lie farther apart
 * than this, its level would be higher than that, or its bottom is so much hillier or flatter.
 * Common practice, no source. */
#define SPREAD_M     1.0
#define SPREAD_SHARE 0.15 /* of the map's median depth */
#define LEVEL_M      1.5
#define LEVEL_SHARE  0.75
#define HILLY_M      0.4
#define HILLY_TIMES  2.0
/* Fixes err alike for so much way, so that the places of it together know no more of a slope than
 * one. Common practice, no source. */
#define FIX_WAY_M 30.0

static void __attribute__((format(printf, 2, 3)))
say(struct lw_import_report *report, const char *format, ...)
{
    char text[600];
    va_list args;

    if (report->warnings >= LW_WARNINGS_MAX)
        return;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    lw_text_clean(report->warning[report->warnings++], sizeof report->warning[0], text);
}

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

static double sigma_of(const struct lw_chart *chart, const struct lw_track_place *place,
                       double level_error_m)
{
    struct lw_en g = lw_track_gradient(chart, place->at);
    double noise_m = lw_track_sigma(place->depth_m, 0);
    double fix_m2 = pow(lw_track_sigma(place->depth_m, hypot(g.e_m, g.n_m)), 2) - pow(noise_m, 2);
    double alike = fmax(1, FIX_WAY_M / chart->grid.cell_m);

    return sqrt(pow(noise_m, 2) + alike * fix_m2 + pow(level_error_m, 2));
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
                     struct lw_import_report *report)
{
    struct lw_error why = {""};
    bool measured = lw_stage_fit(chart, track, fit, &why) == 0;

    if (measured && !is_of_this_map(chart, places, fit)) {
        say(report,
            "track %s was left out: its depths lie %+.1f m off the map's, by %.1f m more or less, "
            "as "
            "in another unit or at another place",
            track->name, fit->stage_m, fit->spread_m);
        return false;
    }
    if (!isnan(track->stage_m)) {
        fit->stage_m = track->stage_m;
        fit->error_m = 0;
        return true;
    }
    if (!measured)
        say(report, "track %s was left out, its water level is not known: %s", track->name,
            why.text);
    return measured;
}

static int add_places(const struct lw_chart *chart, const struct lw_track_places *places,
                      const struct lw_stage_fit *fit, struct lw_sounding **sounding, size_t *n)
{
    struct lw_sounding *more = realloc(*sounding, (*n + places->n + 1) * sizeof *more);

    if (!more)
        return -1;
    *sounding = more;
    for (size_t i = 0; i < places->n; i++)
        more[(*n)++] = (struct lw_sounding){places->p[i].at, places->p[i].depth_m - fit->stage_m,
                                            sigma_of(chart, &places->p[i], fit->error_m)};
    return 0;
}

static int fold_track(const struct lw_chart *chart, const struct lw_track *track,
                      struct lw_sounding **sounding, size_t *n, struct lw_import_report *report,
                      const struct lw_track **elsewhere, struct lw_error *err)
{
    struct lw_track_places places;
    struct lw_stage_fit fit;
    char level[80] = "as given", beside[64] = "";
    size_t out;
    int status = 0;

    if (lw_track_places(chart, track, &places, err))
        return -1;
    out = keep_wet(chart, &places);
    if (places.n == 0) {
        *elsewhere = track->n ? track : NULL;
    } else if (level_of(chart, track, &places, &fit, report)) {
        status = add_places(chart, &places, &fit, sounding, n);
        if (isnan(track->stage_m))
            snprintf(level, sizeof level, "measured over %zu cells", fit.places);
        if (out)
            snprintf(beside, sizeof beside, ", %zu outside the water", out);
        say(report, "track %s: %zu soundings folded in, level %+.2f m %s, %zu spikes left out%s",
            track->name, places.used, fit.stage_m, level, places.spikes, beside);
    }
    lw_track_places_free(&places);
    return status ? lw_fail(err, "out of memory for the track %s", track->name) : 0;
}

int lw_track_fold(struct lw_chart *chart, const struct lw_import_options *options,
                  struct lw_sounding **sounding, size_t *n, struct lw_import_report *report,
                  struct lw_error *err)
{
    const struct lw_track *last = NULL;
    int elsewhere = 0;

    for (int i = 0; i < options->tracks; i++) {
        const struct lw_track *dry = NULL;

        if (fold_track(chart, &options->track[i], sounding, n, report, &dry, err))
            return -1;
        elsewhere += dry != NULL;
        last = dry ? dry : last;
    }
    /* a journal holds the trips of other lakes as well: one line for all of them */
    if (elsewhere == 1)
        say(report, "track %s was left out: none of its %zu depths lies in the water", last->name,
            last->n);
    else if (elsewhere > 1)
        say(report, "%d tracks were left out: none of their depths lies in the water", elsewhere);
    return 0;
}
