/* The boat's own depths make a 5-ft map better where one fishes, and leave the rest alone. */
#include <criterion/criterion.h>

#include "chart/track_day.h"
#include "map/track_fold.h"

#define CELL_M 4.0

TestSuite(track_fold, .timeout = 60);

static struct lw_chart *chart_of(const struct analytic *lake, const struct lw_contour *contour,
                                 size_t contours, const struct lw_sounding *sounding, size_t n)
{
    struct lw_chart *chart = day_chart(day_analytic, lake, CELL_M);
    struct lw_surface_in in = {.contour = contour,
                               .contours = contours,
                               .sounding = sounding,
                               .soundings = n,
                               .beta_m2 = NAN,
                               .ell_m = NAN};
    struct lw_error err = {""};

    free(chart->grid.depth_m);
    chart->grid.depth_m = chart->grid.sigma_m = NULL;
    cr_assert_eq(lw_surface_solve(&in, &chart->grid, &err), 0, "%s", err.text);
    chart->contour = malloc(contours * sizeof *contour); /* the lines stay the caller's */
    memcpy(chart->contour, contour, contours * sizeof *contour);
    chart->contours = contours;
    return chart;
}

static void free_chart(struct lw_chart *chart)
{
    free(chart->grid.sigma_m);
    free(chart->contour);
    day_chart_free(chart);
}

/* How far a place lies from the way at[n], capped at 200 m. */
static double to_way(const struct lw_en *at, size_t n, double e_m, double n_m)
{
    double least = 200 * 200;

    for (size_t i = 0; i < n; i++)
        least = fmin(least,
                     (at[i].e_m - e_m) * (at[i].e_m - e_m) + (at[i].n_m - n_m) * (at[i].n_m - n_m));
    return sqrt(least);
}

/* RMS of the error near the track, before and after; by how much a depth far from it got worse at
 * most, where it is not within the two sigma that the map gave before: below its last contour the
 * map is a guess (sigma 0.44 m), and another after each day. */
static void compare(const struct analytic *lake, const struct lw_chart *before,
                    const struct lw_chart *after, const struct lw_track *track, double rms[2],
                    double *worse)
{
    const struct lw_grid *grid = &before->grid;
    struct lw_en *way = calloc(track->n, sizeof *way);
    size_t n = 0, ways = 0;

    for (size_t i = 0; i < track->n; i += 8)
        way[ways++] = lw_frame_to_en(&before->frame, track->p[i].at);
    rms[0] = rms[1] = *worse = 0;
    for (int i = 0; i < grid->ny; i++)
        for (int j = 0; j < grid->nx; j++) {
            size_t k = (size_t)i * (size_t)grid->nx + (size_t)j;
            double x = grid->e0_m + CELL_M * j, y = grid->n0_m + CELL_M * i, away;
            double a = (double)before->grid.depth_m[k], b = (double)after->grid.depth_m[k];
            double z = analytic_depth(lake, x, y);

            if (x < 20 || x > 1180 || y > 880 || isnan(a) || isnan(b) || z <= 0)
                continue;
            away = to_way(way, ways, x, y);
            if (away < 6) {
                rms[0] += (a - z) * (a - z);
                rms[1] += (b - z) * (b - z);
                n++;
            } else if (away > 100 && fabs(b - z) > 2 * (double)before->grid.sigma_m[k]) {
                *worse = fmax(*worse, fabs(b - z) - fabs(a - z));
            }
        }
    free(way);
    cr_assert_gt(n, 300);
    rms[0] = sqrt(rms[0] / (double)n);
    rms[1] = sqrt(rms[1] / (double)n);
}

/* Two and a half hours along the lip: nine passes, from 14 m above it to 18 m below. */
static void fish(struct day *day, const struct analytic *lake, const struct lw_frame *frame,
                 struct lw_track *track)
{
    for (int pass = 0; pass < 9; pass++) {
        struct lw_en way[60];

        for (size_t k = 0; k < 60; k++) {
            double x = 60 + 18.0 * (double)(pass % 2 ? 59 - k : k);

            way[k] = (struct lw_en){x, analytic_lip_y(lake, x) - 14 + 4.0 * pass};
        }
        day_run(day, day_analytic, lake, frame, way, 60, track);
    }
}

struct tried {
    double rms[2], worse, level_m;
};

/* Folds a day with fixes off by fix_m into a map of contours each `feet`. */
static struct tried fold_and_compare(const struct analytic *lake, double feet, double jitter,
                                     double fix_m)
{
    size_t contours, n = 0;
    struct lw_contour *contour = analytic_contours(lake, feet, 4, jitter, 1, &contours);
    struct lw_chart *before = chart_of(lake, contour, contours, NULL, 0), *after;
    struct lw_track track = {.stage_m = NAN, .name = "of the day"};
    struct lw_import_options *options = calloc(1, sizeof *options);
    struct lw_import_report *report = calloc(1, sizeof *report);
    struct lw_sounding *sounding = NULL;
    struct day day = day_plain(21);
    struct lw_error err = {""};
    struct tried got;

    day.fix_m = fix_m;
    fish(&day, lake, &before->frame, &track);
    options->track = &track;
    options->tracks = 1;
    cr_assert_eq(lw_track_fold(before, options, &sounding, &n, report, &err), 0, "%s", err.text);
    cr_assert_eq(report->warnings, 1);
    cr_assert_not_null(strstr(report->warning[0], "soundings folded in, level"));
    cr_assert_eq(sscanf(strstr(report->warning[0], "level"), "level %lf", &got.level_m), 1);
    after = chart_of(lake, contour, contours, sounding, n);
    compare(lake, before, after, &track, got.rms, &got.worse);
    cr_assert_lt(n, track.n / 2); /* thinned */
    cr_assert_lt(got.worse, 0.06, "%.3f", got.worse);
    free_chart(before);
    free_chart(after);
    analytic_contours_free(contour, contours);
    lw_track_free(&track);
    free(sounding);
    free(options);
    free(report);
    return got;
}

