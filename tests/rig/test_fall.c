/* The fall of a jig against published values and practice. */
#include <math.h>

#include "lipwalk/rig/fall.h"
#include "lw_test.h"

#define OZ_KG 0.028349523125
#define FT_M  0.3048

/* Ranges of fall speed with a soft plastic: common practice, no source. */
Test(fall, lies_in_the_ranges_of_practice)
{
    static const struct {
        double oz, low_fps, high_fps;
    } row[] = {{0.125, 0.8, 1.2}, {0.25, 1.1, 1.6}, {0.5, 1.6, 2.4}, {1, 2.2, 3.2}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct lw_fall fall = lw_fall_of(row[i].oz * OZ_KG, NAN, 1);

        cr_assert_gt(fall.terminal_mps / FT_M, row[i].low_fps);
        cr_assert_lt(fall.terminal_mps / FT_M, row[i].high_fps);
    }
}

/* A composite body by v = sqrt(2 W / (rho sum CdA)), worked by hand for 1/4 oz, 4 g of 1100 kg/m3:
 * W = .066978 N at 15 C (999.1026 kg/m3, Tanaka 2001, from memory), the head's CdA 3.977e-5 m2
 * (Cd .45 on the area of a lead ball of 7.08738 g, 10.6078 mm), the plastic's 1.1 * 7e-4. */
Test(fall, equals_the_composite_worked_by_hand)
{
    struct lw_fall fall = lw_fall_of(0.00708738, 15, 1);
    double drag_m2 = 0.45 * 8.8377e-5 + 1.1 * 7e-4;

    cr_assert_float_eq(fall.terminal_mps, sqrt(2 * 0.066978 / (999.1026 * drag_m2)), 2e-4);
    cr_assert_float_eq(lw_fall_of(0.00708738, NAN, 1).terminal_mps, fall.terminal_mps, 1e-12);
    cr_assert_float_eq(lw_fall_of(0.00708738, 15, 0.8).terminal_mps, 0.8 * fall.terminal_mps,
                       1e-12);
}

/* Approach to the terminal speed, z = vt T ln cosh(t / T): a lead ball of 10 mm in water of 20 C,
 * vt 1.73831 m/s, T .202922 s, is 3 m down in 1.866470 s (drag by Clift and Gauvin, recomputed). */
Test(fall, takes_its_time)
{
    struct lw_fall ball = {1.73831, 0.202922};

    cr_assert_float_eq(lw_fall_seconds(&ball, 3), 1.866470, 2e-6);
    cr_assert_float_eq(lw_fall_depth(&ball, 1.866470), 3, 4e-6);
    for (double z = 0.01; z < 60; z *= 1.7)
        cr_assert_float_eq(lw_fall_depth(&ball, lw_fall_seconds(&ball, z)), z, 1e-9);
    cr_assert_eq(lw_fall_seconds(&ball, 0), 0);
    cr_assert_eq(lw_fall_seconds(&ball, -2), 0);
    cr_assert(isnan(lw_fall_seconds(&ball, NAN)));
    cr_assert(isfinite(lw_fall_depth(&ball, 1e6)));
}

/* The first instant of a fall: acceleration is weight over mass and half the water's, so that
 * T = vt / a; by the sphere's own formula T = (rho_p + rho/2) vt / ((rho_p - rho) g), which a head
 * so heavy that its plastic is nothing comes near. */
Test(fall, starts_as_added_mass_says)
{
    struct lw_fall heavy = lw_fall_of(100, 15, 1);
    double rho = 999.1026, lead = 11340;

    cr_assert_float_eq(heavy.settle_s,
                       (lead + rho / 2) * heavy.terminal_mps / ((lead - rho) * 9.80665),
                       2e-3 * heavy.settle_s);
}

Test(fall, is_set_right_by_a_timed_drop)
{
    struct lw_error err = {""};
    double factor = 0;

    for (double wanted = 0.5; wanted < 2; wanted += 0.25) {
        struct lw_fall fall = lw_fall_of(0.00708738, 12, wanted);

        cr_assert_eq(lw_fall_factor(0.00708738, 12, 4, lw_fall_seconds(&fall, 4), &factor, &err),
                     0);
        cr_assert_float_eq(factor, wanted, 1e-7);
    }
    cr_assert_eq(lw_fall_factor(0.00708738, 12, 4, 0.3, &factor, &err), -1);
    cr_assert(strstr(err.text, "time it again"), "%s", err.text);
    cr_assert_eq(lw_fall_factor(0.00708738, 12, 4, 300, &factor, &err), -1);
    cr_assert_eq(lw_fall_factor(0.00708738, 12, -4, 3, &factor, &err), -1);
    cr_assert_eq(lw_fall_factor(0, 12, 4, 3, &factor, &err), -1);
}
