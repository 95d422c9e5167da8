/* Stations and casts against closed forms on a straight edge, and on the wavy lake. */
#include "lake.h"

/* Turn of a cast from square to the edge that runs east, hold line north of it. */
static double turn(const struct lw_cast *cast)
{
    return lw_bearing_turn(180, cast->bearing_deg);
}

static double minutes_of(const struct lw_plan *plan)
{
    const struct lw_plan_params *p = &plan->params;
    double sum_s = (double)plan->stations * p->move_s;
    struct lw_en a = plan->station[0].at, b = plan->station[plan->stations - 1].at;

    for (size_t i = 0; i < plan->casts; i++)
        sum_s += p->cast_s + plan->cast[i].length_m / p->retrieve_mps;
    return (sum_s + lw_en_distance(a, b) / p->boat_mps) / 60; /* on a straight hold line */
}

static struct lw_plan *on_lake(const struct lw_chart *chart, struct lw_plan_params *params)
{
    params->near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    return lake_plan(chart, params);
}

/* Standoff s, t from square: the edge is crossed s / cos t out (right triangle); of the belt, from
 * `past` on this side to `up` beyond, the cast has (min(s, past) + min(L cos t - s, up)) / cos t.
 */
Test(fan, meets_the_right_triangle)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    size_t seen = 0;

    params.from_m = 50; /* the edge goes on past both ends of the beat */
    params.to_m = 250;
    plan = lake_straight(300, &params);
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];
        double t = turn(cast) * M_PI / 180, s = params.standoff_m, l = cast->length_m;

        cr_assert_float_eq(cast->from.n_m, s, 1e-6);
        cr_assert_float_eq(cast->to.n_m, s - l * cos(t), 1e-6);
        cr_assert_float_eq(fabs(cast->to.e_m - cast->from.e_m), l * fabs(sin(t)), 1e-6);
        cr_assert_eq(cast->crosses_edge, l * cos(t) >= s);
        if (!cast->crosses_edge) {
            cr_assert(isnan(cast->facts.lip_m));
            continue;
        }
        cr_assert_float_eq(cast->facts.lip_m, s / cos(t), 1e-6);
        if (cast->from.e_m < 80 || cast->from.e_m > 220)
            continue; /* near the belt's ends */
        cr_assert_float_eq(cast->facts.belt_s * params.retrieve_mps,
                           (params.past_m + fmin(l * cos(t) - s, params.up_m)) / cos(t), 0.01);
        seen++;
    }
    cr_assert_gt(seen, 20);
    cr_assert_eq(plan->warnings, 0, "%s", plan->warning[0]);
    lw_plan_free(plan);
}

Test(fan, keeps_its_limits)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    double widest = 0;

    params.fan_half_deg = 50;
    params.bow_min_deg = 60; /* the bow points east, 90 from square: 30 that way at most */
    params.bow_max_deg = 180;
    plan = lake_straight(300, &params);
    for (size_t i = 0; i < plan->casts; i++) {
        cr_assert_leq(fabs(turn(&plan->cast[i])), 50 + 1e-6);
        cr_assert_leq(-turn(&plan->cast[i]), 30 + 1e-6, "east of square is to the left of south");
        cr_assert_leq(plan->cast[i].length_m, params.cast_m + 1e-6);
        widest = fmax(widest, turn(&plan->cast[i]));
    }
    cr_assert_gt(widest, 35);
    lw_plan_free(plan);

    params.backward = true; /* the bow points west */
    widest = 0;
    plan = lake_straight(300, &params);
    for (size_t i = 0; i < plan->casts; i++) {
        cr_assert_leq(turn(&plan->cast[i]), 30 + 1e-6);
        widest = fmax(widest, -turn(&plan->cast[i]));
    }
    cr_assert_gt(widest, 35);
    for (size_t i = 1; i < plan->stations; i++)
        cr_assert_lt(plan->station[i].along_m, plan->station[i - 1].along_m);
    lw_plan_free(plan);
}

Test(fan, covers_what_is_wanted_and_counts_its_minutes)
{
    struct lw_plan_params params = lake_params();
    struct lw_error err = {""};
    double gained = 0;

    for (double wanted = 0.5; wanted < 1; wanted += 0.15) {
        struct lw_plan *plan;
        double first;

        params.coverage = wanted;
        plan = lake_straight(300, &params);
        cr_assert_gt(plan->reachable, 0.99);
        cr_assert_float_eq(plan->coverage, wanted, 0.02, "%g of %g", plan->coverage, wanted);
        cr_assert_float_eq(plan->minutes, minutes_of(plan), 0.2);
        first = plan->minutes;
        cr_assert_eq(lw_plan_improve(plan, lw_plan_rounds(plan), &err), 0);
        cr_assert_float_eq(plan->coverage, wanted, 0.02, "%g of %g", plan->coverage, wanted);
        cr_assert_float_eq(plan->minutes, minutes_of(plan), 0.2);
        cr_assert_leq(plan->minutes, first + 1e-9);
        gained += first - plan->minutes;
        for (size_t i = 0; i < plan->stations; i++)
            cr_assert_eq(plan->station[i].order, (int)i + 1);
        lw_plan_free(plan);
    }
    cr_assert_gt(gained, 0, "rounds of improvement gain something");
}

