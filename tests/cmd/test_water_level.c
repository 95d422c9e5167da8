/* The sounder against the map in the on-water program, without its terminal: what is asked, what a
 * key applies, what the journal keeps. The bottom is a formula, the boat's receiver is off by a
 * known way and the water higher by a known height. */
#include <locale.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/cmd/water.h"

#include "lw_test.h"

#define LEVEL_M 0.3
#define SHIFT_E 5.0 /* to be added to a fix: 5.8 m toward 121 degrees */
#define SHIFT_N (-3.0)
#define MINUTE  60000

static struct water *w;
static char path[400];
static int64_t began_ms;

static double bottom(double e_m, double n_m)
{
    return 4 + 0.02 * e_m + 1.2 * sin(e_m / 17) * cos(n_m / 13) + 0.6 * sin(n_m / 29);
}

static struct lw_chart *chart_of_bottom(void)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *grid = &chart->grid;

    chart->frame.origin = (struct lw_ll){46.01, -89.70};
    *grid = (struct lw_grid){.e0_m = -100, .n0_m = -100, .cell_m = 2, .nx = 101, .ny = 101};
    grid->depth_m = malloc(sizeof(float) * 101 * 101);
    for (int j = 0; j < 101; j++)
        for (int i = 0; i < 101; i++)
            grid->depth_m[j * 101 + i] = (float)bottom(-100 + 2 * i, -100 + 2 * j);
    return chart;
}

static struct water *begin(void)
{
    struct water *new = calloc(1, sizeof *new);
    struct lw_error err;

    lw_conf_defaults(&new->conf);
    lw_ui_clear(&new->ui);
    lw_clock_start(&new->clock);
    new->refused_m = NAN;
    strcpy(new->trip_id, "t");
    new->trip = lw_trip_new(&(struct lw_trip_rules){.day_end_utc_ms = INT64_MAX});
    new->chart = chart_of_bottom();
    cr_assert_eq(lw_journal_open(path, &new->journal, &err), 0, "%s", err.text);
    cr_assert_eq(water_jobs_open(&new->job, &err), 0);
    cr_assert_eq(water_jobs_open(&new->watch, &err), 0);
    return new;
}

static void leave(struct water *old)
{
    struct lw_error err;

    water_jobs_close(&old->job);
    water_jobs_close(&old->watch);
    cr_expect_eq(lw_journal_close(old->journal, &err), 0);
    free(old->chart->grid.depth_m);
    free(old->chart);
    lw_trip_free(old->trip);
    lw_track_free(&old->sounded);
    free(old);
}

static void setup(void)
{
    char folder[380];

    setlocale(LC_CTYPE, "C.UTF-8");
    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/day.db", folder);
    w = begin();
    began_ms = water_now(w, lw_clock_mono_ms());
}

static void teardown(void)
{
    leave(w);
}

TestSuite(level, .init = setup, .fini = teardown);

/* The boat's receiver has it at (e, n); n NaN of depth: no sounder. */
static void sound(int second, double e_m, double n_m, double depth_m)
{
    struct lw_event event = lw_event_new(LW_EV_TRACK, began_ms + second * 1000);

    event.u.track.where.at = lw_frame_to_ll(&w->chart->frame, (struct lw_en){e_m, n_m});
    event.u.track.depth_m = depth_m;
    cr_assert_eq(water_happen(w, &event), 0);
}

/* Lanes across the lake, a metre a second. */
static int sail(double level_m, double shift_e_m, double shift_n_m)
{
    int second = 0;

    for (double n = -80; n <= 80; n += 16)
        for (double e = -80; e <= 80; e += 1) {
            double way = fmod(n + 80, 32) < 1 ? e : -e;

            sound(second++, way, n, bottom(way + shift_e_m, n + shift_n_m) + level_m);
        }
    return second;
}

static void finish_job(struct water_job *job)
{
    struct pollfd done = {job->done_fd, POLLIN, 0};

    if (job->kind == WATER_JOB_NONE)
        return;
    cr_assert_eq(poll(&done, 1, 20000), 1);
    water_job_finish(w, job);
}

static void finish_jobs(void)
{
    finish_job(&w->job);
    finish_job(&w->watch);
}

static void press(int code)
{
    water_act(w, lw_ui_key(&w->view, &w->ui, code));
    finish_jobs();
}

static double figure(const char *after)
{
    const char *at = strstr(w->ui.ask.sentence, after);

    cr_assert(at, "no \"%s\" in: %s", after, w->ui.ask.sentence);
    return atof(at + strlen(after));
}

