/* The hold line: its distance and side by brute force, its order, its gaps. */
#include "lake.h"

/* Every vertex stands off by the standoff, on the wanted side by the lake's own formula, and along
 * never goes back within a part. Returns the greatest deviation. */
static double check_hold(const struct lw_plan *plan, double standoff_m)
{
    double worst_m = 0, last_first_m = -1;

    for (size_t i = 0; i < plan->hold.n; i++) {
        const struct lw_line *part = &plan->hold.line[i];
        double last_m = -1;

        for (size_t k = 0; k < part->n; k++) {
            struct lw_offset_at o = lw_plan_offset(plan, part->p[k]);

            worst_m = fmax(worst_m, fabs(lake_distance(&plan->edge, part->p[k]) - standoff_m));
            cr_assert_eq(o.off_m > 0, plan->params.hold_deep);
            if (part->closed && (k == 0 || k + 1 == part->n))
                continue; /* both 0 and the whole length */
            cr_assert_geq(o.along_m, last_m - 1e-3, "part %zu vertex %zu", i, k);
            cr_assert_geq(o.along_m, -0.1);
            cr_assert_leq(o.along_m, lw_plan_beat_length(plan) + 0.1);
            last_m = o.along_m;
        }
        cr_assert_gt(lw_plan_offset(plan, part->p[1]).along_m, last_first_m);
        last_first_m = lw_plan_offset(plan, part->p[1]).along_m;
    }
    return worst_m;
}

static double hold_length(const struct lw_plan *plan)
{
    double sum_m = 0;

    for (size_t i = 0; i < plan->hold.n; i++)
        sum_m += lw_line_length(&plan->hold.line[i]);
    return sum_m;
}

Test(hold, follows_a_wavy_shore_on_the_deep_side)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(lw_plan_beat_length(plan), 400, 1e-9);
    cr_assert(plan->deep_left);
    cr_assert_eq(plan->hold.n, 1);
    cr_assert_eq(plan->warnings, 0, "%s", plan->warning[0]);
    cr_assert_lt(check_hold(plan, 10.668), 0.02);
    for (size_t k = 0; k < plan->hold.line[0].n; k++) /* deep by the formula, not by the grid */
        cr_assert_gt(lake_depth(plan->hold.line[0].p[k], &lake_hump_far, 1), 3.0);
    /* The wave's bends even out: as long as the beat to a few per cent. */
    cr_assert_float_eq(hold_length(plan), 400, 12);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(hold, follows_it_up_on_the_flat)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.hold_deep = false;
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    cr_assert_lt(check_hold(plan, 10.668), 0.02);
    for (size_t k = 0; k < plan->hold.line[0].n; k++)
        cr_assert_lt(lake_depth(plan->hold.line[0].p[k], NULL, 0), 3.0);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(hold, goes_round_a_hump_once)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    plan = lake_plan(chart, &params); /* 400 m asked of a ring of 63 m */
    cr_assert_eq(plan->hold.n, 1);
    cr_assert(plan->hold.line[0].closed);
    /* Circle: circumference 2 pi r, the ring at 10 m, the hold line 10.668 m outside it. */
    cr_assert_float_eq(lw_plan_beat_length(plan), 2 * M_PI * 10, 0.1);
    cr_assert_float_eq(hold_length(plan), 2 * M_PI * 20.668, 0.2);
    cr_assert_lt(check_hold(plan, 10.668), 0.02);
    cr_assert_float_eq(plan->coverage, 0.95, 0.02);
    for (int third = 0; third < 3; third++) { /* from every side of it */
        bool any = false;

        for (size_t i = 0; i < plan->stations; i++)
            any |= fabs(lw_bearing_turn(120.0 * third, lw_en_bearing((struct lw_en){300, 220},
                                                                     plan->station[i].at))) < 75;
        cr_assert(any, "none to the %d", 120 * third);
    }
    cr_assert_not(lake_warned(plan, "gap"));
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(hold, covers_part_of_a_ring_past_its_first_vertex)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){330, 220}); /* the first vertex */
    params.length_m = 30;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->hold.n, 1);
    cr_assert_not(plan->hold.line[0].closed);
    cr_assert_float_eq(lw_plan_beat_length(plan), 30, 1e-9);
    cr_assert_float_eq(hold_length(plan), 30 * 20.668 / 10, 0.3); /* arcs of the same angle */
    check_hold(plan, 10.668);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(hold, says_that_there_is_none_inside_a_small_ring)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    struct lw_error err = {""};

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    params.hold_deep = false;
    cr_assert_eq(lw_plan_make(chart, &params, &plan, &err), -1);
    cr_assert_null(plan);
    cr_assert(strstr(err.text, "no hold line") && strstr(err.text, "comes back too close"), "%s",
              err.text);
    lw_chart_free(chart);
}

Test(hold, leaves_water_that_is_too_shallow_and_says_where)
{
    /* A hump on the hold line, which is 5.7 m deep elsewhere: 4 m are 15 m from the hump's middle.
     */
    struct lake_hump hump = {300, 0};
    struct lw_plan_params params = lake_params();
    struct lw_chart *chart;
    struct lw_plan *plan;

    hump.n_m = lake_shore(300) + 62;
    chart = lake_new(&hump, 1);
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 0});
    params.min_depth_m = 4;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->hold.n, 2);
    cr_assert(lake_warned(plan, "gap") && lake_warned(plan, "shallower than 4.0 m"), "%s",
              plan->warning[0]);
    check_hold(plan, 10.668);
    for (size_t i = 0; i < 2; i++)
        for (size_t k = 0; k < plan->hold.line[i].n; k++)
            cr_assert_geq(lake_depth(plan->hold.line[i].p[k], &hump, 1), 4 - 0.05);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(hold, keeps_the_standoff_from_the_whole_edge)
{
    /* The edge comes back past the beat, 16 m off: half-way between, 8 m from both, there is no
     * room for a standoff of 10 m. Only the beat's first 40 m are free. */
    struct lw_en p[] = {{0, 0}, {200, 0}, {200, 16}, {60, 16}};
    struct lw_line line = {.p = p, .n = 4};
    struct lw_plan_params params = lake_params();
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan *plan;
    struct lw_error err = {""};

    params.standoff_m = 10;
    params.from_m = 0;
    params.to_m = 150;
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, true, &params, &plan, &err), 0, "%s",
                 err.text);
    cr_assert_lt(check_hold(plan, 10), 0.02);
    /* (x, 10) keeps 10 m from the end at (60, 16) while x <= 60 - sqrt(100 - 36) = 52. */
    cr_assert_float_eq(hold_length(plan), 52, 1.5);
    cr_assert(lake_warned(plan, "to 150 m along: the edge bends or comes back too close"), "%s",
              plan->warning[0]);
    lw_plan_free(plan);
}

Test(hold, sums_up_many_gaps)
{
    struct lake_hump hump[5];
    struct lw_plan_params params = lake_params();
    struct lw_chart *chart;
    struct lw_plan *plan;

    for (int i = 0; i < 5; i++)
        hump[i] = (struct lake_hump){100 + 100 * i, lake_shore(100 + 100 * i) + 62};
    chart = lake_new(hump, 5);
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 0});
    params.from_m =
        30; /* the contour ends at the map's border, where the hold line would be off it */
    params.to_m = 590;
    params.min_depth_m = 4;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->hold.n, 6);
    cr_assert(lake_warned(plan, "2 more gaps"), "%s", plan->warning[3]);
    lw_plan_free(plan);
    lw_chart_free(chart);
}