/* A receiver with corrections. Where the contours themselves are drawn a metre off (the hard lake)
 * the map, which keeps to them, cannot follow the sounder all the way. */
Test(track_fold, halves_the_error_where_one_fishes)
{
    struct analytic hard = analytic_hard(), lake = analytic_random(1);
    struct tried got = fold_and_compare(&lake, 5, lake.wide_jitter, 0.5);

    cr_assert_float_eq(got.level_m, 0.31, 0.15);
    cr_assert_lt(got.rms[1], 0.5 * got.rms[0], "%.3f to %.3f", got.rms[0], got.rms[1]);
    got = fold_and_compare(&hard, 5, hard.wide_jitter, 0.5);
    cr_assert_float_eq(got.level_m, 0.31, 0.15);
    cr_assert_lt(got.rms[1], 0.6 * got.rms[0], "%.3f to %.3f", got.rms[0], got.rms[1]);
}

/* Fixes 1.5 m off on a drop of 0.24: contours that are right to the metre are not made worse. */
Test(track_fold, spares_a_good_map_from_a_poor_receiver)
{
    struct analytic easy = analytic_easy();
    struct tried got = fold_and_compare(&easy, 5, 0, 1.5);

    cr_assert_lt(got.rms[1], got.rms[0], "5 ft: %.3f to %.3f", got.rms[0], got.rms[1]);
    got = fold_and_compare(&easy, 1, 0, 1.5);
    cr_assert_lt(got.rms[1], got.rms[0] + 0.005, "1 ft: %.3f to %.3f", got.rms[0], got.rms[1]);
}

/* Given, a track's level is not measured; a track beside the water, too short, or in feet is left
 * out and said; a cell with many depths gives one. */
Test(track_fold, says_what_it_leaves_out)
{
    struct analytic lake = analytic_easy();
    struct lw_chart *chart = day_chart(day_analytic, &lake, CELL_M);
    struct lw_track track[5] = {{.name = "given", .stage_m = 0.5},
                                {.name = "ashore", .stage_m = NAN},
                                {.name = "short", .stage_m = NAN},
                                {.name = "in feet", .stage_m = NAN},
                                {.name = "short but known", .stage_m = 0.31}};
    struct lw_import_options *options = calloc(1, sizeof *options);
    struct lw_import_report *report = calloc(1, sizeof *report);
    struct lw_en still[2] = {{600, 420}, {600, 420.5}}, reach[2] = {{500, 420}, {700, 430}};
    struct lw_sounding *sounding = NULL;
    struct day day = day_plain(2);
    struct lw_error err = {""};
    size_t n = 0;

    day.spikes = day.fix_m = 0;
    day_zigzag(&day, &lake, &chart->frame, 60, 600, &track[0]);
    for (int i = 0; i < 50; i++)
        lw_track_add(&track[1],
                     (struct lw_track_sounding){{46.5, -89.7 + 0.00001 * i}, 1000 * i, 3});
    day.step_m = 0.01;
    day_run(&day, day_analytic, &lake, &chart->frame, still, 2, &track[2]);
    day.step_m = 1;
    day_run(&day, day_analytic, &lake, &chart->frame, reach, 2, &track[3]);
    for (size_t i = 0; i < track[3].n; i++)
        track[3].p[i].depth_m /= ANALYTIC_FT;
    day_zigzag(&day, &lake, &chart->frame, 60, 600, &track[3]);
    for (size_t i = 0; i < track[3].n; i++)
        track[3].p[i].depth_m /= track[3].p[i].at_utc_ms < track[3].p[200].at_utc_ms ? 1
                                                                                     : ANALYTIC_FT;
    day.step_m = 0.01;
    day_run(&day, day_analytic, &lake, &chart->frame, still, 2, &track[4]);
    options->track = track;
    options->tracks = 5;
    cr_assert_eq(lw_track_fold(chart, options, &sounding, &n, report, &err), 0, "%s", err.text);
    cr_assert_eq(report->warnings, 4);
    cr_assert_not_null(strstr(report->warning[0], "short was left out, its water level is not"));
    cr_assert_not_null(strstr(report->warning[1], "in feet was left out: its depths lie"));
    cr_assert_not_null(strstr(report->warning[2], "none of the 50 depths lies in the water"));
    cr_assert_not_null(strstr(report->warning[3], "2 tracks: "), "%s", report->warning[3]);
    cr_assert_not_null(strstr(report->warning[3], "levels +0.31 to +0.50 m, 0 of them measured"));
    /* 0.31 of stage, 0.5 taken off */
    cr_assert_float_eq(sounding[50].depth_m,
                       analytic_depth(&lake, sounding[50].at.e_m, sounding[50].at.n_m) - 0.19, 0.4);
    cr_assert_lt(sounding[n - 1].sigma_m, 0.6);
    cr_assert_gt(sounding[n - 1].sigma_m, 0.1);
    for (int i = 0; i < 5; i++)
        lw_track_free(&track[i]);
    free(sounding);
    free(options);
    free(report);
    day_chart_free(chart);
}
