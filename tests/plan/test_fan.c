/* Stations and casts against the closed form on a straight edge, and on the wavy lake. */
#include "lake.h"

Test(fan, meets_the_right_triangle)
{
    /* Standoff s 15, cast L 30, t 45 degrees: lands L cos t - s = 6.213 past the edge and
     * L sin t = 21.213 along (right triangle). */
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    const struct lw_cast *first, *last;

    params.standoff_m = 15;
    params.cast_m = 30;
    params.fan_half_deg = 45;
    params.fan_casts = 3;
    params.from_m = 50; /* the edge goes on past both ends of the beat */
    params.to_m = 200;
    plan = lake_straight(250, &params);
    first = &plan->cast[0];
    last = &plan->cast[2];
    cr_assert_float_eq(first->from.n_m, 15, 1e-6);
    cr_assert_float_eq(first->to.n_m, 15 - 30 * cos(M_PI / 4), 1e-6);
    cr_assert_float_eq(first->to.n_m, -6.213, 1e-3);
    /* The sweep starts away from the next station, to the west, and ends toward it. */
    cr_assert_float_eq(first->to.e_m - first->from.e_m, -21.213, 1e-3);
    cr_assert_float_eq(first->bearing_deg, 225, 1e-6);
    cr_assert_float_eq(plan->cast[1].bearing_deg, 180, 1e-6);
    cr_assert_float_eq(last->bearing_deg, 135, 1e-6);
    cr_assert(first->crosses_edge && last->crosses_edge);
    cr_assert_eq(plan->warnings, 0, "%s", plan->warning[0]);
    lw_plan_free(plan);
}

Test(fan, is_narrowed_to_what_reaches)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.standoff_m = 15;
    params.cast_m = 20; /* reaches with a metre to spare up to acos(15 / 19) = 37.864 degrees */
    params.from_m = 50;
    params.to_m = 200;
    plan = lake_straight(250, &params);
    cr_assert_float_eq(plan->cast[6].bearing_deg, 180 - 37.864, 0.02);
    cr_assert_float_eq(plan->cast[0].bearing_deg, 180 + 37.864, 0.02);
    cr_assert(lake_warned(plan, "at 11 stations the fan is narrower on a side, down to 38"));
    for (size_t i = 0; i < plan->casts; i++)
        cr_assert(plan->cast[i].crosses_edge);
    lw_plan_free(plan);

    params.cast_m = 14; /* shorter than the standoff: still a fan */
    plan = lake_straight(250, &params);
    cr_assert_eq(plan->casts, 7 * plan->stations);
    cr_assert_float_eq(plan->cast[6].bearing_deg, 130, 1e-6);
    cr_assert(lake_warned(plan, "does not cross"));
    for (size_t i = 0; i < plan->casts; i++)
        cr_assert_not(plan->cast[i].crosses_edge);
    lw_plan_free(plan);
}

Test(fan, counts_and_times)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.length_m = NAN;
    plan = lake_straight(150, &params);
    cr_assert_eq(plan->stations, 11);
    cr_assert_eq(plan->casts, 77);
    cr_assert_float_eq(plan->minutes, (11 * 20 + 77 * 25) / 60.0, 1e-9);
    for (size_t i = 0; i < plan->stations; i++) {
        cr_assert_eq(plan->station[i].order, (int)i + 1);
        cr_assert_float_eq(plan->station[i].along_m, 15.0 * (double)i, 0.1);
    }
    lw_plan_free(plan);

    params.move_s = 30; /* one station: 150 m holds one every 200 m, in its middle */
    params.spacing_m = 200;
    params.fan_casts = 1;
    plan = lake_straight(150, &params);
    cr_assert_eq(plan->stations, 1);
    cr_assert_float_eq(plan->station[0].along_m, 75, 0.1);
    cr_assert_float_eq(plan->cast[0].bearing_deg, 180, 1e-6);
    cr_assert_float_eq(plan->minutes, (30 + 25) / 60.0, 1e-9);
    lw_plan_free(plan);
}