Test(level, level_and_shift_are_asked_about_one_by_one_and_kept)
{
    struct water *again;
    struct lw_error err;
    int n = sail(LEVEL_M, SHIFT_E, SHIFT_N);

    strcpy(w->conf.text[LW_SET_UNITS], "metric");
    w->view.conf = &w->conf;
    press('u');
    cr_assert_eq(w->ui.ask.kind, LW_ASK_YES_NO, "%s", w->view.notice);
    /* 0.356 before the shift was fitted with it */
    cr_expect_float_eq(figure("The sounder reads "), LEVEL_M, 0.021, "%s", w->ui.ask.sentence);
    cr_expect(strstr(w->ui.ask.sentence, " deeper than the map at "), "%s", w->ui.ask.sentence);
    cr_expect(strstr(w->ui.ask.sentence, "edges lie about "), "%s", w->ui.ask.sentence);
    cr_expect(strstr(w->ui.ask.sentence, " nearer the shore. Take the level? y yes, n no"));
    press('y');
    cr_expect_float_eq(water_level(w), LEVEL_M, 0.02);
    cr_assert(strstr(w->ui.ask.sentence, "The track fits the map best "), "%s", w->ui.ask.sentence);
    cr_expect_float_eq(figure("best "), hypot(SHIFT_E, SHIFT_N), 1);
    cr_expect_float_eq(figure("toward "), 121, 8);
    press('y');
    cr_expect_eq(w->ui.ask.kind, LW_ASK_NONE);
    cr_expect_float_eq(water_shift(w).e_m, SHIFT_E, 0.7);
    cr_expect_float_eq(water_shift(w).n_m, SHIFT_N, 0.7);

    /* on the shifted map the level comes out closer, and is then agreed on */
    press('u');
    if (w->ui.ask.kind == LW_ASK_YES_NO && strstr(w->ui.ask.sentence, "Take the level?"))
        press('y');
    cr_expect_float_eq(water_level(w), LEVEL_M, 0.03);
    w->ui.ask.kind = LW_ASK_NONE;

    cr_assert_eq(lw_journal_flush(w->journal, 5000, &err), 0, "%s", err.text);
    again = begin();
    cr_assert_eq(water_catch_up(again, false, &err), 0, "%s", err.text);
    cr_expect_eq(again->sounded.n, (size_t)n, "the depths of the trip are read back");
    cr_expect_float_eq(water_level(again), water_level(w), 0);
    cr_expect_float_eq(water_shift(again).e_m, water_shift(w).e_m, 0);
    leave(again);
}

Test(level, no_applies_nothing)
{
    sail(LEVEL_M, SHIFT_E, SHIFT_N);
    w->view.conf = &w->conf;
    press('u');
    cr_expect_float_eq(figure("The sounder reads "), LEVEL_M / 0.3048, 0.35);
    press('n');
    cr_expect_float_eq(water_level(w), 0, 0);
    cr_assert(strstr(w->ui.ask.sentence, "shift the map?"), "%s", w->ui.ask.sentence);
    press('n');
    cr_expect_eq(w->ui.ask.kind, LW_ASK_NONE);
    cr_expect(isnan(lw_trip_setting(w->trip, "stage_m")));
    cr_expect(isnan(lw_trip_setting(w->trip, "shift_e_m")));
}

Test(level, where_both_agree_nothing_is_asked_and_a_level_can_be_given_up)
{
    int64_t now = water_now(w, lw_clock_mono_ms());

    w->view.conf = &w->conf;
    sail(0, 0, 0);
    press('u');
    cr_expect_eq(w->ui.ask.kind, LW_ASK_NONE, "%s", w->ui.ask.sentence);
    cr_expect(strstr(w->view.notice, "the sounder and the map agree within "), "%s",
              w->view.notice);
    /* taken when the water was lower by 0.5 m: it is back */
    water_set(w, "stage_m", -0.5, now);
    press('u');
    cr_expect_float_eq(figure("The sounder reads "), 1.6, 0.11);
    press('y');
    cr_expect_float_eq(water_level(w), 0, 0.03);
    water_set(w, "stage_m", 0.02, now); /* less than is worth asking about */
    press('u');
    cr_assert(strstr(w->ui.ask.sentence, "Go back to the map's own level?"), "%s",
              w->ui.ask.sentence);
    press('y');
    cr_expect_float_eq(water_level(w), 0, 0);
}

