/* Where the boat may be, and the hold line's detours. */
#include "lake.h"
#include "lipwalk/plan/care.h"

static const struct lw_care care = {.draft_m = 1.5, .clearance_m = 4, .berth_m = 12};

static void add_rock(struct lw_chart *chart, struct lw_en at, double depth_m)
{
    struct lw_hazard rock = {.kind = LW_HAZARD_ROCK, .depth_m = depth_m};

    cr_assert_eq(lw_line_add(&rock.line, at), 0);
    cr_assert_eq(lw_features_add_hazard(&chart->features, &rock), 0);
}

static void add_closed(struct lw_chart *chart, double w, double s, double e, double n, bool boating,
                       bool hole)
{
    struct lw_en p[] = {{w, s}, {e, s}, {e, n}, {w, n}, {w, s}};
    struct lw_closed c = {.fishing = !boating, .boating = boating, .hole = hole};

    c.ring.closed = true;
    strcpy(c.words, "Loon nesting bay");
    for (int i = 0; i < 5; i++)
        cr_assert_eq(lw_line_add(&c.ring, p[i]), 0);
    cr_assert_eq(lw_features_add_closed(&chart->features, &c), 0);
}

Test(care, says_why)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_en free = {100, 150}, rock = {300, 150};
    size_t which = 99;

    add_rock(chart, (struct lw_en){500, 150}, 8); /* deep enough over it: none */
    add_rock(chart, rock, NAN);
    add_closed(chart, 400, 100, 450, 200, true, false);
    add_closed(chart, 420, 140, 430, 160, true, true);
    cr_assert_eq(lw_care_at(chart, &care, 1, free, NULL), LW_CARE_FREE);
    cr_assert_eq(lw_care_at(chart, &care, 30, free, NULL), LW_CARE_SHALLOW);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){100, 5}, NULL), LW_CARE_LAND);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){500, 150}, NULL), LW_CARE_FREE);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){311, 150}, &which), LW_CARE_HAZARD);
    cr_assert_eq(which, 1);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){313, 150}, NULL), LW_CARE_FREE);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){410, 150}, &which), LW_CARE_CLOSED);
    cr_assert_eq(which, 0);
    cr_assert_eq(lw_care_at(chart, &care, 1, (struct lw_en){425, 150}, NULL), LW_CARE_FREE,
                 "a hole");
    cr_assert_eq(lw_care_closed(chart, (struct lw_en){410, 150}, false), 0);
    cr_assert_eq(lw_care_closed(chart, (struct lw_en){410, 150}, true), -1, "not to fishing");
    lw_chart_free(chart);
}

/* Every cell by brute force from the lake's closed form. */
Test(care, water_is_deep_clear_and_open)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_error err = {""};
    struct lw_water w;
    struct lw_en rock = {120, 150};
    size_t open = 0, wrong = 0;

    add_rock(chart, rock, NAN);
    add_closed(chart, 400, 100, 450, 250, true, false);
    cr_assert_eq(lw_care_water(chart, &care, &w, &err), 0, "%s", err.text);
    cr_assert_float_eq(w.cell_m, 2, 1e-12);
    for (int r = 0; r < w.ny; r++)
        for (int c = 0; c < w.nx; c++) {
            struct lw_en at = {w.e0_m + 2 * c, w.n0_m + 2 * r};
            bool in = at.e_m > 399 && at.e_m < 451 && at.n_m > 99 && at.n_m < 251;
            bool sure = true, want = !in && lw_en_distance(at, rock) >= 12;

            for (int i = -3; i <= 3; i++)
                for (int k = -3; k <= 3; k++) {
                    struct lw_en there = {at.e_m + 2 * i, at.n_m + 2 * k};
                    double depth_m = lake_depth(there, &lake_hump_far, 1);
                    bool off = there.e_m < 0 || there.n_m < 0 || there.e_m > 600 || there.n_m > 300;

                    if (!off && 2 * hypot(i, k) < 4 && !(depth_m >= 1.5))
                        want = false;
                    sure &= off || isnan(depth_m) || fabs(depth_m - 1.5) > 0.03;
                }
            if (!sure)
                continue;
            open += want;
            wrong += want != w.open[r * w.nx + c];
        }
    cr_assert_gt(open, 15000);
    cr_assert_eq(wrong, 0, "%zu cells", wrong);
    lw_water_free(&w);
    lw_chart_free(chart);
}

