/* Waves by the Shore Protection Manual, 4th ed. (CERC 1984), against values worked from its
 * equations apart from the code (coefficients from memory; recomputed independently). */
#include <math.h>

#include "lipwalk/sky/wave.h"
#include "lw_test.h"

Test(wave, deep_water_over_a_fetch)
{
    static const struct {
        double wind, fetch, height, period, needs_s;
    } row[] = {{5, 1000, 0.08304, 1.07596, 1862.2},
               {8, 3000, 0.25639, 1.88159, 3194.7},
               {10, 5000, 0.43554, 2.44460, 4098.2},
               {10, 10000, 0.61595, 3.08000, 6505.5},
               {15, 20000, 1.43434, 4.58238, 8745.2}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct lw_wave wave = lw_wave_raised(row[i].wind, row[i].fetch, INFINITY);

        cr_assert_float_eq(wave.height_m, row[i].height, 2e-5);
        cr_assert_float_eq(wave.period_s, row[i].period, 2e-5);
        cr_assert_float_eq(lw_wave_needs_s(row[i].wind, row[i].fetch), row[i].needs_s, 0.1);
    }
}

/* The metric short form of the same manual: H = 5.112e-4 UA F^.5, T = 6.238e-2 (UA F)^(1/3), which
 * takes 9.8 for gravity: .2 %. */
Test(wave, agrees_with_the_short_form)
{
    for (double u = 3; u < 16; u += 2.5) {
        double ua = 0.71 * pow(u, 1.23), f = 700 * u;
        struct lw_wave wave = lw_wave_raised(u, f, INFINITY);

        cr_assert_float_eq(wave.height_m, 5.112e-4 * ua * sqrt(f), 0.002 * wave.height_m);
        cr_assert_float_eq(wave.period_s, 6.238e-2 * cbrt(ua * f), 0.002 * wave.period_s);
    }
}

Test(wave, is_capped_where_the_sea_is_grown)
{
    struct lw_wave wave = lw_wave_raised(10, 1e9, INFINITY);

    cr_assert_float_eq(wave.height_m, 3.6057, 1e-4);
    cr_assert_float_eq(wave.period_s, 9.9975, 2e-3);
    /* g t / UA = 7.15e4 for the wind stress factor 12.05753 */
    cr_assert_float_eq(lw_wave_needs_s(10, 1e9), 7.15e4 * 12.05753 / 9.81, 0.1);
}

/* Shallow water: wind stress factor 22.4, fetch 24.4 km, 10.7 m deep gives 1.507 m and 4.428 s;
 * wind 10 m/s over 5 km, 5 and 3 m deep. */
Test(wave, feels_the_bottom)
{
    double wind = pow(22.4 / 0.71, 1 / 1.23);
    struct lw_wave wave = lw_wave_raised(wind, 24400, 10.7);

    cr_assert_float_eq(wave.height_m, 1.507, 1e-3);
    cr_assert_float_eq(wave.period_s, 4.428, 1e-3);
    wave = lw_wave_raised(10, 5000, 5);
    cr_assert_float_eq(wave.height_m, 0.40803, 2e-5);
    cr_assert_float_eq(wave.period_s, 2.24361, 2e-5);
    wave = lw_wave_raised(10, 5000, 3);
    cr_assert_float_eq(wave.height_m, 0.38220, 2e-5);
    cr_assert_float_eq(wave.period_s, 2.17638, 2e-5);
}

Test(wave, is_none_without_wind_or_water)
{
    cr_assert_eq(lw_wave_raised(0, 1000, INFINITY).height_m, 0);
    cr_assert_eq(lw_wave_raised(5, 0, INFINITY).height_m, 0);
    cr_assert_eq(lw_wave_raised(5, 1000, 0).height_m, 0);
    cr_assert(isnan(lw_wave_raised(NAN, 1000, INFINITY).height_m));
    cr_assert(isnan(lw_wave_raised(5, NAN, INFINITY).period_s));
    cr_assert_eq(lw_wave_needs_s(0, 1000), 0);
}
