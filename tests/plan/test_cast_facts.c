/* What a cast does under water, against plane geometry on a straight edge and on rings drawn by
 * hand. */
#include <math.h>

#include "lake.h"
#include "plan/cast_facts.h"

#define UP    6.0
#define PAST  4.0
#define SPEED 0.5

static void ring(struct lw_plan *plan, const struct lw_en *corner, size_t corners)
{
    struct lw_line line = {0};

    line.closed = true;
    for (size_t i = 0; i <= corners; i++)
        cr_assert_eq(lw_line_add(&line, corner[i % corners]), 0);
    cr_assert_eq(lw_lines_take(&plan->belt, &line), 0);
}

/* A plan by hand: the edge runs east along n = 0 in pieces of 5 m, deep water to the north, and
 * the belt lies about it from -UP to +PAST. */
static void begin(struct lw_plan *plan)
{
    static const struct lw_en corner[] = {{-200, -UP}, {200, -UP}, {200, PAST}, {-200, PAST}};

    memset(plan, 0, sizeof *plan);
    for (int e = -200; e <= 200; e += 5)
        cr_assert_eq(lw_line_add(&plan->edge, (struct lw_en){e, 0}), 0);
    plan->deep_left = true;
    plan->params.retrieve_mps = SPEED;
    plan->params.above_m = 0.3;
    ring(plan, corner, 4);
}

static void end(struct lw_plan *plan)
{
    lw_line_free(&plan->edge);
    lw_lines_free(&plan->belt);
}

/* A cast from `at`, t degrees off south, `length_m` long. */
static struct lw_cast cast_of(struct lw_en at, double t_deg, double length_m)
{
    double t = t_deg * M_PI / 180;
    struct lw_cast cast = {.from = at, .length_m = length_m};

    cast.to = (struct lw_en){at.e_m + length_m * sin(t), at.n_m - length_m * cos(t)};
    return cast;
}

/* At standoff s and t degrees off the perpendicular the lip is s / cos t away, and of the belt's
 * way (up + past) / cos t is swum as far as the cast reaches. */
Test(cast_facts, equal_the_geometry_of_a_straight_edge)
{
    struct lw_plan plan;
    const double s = 10.7;

    begin(&plan);
    for (double t = -80; t <= 80; t += 4)
        for (double length_m = 5; length_m < 60; length_m += 3.3) {
            double c = cos(t * M_PI / 180), lip_m = s / c;
            double enters_m = (s - PAST) / c, leaves_m = (s + UP) / c;
            struct lw_cast cast = cast_of((struct lw_en){3.21, s}, t, length_m);

            lw_cast_facts(NULL, &plan, NULL, &cast);
            cr_assert_eq(cast.crosses_edge, length_m > lip_m, "t %g length %g", t, length_m);
            if (cast.crosses_edge)
                cr_assert_float_eq(cast.facts.lip_m, lip_m, 1e-9);
            else
                cr_assert(isnan(cast.facts.lip_m));
            cr_assert_float_eq(cast.facts.belt_s * SPEED,
                               fmax(0, fmin(length_m, leaves_m) - enters_m), 1e-9);
            cr_assert(isnan(cast.landing_depth_m) && isnan(cast.facts.count_s));
            cr_assert(isnan(cast.facts.least_m) && isnan(cast.facts.most_m));
        }
    end(&plan);
}

/* From the flat the same, and the cast that lies within the belt throughout. */
Test(cast_facts, know_the_other_side_and_a_cast_within)
{
    struct lw_plan plan;
    struct lw_cast cast;

    begin(&plan);
    cast = cast_of((struct lw_en){1, -9}, 180 - 30, 40);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.lip_m, 9 / cos(M_PI / 6), 1e-9);
    cr_assert_float_eq(cast.facts.belt_s, (UP + PAST) / cos(M_PI / 6) / SPEED, 1e-9);
    cast = cast_of((struct lw_en){1, -2}, 90, 17);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, 17 / SPEED, 1e-9);
    cr_assert_not(cast.crosses_edge);
    end(&plan);
}

