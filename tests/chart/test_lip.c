/* Lips on lakes in closed form: where they lie, what they measure, what they go round. */
#include "lw_test.h"

#include <float.h>
#include <pthread.h>

#include "lip_score.h"

/* A chart whose surface is the function itself; land where it is 0 or less. It counts as made from
 * soundings: the surface says all there is. */
static struct lw_chart chart_of(double (*depth)(double e, double n), double half_m, double cell_m)
{
    struct lw_chart c = {.soundings = 1};
    int n = (int)(2 * half_m / cell_m) + 1;

    c.grid = (struct lw_grid){-half_m, -half_m, cell_m, n, n, NULL, NULL};
    c.grid.depth_m = malloc((size_t)n * (size_t)n * sizeof *c.grid.depth_m);
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++) {
            double z = depth(c.grid.e0_m + j * cell_m, c.grid.n0_m + i * cell_m);

            c.grid.depth_m[i * n + j] = z > 0 ? (float)z : NAN;
            c.area_m2 += z > 0 ? cell_m * cell_m : 0;
        }
    return c;
}

static void find(const struct lw_chart *c, struct lw_lips *lips)
{
    struct lw_error err = {""};

    cr_assert_eq(lw_lips_find(c, lips, &err), 0, "%s", err.text);
}

static void done(struct lw_chart *c, struct lw_lips *lips)
{
    lw_lips_free(lips);
    free(c->grid.depth_m);
    for (size_t i = 0; i < c->contours; i++)
        lw_line_free(&c->contour[i].line);
    free(c->contour);
}

/* By the distance past the lip: a flat at 0.02, a lip at 2.4 m whose slope goes over within a
 * logistic of 1.4 m to 0.24, and back to 0.02 at 8 m through one of 3 m. */
static double profile(double past)
{
    return 2.4 + 0.02 * past +
           0.22 * (1.4 * analytic_soft(past / 1.4) - 3 * analytic_soft((past - 25) / 3));
}

static double round_lake(double e, double n)
{
    return profile(180 - hypot(e, n));
}

Test(lip, numbers_of_a_round_lake)
{
    struct lw_chart c = chart_of(round_lake, 320, 2);
    struct lw_lips lips;
    const struct lw_lip *lip;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    lip = &lips.lip[0];
    cr_assert(lip->closed);
    cr_assert_eq(lip->kind, LW_LIP_SHORE);
    cr_assert_not(lip->inferred);
    cr_assert_float_eq(lip->length_m, 2 * M_PI * 180, 5, "%g", lip->length_m);
    for (size_t k = 0; k < lip->n; k++) {
        cr_assert_float_eq(hypot(lip->p[k].at.e_m, lip->p[k].at.n_m), 180, 0.5);
        /* the deep lies inside, so the lip draws back from it all round */
        cr_assert_float_eq(lip->p[k].bend_per_m, -1 / 180.0, 6e-4, "%g", lip->p[k].bend_per_m);
    }
    cr_assert_float_eq(lip->depth_m, profile(0), 0.1, "%g", lip->depth_m);
    cr_assert_float_eq(lip->slope_top, 0.02, 0.005, "%g", lip->slope_top);
    cr_assert_float_eq(lip->slope_break, 0.24, 0.01, "%g", lip->slope_break);
    /* slope half gone at 25 m: 2.4 + 0.5 + 0.22 * (25 - 3 ln 2) */
    cr_assert_float_eq(lip->depth_m + lip->drop_m, profile(25), 0.4, "%g", lip->drop_m);
    /* a logistic goes from 0.2 to 0.8 within 2 ln 4 of its scale */
    cr_assert_float_eq(lip->sharpness_m, 1.4 * 2 * log(4), 1.6, "%g", lip->sharpness_m);
    cr_assert(lip->sigma_m > 0.1 && lip->sigma_m < 3, "%g", lip->sigma_m);
    cr_assert_eq(lips.places, 0, "a ring is no inside turn all round");
    done(&c, &lips);
}

Test(lip, deep_side_is_left)
{
    struct lw_chart c = chart_of(round_lake, 320, 4);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    for (size_t k = 0; k + 1 < lips.lip[0].n; k++) {
        struct lw_en a = lips.lip[0].p[k].at, b = lips.lip[0].p[k + 1].at;

        cr_assert_gt(a.e_m * (b.n_m - a.n_m) - a.n_m * (b.e_m - a.e_m), 0, "counter-clockwise");
    }
    done(&c, &lips);
}

