#include "lipwalk/geo/line.h"

#include <math.h>

#include "lw_test.h"

static struct lw_line make(const double (*p)[2], size_t n, bool closed)
{
    struct lw_line line = {.closed = closed};

    for (size_t i = 0; i < n; i++)
        cr_assert_eq(lw_line_add(&line, (struct lw_en){p[i][0], p[i][1]}), 0);
    return line;
}

static struct lw_line square(void) /* 100 m a side, counter-clockwise from the south-west */
{
    static const double p[][2] = {{0, 0}, {100, 0}, {100, 100}, {0, 100}, {0, 0}};

    return make(p, 5, true);
}

static struct lw_line elbow(void) /* east 30 m, then north 40 m */
{
    static const double p[][2] = {{0, 0}, {30, 0}, {30, 40}};

    return make(p, 3, false);
}

Test(line, length_and_area)
{
    struct lw_line line = square(), open = elbow();

    cr_expect_float_eq(lw_line_length(&line), 400, 1e-12);
    cr_expect_float_eq(lw_line_area(&line), 10000, 1e-9);
    lw_line_reverse(&line);
    cr_expect_float_eq(lw_line_area(&line), -10000, 1e-9);
    cr_expect_eq(line.p[1].n_m, 100);
    cr_expect_float_eq(lw_line_length(&open), 70, 1e-12);
    lw_line_free(&line);
    lw_line_free(&open);
    cr_expect_null(line.p);
}

Test(line, contains_even_odd)
{
    struct lw_line line = square();

    cr_expect(lw_line_contains(&line, (struct lw_en){50, 50}));
    cr_expect(lw_line_contains(&line, (struct lw_en){1, 99}));
    cr_expect_not(lw_line_contains(&line, (struct lw_en){-1, 50}));
    cr_expect_not(lw_line_contains(&line, (struct lw_en){150, 100}));
    cr_expect_not(lw_line_contains(&line, (struct lw_en){50, 100.1}));
    lw_line_free(&line);
}

Test(line, copy_is_deep_and_lines_own)
{
    struct lw_line line = square(), copy;
    struct lw_lines lines = {0};

    cr_assert_eq(lw_line_copy(&copy, &line), 0);
    line.p[0].e_m = 7;
    cr_expect_eq(copy.p[0].e_m, 0);
    cr_expect(copy.closed);
    for (int i = 0; i < 40; i++) {
        struct lw_line more = elbow();

        cr_assert_eq(lw_lines_take(&lines, &more), 0);
        cr_expect_null(more.p);
    }
    cr_assert_eq(lw_lines_take(&lines, &copy), 0);
    cr_expect_eq(lines.n, 41);
    cr_expect_eq(lines.line[40].n, 5);
    lw_lines_free(&lines);
    cr_expect_null(lines.line);
    lw_line_free(&line);
}

Test(line, clean_drops_repeats_and_keeps_ends)
{
    static const double ring[][2] = {{0, 0},   {0.0005, 0},      {10, 0}, {10, 0},
                                     {10, 10}, {0.0004, 0.0004}, {0, 0}};
    static const double way[][2] = {{0, 0}, {0, 0}, {5, 0}, {9.9995, 0}, {10, 0}};
    static const double dot[][2] = {{1, 1}, {1, 1}, {1, 1}};
    struct lw_line line = make(ring, 7, true);

    lw_line_clean(&line);
    cr_expect_eq(line.n, 4);
    cr_expect_eq(line.p[1].e_m, 10);
    cr_expect_eq(line.p[3].e_m, 0);
    lw_line_free(&line);
    line = make(way, 5, false);
    lw_line_clean(&line);
    cr_expect_eq(line.n, 3);
    cr_expect_eq(line.p[2].e_m, 10);
    lw_line_free(&line);
    line = make(dot, 3, true);
    lw_line_clean(&line);
    cr_expect_eq(line.n, 1);
    lw_line_free(&line);
}

