/* The order of a guide: directions against plain vectors; its rules are common practice, no source.
 */
#include "lake.h"
#include "lipwalk/plan/passes.h"

/* The edge runs east, deep water to the north. */
static struct lw_plan *blown(double from_deg, bool choose)
{
    struct lw_plan_params params = lake_params();

    params.wind_mps = 4;
    params.wind_from_deg = from_deg;
    params.choose_way = choose;
    return lake_straight(200, &params);
}

Test(passes, headwind_is_the_winds_part_along_the_line)
{
    for (double from = 0; from < 360; from += 30) {
        struct lw_plan *plan = blown(from, false);

        cr_assert_float_eq(lw_pass_headwind(plan), sin(from * M_PI / 180), 1e-6);
        cr_assert_not(plan->params.backward, "not asked to choose");
        lw_plan_free(plan);
    }
}

Test(passes, works_into_the_wind)
{
    for (double from = 15; from < 360; from += 30) {
        struct lw_plan *plan = blown(from, true);
        struct lw_pass pass[LW_PASSES];
        bool west = from > 180;

        cr_assert_eq(plan->params.backward, west, "wind from %g", from);
        cr_assert_eq(plan->station[0].along_m > plan->station[plan->stations - 1].along_m, west);
        cr_assert_geq(lw_passes(plan, pass), 2);
        cr_assert_eq(pass[0].kind, LW_PASS_SCAN);
        cr_assert_eq(pass[0].backward, !west, "the scan ends where the edge begins");
        cr_assert_float_eq(pass[0].minutes, 200 / (2 * 0.44704) / 60, 0.05);
        cr_assert_eq(pass[1].kind, LW_PASS_EDGE);
        cr_assert_eq(pass[1].backward, west);
        cr_assert_eq(pass[1].minutes, plan->minutes);
        cr_assert(strstr(pass[1].words, "into the wind"), "%s", pass[1].words);
        lw_plan_free(plan);
    }
}

Test(passes, go_up_on_the_flat_when_the_wind_blows_on_it)
{
    for (double from = 0; from < 360; from += 10) {
        struct lw_plan *plan = blown(from, true);
        struct lw_pass pass[LW_PASSES];
        bool on = from < 59 || from > 301; /* within 60 of north */
        size_t n;

        if (fabs(from - 60) < 1 || fabs(from - 300) < 1) {
            lw_plan_free(plan);
            continue;
        }
        cr_assert_float_eq(lw_pass_wind_on(plan), on ? 1 : 0, 1e-9, "wind from %g", from);
        plan->params.depth_m = 3;
        n = lw_passes(plan, pass);
        cr_assert_eq(n, on ? 3 : 2);
        if (on) {
            cr_assert_eq(pass[2].kind, LW_PASS_FLAT);
            cr_assert_float_eq(pass[2].depth_m, 6 * 0.3048, 1e-9);
            cr_assert(isnan(pass[2].minutes));
            cr_assert(strstr(pass[2].words, "the wind blows on it"));
        }
        plan->params.depth_m = 2; /* the edge is the flat's own depth */
        cr_assert_eq(lw_passes(plan, pass), 2);
        lw_plan_free(plan);
    }
}

Test(passes, say_when_no_wind_is_known)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    struct lw_pass pass[LW_PASSES];

    params.choose_way = true;
    plan = lake_straight(200, &params);
    cr_assert(isnan(lw_pass_headwind(plan)));
    cr_assert(isnan(lw_pass_wind_on(plan)));
    cr_assert_eq(lw_passes(plan, pass), 2);
    cr_assert_not(plan->params.backward);
    cr_assert(strstr(pass[1].words, "no wind is known"));
    lw_plan_free(plan);
}
