#include "lipwalk/feed/filter.h"

#include <math.h>
#include <string.h>

/* Chi-square, 2 degrees of freedom, 99 %: -2 ln 0.01. */
#define GATE 9.210340371976184
/* So many fixes in a row beyond the gate: the boat really is there. */
#define OUTLIERS_MAX 3
/* After so long without a fix nothing of the old motion holds. */
#define PAUSE_MAX_S 30.0
/* A fix so much older than the last one means that time itself stepped back. */
#define STEP_BACK_S 2.0
/* Time over which the noise is learnt: longer follows the sky too slowly, shorter is itself noise.
 */
#define LEARN_S 30.0
/* First guess of the speed, one sigma an axis: a boat at work. */
#define SPEED_SIGMA_MPS 1.0
/* eph is a 95 % radius: divide by sqrt(-2 ln 0.05) for one sigma of one axis (Rayleigh). */
#define EPH_SIGMAS 2.4477468306808161
/* 95 % radius a unit of HDOP where a receiver gives no error: 19 m, as gpsd takes it. */
#define EPH_PER_HDOP_M 19.0
#define NOISE_MAX_M    10.0 /* ceiling when the source says neither eph nor HDOP */
#define COG_MIN_MPS    0.25 /* course is noise below */

void lw_filter_rules_default(struct lw_filter_rules *rules)
{
    rules->accel_mps2 = 0.2;
    rules->noise_m = 1.0;
    rules->noise_min_m = 0.15;
    rules->speed_noise_mps = 0.1;
    rules->bias_m = 0.8;
}

void lw_filter_clear(struct lw_filter *filter, const struct lw_filter_rules *rules)
{
    memset(filter, 0, sizeof *filter);
    filter->rules = *rules;
    filter->noise_m = rules->noise_m;
}

void lw_axis_predict(struct lw_axis *axis, double dt_s, double accel_mps2)
{
    /* The acceleration is constant over a step, so its effect on place and speed is one vector
     * g = (dt^2/2, dt) and Q = a^2 g g'. */
    double gx = accel_mps2 * dt_s * dt_s / 2.0;
    double gv = accel_mps2 * dt_s;

    axis->x += axis->v * dt_s;
    axis->pxx += dt_s * (2.0 * axis->pxv + dt_s * axis->pvv) + gx * gx;
    axis->pxv += dt_s * axis->pvv + gx * gv;
    axis->pvv += gv * gv;
}

void lw_axis_update(struct lw_axis *axis, double z, double z_sigma)
{
    double s = axis->pxx + z_sigma * z_sigma;
    double kx = axis->pxx / s;
    double kv = axis->pxv / s;
    double nu = z - axis->x;

    axis->x += kx * nu;
    axis->v += kv * nu;
    axis->pvv -= kv * axis->pxv;
    axis->pxv *= 1.0 - kx;
    axis->pxx *= 1.0 - kx;
}

void lw_axis_update_speed(struct lw_axis *axis, double vz, double vz_sigma)
{
    double s = axis->pvv + vz_sigma * vz_sigma;
    double kx = axis->pxv / s;
    double kv = axis->pvv / s;
    double nu = vz - axis->v;

    axis->x += kx * nu;
    axis->v += kv * nu;
    axis->pxx -= kx * axis->pxv;
    axis->pxv *= 1.0 - kv;
    axis->pvv *= 1.0 - kv;
}

static struct lw_axis axis_of(const struct lw_filter *f, int i)
{
    return (struct lw_axis){f->x[i], f->v[i], f->pxx, f->pxv, f->pvv};
}

static void set_axes(struct lw_filter *f, const struct lw_axis axis[2])
{
    for (int i = 0; i < 2; i++) {
        f->x[i] = axis[i].x;
        f->v[i] = axis[i].v;
    }
    f->pxx = axis[0].pxx; /* the same for both: same noise, same steps */
    f->pxv = axis[0].pxv;
    f->pvv = axis[0].pvv;
}

/* Speed over ground as east and north; false when the fix does not tell. */
static bool velocity(const struct lw_fix *fix, double v[2])
{
    if (isnan(fix->sog_mps))
        return false;
    if (isnan(fix->cog_deg)) {
        /* Receivers leave the course empty when the boat lies still; that is a velocity too. */
        v[0] = v[1] = 0.0;
        return fix->sog_mps < COG_MIN_MPS;
    }
    v[0] = fix->sog_mps * sin(fix->cog_deg * M_PI / 180.0);
    v[1] = fix->sog_mps * cos(fix->cog_deg * M_PI / 180.0);
    return true;
}

static double noise_ceiling(const struct lw_filter *f, const struct lw_fix *fix)
{
    double ceiling = NOISE_MAX_M;

    if (fix->eph_m > 0.0)
        ceiling = fix->eph_m / EPH_SIGMAS;
    else if (fix->hdop > 0.0)
        ceiling = fix->hdop * EPH_PER_HDOP_M / EPH_SIGMAS;
    return fmax(ceiling, f->rules.noise_min_m);
}

