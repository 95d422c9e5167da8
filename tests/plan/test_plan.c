/* Choosing edge, beat and side; what is refused and how. */
#include "lake.h"

static void refused(const struct lw_chart *chart, const struct lw_plan_params *params,
                    const char *words)
{
    struct lw_plan *plan;
    struct lw_error err = {""};

    cr_assert_eq(lw_plan_make(chart, params, &plan, &err), -1);
    cr_assert_null(plan);
    cr_assert(strstr(err.text, words), "\"%s\" does not say \"%s\"", err.text, words);
}

Test(plan, names_what_is_missing_or_out_of_range)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();

    params.cast_m = NAN;
    refused(chart, &params, "--cast");
    params = lake_params();
    params.standoff_m = 0;
    refused(chart, &params, "standoff");
    params = lake_params();
    params.depth_m = NAN;
    refused(chart, &params, "--depth");
    params = lake_params();
    params.depth_m = 30;
    refused(chart, &params, "run from 0.50 to 12.00 m");
    lw_chart_free(chart);
}

Test(plan, refuses_an_edge_without_a_deep_side)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();

    for (int i = 0; i < chart->grid.nx * chart->grid.ny; i++) /* a flat bottom */
        chart->grid.depth_m[i] = 3;
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    refused(chart, &params, "deep side");
    lw_chart_free(chart);
}

Test(plan, finds_the_deep_side_whichever_way_the_contour_runs)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    for (size_t i = 0; i < chart->contours; i++)
        lw_line_reverse(&chart->contour[i].line);
    plan = lake_plan(chart, &params);
    cr_assert_not(plan->deep_left);
    for (size_t k = 0; k < plan->hold.line[0].n; k++)
        cr_assert_gt(lake_depth(plan->hold.line[0].p[k], NULL, 0), 3.0);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(plan, takes_the_nearest_edge_and_centres_the_beat)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    struct lw_near near;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 70});
    plan = lake_plan(chart, &params);
    cr_assert_not(plan->edge.closed);
    near = lw_line_nearest(&plan->edge, (struct lw_en){300, 70});
    cr_assert_float_eq(plan->beat_from_m, near.along_m - 200, 1e-6);
    lw_plan_free(plan);

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){20, 70}); /* near an end: shifted */
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(plan->beat_from_m, 0, 1e-9);
    cr_assert_float_eq(plan->beat_to_m, 400, 1e-9);
    lw_plan_free(plan);

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){310, 215}); /* the hump */
    plan = lake_plan(chart, &params);
    cr_assert(plan->edge.closed);
    lw_plan_free(plan);

    params.near = (struct lw_ll){NAN, NAN}; /* the longest, from its start */
    plan = lake_plan(chart, &params);
    cr_assert_not(plan->edge.closed);
    cr_assert_float_eq(plan->beat_from_m, 0, 1e-9);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(plan, takes_given_ends)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.from_m = 120;
    params.to_m = 190;
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(plan->beat_from_m, 120, 1e-9);
    cr_assert_float_eq(plan->beat_to_m, 190, 1e-9);
    lw_plan_free(plan);

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){310, 220});
    params.from_m = 50; /* a ring of 62.8 m: on through its first vertex */
    params.to_m = 10;
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(lw_plan_beat_length(plan), 10 - 50 + lw_line_length(&plan->edge), 1e-9);
    lw_plan_free(plan);

    params.near = (struct lw_ll){NAN, NAN};
    params.from_m = 5000;
    params.to_m = 5100;
    refused(chart, &params, "give ends that lie on the edge");
    lw_chart_free(chart);
}

Test(plan, lists_the_edges_nearest_first)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_ll from = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    struct lw_error err = {""};
    struct lw_beat beat[5];
    size_t n = 0;

    cr_assert_eq(lw_plan_beats(chart, 3, from, beat, 5, &n, &err), 0, "%s", err.text);
    cr_assert_eq(n, 2);
    cr_assert(beat[0].closed);
    cr_assert_float_eq(beat[0].distance_m, 10, 0.02); /* 20 m from the middle of a 10 m ring */
    cr_assert_float_eq(lw_bearing_turn(180, beat[0].bearing_deg), 0, 0.5);
    cr_assert_not(beat[1].closed);
    cr_assert_eq(lw_plan_beats(chart, 3, (struct lw_ll){NAN, NAN}, beat, 1, &n, &err), 0);
    cr_assert_eq(n, 1);
    cr_assert_not(beat[0].closed); /* the longest */
    cr_assert(isnan(beat[0].distance_m));
    lw_chart_free(chart);
}

Test(plan, thins_a_driven_line_and_refuses_a_loop)
{
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan_params params = lake_params();
    struct lw_line line = {0};
    struct lw_en loop[] = {{0, 0}, {100, 0}, {100, 50}, {50, 50}, {50, -50}};
    struct lw_line crossed = {.p = loop, .n = 5};
    struct lw_plan *plan;
    struct lw_error err = {""};

    for (int i = 0; i <= 100; i++)
        cr_assert_eq(lw_line_add(&line, (struct lw_en){2 * i, i % 2 ? 0.2 : -0.2}), 0);
    params.length_m = NAN;
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, false, &params, &plan, &err), 0, "%s",
                 err.text);
    cr_assert_eq(plan->edge.n, 2);
    cr_assert_not(plan->deep_left);
    cr_assert_lt(plan->hold.line[0].p[0].n_m, -10); /* deep to the right of going east: south */
    cr_assert(isnan(plan->cast[0].landing_depth_m));
    lw_plan_free(plan);
    lw_line_free(&line);

    cr_assert_eq(lw_plan_from_line(NULL, &frame, &crossed, true, &params, &plan, &err), -1);
    cr_assert(strstr(err.text, "crosses itself 50.0 m"), "%s", err.text);
    crossed.n = 1;
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &crossed, true, &params, &plan, &err), -1);
}

Test(plan, votes_on_the_side_of_a_driven_line_with_a_map)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_line line = {0};
    struct lw_plan *plan;
    struct lw_error err = {""};

    params.depth_m = params.length_m = NAN;
    for (int e = 500; e >= 100; e -= 5) /* going west: deep water is to the right */
        cr_assert_eq(lw_line_add(&line, (struct lw_en){e, lake_shore(e) + 44}), 0);
    cr_assert_eq(lw_plan_from_line(chart, &chart->frame, &line, true, &params, &plan, &err), 0,
                 "%s", err.text);
    cr_assert_not(plan->deep_left);
    cr_assert_not(lake_warned(plan, "deep side"));
    cr_assert_not(isnan(plan->cast[0].landing_depth_m));
    lw_plan_free(plan);
    lw_line_free(&line);
    lw_chart_free(chart);
}

Test(plan, says_when_the_edge_is_far_from_the_wanted_place)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 500});
    plan = lake_plan(chart, &params);
    cr_assert_not(lake_warned(plan, "from the place to be near"));
    lw_plan_free(plan);
    params.units = LW_US;
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 5000});
    plan = lake_plan(chart, &params);
    cr_assert(lake_warned(plan, "3.1 miles from the place to be near"));
    lw_plan_free(plan);
    lw_chart_free(chart);
}
