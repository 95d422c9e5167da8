/* The belt's rings and the share of it that casts work, against areas in closed form. */
#include "lake.h"

static double area(const struct lw_plan *plan)
{
    double sum_m2 = 0;

    for (size_t i = 0; i < plan->belt.n; i++)
        sum_m2 += lw_line_area(&plan->belt.line[i]);
    return sum_m2;
}

Test(belt, is_a_rectangle_on_a_straight_edge)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    double low = 1e9, high = -1e9;

    params.length_m = NAN;
    params.up_m = 6;
    params.past_m = 3;
    plan = lake_straight(150, &params);
    cr_assert_eq(plan->belt.n, 1);
    cr_assert_float_eq(area(plan), 150 * 9, 1e-6);
    for (size_t k = 0; k < plan->belt.line[0].n; k++) {
        low = fmin(low, plan->belt.line[0].p[k].n_m);
        high = fmax(high, plan->belt.line[0].p[k].n_m);
    }
    cr_assert_float_eq(low, -6, 1e-9); /* up the flat: south */
    cr_assert_float_eq(high, 3, 1e-9);
    lw_plan_free(plan);
}

Test(belt, is_an_annulus_round_a_hump)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    params.up_m = 6;
    params.past_m = 3;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->belt.n, 2);
    cr_assert_gt(lw_line_area(&plan->belt.line[0]), 0);
    cr_assert_lt(lw_line_area(&plan->belt.line[1]), 0);
    cr_assert_float_eq(area(plan), M_PI * (13 * 13 - 4 * 4), 4); /* annulus, arcs of 8 chords */
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(belt, share_of_straight_casts)
{
    /* One straight cast works a strip of 3 m; of 11 stations 15 m apart the two at the ends have
     * only half of it on the beat: 9 * 3 + 2 * 1.5 = 30 of 150 m. */
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.length_m = NAN;
    params.fan_casts = 1;
    params.swath_m = 3;
    plan = lake_straight(150, &params);
    cr_assert_float_eq(plan->coverage, 30.0 / 150, 0.012, "%g", plan->coverage);
    lw_plan_free(plan);

    params.swath_m = 40;
    plan = lake_straight(150, &params);
    cr_assert_float_eq(plan->coverage, 1, 1e-9);
    lw_plan_free(plan);

    params.up_m = params.past_m = 0;
    plan = lake_straight(150, &params);
    cr_assert_eq(plan->belt.n, 0);
    cr_assert(isnan(plan->coverage));
    lw_plan_free(plan);
}

Test(belt, lies_on_both_sides_of_a_wavy_edge)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    int wrong = 0, seen = 0;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(area(plan), 400 * (params.up_m + params.past_m), 60);
    /* A place is in the rings exactly when its off and along say so, borders aside. */
    for (double e = 100; e < 500; e += 3.1)
        for (double n = 50; n < 100; n += 0.7) {
            struct lw_offset_at o = lw_plan_offset(plan, (struct lw_en){e, n});
            bool in = lw_line_contains(&plan->belt.line[0], (struct lw_en){e, n});

            if (fabs(o.off_m - params.past_m) < 0.05 || fabs(o.off_m + params.up_m) < 0.05 ||
                fabs(o.along_m) < 0.5 || fabs(o.along_m - 400) < 0.5)
                continue;
            seen++;
            wrong += in != (o.off_m < params.past_m && o.off_m > -params.up_m && o.along_m > 0 &&
                            o.along_m < 400);
        }
    cr_assert_gt(seen, 5000);
    cr_assert_eq(wrong, 0);
    cr_assert(plan->coverage > 0.5 && plan->coverage < 1);
    lw_plan_free(plan);
    lw_chart_free(chart);
}