static void start(struct lw_filter *f, const struct lw_fix *fix)
{
    double v[2];
    bool moving = velocity(fix, v);

    f->on = true;
    f->frame.origin = fix->at;
    f->at_utc_ms = fix->at_utc_ms;
    f->noise_m = fmin(f->noise_m, noise_ceiling(f, fix));
    f->outliers = 0;
    f->pxx = f->noise_m * f->noise_m;
    f->pxv = 0.0;
    f->pvv = SPEED_SIGMA_MPS * SPEED_SIGMA_MPS;
    for (int i = 0; i < 2; i++) {
        f->x[i] = 0.0;
        f->v[i] = moving ? v[i] : 0.0;
    }
    if (moving)
        f->pvv = f->rules.speed_noise_mps * f->rules.speed_noise_mps;
}

/* One sigma of a fix from how far the fixes fall from where the boat was expected: the mean square
 * of an innovation is pxx + noise^2. */
static void learn(struct lw_filter *f, double square, double pxx, double dt_s, double ceiling)
{
    double share = 1.0 - exp(-dt_s / LEARN_S);
    double seen = fmax(square - pxx, 0.0);
    double noise = f->noise_m * f->noise_m;

    noise += share * (seen - noise);
    f->noise_m = fmin(fmax(sqrt(noise), f->rules.noise_min_m), ceiling);
}

static void estimate(const struct lw_filter *f, const struct lw_fix *fix, struct lw_estimate *out)
{
    struct lw_en at = {f->x[0], f->x[1]};

    out->state = fix->mode >= 3 ? LW_FIX_3D : LW_FIX_2D;
    out->at_utc_ms = fix->at_utc_ms;
    out->seen_mono_ms = fix->seen_mono_ms;
    out->at = lw_frame_to_ll(&f->frame, at);
    out->sigma_m = sqrt(f->pxx + f->rules.bias_m * f->rules.bias_m);
    out->ve_mps = f->v[0];
    out->vn_mps = f->v[1];
    out->sog_mps = hypot(f->v[0], f->v[1]);
    out->cog_deg = out->sog_mps < COG_MIN_MPS
                       ? NAN
                       : lw_bearing_wrap(atan2(f->v[0], f->v[1]) * 180.0 / M_PI);
    out->hdop = fix->hdop;
}

/* A speed far from the expected one is believed only as far as the gate allows (its noise is taken
 * to be larger): a boat that opens the throttle must not be refused, nor one bad speed followed. */
static void update_speed(struct lw_filter *f, struct lw_axis axis[2], const struct lw_fix *fix)
{
    double v[2];
    double nu2, r2;

    if (!velocity(fix, v))
        return;
    nu2 = (v[0] - axis[0].v) * (v[0] - axis[0].v) + (v[1] - axis[1].v) * (v[1] - axis[1].v);
    r2 = fmax(f->rules.speed_noise_mps * f->rules.speed_noise_mps, nu2 / GATE - axis[0].pvv);
    for (int i = 0; i < 2; i++)
        lw_axis_update_speed(&axis[i], v[i], sqrt(r2));
}

/* A gap is walked in steps of at most a second: one acceleration held for 20 s would tie place and
 * speed so tightly together that the first speed after the gap drags the place along. */
static void predict(struct lw_axis *axis, double dt_s, double accel_mps2)
{
    int steps = (int)ceil(dt_s);

    for (int i = 0; i < steps; i++)
        lw_axis_predict(axis, dt_s / steps, accel_mps2);
}

bool lw_filter_step(struct lw_filter *filter, const struct lw_fix *fix, struct lw_estimate *out)
{
    double dt_s = (double)(fix->at_utc_ms - filter->at_utc_ms) / 1000.0;
    struct lw_axis axis[2];
    struct lw_en z;
    double s, nu2, ceiling, pxx;
    bool far;

    if (fix->mode < 2 || !lw_ll_known(fix->at))
        return false;
    if (filter->on && dt_s <= 0.0 && dt_s > -STEP_BACK_S)
        return false;
    if (!filter->on || dt_s <= -STEP_BACK_S || dt_s > PAUSE_MAX_S) {
        start(filter, fix);
        estimate(filter, fix, out);
        return true;
    }
    z = lw_frame_to_en(&filter->frame, fix->at);
    ceiling = noise_ceiling(filter, fix);
    for (int i = 0; i < 2; i++) {
        axis[i] = axis_of(filter, i);
        predict(&axis[i], dt_s, filter->rules.accel_mps2);
    }
    pxx = axis[0].pxx;
    s = pxx + filter->noise_m * filter->noise_m;
    nu2 = (z.e_m - axis[0].x) * (z.e_m - axis[0].x) + (z.n_m - axis[1].x) * (z.n_m - axis[1].x);
    far = nu2 > GATE * s;
    /* Even a dropped fix widens the noise, by as much as one on the gate would. */
    learn(filter, fmin(nu2, GATE * s) / 2.0, pxx, dt_s, ceiling);
    if (far && ++filter->outliers >= OUTLIERS_MAX) {
        start(filter, fix);
        estimate(filter, fix, out);
        return true;
    }
    if (!far) {
        filter->outliers = 0;
        lw_axis_update(&axis[0], z.e_m, filter->noise_m);
        lw_axis_update(&axis[1], z.n_m, filter->noise_m);
        update_speed(filter, axis, fix);
    }
    set_axes(filter, axis);
    filter->at_utc_ms = fix->at_utc_ms;
    estimate(filter, fix, out);
    return !far;
}