#define HUMP_R 40.0
static double hump(double e, double n) /* in a lake 12 m deep with steep walls */
{
    double z = profile(hypot(e, n) - HUMP_R), wall = 0.8 * (300 - hypot(e, n));

    return fmin(z, wall);
}

Test(lip, round_hump_is_no_point)
{
    struct lw_chart c = chart_of(hump, 320, 2);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    cr_assert_eq(lips.lip[0].kind, LW_LIP_HUMP);
    cr_assert(lips.lip[0].closed);
    for (size_t k = 0; k < lips.lip[0].n; k++) {
        const struct lw_lip_point *p = &lips.lip[0].p[k];

        cr_assert_float_eq(hypot(p->at.e_m, p->at.n_m), HUMP_R, 0.6);
        cr_assert_float_eq(p->bend_per_m, 1 / HUMP_R, 4e-3, "%g", p->bend_per_m);
    }
    cr_assert_eq(lips.places, 0);
    done(&c, &lips);
}

static double island(double e, double n) /* the flat rises out of the water in the middle */
{
    double r = hypot(e, n);

    return fmin(profile(r - 120) - 1.2 * (r < 60), 0.8 * (300 - r)) * (r > 15);
}

Test(lip, an_island_has_a_shore)
{
    struct lw_chart c = chart_of(island, 320, 2);
    struct lw_lips lips;
    bool found = false;

    find(&c, &lips);
    for (size_t l = 0; l < lips.lips; l++)
        if (fabs(hypot(lips.lip[l].p[0].at.e_m, lips.lip[l].p[0].at.n_m) - 120) < 2) {
            cr_assert_eq(lips.lip[l].kind, LW_LIP_SHORE);
            cr_assert(lips.lip[l].closed);
            found = true;
        }
    cr_assert(found);
    done(&c, &lips);
}

static double two_breaks(double e, double n) /* the second 80 m past the first, 0.2 steep too */
{
    double past = 200 - hypot(e, n);

    return profile(past) +
           0.2 * (1.4 * analytic_soft((past - 80) / 1.4) - 3 * analytic_soft((past - 110) / 3));
}

Test(lip, second_break_is_another)
{
    struct lw_chart c = chart_of(two_breaks, 340, 2);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 2);
    cr_assert_eq(lips.lip[0].kind, LW_LIP_SHORE);
    cr_assert_float_eq(hypot(lips.lip[0].p[0].at.e_m, lips.lip[0].p[0].at.n_m), 200, 1);
    cr_assert_eq(lips.lip[1].kind, LW_LIP_OTHER);
    cr_assert_float_eq(hypot(lips.lip[1].p[0].at.e_m, lips.lip[1].p[0].at.n_m), 120, 1);
    done(&c, &lips);
}

static double slope_only(double e, double n)
{
    return 0.08 * (200 - hypot(e, n));
}

static double steep_above(double e, double n) /* 0.2, and 0.3 below 8 m: no flat, so no lip */
{
    double past = 160 - hypot(e, n);

    return 8 + 0.2 * past + 0.1 * 1.4 * analytic_soft(past / 1.4);
}

Test(lip, a_steep_slope_that_steepens_has_none)
{
    struct lw_chart c = chart_of(steep_above, 220, 2);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 0);
    done(&c, &lips);
}

Test(lip, plain_slope_has_none)
{
    struct lw_chart c = chart_of(slope_only, 220, 2);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 0);
    cr_assert_eq(lips.places, 0);
    done(&c, &lips);
}

static double pond(double e, double n) /* 28 m across, everything ten times smaller */
{
    return profile((9 - hypot(e, n)) * 10) / 5;
}

Test(lip, a_pond_in_small_cells)
{
    struct lw_chart c = chart_of(pond, 18, 0.25);
    struct lw_lips lips;

    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    cr_assert(lips.lip[0].closed);
    for (size_t k = 0; k < lips.lip[0].n; k++)
        cr_assert_float_eq(hypot(lips.lip[0].p[k].at.e_m, lips.lip[0].p[k].at.n_m), 9, 0.6);
    done(&c, &lips);
}

/* The lake's own bottom on cells of 4 m, without the walls' part. */
static struct lw_chart window_of(const struct analytic *a, double cell_m)
{
    struct lw_chart c = {.soundings = 1, .area_m2 = ANALYTIC_WIDE * ANALYTIC_HIGH};

