#include "closed_loop.h"

#include <math.h>
#include <stdlib.h>

static int64_t epoch_ms(const struct closed_loop_in *in, long epoch)
{
    return in->start_utc_ms + llround((double)epoch * 1000 / in->rate_hz);
}

void closed_loop_run(const struct closed_loop_in *in, struct closed_loop_score *score)
{
    struct helm helm;
    long epochs = lround(in->minutes * 60 * in->rate_hz), shown = 0;
    double true_in = 0, shown_in = 0, off_square = 0, raw_square = 0;

    helm_start(&helm, in->plan, in->chart, &in->rules, &in->sim, (struct lw_ll){NAN, NAN});
    for (long i = 0; i < epochs; i++) {
        struct lw_fix fix = helm_fix(&helm, epoch_ms(in, i), epoch_ms(in, i));
        double off_m = helm_true_offset(&helm).off_m;
        double raw_m = lw_plan_offset(in->plan, lw_frame_to_en(&in->plan->frame, fix.at)).off_m -
                       off_m;

        true_in += fabs(helm_deviation(in->plan, off_m)) <= in->rules.tolerance_m;
        raw_square += raw_m * raw_m;
        if (helm.guidance.ok) {
            shown_in += fabs(helm.guidance.dev_m) <= in->rules.tolerance_m;
            off_square += (helm.guidance.off_m - off_m) * (helm.guidance.off_m - off_m);
            shown++;
        }
        helm_pass(&helm, 1.0 / in->rate_hz);
    }
    *score = (struct closed_loop_score){
        .within_tol_true = true_in / (double)epochs,
        .within_tol_est = shown_in / (double)epochs,
        .off_rmse_m = sqrt(off_square / (double)shown),
        .raw_rmse_m = sqrt(raw_square / (double)epochs),
        .lag_s = closed_loop_lag(in),
        .stations_held = helm.held,
    };
}

/* ---- lag ---- */

#define TICK_S   0.1
#define SWING_M  3.048
#define RAMP_S   3.0
#define PERIOD_S 40.0
#define TICKS    8000 /* 20 swings */
#define LAG_MIN  (-20)
#define LAG_MAX  60

/* Out over RAMP_S, stay, back over RAMP_S, stay; starts and ends at 0. */
static double swing_m(double at_s)
{
    double t = fmod(at_s, PERIOD_S), out = fmin(1, fmax(0, (t - PERIOD_S / 4) / RAMP_S)),
           back = fmin(1, fmax(0, (t - 3 * PERIOD_S / 4) / RAMP_S));

    return SWING_M * (out - back);
}

/* Carries the boat, no helm: place and velocity are set, so that Doppler tells the same tale. */
static void carry(struct helm *helm, struct lw_en from, double out_deg, double at_s)
{
    struct lw_en to = lw_en_step(from, out_deg, swing_m(at_s));

    lw_sim_step(&helm->sim, TICK_S, helm->sim.heading_deg, 0);
    helm->sim.ve_mps = (to.e_m - helm->sim.at.e_m) / TICK_S;
    helm->sim.vn_mps = (to.n_m - helm->sim.at.n_m) / TICK_S;
    helm->sim.at = to;
}

static double correlation(const double *x, const double *y, int n)
{
    double mx = 0, my = 0, xx = 0, yy = 0, xy = 0;

    for (int i = 0; i < n; i++) {
        mx += x[i] / n;
        my += y[i] / n;
    }
    for (int i = 0; i < n; i++) {
        xx += (x[i] - mx) * (x[i] - mx);
        yy += (y[i] - my) * (y[i] - my);
        xy += (x[i] - mx) * (y[i] - my);
    }
    return xy / sqrt(xx * yy);
}

static double best_lag(const double *truth, const double *shown)
{
    int best = LAG_MIN, n = TICKS - LAG_MAX + LAG_MIN;
    double most = -1;

    for (int lag = LAG_MIN; lag <= LAG_MAX; lag++) {
        double r = correlation(truth - LAG_MIN, shown - LAG_MIN + lag, n);

        if (r > most) {
            most = r;
            best = lag;
        }
    }
    return best > LAG_MIN && best < LAG_MAX ? best * TICK_S : NAN;
}

double closed_loop_lag(const struct closed_loop_in *in)
{
    struct lw_sim_rules calm = in->sim;
    struct helm helm;
    struct lw_offset_at at;
    struct lw_en from;
    double *truth = calloc(TICKS, sizeof *truth), *shown = calloc(TICKS, sizeof *shown);
    double out_deg, lag_s = NAN;
    long epoch = 0;

    if (!truth || !shown || in->plan->stations == 0)
        goto out;
    calm.leeway = 0;
    helm_start(&helm, in->plan, in->chart, &in->rules, &calm, (struct lw_ll){NAN, NAN});
    at = helm_true_offset(&helm);
    out_deg = lw_en_bearing(at.foot, in->plan->station[0].at);
    from = helm.sim.at;
    for (int i = 0; i < TICKS; i++) {
        carry(&helm, from, out_deg, i * TICK_S);
        /* +1e-9: at 10 Hz every tick is an epoch, whatever the rounding of i * .1 */
        if ((double)epoch <= i * TICK_S * in->rate_hz + 1e-9) {
            helm_fix(&helm, epoch_ms(in, epoch), epoch_ms(in, epoch));
            epoch++;
        }
        truth[i] = helm_true_offset(&helm).off_m;
        shown[i] = helm.guidance.ok ? helm.guidance.off_m : truth[i];
    }
    lag_s = best_lag(truth, shown);
out:
    free(truth);
    free(shown);
    return lag_s;
}
