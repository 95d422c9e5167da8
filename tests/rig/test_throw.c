/* Lengths of casts: ranges of practice (common practice, no source) and plain trigonometry. */
#include <math.h>

#include "lipwalk/rig/throw.h"
#include "lw_test.h"

#define OZ_KG 0.028349523125
#define FT_M  0.3048
#define MPH   0.44704

Test(throw, usual_lengths_lie_in_the_ranges_of_practice)
{
    static const struct {
        double oz, low_ft, high_ft;
    } row[] = {{0.125, 50, 70}, {0.25, 70, 90}, {0.375, 85, 115}, {0.5, 85, 115}};
    double before = 0;

    /* the table that the header states, and between two weights by the logarithm */
    cr_assert_float_eq(lw_throw_usual(0.125 * OZ_KG) / FT_M, 60, 1e-9);
    cr_assert_float_eq(lw_throw_usual(0.25 * OZ_KG) / FT_M, 80, 1e-9);
    cr_assert_float_eq(lw_throw_usual(0.375 * OZ_KG) / FT_M, 95, 1e-9);
    cr_assert_float_eq(lw_throw_usual(2 * OZ_KG) / FT_M, 105, 1e-9);
    cr_assert_float_eq(lw_throw_usual(sqrt(0.125 * 0.25) * OZ_KG) / FT_M, 70, 1e-9);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double ft = lw_throw_usual(row[i].oz * OZ_KG) / FT_M;

        cr_assert_geq(ft, row[i].low_ft);
        cr_assert_leq(ft, row[i].high_ft);
    }
    for (double oz = 0.05; oz < 1; oz *= 1.05) { /* heavier never goes shorter, without a jump */
        double m = lw_throw_usual(oz * OZ_KG);

        cr_assert_geq(m, before - 1e-9);
        cr_assert(before == 0 || m - before < 1);
        before = m;
    }
    cr_assert(isnan(lw_throw_usual(NAN)));
}

Test(throw, the_wind_takes_and_adds)
{
    cr_assert_float_eq(lw_throw_reach(24, 0, 20 * MPH, 0), 24 * 0.6, 1e-9, "dead into it");
    cr_assert_float_eq(lw_throw_reach(24, 180, 20 * MPH, 0), 24 * 1.2, 1e-9, "straight with it");
    cr_assert_float_eq(lw_throw_reach(24, 90, 20 * MPH, 0), 24, 1e-9, "across");
    cr_assert_float_eq(lw_throw_reach(24, 60, 10 * MPH, 0), 24 * (1 - 0.4 * 0.5 * 0.5), 1e-9);
    cr_assert_float_eq(lw_throw_reach(24, 350, 20 * MPH, 170), 24 * 1.2, 1e-9);
    cr_assert_float_eq(lw_throw_reach(24, 0, 40 * MPH, 0), 24 * 0.6, 1e-9, "as at 20 mph");
    cr_assert_eq(lw_throw_reach(24, 0, NAN, 0), 24);
    cr_assert_eq(lw_throw_reach(24, 0, 5, NAN), 24);
    cr_assert_eq(lw_throw_reach(24, 0, 0, 0), 24);
}