    c.grid = (struct lw_grid){
        0,    0,   cell_m, (int)(ANALYTIC_WIDE / cell_m) + 1, (int)(ANALYTIC_HIGH / cell_m) + 1,
        NULL, NULL};
    c.grid.depth_m = malloc((size_t)c.grid.nx * (size_t)c.grid.ny * sizeof *c.grid.depth_m);
    for (int i = 0; i < c.grid.ny; i++)
        for (int j = 0; j < c.grid.nx; j++) {
            double z = analytic_depth(a, j * cell_m, i * cell_m);

            c.grid.depth_m[i * c.grid.nx + j] = z > 0 ? (float)z : NAN;
        }
    return c;
}

static void judged(const struct analytic *a, const char *name)
{
    struct lw_chart c = window_of(a, 4);
    struct lw_lips lips;
    struct lip_score s;

    find(&c, &lips);
    s = lip_judge(a, &lips, 0);
    cr_log_info("%s: off %g m, 95 %% %g m", name, s.median_m, s.p95_m);
    cr_assert_eq(s.false_lines, 0, "%s", name);
    if (a->null) {
        cr_assert_eq(s.lines, 0);
    } else {
        cr_assert_leq(s.median_m, 0.6, "%s %g", name, s.median_m);
        cr_assert_leq(s.p95_m, 2, "%s %g", name, s.p95_m);
        cr_assert_geq(s.found_5, 0.97, "%s %g", name, s.found_5);
        cr_assert_geq(s.covered, 0.9, "%s %g", name, s.covered);
    }
    done(&c, &lips);
}

Test(lip, lakes_in_closed_form)
{
    struct analytic easy = analytic_easy(), hard = analytic_hard(), null = analytic_null();

    judged(&easy, "easy");
    judged(&hard, "hard");
    judged(&null, "null");
}

/* A bell of height A and width m bends at its top with radius m^2 / 2A, and turns between its
 * inflections by twice atan(A / m sqrt(2 / e)); the shore's long swing is left aside. */
Test(lip, cape_and_cove)
{
    struct analytic a = analytic_easy();
    struct lw_chart c;
    struct lw_lips lips;
    bool cape = false, cove = false;

    a.wave = 0;
    a.hump_top = 20; /* none */
    c = window_of(&a, 4);
    find(&c, &lips);
    for (size_t k = 0; k < lips.places; k++) {
        const struct lw_lip_place *p = &lips.place[k];
        double reach = p->inside_turn ? -a.cove : a.cape;
        double wide = p->inside_turn ? a.cove_m : a.cape_m;
        double turn = 2 * atan(fabs(reach) / wide * sqrt(2 / M_E)) * 180 / M_PI;
        bool *it = p->inside_turn ? &cove : &cape;

        if (fabs(p->at.e_m - (p->inside_turn ? a.cove_x : a.cape_x)) > 30)
            continue; /* the shoulders of the cape draw back, and those of the cove jut out */
        cr_assert_float_eq(p->at.e_m, p->inside_turn ? a.cove_x : a.cape_x, 6);
        cr_assert_float_eq(p->radius_m, wide * wide / (2 * fabs(reach)), 12, "%g", p->radius_m);
        cr_assert_float_eq(p->turn_deg, turn, 15, "%g of %g", p->turn_deg, turn);
        cr_assert(p->length_m > 50 && p->length_m < 130, "%g", p->length_m);
        *it = true;
    }
    cr_assert(cape);
    cr_assert(cove);
    done(&c, &lips);
}

static size_t rings(struct lw_contour **out, double radius_of_lip, double step_m)
{
    size_t n = 0;

    *out = calloc(32, sizeof **out);
    for (double z = 0; z < 9 && n < 32; z += step_m) {
        double lo = -200, hi = 200;
        struct lw_contour *c = &(*out)[n++];

        c->depth_m = z;
        for (int k = 0; k < 60; k++) {
            double mid = (lo + hi) / 2;

            *(profile(mid) < z ? &lo : &hi) = mid;
        }
        for (int k = 0; k <= 240; k++)
            lw_line_add(&c->line,
                        (struct lw_en){(radius_of_lip - lo) * cos((k % 240) * M_PI / 120),
                                       (radius_of_lip - lo) * sin((k % 240) * M_PI / 120)});
        c->line.closed = true;
    }
    return n;
}

