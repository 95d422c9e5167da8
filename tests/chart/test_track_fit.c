/* Level and shift from the sounder, on lakes in closed form: the truth is known. */
#include <criterion/criterion.h>

#include "track_day.h"

TestSuite(track_fit, .timeout = 60);

/* depth = 1 + slope y, a plane; no edge anywhere */
static double plane(const void *lake, double x, double y)
{
    const double *slope = lake;

    (void)x;
    return 1 + *slope * y;
}

static void zigzag_plane(struct day *day, const double *slope, const struct lw_frame *frame,
                         struct lw_track *track)
{
    struct lw_en way[20];

    for (size_t k = 0; k < 20; k++)
        way[k] = (struct lw_en){100 + 50.0 * (double)k, k % 2 ? 500 : 300};
    day_run(day, plane, slope, frame, way, 20, track);
}

/* Closed form: on a bottom of slope s a level of h moves every contour by h / s: 0.3 m on 0.015 is
 * 20 m. */
Test(track_fit, level_moves_a_contour_by_the_slope)
{
    double slope = 0.015;
    struct lw_chart *chart = day_chart(plane, &slope, 4);
    struct day day = {.stage_m = 0.3, .step_m = 1.2, .seed = 5};
    struct lw_track track = {.stage_m = NAN};
    struct lw_stage_fit fit;
    struct lw_error err = {""};

    zigzag_plane(&day, &slope, &chart->frame, &track);
    cr_assert_eq(lw_stage_fit(chart, &track, &fit, &err), 0, "%s", err.text);
    cr_assert_float_eq(fit.stage_m, 0.3, 1e-3);
    cr_assert_float_eq(fit.slope, 0.015, 1e-4);
    cr_assert_float_eq(fit.edge_move_m, 20, 0.2);
    cr_assert_gt(fit.places, 500);
    cr_assert_lt(fit.spread_m, 0.005);
    lw_track_free(&track);
    day_chart_free(chart);
}

/* A uniform slope looks the same wherever the map is moved along it: no shift is claimed, and the
 * sigma says so. */
Test(track_fit, no_shift_is_claimed_on_a_plane)
{
    double slopes[] = {0, 0.015, 0.1};

    for (size_t i = 0; i < 3; i++)
        for (uint64_t seed = 1; seed <= 2; seed++) {
            struct lw_chart *chart = day_chart(plane, &slopes[i], 4);
            struct day day = day_plain(seed);
            struct lw_track track = {.stage_m = NAN};
            struct lw_shift_fit fit;
            struct lw_error err = {""};

            day.shift_e_m = 8;
            zigzag_plane(&day, &slopes[i], &chart->frame, &track);
            cr_assert_eq(lw_shift_fit(chart, &track, &fit, &err), 0, "%s", err.text);
            cr_assert_not(fit.clear);
            cr_assert_gt(fit.sigma_m, 20);
            lw_track_free(&track);
            day_chart_free(chart);
        }
}

static void recover(const struct analytic *lake, double cell_m, uint64_t seed, double spikes,
                    double *worst_sigmas)
{
    struct lw_chart *chart = day_chart(day_analytic, lake, cell_m);
    struct day day = day_plain(seed);
    struct lw_track track = {.stage_m = NAN};
    struct lw_shift_fit fit;
    struct lw_error err = {""};
    double off;

    day.spikes = spikes;
    day.shift_e_m = 7 * sin(230 * M_PI / 180);
    day.shift_n_m = 7 * cos(230 * M_PI / 180);
    day_zigzag(&day, lake, &chart->frame, 60, 1140, &track);
    cr_assert_eq(lw_shift_fit(chart, &track, &fit, &err), 0, "%s", err.text);
    off = hypot(fit.shift.e_m - day.shift_e_m, fit.shift.n_m - day.shift_n_m);
    cr_assert(fit.clear);
    cr_assert_lt(off, 1, "off by %.2f m, sigma %.2f m", off, fit.sigma_m);
    cr_assert_float_eq(fit.stage_m, 0.31, 0.03);
    cr_assert_lt(fit.rms_after_m, 0.6 * fit.rms_before_m);
    *worst_sigmas = fmax(*worst_sigmas, off / fit.sigma_m);
    lw_track_free(&track);
    day_chart_free(chart);
}

Test(track_fit, shift_and_level_come_back)
{
    struct analytic easy = analytic_easy(), hard = analytic_hard();
    double worst = 0;

    for (uint64_t seed = 1; seed <= 2; seed++) {
        recover(&easy, 2, seed, 0.05, &worst);
        recover(&hard, 4, 10 + seed, 0.2, &worst);
    }
    cr_assert_lt(worst, 2.0);
}

/* A straight shore: z rises to the north only. One run along it tells the shift across, and says
 * that it cannot tell the one along. */
static double straight(const void *lake, double x, double y)
{
    (void)lake;
    (void)x;
    return 2 + 3 * (1 + tanh((y - 400) / 15));
}

Test(track_fit, a_line_along_a_contour_tells_only_the_shift_across)
{
    struct lw_chart *chart = day_chart(straight, NULL, 2);
    struct day day = day_plain(3);
    struct lw_track track = {.stage_m = NAN};
    struct lw_en way[40];
    struct lw_shift_fit fit;
    struct lw_error err = {""};

    for (size_t k = 0; k < 40; k++)
        way[k] = (struct lw_en){100 + 25.0 * (double)k, k % 2 ? 420 : 385};
    day.shift_n_m = 6;
    day.shift_e_m = 6;
    day_run(&day, straight, NULL, &chart->frame, way, 40, &track);
    cr_assert_eq(lw_shift_fit(chart, &track, &fit, &err), 0, "%s", err.text);
    cr_assert_float_eq(fit.shift.n_m, 6, 1);
    cr_assert_gt(fit.sigma_m, 20);
    cr_assert_lt(fabs(fit.worse_deg - 90), 2);
    cr_assert_not(fit.clear);
    lw_track_free(&track);
    day_chart_free(chart);
}

