/* A plan made anew on the water: casts already made stay worked. */
#include "lake.h"

static struct lw_plan *first_plan(const struct lw_chart *chart, struct lw_plan_params *params)
{
    *params = lake_params();
    params->near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    return lake_plan(chart, params);
}

static struct lw_made *make(const struct lw_plan *plan, size_t casts)
{
    struct lw_made *made = calloc(casts + 1, sizeof *made);

    for (size_t i = 0; i < casts; i++)
        made[i] = (struct lw_made){plan->cast[i].from, plan->cast[i].to, plan->params.swath_m};
    return made;
}

static struct lw_plan *remake(const struct lw_chart *chart, const struct lw_plan *old,
                              const struct lw_plan_params *params, size_t casts)
{
    struct lw_made *made = make(old, casts);
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_plan_remake(chart, old, params, made, casts, &plan, &err), 0, "%s", err.text);
    free(made);
    return plan;
}

Test(remake, asks_only_for_what_is_left)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params;
    struct lw_plan *old = first_plan(chart, &params), *plan;
    double before = INFINITY;

    for (size_t part = 0; part <= 4; part++) {
        plan = remake(chart, old, &params, old->casts * part / 4);
        cr_assert_eq(plan->mades, old->casts * part / 4);
        cr_assert_float_eq(plan->coverage, 0.95, 0.025, "made and planned together");
        cr_assert_lt(plan->minutes, before, "part %zu", part);
        before = plan->minutes;
        lw_plan_free(plan);
    }
    cr_assert_lt(before, 0.12 * old->minutes, "all made: next to nothing is left");
    lw_plan_free(old);
    lw_chart_free(chart);
}

Test(remake, changes_standoff_side_direction_and_cast_on_the_same_beat)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params, other;
    struct lw_plan *old = first_plan(chart, &params), *plan;

    other = params;
    other.standoff_m = 8;
    plan = remake(chart, old, &other, 10);
    cr_assert_float_eq(plan->beat_from_m, old->beat_from_m, 1e-9);
    cr_assert_float_eq(plan->beat_to_m, old->beat_to_m, 1e-9);
    cr_assert_eq(plan->mades, 10);
    for (size_t i = 0; i < plan->stations; i++)
        cr_assert_float_eq(lw_plan_offset(plan, plan->station[i].at).off_m, 8, 0.03);
    lw_plan_free(plan);

    other = params;
    other.backward = true;
    other.cast_m = 20;
    plan = remake(chart, old, &other, 0);
    for (size_t i = 1; i < plan->stations; i++)
        cr_assert_lt(plan->station[i].along_m, plan->station[i - 1].along_m);
    for (size_t i = 0; i < plan->casts; i++)
        cr_assert_leq(plan->cast[i].length_m, 20 + 1e-6);
    lw_plan_free(plan);
    lw_plan_free(old);
    lw_chart_free(chart);
}

Test(remake, at_another_depth_takes_the_edge_beside_the_old_beat)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params, other;
    struct lw_plan *old = first_plan(chart, &params), *plan;
    struct lw_en was = lw_plan_point(old, 200, 0), is;

    other = params;
    other.depth_m = 5; /* 8 m farther out: slope 1 in 4 */
    plan = remake(chart, old, &other, 20);
    is = lw_plan_point(plan, lw_plan_beat_length(plan) / 2, 0);
    cr_assert_float_eq(lake_depth(is, NULL, 0), 5, 0.1);
    cr_assert_lt(lw_en_distance(was, is), 12);
    cr_assert_float_eq(lw_plan_beat_length(plan), 400, 1);
    cr_assert_eq(plan->mades, 20);
    lw_plan_free(plan);
    lw_plan_free(old);
    lw_chart_free(chart);
}

/* And again: what was made before the first change is still worked after the second. */
Test(remake, adds_up)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params;
    struct lw_plan *old = first_plan(chart, &params);
    struct lw_plan *two = remake(chart, old, &params, 12), *three = remake(chart, two, &params, 5);

    cr_assert_eq(three->mades, 17);
    cr_assert_lt(three->minutes, two->minutes);
    lw_plan_free(three);
    lw_plan_free(two);
    lw_plan_free(old);
    lw_chart_free(chart);
}

Test(remake, works_on_a_driven_edge_without_a_map)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *old = lake_straight(200, &params), *plan;

    params = old->params;
    params.depth_m = NAN;
    params.standoff_m = 9;
    plan = remake(NULL, old, &params, 3);
    cr_assert_float_eq(plan->station[0].at.n_m, 9, 1e-3);
    cr_assert_eq(plan->mades, 3);
    lw_plan_free(plan);
    lw_plan_free(old);
}
