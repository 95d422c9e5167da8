/* The surface of lakes in closed form (chart/analytic.h) that nothing was tuned on: errors, how
 * sure it says it is, and soundings that know better than contours. */
#include "lw_test.h"

#include "chart/analytic.h"

#define CELL_M 4.0

static struct lw_grid window(void)
{
    return (struct lw_grid){CELL_M / 2,
                            CELL_M / 2,
                            CELL_M,
                            (int)(ANALYTIC_WIDE / CELL_M),
                            (int)(ANALYTIC_HIGH / CELL_M),
                            NULL,
                            NULL};
}

struct found {
    double rms_m, within, sigma_m; /* within: share of cells whose error is below two sigma */
};

static struct found found_in(const struct analytic *lake, const struct lw_grid *grid)
{
    struct found found = {0};
    size_t n = 0;

    for (int i = 4; i < grid->ny - 4; i++)
        for (int j = 4; j < grid->nx - 4; j++) {
            size_t k = (size_t)i * (size_t)grid->nx + (size_t)j;
            double truth = analytic_depth(lake, grid->e0_m + j * CELL_M, grid->n0_m + i * CELL_M);
            double off = grid->depth_m[k] - truth;

            if (!(truth > 0.02))
                continue;
            cr_assert(isfinite(grid->depth_m[k]), "water at %d %d", i, j);
            cr_assert(grid->sigma_m[k] > 0);
            n++;
            found.rms_m += off * off;
            found.sigma_m += grid->sigma_m[k];
            found.within += fabs(off) < 2 * grid->sigma_m[k];
        }
    found.rms_m = sqrt(found.rms_m / (double)n);
    found.sigma_m /= (double)n;
    found.within /= (double)n;
    return found;
}

/* step_ft 0: the shore and soundings */
static struct found solve(uint64_t seed, double step_ft, int threads, struct lw_grid *grid)
{
    struct analytic lake = analytic_random(seed);
    struct lw_surface_in in = {.beta_m2 = NAN, .ell_m = NAN, .threads = threads};
    struct lw_contour *contour;
    struct lw_sounding *sounding = NULL;
    struct lw_error err = {""};
    struct found found;
    size_t n, used;

    contour = analytic_contours(&lake, step_ft > 0 ? step_ft : 100, 5,
                                step_ft > 2 ? lake.wide_jitter : lake.line_jitter, 1, &n);
    used = n;
    in.contour = contour;
    in.contours = used;
    if (!(step_ft > 0))
        in.sounding = sounding = analytic_soundings(&lake, 1, &in.soundings);
    *grid = window();
    cr_assert_eq(lw_surface_solve(&in, grid, &err), 0, "%s", err.text);
    found = found_in(&lake, grid);
    analytic_contours_free(contour, n);
    free(sounding);
    return found;
}

static void drop(struct lw_grid *grid)
{
    free(grid->depth_m);
    free(grid->sigma_m);
}

/* Two sigma hold in at least 90 % of the cells, and sigma is no excuse: on average less than so
 * many metres. Seeds that nothing was tuned on. */
Test(surface_analytic, sigma_is_honest)
{
    static const struct {
        double step_ft, rms_m, sigma_m;
    } input[] = {{1, 0.05, 0.12}, {5, 0.29, 0.35}, {0, 0.06, 0.1}};

    for (uint64_t seed = 11; seed <= 12; seed++)
        for (size_t k = 0; k < sizeof input / sizeof *input; k++) {
            struct lw_grid grid;
            struct found found = solve(seed, input[k].step_ft, 0, &grid);

            cr_log_info("lake %d, %g ft: rms %.3f m, two sigma hold in %.1f %%, mean sigma %.3f m",
                        (int)seed, input[k].step_ft, found.rms_m, 100 * found.within,
                        found.sigma_m);
            cr_assert_lt(found.rms_m, input[k].rms_m, "lake %d, %g ft: %g", (int)seed,
                         input[k].step_ft, found.rms_m);
            cr_assert_gt(found.within, 0.9, "lake %d, %g ft: %g", (int)seed, input[k].step_ft,
                         found.within);
            cr_assert_lt(found.sigma_m, input[k].sigma_m, "lake %d, %g ft: %g", (int)seed,
                         input[k].step_ft, found.sigma_m);
            drop(&grid);
        }
}

/* A person expects the 10-ft depth to lie on the mapped 10-ft line, wiggles and all. */
Test(surface_analytic, wide_contours_are_met)
{
    struct analytic lake = analytic_random(11);
    struct lw_grid grid = window();
    struct lw_chart chart = {0};
    struct lw_surface_in in = {.beta_m2 = NAN, .ell_m = NAN};
    struct lw_error err = {""};
    double sum = 0;
    size_t n, points = 0;
    struct lw_contour *contour = analytic_contours(&lake, 5, 5, 2.0, 1, &n);

    in.contour = contour;
    in.contours = n;
    cr_assert_eq(lw_surface_solve(&in, &grid, &err), 0, "%s", err.text);
    chart.grid = grid;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < contour[i].line.n; k++) {
            double off = lw_chart_depth(&chart, contour[i].line.p[k]) - contour[i].depth_m;

            if (isnan(off)) /* outside the window, or within a cell of the shore */
                continue;
            sum += off * off;
            points++;
        }
    cr_log_info("on 5-ft contours: rms %.3f m at %zu points", sqrt(sum / (double)points), points);
    cr_assert_gt(points, 1000);
    cr_assert_lt(sqrt(sum / (double)points), 0.06);
    analytic_contours_free(contour, n);
    drop(&grid);
}

