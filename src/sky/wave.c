#include "lipwalk/sky/wave.h"

#include <math.h>

#define GRAVITY 9.81

/* Wind-stress factor, eq. 3-28a. */
static double stress(double wind_mps)
{
    return 0.71 * pow(wind_mps, 1.23);
}

struct lw_wave lw_wave_raised(double wind_mps, double fetch_m, double depth_m)
{
    struct lw_wave wave = {0, 0};
    double ua, f, h, t, dh, dt;

    if (isnan(wind_mps) || isnan(fetch_m) || isnan(depth_m))
        return (struct lw_wave){NAN, NAN};
    if (!(wind_mps > 0) || !(fetch_m > 0) || !(depth_m > 0))
        return wave;
    ua = stress(wind_mps);
    f = GRAVITY * fetch_m / (ua * ua);
    if (isinf(depth_m)) { /* eq. 3-33, 3-34 and the caps 3-36, 3-37 */
        h = fmin(1.6e-3 * sqrt(f), 0.2433);
        t = fmin(0.2857 * cbrt(f), 8.134);
    } else { /* eq. 3-39, 3-40 */
        dh = tanh(0.530 * pow(GRAVITY * depth_m / (ua * ua), 0.75));
        dt = tanh(0.833 * pow(GRAVITY * depth_m / (ua * ua), 0.375));
        h = 0.283 * dh * tanh(0.00565 * sqrt(f) / dh);
        t = 7.54 * dt * tanh(0.0379 * cbrt(f) / dt);
    }
    wave.height_m = h * ua * ua / GRAVITY;
    wave.period_s = t * ua / GRAVITY;
    return wave;
}

double lw_wave_needs_s(double wind_mps, double fetch_m)
{
    double ua, f;

    if (isnan(wind_mps) || isnan(fetch_m))
        return NAN;
    if (!(wind_mps > 0) || !(fetch_m > 0))
        return 0;
    ua = stress(wind_mps);
    f = GRAVITY * fetch_m / (ua * ua);
    return fmin(68.8 * cbrt(f * f), 7.15e4) * ua / GRAVITY; /* eq. 3-35, 3-38 */
}
