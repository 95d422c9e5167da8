#include "lipwalk/geo/line.h"

#include <math.h>

#include "lw_test.h"

static struct lw_line make(const double (*p)[2], size_t n, bool closed)
{
    struct lw_line line = {.closed = closed};

    for (size_t i = 0; i < n; i++)
        lw_line_add(&line, (struct lw_en){p[i][0], p[i][1]});
    return line;
}

static struct lw_line square(void)
{
    static const double p[][2] = {{0, 0}, {100, 0}, {100, 100}, {0, 100}, {0, 0}};

    return make(p, 5, true);
}

static struct lw_line elbow(void)
{
    static const double p[][2] = {{0, 0}, {30, 0}, {30, 40}};

    return make(p, 3, false);
}

static void expect_at(const struct lw_line *line, double along_m, double e_m, double n_m,
                      double bearing_deg)
{
    double bearing;
    struct lw_en at = lw_line_at(line, along_m, &bearing);

    cr_expect_float_eq(at.e_m, e_m, 1e-9, "at %g m: east %g", along_m, at.e_m);
    cr_expect_float_eq(at.n_m, n_m, 1e-9, "at %g m: north %g", along_m, at.n_m);
    cr_expect_float_eq(bearing, bearing_deg, 1e-9, "at %g m: bearing %g", along_m, bearing);
}

Test(cut, at_along)
{
    struct lw_line open = elbow(), ring = square();

    expect_at(&open, 0, 0, 0, 90);
    expect_at(&open, 12, 12, 0, 90);
    expect_at(&open, 30, 30, 0, 0); /* at a vertex the way on counts */
    expect_at(&open, 70, 30, 40, 0);
    expect_at(&open, 90, 30, 40, 0); /* clamped */
    expect_at(&open, -5, 0, 0, 90);
    expect_at(&ring, 250, 50, 100, 270);
    expect_at(&ring, -10, 0, 10, 180); /* wrapped */
    expect_at(&ring, 400, 0, 0, 90);
    expect_at(&ring, 810, 10, 0, 90);
    cr_expect(isnan(lw_line_at(&open, NAN, NULL).e_m));
    lw_line_free(&open);
    lw_line_free(&ring);
}

Test(cut, mean_bearing)
{
    struct lw_line open = elbow(), ring = square();

    cr_expect_float_eq(lw_line_bearing(&open, 30, 10), 45, 1e-9);
    cr_expect_float_eq(lw_line_bearing(&open, 10, 5), 90, 1e-9);
    cr_expect_float_eq(lw_line_bearing(&open, 0, 5), 90, 1e-9);
    cr_expect_float_eq(lw_line_bearing(&ring, 0, 10), 135, 1e-9);
    cr_expect_float_eq(lw_line_bearing(&ring, 50, 200), 90, 1e-9); /* once round: no chord */
    lw_line_free(&open);
    lw_line_free(&ring);
}

Test(cut, stretch_of_an_open_line)
{
    struct lw_line open = elbow(), out;
    struct lw_error err = {""};

    cr_assert_eq(lw_line_cut(&open, 10, 50, &out, &err), 0);
    cr_expect_eq(out.n, 3);
    cr_expect_float_eq(out.p[0].e_m, 10, 1e-12);
    cr_expect_float_eq(out.p[2].n_m, 20, 1e-12);
    lw_line_free(&out);
    cr_assert_eq(lw_line_cut(&open, -10, 1000, &out, &err), 0);
    cr_expect_eq(out.n, 3);
    cr_expect_float_eq(lw_line_length(&out), 70, 1e-12);
    lw_line_free(&out);
    cr_assert_eq(lw_line_cut(&open, 30, 70, &out, &err), 0); /* no vertex twice */
    cr_expect_eq(out.n, 2);
    lw_line_free(&out);
    cr_expect_eq(lw_line_cut(&open, 50, 10, &out, &err), -1);
    cr_expect(strstr(err.text, "between 50 and 10 m"), "%s", err.text);
    cr_expect_eq(lw_line_cut(&open, 80, 90, &out, &err), -1);
    cr_expect_eq(lw_line_cut(&open, NAN, 90, &out, &err), -1);
    lw_line_free(&open);
}