/* A station on the belt's own border, on either side of it, and a cast through a corner. */
Test(cast_facts, count_right_from_the_border_and_through_corners)
{
    static const struct lw_en corner[] = {{300, -5}, {305, 0}, {300, 5}, {295, 0}};
    struct lw_plan plan;
    struct lw_cast cast;

    begin(&plan);
    for (int out = 0; out < 2; out++)
        for (double n = -UP; n < PAST + 1; n += UP + PAST) {
            bool north = (n > 0) != (out == 0); /* which way the cast goes */

            cast = cast_of((struct lw_en){2.5, n}, north ? 180 : 0, 8);
            lw_cast_facts(NULL, &plan, NULL, &cast);
            cr_assert_float_eq(cast.facts.belt_s, out ? 0 : 8 / SPEED, 1e-9, "from %g, %s", n,
                               out ? "outward" : "inward");
        }
    ring(&plan, corner, 4);
    cast = cast_of((struct lw_en){300, 20}, 0, 40); /* through the north and the south corner */
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, 10 / SPEED, 1e-9);
    cast = cast_of((struct lw_en){280, 0}, 90, 40);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, 10 / SPEED, 1e-9);
    cast = cast_of((struct lw_en){280, 5}, 90, 40); /* touches a corner, enters nowhere */
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, 0, 1e-9);
    end(&plan);
}

/* A hole (even-odd) takes its width off; of two meetings with the edge the first counts. */
Test(cast_facts, leave_holes_out_and_take_the_first_lip)
{
    static const struct lw_en hole[] = {{40, -3}, {40, 2}, {60, 2}, {60, -3}};
    struct lw_plan plan;
    struct lw_cast cast;

    begin(&plan);
    ring(&plan, hole, 4);
    cast = cast_of((struct lw_en){50, 10}, 0, 30);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, (UP + PAST - 5) / SPEED, 1e-9);
    cast = cast_of((struct lw_en){50, 0.5}, 0, 2.5); /* begins and ends in the hole */
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.belt_s, 0, 1e-9);
    cr_assert_eq(lw_line_add(&plan.edge, (struct lw_en){200, -30}), 0);
    cr_assert_eq(lw_line_add(&plan.edge, (struct lw_en){-200, -30}), 0);
    cast = cast_of((struct lw_en){0, -40}, 180, 50);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.lip_m, 10, 1e-9);
    cast = cast_of((struct lw_en){0, 15}, 0, 50);
    lw_cast_facts(NULL, &plan, NULL, &cast);
    cr_assert_float_eq(cast.facts.lip_m, 15, 1e-9);
    end(&plan);
}

/* The invented lake, whose depth is known in closed form (cells of 1 m, single precision). */
Test(cast_facts, tell_depths_and_the_count_down)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_fall fall = lw_fall_of(0.00708738, 15, 1);
    struct lw_plan plan;
    struct lw_cast cast;

    begin(&plan);
    cast = cast_of((struct lw_en){300, 240}, 0, 40); /* over the hump's top: 1 m */
    lw_cast_facts(chart, &plan, &fall, &cast);
    cr_assert_float_eq(cast.landing_depth_m, lake_depth(cast.to, &lake_hump_far, 1), 0.01);
    cr_assert_float_eq(cast.landing_depth_m, 5, 0.01);
    cr_assert_float_eq(cast.facts.most_m, 5, 0.01);
    cr_assert_float_eq(cast.facts.least_m, 1, 0.06); /* a cell of .2 m fall about the top */
    cr_assert_float_eq(lw_fall_depth(&fall, cast.facts.count_s), cast.landing_depth_m - 0.3, 1e-9);
    lw_cast_facts(chart, &plan, NULL, &cast);
    cr_assert(isnan(cast.facts.count_s));
    cast = cast_of((struct lw_en){300, 45}, 0, 40); /* onto land */
    lw_cast_facts(chart, &plan, &fall, &cast);
    cr_assert(isnan(cast.landing_depth_m) && isnan(cast.facts.count_s));
    cr_assert(isfinite(cast.facts.most_m) && cast.facts.least_m >= 0);
    end(&plan);
    lw_chart_free(chart);
}