Test(line, nearest_on_a_stretch)
{
    struct lw_line line = elbow();
    struct lw_near near = lw_line_nearest(&line, (struct lw_en){10, 3});

    cr_expect_float_eq(near.left_m, 3, 1e-12);
    cr_expect_float_eq(near.dist_m, 3, 1e-12);
    cr_expect_float_eq(near.along_m, 10, 1e-12);
    cr_expect_eq(near.segment, 0);
    cr_expect_not(near.past_end);
    near = lw_line_nearest(&line, (struct lw_en){34, 20});
    cr_expect_float_eq(near.left_m, -4, 1e-12);
    cr_expect_float_eq(near.along_m, 50, 1e-12);
    cr_expect_eq(near.segment, 1);
    /* Outside of the corner: 3-4-5. */
    near = lw_line_nearest(&line, (struct lw_en){33, -4});
    cr_expect_float_eq(near.left_m, -5, 1e-12);
    cr_expect_float_eq(near.along_m, 30, 1e-12);
    cr_expect_not(near.past_end);
    lw_line_free(&line);
}

Test(line, nearest_past_the_ends)
{
    struct lw_line line = elbow();
    struct lw_near near = lw_line_nearest(&line, (struct lw_en){-3, 4});

    cr_expect(near.past_end);
    cr_expect_float_eq(near.left_m, 5, 1e-12);
    cr_expect_float_eq(near.along_m, 0, 1e-12);
    near = lw_line_nearest(&line, (struct lw_en){35, 41});
    cr_expect(near.past_end);
    cr_expect_lt(near.left_m, 0);
    cr_expect_float_eq(near.along_m, 70, 1e-12);
    near = lw_line_nearest(&line, (struct lw_en){0, 5}); /* square to the end is not past it */
    cr_expect_not(near.past_end);
    cr_expect_float_eq(near.left_m, 5, 1e-12);
    lw_line_free(&line);
}

/* A needle: out east, back west 1 degree off. Beyond its tip both sides of the wedge are on the
 * right of the way; the last direction alone would call half of it left. */
Test(line, sign_at_a_sharp_vertex)
{
    double slope = tan(M_PI / 180);
    const double p[][2] = {{0, 0}, {100, 0}, {0, 100 * slope}};
    struct lw_line line = make(p, 3, false);

    for (int i = -85; i <= 85; i += 5) {
        double t = i * M_PI / 180;
        struct lw_near near = lw_line_nearest(&line, (struct lw_en){100 + 5 * cos(t), 5 * sin(t)});

        cr_expect_float_eq(near.left_m, -5, 1e-9, "at %d degrees: %g", i, near.left_m);
        cr_expect_float_eq(near.along_m, 100, 1e-9);
    }
    cr_expect_gt(lw_line_nearest(&line, (struct lw_en){50, 0.2}).left_m, 0); /* within it */
    lw_line_free(&line);
}

/* Repeated vertices have no direction; the ones beside them count. */
Test(line, sign_at_a_repeated_vertex)
{
    static const double p[][2] = {{0, 0}, {0, 0}, {10, 0}, {10, 0}, {10, 0}, {10, 10}, {10, 10}};
    struct lw_line line = make(p, 7, false);

    cr_expect_lt(lw_line_nearest(&line, (struct lw_en){12, -1}).left_m, 0);
    cr_expect_lt(lw_line_nearest(&line, (struct lw_en){10.1, -9}).left_m, 0);
    cr_expect(lw_line_nearest(&line, (struct lw_en){-1, 2}).past_end);
    cr_expect_gt(lw_line_nearest(&line, (struct lw_en){-1, 2}).left_m, 0);
    cr_expect(lw_line_nearest(&line, (struct lw_en){11, 12}).past_end);
    lw_line_free(&line);
}

Test(line, joint_of_a_ring_is_no_end)
{
    struct lw_line line = square();
    struct lw_near near = lw_line_nearest(&line, (struct lw_en){-3, -4});

    cr_expect_not(near.past_end);
    cr_expect_float_eq(near.left_m, -5, 1e-12);
    cr_expect_eq(near.along_m, 0);
    near = lw_line_nearest(&line, (struct lw_en){-4, 1e-9}); /* along counts within the length */
    cr_expect_eq(near.along_m, 0);
    near = lw_line_nearest(&line, (struct lw_en){-4, 1});
    cr_expect_float_eq(near.along_m, 399, 1e-9);
    lw_line_free(&line);
}

