/* What lies on the bottom and near by, and today's level, where every answer is drawn on paper. */
#include <stdlib.h>
#include <string.h>

#include "scene.h"

/* A bottom that falls 0.1 m a metre to the north, 3 m at the edge, in the plan's own frame. */
static struct lw_chart *sloping(void)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *grid = &chart->grid;

    chart->frame.origin = (struct lw_ll){46.01, -89.70};
    *grid = (struct lw_grid){.e0_m = -200, .n0_m = -25, .cell_m = 5, .nx = 81, .ny = 21};
    grid->depth_m = malloc(sizeof(float) * 81 * 21);
    for (int j = 0; j < 21; j++)
        for (int i = 0; i < 81; i++)
            grid->depth_m[j * 81 + i] = (float)(3 + 0.1 * (-25 + 5 * j));
    return chart;
}

static void drop(struct lw_chart *chart)
{
    lw_features_free(&chart->features);
    free(chart->grid.depth_m);
    free(chart);
}

static void add_hazard(struct lw_chart *chart, double e_m, double n_m, double depth_m)
{
    struct lw_hazard hazard = {.kind = LW_HAZARD_ROCK, .depth_m = depth_m};

    add(&hazard.line, e_m, n_m);
    cr_assert_eq(lw_features_add_hazard(&chart->features, &hazard), 0);
}

/* A square of that cover, 20 m wide about a place. */
static void add_patch(struct lw_chart *chart, enum lw_cover_kind kind, double e_m, double n_m)
{
    static const double corner[5][2] = {{-10, -10}, {10, -10}, {10, 10}, {-10, 10}, {-10, -10}};
    struct lw_cover cover = {.kind = kind};

    for (int i = 0; i < 5; i++)
        add(&cover.line, e_m + corner[i][0], n_m + corner[i][1]);
    cover.line.closed = true;
    cr_assert_eq(lw_features_add_cover(&chart->features, &cover), 0);
}

Test(ground, the_level_is_in_every_depth_of_the_map)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    s.in.level_m = 0.3;
    at(&s, 0, 10);
    cr_expect_float_eq(s.out.map_depth_m, 4.3, 1e-3);
    cr_expect_float_eq(s.out.cast_depth_m, 1.8, 1e-9); /* 1.5 m of the map's */
    cr_expect_float_eq(s.out.level_m, 0.3, 0);
    cr_expect_eq(s.out.hazard, NULL);
    cr_expect_eq(s.out.cover, NULL);
    end(&s);
    drop(chart);
}

Test(ground, the_shallow_alarm_takes_todays_map_where_no_sounder_is)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    s.plan.params.min_depth_m = 3.8;
    at(&s, 0, 7); /* 3.7 m of the map's */
    cr_expect(s.out.alarms & LW_ALARM_SHALLOW);
    s.in.level_m = 0.3;
    at(&s, 0, 7);
    cr_expect_not(s.out.alarms & LW_ALARM_SHALLOW);
    end(&s);
    drop(chart);
}

Test(ground, a_hazard_is_told_within_30_m_with_way_clock_and_todays_depth)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    s.in.level_m = -0.2;
    add_hazard(chart, 0, 40, 1.0);
    bow(&s, 90);
    at(&s, 0, 9);
    cr_expect_eq(s.out.hazard, NULL, "31 m off");
    at(&s, 0, 11);
    cr_assert_eq(s.out.hazard, &chart->features.hazard[0]);
    cr_expect_float_eq(s.out.hazard_m, 29, 1e-3);
    cr_expect_float_eq(s.out.hazard_deg, 0, 1e-2);
    cr_expect_eq(s.out.hazard_clock, 9); /* north, the bow to the east */
    cr_expect_float_eq(s.out.hazard_depth_m, 0.8, 1e-9);
    s.in.shift = (struct lw_en){0, -5}; /* on the map the boat is 5 m farther south */
    at(&s, 0, 11);
    cr_expect_eq(s.out.hazard, NULL);
    end(&s);
    drop(chart);
}

