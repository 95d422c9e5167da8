#include "lipwalk/rig/fall.h"

#include <math.h>

#define GRAVITY       9.80665
#define LEAD_KGM3     11340.0 /* handbook, from memory */
#define HEAD_CD       0.45 /* of a smooth ball at these speeds; Brown and Lawler 2003, from memory */
#define PLASTIC_KG    0.004 /* a 4 in soft plastic: common practice, no source, as the next three */
#define PLASTIC_KGM3  1100.0
#define PLASTIC_M2    7e-4
#define PLASTIC_CD    1.1
#define USUAL_WATER_C 15.0
#define FACTOR_MIN    0.2
#define FACTOR_MAX    3.0

/* kg/m3 of air-free water at 1 atm: Tanaka et al. 2001, Metrologia 38:301 (from memory). */
static double water_density(double c)
{
    return 999.974950 *
           (1 - (c - 3.983035) * (c - 3.983035) * (c + 301.797) / (522528.9 * (c + 69.34881)));
}

struct lw_fall lw_fall_of(double head_kg, double water_c, double factor)
{
    double rho = water_density(isnan(water_c) ? USUAL_WATER_C : water_c);
    double head_m3 = head_kg / LEAD_KGM3, plastic_m3 = PLASTIC_KG / PLASTIC_KGM3;
    double radius_m = cbrt(head_m3 * 3 / (4 * M_PI));
    double drag_m2 = HEAD_CD * M_PI * radius_m * radius_m + PLASTIC_CD * PLASTIC_M2;
    double mass_kg = head_kg + PLASTIC_KG, volume_m3 = head_m3 + plastic_m3;
    double weight_n = GRAVITY * (mass_kg - rho * volume_m3);
    struct lw_fall fall;

    fall.terminal_mps = factor * sqrt(2 * weight_n / (rho * drag_m2));
    fall.settle_s = (mass_kg + rho * volume_m3 / 2) * fall.terminal_mps / weight_n;
    return fall;
}

double lw_fall_depth(const struct lw_fall *fall, double after_s)
{
    double x = after_s / fall->settle_s;

    if (after_s <= 0)
        return 0;
    /* ln cosh x, without an overflow */
    return fall->terminal_mps * fall->settle_s * (x + log1p(exp(-2 * x)) - M_LN2);
}

double lw_fall_seconds(const struct lw_fall *fall, double depth_m)
{
    double y;

    if (isnan(depth_m))
        return NAN;
    if (!(depth_m > 0))
        return 0;
    /* cosh x = e^y, so x = y + ln(1 + sqrt(1 - e^-2y)) */
    y = depth_m / (fall->terminal_mps * fall->settle_s);
    return fall->settle_s * (y + log1p(sqrt(-expm1(-2 * y))));
}

int lw_fall_factor(double head_kg, double water_c, double depth_m, double took_s, double *factor,
                   struct lw_error *err)
{
    double low = FACTOR_MIN, high = FACTOR_MAX;
    struct lw_fall slow, usual, quick;

    if (!(head_kg > 0) || !(depth_m > 0) || !(took_s > 0))
        return lw_fail(err, "a timed drop wants a head, a depth and a time above 0");
    slow = lw_fall_of(head_kg, water_c, low);
    usual = lw_fall_of(head_kg, water_c, 1);
    quick = lw_fall_of(head_kg, water_c, high);
    if (took_s > lw_fall_seconds(&slow, depth_m) || took_s < lw_fall_seconds(&quick, depth_m))
        return lw_fail(
            err,
            "a drop of %.1f m in %.1f s is not that head's (%.1f s would be usual): time "
            "it again, on a slack line to the bottom",
            depth_m, took_s, lw_fall_seconds(&usual, depth_m));
    while (high - low > 1e-9) { /* a quicker fall takes less time: halve */
        double middle = (low + high) / 2;
        struct lw_fall fall = lw_fall_of(head_kg, water_c, middle);

        if (lw_fall_seconds(&fall, depth_m) > took_s)
            low = middle;
        else
            high = middle;
    }
    *factor = (low + high) / 2;
    return 0;
}