Test(line, nothing_near_nowhere)
{
    struct lw_line line = elbow(), none = {0};

    cr_expect(isnan(lw_line_nearest(&line, (struct lw_en){NAN, 0}).dist_m));
    cr_expect(isnan(lw_line_nearest(&none, (struct lw_en){0, 0}).dist_m));
    lw_line_free(&line);
}

static double unit(unsigned *seed)
{
    return (double)rand_r(seed) / RAND_MAX;
}

/* Against inside-or-outside by counting crossings, which knows nothing of directions. */
Test(line, side_agrees_with_containment)
{
    unsigned seed = 5;
    int sharp = 0;

    for (int k = 0; k < 200; k++) {
        struct lw_line ring = {.closed = true};
        double sum = 0;

        while (sum < 2 * M_PI - 0.05) { /* a star with spikes */
            double r = 10 + 90 * unit(&seed);

            lw_line_add(&ring, (struct lw_en){r * cos(sum), r * sin(sum)});
            sum += 0.02 + 0.2 * unit(&seed);
        }
        lw_line_add(&ring, ring.p[0]);
        for (int i = 0; i < 200; i++) {
            struct lw_en at = {240 * unit(&seed) - 120, 240 * unit(&seed) - 120};
            struct lw_near near = lw_line_nearest(&ring, at);

            if (near.dist_m < 1e-6)
                continue;
            cr_expect_eq(near.left_m > 0, lw_line_contains(&ring, at));
            sharp += near.at.e_m == ring.p[near.segment].e_m ||
                     near.at.e_m == ring.p[near.segment + 1].e_m;
        }
        lw_line_free(&ring);
    }
    cr_expect_gt(sharp, 5000); /* enough of them at vertices */
}

Test(line, index_answers_as_nearest)
{
    unsigned seed = 9;

    for (int k = 0; k < 40; k++) {
        struct lw_line line = {.closed = k % 2};
        struct lw_en at = {0, 0};
        struct lw_line_index *index;

        for (int i = 0; i < 300; i++) {
            lw_line_add(&line, at);
            if (i % 7) /* repeated vertices among them */
                at = (struct lw_en){at.e_m + 30 * unit(&seed) - 14, at.n_m + 30 * unit(&seed) - 15};
        }
        if (line.closed)
            lw_line_add(&line, line.p[0]);
        index = lw_line_index_new(&line, k % 3 ? 0.5 + 40 * unit(&seed) : 0.01);
        cr_assert_not_null(index);
        for (int i = 0; i < 1000; i++) {
            double reach = i % 10 ? 600 : 1e6;
            struct lw_en q = {reach * (unit(&seed) - 0.3), reach * (unit(&seed) - 0.5)};
            struct lw_near a, b;

            if (i % 5 == 0) /* on the line itself */
                q = line.p[(size_t)i % line.n];
            a = lw_line_nearest(&line, q);
            b = lw_line_index_nearest(index, q);
            cr_assert_eq(a.dist_m, b.dist_m);
            cr_assert_eq(a.left_m, b.left_m);
            cr_assert_eq(a.along_m, b.along_m);
            cr_assert_eq(a.segment, b.segment);
            cr_assert_eq(a.past_end, b.past_end);
        }
        cr_expect(isnan(lw_line_index_nearest(index, (struct lw_en){NAN, 0}).dist_m));
        lw_line_index_free(index);
        lw_line_free(&line);
    }
}

Test(line, index_of_a_straight_line)
{
    static const double p[][2] = {{0, 0}, {1000, 0}};
    struct lw_line line = make(p, 2, false);
    struct lw_line_index *index = lw_line_index_new(&line, 5);

    cr_expect_float_eq(lw_line_index_nearest(index, (struct lw_en){400, -70}).left_m, -70, 1e-12);
    lw_line_index_free(index);
    cr_expect_null(lw_line_index_new(&line, 0));
    line.n = 1;
    cr_expect_null(lw_line_index_new(&line, 5));
    lw_line_free(&line);
}
