/* Off and along of a place, and back. */
#include "lake.h"

Test(offset, tells_off_and_along_and_goes_back)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    struct lw_offset_at o;
    struct lw_en at;

    params.from_m = 50;
    params.to_m = 150;
    plan = lake_straight(200, &params);
    o = lw_plan_offset(plan, (struct lw_en){70, 12});
    cr_assert_float_eq(o.off_m, 12, 1e-9); /* deep is north */
    cr_assert_float_eq(o.along_m, 20, 1e-9);
    cr_assert_float_eq(o.along_bearing_deg, 90, 1e-9);
    cr_assert_not(o.past_end);
    o = lw_plan_offset(plan, (struct lw_en){30, -5});
    cr_assert_float_eq(o.off_m, -5, 1e-9);
    cr_assert_float_eq(o.along_m, -20, 1e-9);
    cr_assert(lw_plan_offset(plan, (struct lw_en){-10, 3}).past_end);
    at = lw_plan_point(plan, 20, -6);
    cr_assert_float_eq(at.e_m, 70, 1e-9);
    cr_assert_float_eq(at.n_m, -6, 1e-9);
    lw_plan_free(plan);
}

Test(offset, goes_back_on_a_wavy_edge)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = lake_plan(chart, &params);

    /* In the middle of a segment the edge has one direction and the way there and back is exact. */
    for (double along_m = 5.3; along_m < 390; along_m += 17)
        for (double off_m = -8; off_m <= 8; off_m += 4) {
            struct lw_offset_at o = lw_plan_offset(plan, lw_plan_point(plan, along_m, off_m));

            cr_assert_float_eq(o.off_m, off_m, 0.02);
            cr_assert_float_eq(o.along_m, along_m, 0.4);
        }
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(offset, is_negative_just_before_the_start_on_a_ring)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    struct lw_en before, after;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){330, 220});
    params.length_m = 20;
    plan = lake_plan(chart, &params);
    before = lw_plan_point(plan, -3, 5);
    after = lw_plan_point(plan, 24, 5);
    cr_assert_float_eq(lw_plan_offset(plan, before).along_m, -3, 0.3);
    cr_assert_float_eq(lw_plan_offset(plan, after).along_m, 24, 0.3);
    cr_assert_float_eq(lw_plan_offset(plan, after).off_m, 5, 0.05);
    cr_assert_not(lw_plan_offset(plan, before).past_end);
    lw_plan_free(plan);
    lw_chart_free(chart);
}