Test(surface_analytic, threads_do_not_matter)
{
    struct lw_grid one, two;

    solve(13, 5, 1, &one);
    solve(13, 5, 2, &two);
    for (int k = 0; k < one.nx * one.ny; k++)
        cr_assert(isnan(one.depth_m[k]) ? isnan(two.depth_m[k])
                                        : fabsf(one.depth_m[k] - two.depth_m[k]) < 1e-6f &&
                                              fabsf(one.sigma_m[k] - two.sigma_m[k]) < 1e-6f);
    drop(&one);
    drop(&two);
}

/* ---- soundings against contours ---- */

static struct lw_contour circle(double radius, double depth_m)
{
    struct lw_contour c = {.depth_m = depth_m};

    for (int k = 0; k <= 120; k++)
        cr_assert_eq(lw_line_add(&c.line, (struct lw_en){radius * cos((k % 120) * M_PI / 60),
                                                         radius * sin((k % 120) * M_PI / 60)}),
                     0);
    c.line.closed = true;
    return c;
}

static double depth_at(const struct lw_grid *grid, double e_m, double n_m)
{
    struct lw_chart chart = {.grid = *grid};

    return lw_chart_depth(&chart, (struct lw_en){e_m, n_m});
}

static void solve_round(const struct lw_sounding *sounding, size_t soundings, size_t rings,
                        struct lw_grid *grid)
{
    struct lw_contour c[] = {circle(150, 0), circle(120, 2), circle(90, 4)};
    struct lw_surface_in in = {.contour = c,
                               .contours = rings,
                               .sounding = sounding,
                               .soundings = soundings,
                               .beta_m2 = NAN,
                               .ell_m = NAN};
    struct lw_error err = {""};

    *grid = (struct lw_grid){-159, -159, 2, 160, 160, NULL, NULL};
    cr_assert_eq(lw_surface_solve(&in, grid, &err), 0, "%s", err.text);
    for (int k = 0; k < 3; k++)
        lw_line_free(&c[k].line);
}

/* One more step than the last contour is only a guess: a deep hole that was sounded is deep. */
Test(surface_analytic, a_sounding_below_the_last_contour)
{
    struct lw_sounding hole[25];
    struct lw_grid grid;

    for (int k = 0; k < 25; k++)
        hole[k] = (struct lw_sounding){{10 * (k % 5) - 20, 10 * (k / 5) - 20}, 11, 0.05};
    solve_round(hole, 25, 3, &grid);
    cr_assert_float_eq(depth_at(&grid, 0, 0), 11, 0.15, "%g", depth_at(&grid, 0, 0));
    cr_assert_lt(depth_at(&grid, 100, 0), 4.001, "and beyond the contour the contour holds");
    drop(&grid);
}

/* Between the 2 m and 4 m contours 5 m were sounded: the map is wrong there, and only there. */
Test(surface_analytic, a_sounding_against_its_band)
{
    struct lw_sounding spot[9];
    struct lw_grid grid;

    for (int k = 0; k < 9; k++)
        spot[k] = (struct lw_sounding){{102 + 3 * (k % 3), 3 * (k / 3) - 3}, 5, 0.05};
    solve_round(spot, 9, 3, &grid);
    cr_assert_gt(depth_at(&grid, 105, 0), 4.4, "%g", depth_at(&grid, 105, 0));
    for (double turn = 0.5; turn < 6; turn += 0.25)
        cr_assert_leq(depth_at(&grid, 105 * cos(turn), 105 * sin(turn)), 4.001);
    drop(&grid);
}

/* The shore and soundings alone. */
Test(surface_analytic, a_lake_without_contours)
{
    struct lw_sounding sounding[700];
    struct lw_grid grid;
    size_t n = 0;

    for (int i = -12; i <= 12; i++)
        for (int j = -12; j <= 12; j++)
            if (hypot(i, j) < 13.5)
                sounding[n++] = (struct lw_sounding){
                    {10.0 * j, 10.0 * i}, 8 * (1 - hypot(i, j) / 15), NAN};
    solve_round(sounding, n, 1, &grid);
    cr_assert_float_eq(depth_at(&grid, 75, 5), 8 * (1 - hypot(75, 5) / 150), 0.1);
    cr_assert_float_eq(depth_at(&grid, 0, -142), 8 * (1 - 142.0 / 150), 0.1);
    cr_assert(isnan(depth_at(&grid, 156, 0)));
    drop(&grid);
}
