/* Thinning a line: what is left out lies within the tolerance, ends and rings stay. */
#include "lake.h"
#include "lipwalk/plan/thin.h"

Test(thin, stays_within_the_tolerance)
{
    struct lw_line line = {0}, thin = {0};
    struct lw_error err = {""};

    for (int e = 0; e <= 600; e++)
        cr_assert_eq(lw_line_add(&line, (struct lw_en){e, lake_shore(e)}), 0);
    cr_assert_eq(lw_line_thin(&line, 2, &thin, &err), 0, "%s", err.text);
    cr_assert_lt(thin.n, 40);
    cr_assert_eq(thin.p[0].e_m, 0);
    cr_assert_eq(thin.p[thin.n - 1].e_m, 600);
    for (size_t i = 0; i < line.n; i++)
        cr_assert_leq(lake_distance(&thin, line.p[i]), 2);
    lw_line_free(&line);
    lw_line_free(&thin);
}

Test(thin, keeps_a_small_ring_a_ring)
{
    struct lw_line ring = {.closed = true}, thin = {0};
    struct lw_error err = {""};

    for (int k = 0; k <= 36; k++)
        cr_assert_eq(lw_line_add(&ring, (struct lw_en){10 * cos((k % 36) * M_PI / 18),
                                                       10 * sin((k % 36) * M_PI / 18)}),
                     0);
    cr_assert_eq(lw_line_thin(&ring, 2, &thin, &err), 0, "%s", err.text);
    cr_assert(thin.closed);
    cr_assert_geq(thin.n, 4);
    cr_assert_float_eq(lw_en_distance(thin.p[0], thin.p[thin.n - 1]), 0, 1e-12);
    for (size_t i = 0; i < ring.n; i++)
        cr_assert_leq(lake_distance(&thin, ring.p[i]), 2);
    lw_line_free(&ring);
    lw_line_free(&thin);
}

Test(thin, leaves_short_lines_alone)
{
    struct lw_en p[] = {{0, 0}, {1, 0}};
    struct lw_line line = {.p = p, .n = 2}, none = {0}, thin = {0};
    struct lw_error err = {""};

    cr_assert_eq(lw_line_thin(&line, 2, &thin, &err), 0);
    cr_assert_eq(thin.n, 2);
    lw_line_free(&thin);
    cr_assert_eq(lw_line_thin(&none, 2, &thin, &err), 0);
    cr_assert_eq(thin.n, 0);
}