Test(fan, is_the_same_every_time_and_never_worse)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *one = on_lake(chart, &params), *two = on_lake(chart, &params);
    struct lw_error err = {""};
    double before = one->minutes;

    for (int i = 0; i < 10; i++) {
        cr_assert_eq(lw_plan_improve(one, 60, &err), 0);
        cr_assert_leq(one->minutes, before + 1e-9);
        before = one->minutes;
    }
    cr_assert_eq(lw_plan_improve(two, 600, &err), 0);
    cr_assert_eq(one->minutes, two->minutes);
    cr_assert_eq(one->casts, two->casts);
    for (size_t i = 0; i < one->casts; i++)
        cr_assert_eq(memcmp(&one->cast[i].to, &two->cast[i].to, sizeof one->cast[i].to), 0);
    lw_plan_settle(two);
    cr_assert_eq(lw_plan_improve(two, 100, &err), 0, "settled: nothing to do");
    cr_assert_eq(one->minutes, two->minutes);
    lw_plan_free(one);
    lw_plan_free(two);
    lw_chart_free(chart);
}

/* Most worth within a time: never over it, more for more, and nearest to the edge first. */
Test(fan, makes_the_most_of_a_given_time)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_error err = {""};
    double before = 0;

    for (double minutes = 15; minutes < 130; minutes += 35) {
        struct lw_plan *plan;

        params.minutes = minutes;
        plan = on_lake(chart, &params);
        cr_assert_eq(lw_plan_improve(plan, lw_plan_rounds(plan), &err), 0);
        cr_assert_leq(plan->minutes, minutes + 1e-9);
        cr_assert_gt(plan->minutes, 0.8 * minutes);
        cr_assert_gt(plan->worth, before);
        cr_assert_gt(plan->worth, plan->coverage, "the worthier water first");
        before = plan->worth;
        lw_plan_free(plan);
    }
    lw_chart_free(chart);
}

Test(fan, throws_no_farther_than_the_wind_lets)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    double longest = 0;

    params.wind_mps = 20 * LW_MPH_MPS;
    params.wind_from_deg = 180; /* from behind the edge: casts go into it */
    plan = lake_straight(300, &params);
    for (size_t i = 0; i < plan->casts; i++) {
        double t = turn(&plan->cast[i]) * M_PI / 180;

        cr_assert_leq(plan->cast[i].length_m, params.cast_m * (1 - 0.4 * cos(t)) + 1e-3);
        longest = fmax(longest, plan->cast[i].length_m);
    }
    cr_assert_gt(longest, 0.6 * params.cast_m - 1);
    cr_assert(lake_warned(plan, "of the belt cannot be reached"), "14.6 m are not 16.8");
    lw_plan_free(plan);
}

/* From 20.668 m off the middle of a ring of 10 m a cast meets the ring up to asin(10 / 20.668)
 * = 28.94 degrees (tangent). */
