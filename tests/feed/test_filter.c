/* Steady states: Kalata 1984 (IEEE Trans AES 20(2):174-182, from memory), discrete white
 * acceleration; recomputed by a Riccati recursion in another program. */
#include "lipwalk/feed/filter.h"

#include "lw_test.h"
#include <math.h>

static const struct {
    double lambda, alpha, beta, p22;
} kalata[] = {
    {0.01, 0.131850991, 0.009317451, 0.001365097}, {0.1, 0.36, 0.08, 0.04},
    {0.5, 0.628373457, 0.304805898, 0.390388203},  {1, 0.75, 0.5, 1.0},
    {2, 0.854101966, 0.763932023, 2.472135955},    {10, 0.978713764, 1.458980338, 17.082039325}};

static struct lw_axis settled(double accel, double dt, double sigma)
{
    struct lw_axis axis = {0, 0, 100, 0, 100};

    for (int i = 0; i < 5000; i++) {
        lw_axis_predict(&axis, dt, accel);
        lw_axis_update(&axis, 0.0, sigma);
    }
    return axis;
}

Test(filter, steady_states)
{
    for (size_t i = 0; i < sizeof kalata / sizeof kalata[0]; i++) {
        struct lw_axis axis = settled(kalata[i].lambda, 1.0, 1.0);

        cr_assert_float_eq(axis.pxx, kalata[i].alpha, 1e-9); /* alpha R */
        cr_assert_float_eq(axis.pxv, kalata[i].beta, 1e-9);  /* beta R / T */
        cr_assert_float_eq(axis.pvv, kalata[i].p22, 2e-9);
    }
}

/* T 0.5 s, R 4: Lambda = a T^2 / 2, so 0.1 and 1 need a = 0.8 and 8. */
Test(filter, steady_states_at_half_a_second)
{
    struct lw_axis axis = settled(0.8, 0.5, 2.0);

    cr_assert_float_eq(axis.pxx, 1.44, 1e-9);
    cr_assert_float_eq(axis.pxv, 0.64, 1e-9);
    cr_assert_float_eq(axis.pvv, 0.64, 1e-9);
    axis = settled(8.0, 0.5, 2.0);
    cr_assert_float_eq(axis.pxx, 3.0, 1e-9);
    cr_assert_float_eq(axis.pxv, 4.0, 1e-9);
    cr_assert_float_eq(axis.pvv, 16.0, 1e-9);
}

/* A measured speed is the same update with the axes' roles exchanged: by hand, P = [4 1; 1 2],
 * sigma 1: S 3, K = (1/3, 2/3), P' = [4 - 1/3, 1/3; 1/3, 2/3]. */
Test(filter, speed_update_by_hand)
{
    struct lw_axis axis = {10, 1, 4, 1, 2};

    lw_axis_update_speed(&axis, 4.0, 1.0);
    cr_assert_float_eq(axis.x, 11.0, 1e-12);
    cr_assert_float_eq(axis.v, 3.0, 1e-12);
    cr_assert_float_eq(axis.pxx, 11.0 / 3.0, 1e-12);
    cr_assert_float_eq(axis.pxv, 1.0 / 3.0, 1e-12);
    cr_assert_float_eq(axis.pvv, 2.0 / 3.0, 1e-12);
}

/* A small generator of our own, so that the tests give the same numbers everywhere. */
static double unit(unsigned long long *state)
{
    *state = *state * 6364136223846793005ULL + 1442695040888963407ULL;
    return ((double)(*state >> 33) + 0.5) / 2147483648.0;
}
static double gauss(unsigned long long *state)
{
    return sqrt(-2.0 * log(unit(state))) * cos(2.0 * M_PI * unit(state));
}

static const struct lw_ll origin = {46.01, -89.70};

/* A boat that makes good `speed` on a course that sways by 30 degrees, with white noise. */
struct run {
    double dt_s, white_m, speed_mps;
    bool doppler;
    double eph_m;
};
struct result {
    double rmse_m, raw_m, noise_m, sigma_m;
    int given, steps;
};
static struct result go(struct run run)
{
    struct lw_filter_rules rules;
    struct lw_filter filter;
    struct lw_estimate est;
    struct lw_frame frame = {origin};
    struct lw_en at = {0, 0};
    struct result r = {0};
    unsigned long long seed = 42;
    double sum = 0, raw = 0;
    int counted = 0;

    lw_filter_rules_default(&rules);
    lw_filter_clear(&filter, &rules);
    for (int i = 0; i < (int)(300.0 / run.dt_s); i++) {
        double t = i * run.dt_s;
        double course = 60.0 + 30.0 * sin(t / 30.0);
        struct lw_en seen = {at.e_m + run.white_m * gauss(&seed),
                             at.n_m + run.white_m * gauss(&seed)};
        struct lw_fix fix = {.at_utc_ms = 1700000000000 + llround(t * 1000.0),
                             .mode = 3,
                             .at = lw_frame_to_ll(&frame, seen),
                             .sog_mps = run.doppler ? run.speed_mps : NAN,
                             .cog_deg = course,
                             .eph_m = run.eph_m,
                             .hdop = 0.9};

        bool given = lw_filter_step(&filter, &fix, &est);

        if (t > 60.0) {
            double d = lw_en_distance(lw_frame_to_en(&frame, est.at), at);

            sum += d * d;
            raw += pow(lw_en_distance(seen, at), 2);
            r.given += given;
            counted++;
        }
        at = lw_en_step(at, course, run.speed_mps * run.dt_s);
    }
    r.rmse_m = sqrt(sum / counted);
    r.raw_m = sqrt(raw / counted);
    r.steps = counted;
    r.noise_m = filter.noise_m;
    r.sigma_m = est.sigma_m;
    return r;
}

