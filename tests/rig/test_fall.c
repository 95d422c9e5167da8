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

/* The same four worked apart from the code from the stated model, v = sqrt(2 W / (rho sum CdA)). */
Test(fall, has_the_speeds_of_its_model)
{
    static const double oz[] = {0.125, 0.25, 0.5, 1}, fps[] = {0.97794, 1.33500, 1.83615, 2.52318};

    for (size_t i = 0; i < 4; i++)
        cr_assert_float_eq(lw_fall_of(oz[i] * OZ_KG, 15, 1).terminal_mps / FT_M, fps[i], 1e-4);
}

/* Water of 5 C has 999.9668 kg/m3, of 25 C 997.0470 (Tanaka et al. 2001, from memory). */
Test(fall, feels_the_water_s_warmth)
{
    double lead_m3 = 0.00708738 / 11340, plastic_m3 = 0.004 / 1100;
    double cold = (0.01108738 - 999.9668 * (lead_m3 + plastic_m3)) / 999.9668;
    double warm = (0.01108738 - 997.0470 * (lead_m3 + plastic_m3)) / 997.0470;

    cr_assert_float_eq(lw_fall_of(0.00708738, 25, 1).terminal_mps /
                           lw_fall_of(0.00708738, 5, 1).terminal_mps,
                       sqrt(warm / cold), 1e-7);
}

/* The fall's own law, (m + rho V / 2) v' = W (1 - v^2 / vt^2), stepped through numerically from
 * rest: depth after 1.5 s of 1/4 oz with its plastic. */
Test(fall, follows_its_law_of_motion)
{
    struct lw_fall fall = lw_fall_of(0.00708738, 15, 1);
    double volume_m3 = 0.00708738 / 11340 + 0.004 / 1100, rho = 999.1026;
    double inertia_kg = 0.01108738 + rho * volume_m3 / 2;
    double weight_n = 9.80665 * (0.01108738 - rho * volume_m3);
    double v = 0, z = 0, dt = 1e-5;

    for (int k = 0; k < 150000; k++) { /* midpoint rule */
        double half = v + dt / 2 * weight_n / inertia_kg *
                              (1 - v * v / (fall.terminal_mps * fall.terminal_mps));

        z += dt * half;
        v += dt * weight_n / inertia_kg *
             (1 - half * half / (fall.terminal_mps * fall.terminal_mps));
    }
    cr_assert_float_eq(lw_fall_depth(&fall, 1.5), z, 1e-5);
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
    cr_assert_eq(lw_fall_depth(&ball, -1), 0);
    cr_assert(isnan(lw_fall_depth(&ball, NAN)));
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