Test(fan, keeps_to_a_hump)
{
    /* From 20.668 m off the middle of a ring of 10 m a cast meets the ring up to asin(10 / 20.668)
     * = 28.94 degrees (tangent). */
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    plan = lake_plan(chart, &params);
    for (size_t i = 0; i < plan->stations; i++) {
        const struct lw_cast *cast = &plan->cast[plan->station[i].cast0];
        double turn_deg = lw_bearing_turn(cast[0].bearing_deg, cast[6].bearing_deg);

        cr_assert_float_eq(fabs(turn_deg), 2 * 28.94, 0.3);
        cr_assert_float_eq(lw_bearing_turn(lw_en_bearing(cast[3].from, (struct lw_en){300, 220}),
                                           cast[3].bearing_deg),
                           0, 2);
    }
    for (size_t i = 0; i < plan->casts; i++)
        cr_assert(plan->cast[i].crosses_edge);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, lands_in_the_lakes_depth)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    size_t c = 0;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    cr_assert_gt(plan->stations, 20);
    for (size_t i = 0; i < plan->stations; i++) {
        const struct lw_station *station = &plan->station[i];

        cr_assert_eq(station->cast0, c);
        for (size_t k = 0; k < station->casts; k++, c++) {
            const struct lw_cast *cast = &plan->cast[c];

            cr_assert_eq(cast->station, (int)i + 1);
            cr_assert_eq(cast->order, (int)k + 1);
            cr_assert_float_eq(lw_en_distance(cast->from, station->at), 0, 1e-12);
            cr_assert_leq(lw_en_distance(cast->from, cast->to), params.cast_m + 1e-9);
            cr_assert(cast->crosses_edge);
            cr_assert_float_eq(cast->landing_depth_m, lake_depth(cast->to, &lake_hump_far, 1),
                               0.06);
        }
    }
    cr_assert_eq(c, plan->casts);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, ends_its_sweep_toward_the_next_station)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    for (size_t i = 0; i + 1 < plan->stations; i++) {
        const struct lw_cast *cast = &plan->cast[plan->station[i].cast0];
        struct lw_en next = plan->station[i + 1].at;

        cr_assert_lt(lw_en_distance(cast[plan->station[i].casts - 1].to, next),
                     lw_en_distance(cast[0].to, next), "station %zu", i + 1);
    }
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(fan, shortens_casts_at_the_bank)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    size_t shorter = 0;

    params.depth_m = 0.5; /* 10 m from the shore: straight casts would land on it */
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 40});
    params.min_depth_m = 0.5;
    plan = lake_plan(chart, &params);
    cr_assert(lake_warned(plan, "the bank lies behind"));
    cr_assert_eq(plan->casts, 7 * plan->stations);
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];
        struct lw_en past = lw_en_step(cast->to, cast->bearing_deg, 1);

        cr_assert_geq(cast->landing_depth_m, 0.3);
        cr_assert_float_eq(cast->landing_depth_m, lake_depth(cast->to, NULL, 0), 0.05);
        cr_assert_float_eq(lw_en_distance(cast->from, cast->to), cast->length_m, 1e-6);
        cr_assert(cast->crosses_edge);
        cr_assert_leq(cast->length_m, params.cast_m);
        if (cast->length_m < params.cast_m) { /* as far as it can be: farther on it is shallower */
            cr_assert_not(lake_depth(past, NULL, 0) > 0.32);
            shorter++;
        }
    }
    cr_assert_gt(shorter, 0);
    cr_assert_lt(shorter, plan->casts, "slant casts keep their length");
    lw_plan_free(plan);
    lw_chart_free(chart);
}

/* A bar of dry ground between the hold line and the edge: nothing can be cast over it. */
Test(fan, leaves_out_casts_that_the_bank_keeps_from_the_edge)
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
    cr_assert_lt(plan->casts, 7 * plan->stations);
    cr_assert(lake_warned(plan, "left out: the retrieve would cross land"));
    for (size_t i = 0; i < plan->casts; i++) {
        for (double t = 0; t <= 1; t += 0.01) {
            struct lw_en a = plan->cast[i].from, b = plan->cast[i].to;
            struct lw_en at = {a.e_m + t * (b.e_m - a.e_m), a.n_m + t * (b.n_m - a.n_m)};

            cr_assert_not(isnan(lw_chart_depth(chart, at)));
        }
        cr_assert_eq(plan->cast[i].order,
                     (int)(i - plan->station[plan->cast[i].station - 1].cast0) + 1);
    }
    lw_plan_free(plan);
    lw_chart_free(chart);
}