Test(ground, under_way_it_is_told_sooner)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    add_hazard(chart, 60, 10, NAN);
    at(&s, 0, 10);
    cr_assert_eq(s.out.hazard, NULL);
    s.in.estimate.sog_mps = 5; /* 60 m are 12 s */
    s.in.estimate.cog_deg = 90;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_assert_neq(s.out.hazard, NULL);
    cr_expect(isnan(s.out.hazard_depth_m));
    s.in.estimate.sog_mps = 3.9;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, NULL, "15.4 s");
    s.in.estimate.sog_mps = 5;
    s.in.estimate.cog_deg = 160;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, NULL, "passed 70 degrees off");
    s.in.estimate.cog_deg = NAN;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_neq(s.out.hazard, NULL, "a course unknown may lead there");
    end(&s);
    drop(chart);
}

/* At 5 m/s a rock 20 m astern is past, one 60 m ahead is 12 s away. */
Test(ground, a_hazard_ahead_comes_before_a_nearer_one_astern)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    add_hazard(chart, -20, 10, 1);
    add_hazard(chart, 60, 10, 1);
    at(&s, 0, 10);
    s.in.estimate.sog_mps = 5;
    s.in.estimate.cog_deg = 90;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_assert_eq(s.out.hazard, &chart->features.hazard[1]);
    cr_expect_float_eq(s.out.hazard_m, 60, 1e-3);
    cr_expect_eq(s.out.hazard_clock, 12);
    s.in.estimate.cog_deg = 270;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, &chart->features.hazard[0]);
    s.in.estimate.cog_deg = 90;
    s.in.estimate.sog_mps = 0.6; /* drifting: the near one matters */
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, &chart->features.hazard[0]);
    end(&s);
    drop(chart);
}

/* A wreck under 6 m of water must not hide the rock beyond it. */
Test(ground, a_deep_hazard_hides_no_shallow_one)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    add_hazard(chart, 5, 10, 6);
    at(&s, 0, 10);
    cr_expect_eq(s.out.hazard, &chart->features.hazard[0]);
    add_hazard(chart, 0, 30, NAN);
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, &chart->features.hazard[1], "of unknown depth");
    end(&s);
    drop(chart);
}

Test(ground, cover_under_the_boat_and_where_the_cast_lands)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    add_patch(chart, LW_COVER_ROCK, 0, 15);
    add_patch(chart, LW_COVER_WEED, -10, -8); /* the first landing of station 2 is (-10, -2) */
    at(&s, 4, 10);
    cr_assert_eq(s.out.station, 2);
    cr_assert_eq(s.out.cast, 1);
    cr_assert_neq(s.out.cover, NULL);
    cr_expect_eq(s.out.cover->kind, LW_COVER_ROCK);
    cr_assert_neq(s.out.cast_cover, NULL);
    cr_expect_eq(s.out.cast_cover->kind, LW_COVER_WEED);
    make_cast(&s, 2, 1);
    at(&s, 16, 10); /* 6 m beside the rock */
    cr_expect_eq(s.out.cast, 2);
    cr_expect_eq(s.out.cover, NULL);
    cr_expect_eq(s.out.cast_cover, NULL, "the second lands at (10, -2)");
    end(&s);
    drop(chart);
}

Test(ground, without_a_fix_nothing_is_near)
{
    struct scene s;
    struct lw_chart *chart = sloping();

    begin(&s, true);
    s.in.chart = chart;
    add_hazard(chart, 0, 10, 1);
    at(&s, 0, 10);
    cr_assert_neq(s.out.hazard, NULL);
    cr_expect_float_eq(s.out.hazard_m, 0, 1e-3);
    s.in.estimate.state = LW_FIX_STALE;
    lw_guide_step(&s.in, &s.memory, &s.out);
    cr_expect_eq(s.out.hazard, NULL);
    cr_expect(isnan(s.out.hazard_m));
    end(&s);
    drop(chart);
}