/* No shift there: none is claimed, on any of the lakes. */
Test(track_fit, none_is_claimed_where_there_is_none)
{
    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct analytic lake = analytic_random(seed);
        struct lw_chart *chart = day_chart(day_analytic, &lake, 4);
        struct day day = day_plain(seed);
        struct lw_track track = {.stage_m = NAN};
        struct lw_shift_fit fit;
        struct lw_error err = {""};

        day_zigzag(&day, &lake, &chart->frame, 60, 1140, &track);
        cr_assert_eq(lw_shift_fit(chart, &track, &fit, &err), 0, "%s", err.text);
        cr_assert_not(fit.clear);
        cr_assert_lt(hypot(fit.shift.e_m, fit.shift.n_m), 3 * fit.sigma_m);
        lw_track_free(&track);
        day_chart_free(chart);
    }
}

/* A fifth of the depths false: the level holds, within what it states. */
Test(track_fit, level_withstands_spikes)
{
    struct analytic lake = analytic_hard();
    struct lw_chart *chart = day_chart(day_analytic, &lake, 2);

    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct day day = day_plain(seed);
        struct lw_track track = {.stage_m = NAN};
        struct lw_stage_fit fit;
        struct lw_error err = {""};

        day.spikes = 0.2;
        day.stage_m = -0.42;
        day_zigzag(&day, &lake, &chart->frame, 60, 1140, &track);
        cr_assert_eq(lw_stage_fit(chart, &track, &fit, &err), 0, "%s", err.text);
        cr_assert_float_eq(fit.stage_m, -0.42, 0.03, "%.3f", fit.stage_m);
        cr_assert_lt(fabs(fit.stage_m + 0.42), 3.5 * fit.error_m);
        cr_assert(fit.error_m > 0.002 && fit.error_m < 0.03, "%.4f", fit.error_m);
        cr_assert_lt(fit.spread_m, 0.15);
        lw_track_free(&track);
    }
    day_chart_free(chart);
}

/* Neighbours count as one: a boat that lies at anchor for an hour knows no better. */
Test(track_fit, standing_still_adds_nothing)
{
    struct analytic lake = analytic_easy();
    struct lw_chart *chart = day_chart(day_analytic, &lake, 2);
    struct lw_track track = {.stage_m = NAN};
    struct day day = day_plain(9);
    struct lw_stage_fit moving, longer;
    struct lw_shift_fit shift;
    struct lw_error err = {""};
    struct lw_en spot[2] = {{600, 300}, {600, 301}};

    day_zigzag(&day, &lake, &chart->frame, 60, 600, &track);
    cr_assert_eq(lw_stage_fit(chart, &track, &moving, &err), 0, "%s", err.text);
    day.step_m = 0.001;
    day_run(&day, day_analytic, &lake, &chart->frame, spot, 2, &track);
    cr_assert_eq(lw_stage_fit(chart, &track, &longer, &err), 0, "%s", err.text);
    cr_assert_float_eq(longer.stage_m, moving.stage_m, 0.02);
    cr_assert_lt(fabs(longer.error_m / moving.error_m - 1), 0.3);
    /* and too little is refused */
    lw_track_free(&track);
    day_run(&day, day_analytic, &lake, &chart->frame, spot, 2, &track);
    day_chart_free(chart);
    chart = day_chart(day_analytic, &lake, 4);
    cr_assert_eq(lw_stage_fit(chart, &track, &longer, &err), -1);
    cr_assert_not_null(strstr(err.text, "share only"));
    cr_assert_eq(lw_shift_fit(chart, &track, &shift, &err), -1);
    cr_assert_not_null(strstr(err.text, "share only"));
    lw_track_free(&track);
    day_chart_free(chart);
}

/* Between contours the map is guessed: the level stands by the cells near a contour, and says how
 * unsure it is. The map here is right at 0, 2, 4, ... m and 0.3 m too shallow halfway between. */
static double sagging(const void *lake, double x, double y)
{
    double z = plane(lake, x, y), t = z / 2 - floor(z / 2);

    return z - 0.3 * 4 * t * (1 - t);
}

Test(track_fit, level_stands_by_the_contours)
{
    double slope = 0.02;
    struct lw_chart *chart = day_chart(sagging, &slope, 4);
    struct day day = day_plain(4);
    struct lw_track track = {.stage_m = NAN};
    struct lw_contour contour[30] = {{0}};
    struct lw_stage_fit plain, fit;
    struct lw_error err = {""};

    for (int i = 0; i < 30; i++)
        contour[i].depth_m = 2 * i;
    zigzag_plane(&day, &slope, &chart->frame, &track);
    cr_assert_eq(lw_stage_fit(chart, &track, &plain, &err), 0, "%s", err.text);
    chart->contour = contour;
    chart->contours = 30;
    cr_assert_eq(lw_stage_fit(chart, &track, &fit, &err), 0, "%s", err.text);
    cr_assert_gt(plain.stage_m - 0.31, 0.15, "%.3f", plain.stage_m);
    cr_assert_lt(fabs(fit.stage_m - 0.31), 0.7 * (plain.stage_m - 0.31), "%.3f", fit.stage_m);
    cr_assert_lt(fabs(fit.stage_m - 0.31), 2 * fit.error_m, "%.3f", fit.error_m);
    lw_track_free(&track);
    day_chart_free(chart);
}