static struct lw_plan *shore(const struct lw_chart *chart)
{
    struct lw_plan_params params = lake_params();

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    return lake_plan(chart, &params);
}

/* The way of a detour leads from one part to the next, all of it deep enough, clear of the rock. */
static void check_detour(const struct lw_chart *chart, const struct lw_plan *plan, size_t i,
                         enum lw_detour_why why, const char *words)
{
    const struct lw_detour *d = &plan->detour[i];
    const struct lw_line *a, *b;

    cr_assert_eq(d->why, why, "%s", d->words);
    cr_assert(strstr(d->words, words), "%s", d->words);
    cr_assert_gt(d->to_m, d->from_m);
    cr_assert_gt(d->after, 0);
    a = &plan->hold.line[d->after - 1];
    b = &plan->hold.line[d->after];
    cr_assert_geq(d->way.n, 2);
    cr_assert_lt(lw_en_distance(d->way.p[0], a->p[a->n - 1]), 8);
    cr_assert_lt(lw_en_distance(d->way.p[d->way.n - 1], b->p[0]), 8);
    cr_assert_float_eq(d->length_m, lw_line_length(&d->way), 1e-9);
    cr_assert(strstr(d->words, "by water round it"), "%s", d->words);
    for (size_t k = 0; k + 1 < d->way.n; k++)
        for (double t = 0; t <= 1; t += 0.02) {
            struct lw_en at = lw_en_between(d->way.p[k], d->way.p[k + 1], t);

            cr_assert_geq(lw_chart_depth(chart, at), plan->params.draft_m);
            cr_assert_lt(lw_care_closed(chart, at, false), 0, "%g %g", at.e_m, at.n_m);
        }
}

Test(care, the_hold_line_leaves_a_rocks_berth_and_says_the_way_round)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_en rock = {300, lake_shore(300) + 44 + 10};
    struct lw_plan *plan;

    add_rock(chart, rock, NAN);
    plan = shore(chart);
    cr_assert_eq(plan->hold.n, 2);
    cr_assert_eq(plan->detours, 1);
    check_detour(chart, plan, 0, LW_DETOUR_HAZARD, "rock");
    for (size_t i = 0; i < plan->hold.n; i++)
        for (size_t k = 0; k < plan->hold.line[i].n; k++)
            cr_assert_geq(lw_en_distance(plan->hold.line[i].p[k], rock),
                          plan->params.berth_m - 1e-9);
    for (size_t k = 0; k + 1 < plan->detour[0].way.n; k++)
        cr_assert_gt(
            sqrt(lw_segment_dist2(plan->detour[0].way.p[k], plan->detour[0].way.p[k + 1], rock)),
            plan->params.berth_m - 2, "a cell less");
    for (size_t i = 0; i < plan->stations; i++)
        cr_assert_geq(lw_en_distance(plan->station[i].at, rock), plan->params.berth_m - 1e-6);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(care, the_hold_line_leaves_water_closed_to_boats)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan *plan;

    add_closed(chart, 280, 60, 310, 110, true, false);
    plan = shore(chart);
    cr_assert_eq(plan->hold.n, 2);
    check_detour(chart, plan, 0, LW_DETOUR_CLOSED, "Loon nesting bay; local regulations decide");
    cr_assert_gt(plan->detour[0].length_m, 50, "round the far side of it");
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(care, a_shoal_is_gone_round)
{
    struct lake_hump hump = {300, lake_shore(300) + 60}; /* its top, 1 m deep, on the hold line */
    struct lw_chart *chart = lake_new(&hump, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){200, 70});
    params.min_depth_m = 2;
    params.draft_m = 1.5;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->hold.n, 2);
    check_detour(chart, plan, 0, LW_DETOUR_SHALLOW, "shallower than 2.0 m");
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(care, a_beat_closed_to_fishing_is_refused_or_warned_of)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    add_closed(chart, 280, 20, 310, 110, false, false);
    plan = shore(chart);
    cr_assert(lake_warned(plan, "closed to fishing, Loon nesting bay"));
    cr_assert(lake_warned(plan, "local regulations decide"));
    lw_plan_free(plan);
    add_closed(chart, -10, -10, 700, 400, false, false);
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    cr_assert_eq(lw_plan_make(chart, &params, &plan, &err), -1);
    cr_assert(strstr(err.text, "closed to fishing") && strstr(err.text, "local regulations"), "%s",
              err.text);
    lw_chart_free(chart);
}