Test(cut, stretch_of_a_ring)
{
    struct lw_line ring = square(), out;
    struct lw_error err = {""};

    cr_assert_eq(lw_line_cut(&ring, 350, 450, &out, &err), 0); /* on through the start */
    cr_expect_not(out.closed);
    cr_expect_eq(out.n, 3);
    cr_expect_float_eq(out.p[0].n_m, 50, 1e-9);
    cr_expect_float_eq(out.p[1].e_m, 0, 1e-9);
    cr_expect_float_eq(out.p[2].e_m, 50, 1e-9);
    lw_line_free(&out);
    cr_assert_eq(lw_line_cut(&ring, -50, 350, &out, &err), 0); /* the whole of it */
    cr_expect(out.closed);
    cr_expect_eq(out.n, 6);
    cr_expect_float_eq(lw_line_length(&out), 400, 1e-9);
    cr_expect_float_eq(out.p[0].n_m, 50, 1e-9);
    cr_expect_eq(out.p[5].n_m, out.p[0].n_m);
    lw_line_free(&out);
    cr_assert_eq(lw_line_cut(&ring, 0, 5000, &out, &err), 0);
    cr_expect_eq(out.n, 5);
    cr_expect_float_eq(lw_line_area(&out), 10000, 1e-6);
    lw_line_free(&out);
    lw_line_free(&ring);
}

/* A cut's length is what was asked for, and each of its vertices lies on the line. */
Test(cut, random_stretches_keep_their_length)
{
    unsigned seed = 3;
    struct lw_line ring = {.closed = true};
    double length_m;

    for (int i = 0; i < 50; i++)
        lw_line_add(&ring, (struct lw_en){100 * cos(i * M_PI / 25) + rand_r(&seed) % 9,
                                          80 * sin(i * M_PI / 25) + rand_r(&seed) % 9});
    lw_line_add(&ring, ring.p[0]);
    length_m = lw_line_length(&ring);
    for (int i = 0; i < 500; i++) {
        double from_m = 2 * length_m * (rand_r(&seed) / (double)RAND_MAX - 0.5);
        double span_m = 1e-3 + length_m * 0.99 * (rand_r(&seed) / (double)RAND_MAX);
        struct lw_line out;
        struct lw_error err = {""};

        cr_assert_eq(lw_line_cut(&ring, from_m, from_m + span_m, &out, &err), 0, "%s", err.text);
        cr_expect_float_eq(lw_line_length(&out), span_m, 1e-5);
        for (size_t k = 0; k < out.n; k++)
            cr_expect_lt(lw_line_nearest(&ring, out.p[k]).dist_m, 1e-9);
        lw_line_free(&out);
    }
    lw_line_free(&ring);
}

Test(cut, densify)
{
    struct lw_line ring = square(), out;
    struct lw_error err = {""};

    cr_assert_eq(lw_line_densify(&ring, 30, &out, &err), 0);
    cr_expect_eq(out.n, 17); /* four of 25 m on each side, and the last vertex */
    cr_expect(out.closed);
    cr_expect_float_eq(lw_line_length(&out), 400, 1e-9);
    for (size_t i = 1; i < out.n; i++)
        cr_expect_float_eq(lw_en_distance(out.p[i - 1], out.p[i]), 25, 1e-9);
    lw_line_free(&out);
    cr_assert_eq(lw_line_densify(&ring, 100, &out, &err), 0);
    cr_expect_eq(out.n, 5);
    lw_line_free(&out);
    cr_expect_eq(lw_line_densify(&ring, 0, &out, &err), -1);
    cr_expect(strstr(err.text, "larger step"), "%s", err.text);
    cr_expect_eq(lw_line_densify(&ring, 1e-9, &out, &err), -1);
    lw_line_free(&ring);
}
