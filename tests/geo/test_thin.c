/* Thinning a line: what is left out lies within the tolerance, ends and rings stay. */
#include "lipwalk/geo/thin.h"

#include <math.h>

#include "lw_test.h"

/* Distance to a line, every segment tried: independent of the code under test. */
static double distance(const struct lw_line *line, struct lw_en at)
{
    double least = INFINITY;

    for (size_t i = 0; i + 1 < line->n; i++) {
        double length = lw_en_distance(line->p[i], line->p[i + 1]);
        double turn = (lw_en_bearing(line->p[i], at) - lw_en_bearing(line->p[i], line->p[i + 1])) *
                      M_PI / 180;
        double far = lw_en_distance(line->p[i], at), on = far * cos(turn);

        if (on < 0)
            least = fmin(least, far);
        else if (on > length)
            least = fmin(least, lw_en_distance(line->p[i + 1], at));
        else
            least = fmin(least, fabs(far * sin(turn)));
    }
    return least;
}

Test(thin, stays_within_the_tolerance)
{
    struct lw_line line = {0}, thin = {0};
    struct lw_error err = {""};

    for (int e = 0; e <= 600; e++)
        cr_assert_eq(lw_line_add(&line, (struct lw_en){e, 30 + 12 * sin(e / 45.0)}), 0);
    cr_assert_eq(lw_line_thin(&line, 2, &thin, &err), 0, "%s", err.text);
    cr_assert_lt(thin.n, 40);
    cr_assert_eq(thin.p[0].e_m, 0);
    cr_assert_eq(thin.p[thin.n - 1].e_m, 600);
    for (size_t i = 0; i < line.n; i++)
        cr_assert_leq(distance(&thin, line.p[i]), 2);
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
        cr_assert_leq(distance(&thin, ring.p[i]), 2);
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