Test(filter, better_than_raw_and_noise_learnt)
{
    static const double white[] = {0.3, 1.0, 3.0};

    for (int i = 0; i < 3; i++) {
        for (int hz = 1; hz <= 10; hz += 9) {
            struct result r = go((struct run){1.0 / hz, white[i], 0.6, true, 17.1});

            cr_log_info("white %.1f at %d Hz: rmse %.3f raw %.3f learnt %.3f sigma %.2f\n",
                        white[i], hz, r.rmse_m, r.raw_m, r.noise_m, r.sigma_m);
            cr_assert_lt(r.rmse_m, 0.6 * r.raw_m);
            cr_assert_float_eq(r.noise_m, white[i], 0.35 * white[i]);
            cr_assert_gt(r.given, (int)(0.97 * r.steps)); /* the gate drops 1 % */
        }
    }
}

Test(filter, without_doppler_too)
{
    struct result r = go((struct run){1.0, 1.0, 0.6, false, 17.1});

    cr_assert_lt(r.rmse_m, 0.9 * r.raw_m);
}

Test(filter, eph_is_a_ceiling)
{
    struct result r = go((struct run){1.0, 3.0, 0.6, true, 2.4477468});

    cr_assert_leq(r.noise_m, 1.0 + 1e-9);
}

/* A still boat with a fix a second; helpers for what goes wrong. */
struct still {
    struct lw_filter filter;
    struct lw_estimate est;
    int64_t t;
};
static void settle(struct still *s)
{
    struct lw_filter_rules rules;

    memset(s, 0, sizeof *s);
    lw_filter_rules_default(&rules);
    lw_filter_clear(&s->filter, &rules);
    s->t = 1700000000000;
}
static bool fix_at(struct still *s, int64_t t, double e_m)
{
    struct lw_frame frame = {origin};
    struct lw_fix fix = {.at_utc_ms = t,
                         .mode = 3,
                         .at = lw_frame_to_ll(&frame, (struct lw_en){e_m, 0}),
                         .sog_mps = 0.0,
                         .cog_deg = NAN,
                         .eph_m = 17.1,
                         .hdop = 0.9};

    return lw_filter_step(&s->filter, &fix, &s->est);
}
static double east(const struct still *s)
{
    struct lw_frame frame = {origin};

    return lw_frame_to_en(&frame, s->est.at).e_m;
}

Test(filter, one_outlier_is_dropped_three_restart)
{
    struct still s;

    settle(&s);
    for (int i = 0; i < 60; i++)
        cr_assert(fix_at(&s, s.t += 1000, 0.0));
    cr_assert_not(fix_at(&s, s.t += 1000, 50.0));
    cr_assert_eq(s.est.at_utc_ms, s.t, "the estimate goes on for its time");
    cr_assert_float_eq(east(&s), 0.0, 0.1);
    cr_assert(fix_at(&s, s.t += 1000, 0.0));
    cr_assert_not(fix_at(&s, s.t += 1000, 50.0));
    cr_assert_not(fix_at(&s, s.t += 1000, 50.0));
    cr_assert(fix_at(&s, s.t += 1000, 50.0));
    cr_assert_float_eq(east(&s), 50.0, 0.01);
}

Test(filter, pause_out_of_order_and_step_back)
{
    struct still s;
    double before;

    settle(&s);
    for (int i = 0; i < 20; i++)
        fix_at(&s, s.t += 1000, 0.0);
    before = s.est.sigma_m;
    cr_assert(fix_at(&s, s.t += 20000, 2.0)); /* 20 s gap: trusted more than the old place */
    cr_assert_gt(east(&s), 1.8);
    cr_assert_gt(s.est.sigma_m, before);
    cr_assert_not(fix_at(&s, s.t, 5.0), "the same time twice");
    cr_assert_not(fix_at(&s, s.t - 500, 5.0), "out of order");
    cr_assert_lt(east(&s), 3.0);
    cr_assert(fix_at(&s, s.t += 60000, 90.0), "after a long pause it starts anew");
    cr_assert_float_eq(east(&s), 90.0, 0.01);
    cr_assert(fix_at(&s, s.t -= 3600000, 10.0), "time stepped back an hour");
    cr_assert_float_eq(east(&s), 10.0, 0.01);
}

Test(filter, no_fix_is_ignored)
{
    struct still s;
    struct lw_fix none = {.at_utc_ms = 1, .mode = 1, .at = {46, -90}};
    struct lw_fix nowhere = {.at_utc_ms = 1, .mode = 3, .at = {NAN, NAN}};

    settle(&s);
    cr_assert_not(lw_filter_step(&s.filter, &none, &s.est));
    cr_assert_not(lw_filter_step(&s.filter, &nowhere, &s.est));
    cr_assert_not(s.filter.on);
}

/* White noise at rest: the course is noise and is not shown. */
Test(filter, no_course_at_rest)
{
    struct still s;

    settle(&s);
    for (int i = 0; i < 30; i++)
        fix_at(&s, s.t += 1000, 0.2 * (i % 2));
    cr_assert(isnan(s.est.cog_deg));
    cr_assert_lt(s.est.sog_mps, 0.1);
}