Test(level, too_little_to_compare_is_said)
{
    w->view.conf = &w->conf;
    press('u');
    cr_expect(strstr(w->view.notice, "no depths from a sounder yet"), "%s", w->view.notice);
    sound(0, 0, 0, NAN);
    cr_expect_eq(w->sounded.n, 0);
    for (int i = 0; i < 10; i++)
        sound(i, 2 * i, 0, bottom(2 * i, 0));
    press('u');
    cr_expect_eq(w->ui.ask.kind, LW_ASK_NONE);
    cr_expect(strstr(w->view.notice, "share only"), "%s", w->view.notice);
}

Test(level, a_clear_difference_is_said_by_itself_once_and_not_after_a_no)
{
    int64_t mono_ms = lw_clock_mono_ms();
    int second = sail(LEVEL_M, 0, 0);

    w->view.conf = &w->conf;
    water_watch_level(w, mono_ms + MINUTE);
    finish_jobs();
    cr_expect_str_eq(w->view.notice, "the sounder reads 1.0 ft deeper than the map: u compares");
    cr_expect_eq(w->ui.ask.kind, LW_ASK_NONE, "it only says so");
    cr_expect_float_eq(water_level(w), 0, 0);
    w->view.notice[0] = '\0';
    for (int i = 0; i < 100; i++)
        sound(second + i, i, 3, bottom(i, 3) + LEVEL_M);
    water_watch_level(w, mono_ms + 3 * MINUTE);
    finish_jobs();
    cr_expect_str_eq(w->view.notice, "", "once in ten minutes");
    w->offered_ms = 0; /* ten minutes later */
    press('u');
    press('n');
    for (int i = 0; i < 100; i++)
        sound(second + 100 + i, i, 5, bottom(i, 5) + LEVEL_M);
    w->view.notice[0] = '\0';
    water_watch_level(w, mono_ms + 14 * MINUTE);
    finish_jobs();
    cr_expect_str_eq(w->view.notice, "", "the crew has said no to it");
}

Test(level, another_stage_option_replaces_the_level_taken)
{
    w->view.conf = &w->conf;
    water_keep_stage(w, 0);
    water_set(w, "stage_m", 0.3, water_now(w, lw_clock_mono_ms()));
    water_keep_stage(w, 0); /* started again by the same call */
    cr_expect_float_eq(water_level(w), 0.3, 1e-12);
    water_keep_stage(w, 0.25); /* the crew says what it is today */
    cr_expect_float_eq(water_level(w), 0, 0);
    cr_expect(strstr(w->view.notice, "--stage"), "%s", w->view.notice);
    water_set(w, "stage_m", 0.1, water_now(w, lw_clock_mono_ms()));
    water_keep_stage(w, 0.25);
    cr_expect_float_eq(water_level(w), 0.1, 1e-12);
}

/* The chart and the plan keep the map's own depths; what is typed is today's. */
Test(level, edges_typed_and_their_plans_are_todays_water)
{
    struct water_job *job = &w->job;
    struct lw_error err;
    const double typed_m = 5.0;

    water_set(w, "stage_m", 0.4, water_now(w, lw_clock_mono_ms()));
    w->view.conf = &w->conf;
    w->chart->deepest_m = 7;
    strcpy(w->ui.depth_text, "5m");
    water_list_beats(w);
    finish_jobs();
    cr_assert_gt(w->beats, 0, "%s", w->view.notice);
    cr_expect_float_eq(w->beats_depth_m, typed_m, 1e-9);
    for (size_t i = 0; i < w->beats; i++) {
        struct lw_en at = lw_frame_to_en(&w->chart->frame, w->beat[i].nearest);

        cr_expect_float_eq(bottom(at.e_m, at.n_m), typed_m - 0.4, 0.05);
    }
    water_plan_params(w, &job->params);
    job->params.depth_m = w->beats_depth_m;
    job->params.near = w->beat[0].nearest;
    job->params.min_depth_m = 1.0;
    job->chart = w->chart;
    job->level_m = water_level(w);
    snprintf(job->path, sizeof job->path, "%s.plan", path);
    cr_assert_eq(water_job_start(job, WATER_JOB_PLAN, &err), 0);
    finish_jobs();
    cr_assert(w->plan, "%s", w->view.notice);
    cr_expect_float_eq(w->plan->params.depth_m, typed_m - 0.4, 1e-9, "the map's own");
    cr_expect_float_eq(w->plan->params.min_depth_m, 1.0, 1e-9, "today's: the sounder's alarm");
    lw_plan_free(w->plan);
    lw_worked_free(w->worked);
    w->plan = NULL;
}
