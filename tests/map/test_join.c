#include "lw_test.h"

#include <math.h>

#include "../../src/map/join.h"

/* The arc of a circle of 50 m, in degrees. */
static void arc(struct lw_lines *lines, double from, double to)
{
    struct lw_line line = {0};

    for (int k = 0; k <= 20; k++) {
        double a = (from + (to - from) * k / 20) * M_PI / 180;

        cr_assert_eq(lw_line_add(&line, (struct lw_en){50 * cos(a), 50 * sin(a)}), 0);
    }
    cr_assert_eq(lw_lines_take(lines, &line), 0);
}

Test(join, pieces_in_any_direction_make_a_ring)
{
    struct lw_lines lines = {0};

    arc(&lines, 0, 100);
    arc(&lines, 220, 100); /* against the others */
    arc(&lines, 220, 359.8);
    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert(lines.line[0].closed);
    cr_assert_float_eq(fabs(lw_line_area(&lines.line[0])), M_PI * 2500, 30);
    lw_lines_free(&lines);
}

Test(join, gaps_stay_gaps)
{
    struct lw_lines lines = {0};

    arc(&lines, 0, 100);
    arc(&lines, 110, 200);
    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_eq(lines.n, 2);
    cr_assert_not(lines.line[0].closed);
    lw_lines_free(&lines);
}

Test(join, one_line_closes_on_itself)
{
    struct lw_lines lines = {0};

    arc(&lines, 10, 369.9);
    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_eq(lines.n, 1);
    cr_assert(lines.line[0].closed);
    lw_lines_free(&lines);
}

Test(join, nearest_ends_first_where_three_meet)
{
    struct lw_lines lines = {0};
    struct lw_line stray = {0};

    arc(&lines, 0, 180);
    arc(&lines, 180, 360);
    cr_assert_eq(lw_line_add(&stray, (struct lw_en){50.3, 0}), 0);
    cr_assert_eq(lw_line_add(&stray, (struct lw_en){90, 0}), 0);
    cr_assert_eq(lw_lines_take(&lines, &stray), 0);
    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_eq(lines.n, 2);
    cr_assert_eq(lines.line[0].closed + lines.line[1].closed, 1);
    lw_lines_free(&lines);
}

Test(join, nothing_is_nothing)
{
    struct lw_lines lines = {0};

    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_eq(lines.n, 0);
    lw_lines_free(&lines);
}

Test(join, many_ends_at_one_place_do_not_hang)
{
    struct lw_lines lines = {0};

    for (int k = 0; k < 5000; k++) {
        struct lw_line line = {0};

        cr_assert_eq(lw_line_add(&line, (struct lw_en){0, 0}), 0);
        cr_assert_eq(lw_line_add(&line, (struct lw_en){100 + k, k}), 0);
        cr_assert_eq(lw_lines_take(&lines, &line), 0);
    }
    cr_assert_eq(lw_join_lines(&lines, 0.5, NULL), 0);
    cr_assert_leq(lines.n, 5000);
    lw_lines_free(&lines);
}