Test(lip, between_5_ft_contours)
{
    struct lw_chart c = {.area_m2 = M_PI * 300 * 300};
    struct lw_surface_in in = {.beta_m2 = NAN, .ell_m = NAN};
    struct lw_lips lips;
    struct lw_error err = {""};

    c.contours = rings(&c.contour, 180, 1.524);
    c.grid = (struct lw_grid){-310.3, -310.7, 2, 312, 312, NULL, NULL};
    in.contour = c.contour;
    in.contours = c.contours;
    cr_assert_eq(lw_surface_solve(&in, &c.grid, &err), 0, "%s", err.text);
    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    for (size_t k = 0; k < lips.lip[0].n; k++) {
        const struct lw_lip_point *p = &lips.lip[0].p[k];
        double off = fabs(hypot(p->at.e_m, p->at.n_m) - 180);

        cr_assert_leq(off, 2, "%g", off);
        cr_assert_leq(off, 2 * p->sigma_m);
        /* the contours about it, at 1.524 and 3.048 m, lie 46 m apart; those below it 6 m */
        cr_assert(p->sigma_m >= 2 && p->sigma_m < 6, "%g", p->sigma_m);
    }
    cr_assert_not(lips.lip[0].inferred);
    free(c.grid.sigma_m);
    done(&c, &lips);
}

/* The map's own 2 m, and 0.4 of a cell's sigma over the change of slope. */
Test(lip, sigma_between_1_ft_contours)
{
    struct lw_chart c = chart_of(round_lake, 320, 2);
    size_t cells = (size_t)c.grid.nx * (size_t)c.grid.ny;
    struct lw_lips lips;

    c.soundings = 0;
    c.contours = rings(&c.contour, 180, 0.3048);
    c.grid.sigma_m = malloc(cells * sizeof *c.grid.sigma_m);
    for (size_t k = 0; k < cells; k++)
        c.grid.sigma_m[k] = 1;
    find(&c, &lips);
    cr_assert_eq(lips.lips, 1);
    cr_assert_not(lips.lip[0].inferred);
    cr_assert_float_eq(lips.lip[0].sigma_m, hypot(2, 0.4 * 1 / 0.22), 0.2, "%g",
                       lips.lip[0].sigma_m);
    free(c.grid.sigma_m);
    done(&c, &lips);
}

Test(lip, odd_grids)
{
    static float depth[64];
    static const int shape[][2] = {{0, 0}, {1, 1}, {2, 2}, {1, 8}, {8, 1}, {2, 9}, {3, 3}, {8, 8}};
    struct lw_lips lips;

    for (size_t k = 0; k < sizeof shape / sizeof *shape; k++)
        for (int wet = 0; wet < 3; wet++) {
            struct lw_chart c = {.grid = {0, 0, 2, shape[k][0], shape[k][1], depth, NULL},
                                 .area_m2 = 0};

            for (int i = 0; i < 64; i++)
                depth[i] = wet == 0 ? NAN : wet == 1 ? (float)(i % 7) : i % 3 ? NAN : 4;
            find(&c, &lips);
            cr_assert_eq(lips.lips, 0);
            lw_lips_free(&lips);
        }
}

static void *again(void *chart)
{
    struct lw_lips *lips = calloc(1, sizeof *lips);

    return lw_lips_find(chart, lips, NULL) ? NULL : lips;
}

Test(lip, the_same_each_time_and_in_each_thread)
{
    struct analytic a = analytic_hard();
    struct lw_chart c = window_of(&a, 4);
    struct lw_lips first, *other[2];
    pthread_t thread[2];

    find(&c, &first);
    cr_assert_gt(first.lips, 0);
    for (int t = 0; t < 2; t++)
        cr_assert_eq(pthread_create(&thread[t], NULL, again, &c), 0);
    for (int t = 0; t < 2; t++) {
        void *result;

        pthread_join(thread[t], &result);
        other[t] = result;
        cr_assert_not_null(other[t]);
        cr_assert_eq(other[t]->lips, first.lips);
        cr_assert_eq(other[t]->places, first.places);
        for (size_t l = 0; l < first.lips; l++) {
            cr_assert_eq(other[t]->lip[l].n, first.lip[l].n);
            for (size_t k = 0; k < first.lip[l].n; k++)
                cr_assert(other[t]->lip[l].p[k].at.e_m == first.lip[l].p[k].at.e_m &&
                          other[t]->lip[l].p[k].at.n_m == first.lip[l].p[k].at.n_m);
        }
        lw_lips_free(other[t]);
        free(other[t]);
    }
    done(&c, &first);
}