Test(fan, keeps_to_a_hump)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    size_t over = 0;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    plan = lake_plan(chart, &params);
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];
        double t = fabs(lw_bearing_turn(lw_en_bearing(cast->from, (struct lw_en){300, 220}),
                                        cast->bearing_deg));

        if (cast->crosses_edge)
            cr_assert_lt(t, 28.94 + 0.3);
        over += cast->crosses_edge;
    }
    cr_assert_gt(over, plan->casts / 2);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, lands_in_the_lakes_depth)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = on_lake(chart, &params);
    size_t c = 0;

    cr_assert_gt(plan->stations, 8);
    for (size_t i = 0; i < plan->stations; i++) {
        const struct lw_station *station = &plan->station[i];

        cr_assert_eq(station->cast0, c);
        cr_assert_gt(station->casts, 0);
        for (size_t k = 0; k < station->casts; k++, c++) {
            const struct lw_cast *cast = &plan->cast[c];

            cr_assert_eq(cast->station, (int)i + 1);
            cr_assert_eq(cast->order, (int)k + 1);
            cr_assert_float_eq(lw_en_distance(cast->from, station->at), 0, 1e-12);
            cr_assert_float_eq(lw_en_distance(cast->from, cast->to), cast->length_m, 1e-9);
            cr_assert_leq(cast->length_m, params.cast_m + 1e-6);
            cr_assert_float_eq(cast->landing_depth_m, lake_depth(cast->to, &lake_hump_far, 1),
                               0.06);
            cr_assert_leq(cast->facts.least_m, cast->landing_depth_m + 0.06);
            cr_assert_geq(cast->facts.most_m, lake_depth(cast->from, &lake_hump_far, 1) - 0.06);
        }
    }
    cr_assert_eq(c, plan->casts);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, sweeps_one_way_and_ends_toward_the_next_station)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = on_lake(chart, &params);
    size_t fans = 0;

    for (size_t i = 0; i + 1 < plan->stations; i++) {
        const struct lw_station *station = &plan->station[i];
        const struct lw_cast *cast = &plan->cast[station->cast0];
        struct lw_en next = plan->station[i + 1].at;

        if (station->casts < 2)
            continue;
        fans++;
        for (size_t k = 1; k < station->casts; k++)
            cr_assert_lt(
                fabs(lw_bearing_turn(lw_en_bearing(station->at, next), cast[k].bearing_deg)),
                fabs(lw_bearing_turn(lw_en_bearing(station->at, next), cast[k - 1].bearing_deg)) +
                    1e-6,
                "station %zu", i + 1);
    }
    cr_assert_gt(fans, 8);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, shortens_casts_at_the_bank)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.depth_m = 0.5; /* 10 m from the shore: straight casts would land on it */
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 40});
    params.min_depth_m = 0.5;
    params.up_m = 30; /* belt and all */
    plan = lake_plan(chart, &params);
    cr_assert(lake_warned(plan, "the bank, a hazard or closed water lies behind"));
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];

        cr_assert_geq(cast->landing_depth_m, 0.29);
        for (double t = 0; t <= 1; t += 0.01)
            cr_assert_not(isnan(lake_depth(lw_en_between(cast->from, cast->to, t), NULL, 0)));
    }
    lw_plan_free(plan);
    lw_chart_free(chart);
}

/* A bar of dry ground between the hold line and the edge: nothing can be cast over it. */
Test(fan, casts_over_no_bar)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_grid *g = &chart->grid;
    struct lw_plan *plan;

    for (int i = 0; i < g->ny; i++)
        for (int j = 0; j < g->nx; j++) {
            double e = g->e0_m + j * g->cell_m, n = g->n0_m + i * g->cell_m;
            double off = n - lake_shore(e) - lake_off_shore(3);

            if (e > 280 && e < 320 && off > 3 && off < 6)
                g->depth_m[i * g->nx + j] = NAN;
        }
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 80});
    plan = lake_plan(chart, &params);
    cr_assert_gt(plan->casts, 0);
    cr_assert_lt(plan->reachable, 0.99);
    cr_assert(lake_warned(plan, "left out: the retrieve would cross land"));
    for (size_t i = 0; i < plan->casts; i++)
        for (double t = 0; t <= 1; t += 0.01) {
            int col, row;

            cr_assert(lw_grid_cell(g, lw_en_between(plan->cast[i].from, plan->cast[i].to, t), &col,
                                   &row));
            cr_assert_not(isnan(g->depth_m[row * g->nx + col]));
        }
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, casts_over_no_hazard_and_into_no_closed_water)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_hazard hazard = {.kind = LW_HAZARD_ROCK, .depth_m = NAN};
    struct lw_closed closed = {.fishing = true, .ring = {.closed = true}};
    struct lw_en stump = {300, lake_shore(300) + 42}; /* on the edge, nearly */
    struct lw_en box[] = {{330, 0}, {360, 0}, {360, 200}, {330, 200}, {330, 0}};
    struct lw_plan *plan;

    cr_assert_eq(lw_line_add(&hazard.line, stump), 0);
    cr_assert_eq(lw_features_add_hazard(&chart->features, &hazard), 0);
    for (int i = 0; i < 5; i++)
        cr_assert_eq(lw_line_add(&closed.ring, box[i]), 0);
    cr_assert_eq(lw_features_add_closed(&chart->features, &closed), 0);
    plan = on_lake(chart, &params);
    cr_assert_gt(plan->casts, 50);
    for (size_t i = 0; i < plan->casts; i++) {
        struct lw_en a = plan->cast[i].from, b = plan->cast[i].to;

        cr_assert_gt(sqrt(lw_segment_dist2(a, b, stump)), 1.3);
        for (double t = 0; t <= 1; t += 0.005) {
            struct lw_en at = lw_en_between(a, b, t);

            cr_assert_not(at.e_m > 330.01 && at.e_m < 359.99, "cast %zu", i);
        }
    }
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, of_casts_too_short_is_refused)
{
    struct lw_plan_params params = lake_params();
    struct lw_en p[] = {{0, 0}, {150, 0}};
    struct lw_line line = {.p = p, .n = 2};
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    params.cast_m = 6;
    params.length_m = NAN;
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, true, &params, &plan, &err), -1);
    cr_assert(strstr(err.text, "give a longer cast"), "%s", err.text);
}
