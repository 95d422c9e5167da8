/* The surface of a lake whose depth is known in closed form, from contours computed from it. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/chart/band.h"
#include "lipwalk/chart/surface.h"

static double soft_plus(double u)
{
    return u > 30 ? u : log1p(exp(u));
}

/* A round lake by the distance from its shore: a flat at a slope of 0.03 to 2.4 m at 80 m, a
 * lip 1.4 m wide, a drop at 0.235 to 8 m, a slow taper toward 12 m. */
static double by_distance(double d)
{
    double z = 0.03 * d +
               0.235 * (1.4 * soft_plus((d - 80) / 1.4) - 5 * soft_plus((d - 103.8) / 5));

    return 12 - soft_plus(12 - z);
}
#define RADIUS 300.0

static double distance_of(double depth)
{
    double lo = 0, hi = RADIUS;

    for (int k = 0; k < 60; k++) {
        double mid = (lo + hi) / 2;

        if (by_distance(mid) < depth)
            lo = mid;
        else
            hi = mid;
    }
    return lo;
}

static struct lw_contour circle(double e, double n, double radius, double depth)
{
    struct lw_contour c = {.depth_m = depth};

    for (int k = 0; k <= 360; k++) {
        double a = (k % 360) * M_PI / 180;

        cr_assert_eq(lw_line_add(&c.line, (struct lw_en){e + radius * cos(a), n + radius * sin(a)}),
                     0);
    }
    c.line.closed = true;
    return c;
}

static struct lw_grid grid_about(double half, double cell)
{
    int n = (int)(2 * half / cell) + 1;

    /* No cell's centre on a contour's vertex. */
    return (struct lw_grid){
        .e0_m = 0.37 - half, .n0_m = 0.61 - half, .cell_m = cell, .nx = n, .ny = n};
}

static double depth_at(const struct lw_grid *g, double e, double n)
{
    struct lw_chart c = {.grid = *g};

    return lw_chart_depth(&c, (struct lw_en){e, n});
}

static size_t round_lake(struct lw_contour *c, double step)
{
    size_t n = 0;

    for (int k = 0; k * step < by_distance(RADIUS) - 0.1; k++)
        c[n++] = circle(0, 0, RADIUS - distance_of(k * step), k * step);
    return n;
}

static void free_all(struct lw_contour *c, size_t n, struct lw_grid *g)
{
    for (size_t i = 0; i < n; i++)
        lw_line_free(&c[i].line);
    free(g->depth_m);
    free(g->sigma_m);
}

/* Overall and about the lip: root mean square against the truth. */
static void errors(const struct lw_grid *g, double *overall, double *lip)
{
    double sum = 0, sum_lip = 0;
    int n = 0, n_lip = 0;

    for (int i = 0; i < g->ny; i++)
        for (int j = 0; j < g->nx; j++) {
            double r = hypot(g->e0_m + j * g->cell_m, g->n0_m + i * g->cell_m), d = RADIUS - r;
            double z = g->depth_m[i * g->nx + j], off;

            if (isnan(z) || d <= 0) {
                cr_assert(isnan(z), "land has no depth");
                cr_assert_lt(d, 0.1, "water has one");
                continue;
            }
            off = z - by_distance(d);
            sum += off * off;
            n++;
            if (fabs(d - 80) < 10) {
                sum_lip += off * off;
                n_lip++;
            }
        }
    *overall = sqrt(sum / n);
    *lip = sqrt(sum_lip / n_lip);
}

static void solve(struct lw_contour *c, size_t n, struct lw_grid *g)
{
    struct lw_surface_in in = {.contour = c, .contours = n, .beta_m2 = NAN, .ell_m = NAN};
    struct lw_error err = {""};

    cr_assert_eq(lw_surface_solve(&in, g, &err), 0, "%s", err.text);
}

Test(surface, round_lake_from_1_ft)
{
    struct lw_contour c[64];
    size_t n = round_lake(c, 0.3048);
    struct lw_grid g = grid_about(310, 2);
    double overall, lip;

    solve(c, n, &g);
    errors(&g, &overall, &lip);
    cr_log_info("1 ft contours: rms %.3f m, about the lip %.3f m", overall, lip);
    cr_assert_lt(overall, 0.05, "%g", overall);
    cr_assert_lt(lip, 0.02, "%g", lip);
    free_all(c, n, &g);
}

Test(surface, round_lake_from_5_ft)
{
    struct lw_contour c[16];
    size_t n = round_lake(c, 1.524);
    struct lw_grid g = grid_about(310, 2);
    double overall, lip, sum = 0;
    int points = 0;

    solve(c, n, &g);
    errors(&g, &overall, &lip);
    cr_log_info("5 ft contours: rms %.3f m, about the lip %.3f m", overall, lip);
    cr_assert_lt(overall, 0.35, "%g", overall);
    cr_assert_lt(lip, 0.12, "%g", lip);
    /* On the mapped contours themselves. */
    for (size_t i = 1; i < n; i++)
        for (size_t k = 0; k + 1 < c[i].line.n; k++, points++) {
            double off = depth_at(&g, c[i].line.p[k].e_m, c[i].line.p[k].n_m) - c[i].depth_m;

            sum += off * off;
        }
    cr_log_info("on the contours: rms %.3f m", sqrt(sum / points));
    cr_assert_lt(sqrt(sum / points), 0.1);
    free_all(c, n, &g);
}

Test(surface, every_cell_lies_between_its_contours)
{
    struct lw_contour c[16];
    size_t n = round_lake(c, 1.524);
    struct lw_grid g = grid_about(310, 2);

    solve(c, n, &g);
    for (int i = 0; i < g.ny; i++)
        for (int j = 0; j < g.nx; j++) {
            struct lw_en p = {g.e0_m + j * g.cell_m, g.n0_m + i * g.cell_m};
            double z = g.depth_m[i * g.nx + j];

            if (isnan(z))
                continue;
            for (size_t k = 0; k < n; k++) {
                if (lw_line_contains(&c[k].line, p))
                    cr_assert_geq(z, c[k].depth_m - 1e-5);
                else
                    cr_assert_leq(z, c[k].depth_m + 1e-5);
            }
        }
    free_all(c, n, &g);
}

/* Areas without holes: a shoal and an island lie on deeper areas, and the innermost counts. */
Test(surface, innermost_area_counts)
{
    struct lw_contour c[] = {circle(0, 0, 200, 0),    circle(0, 0, 150, 3), circle(0, 0, 120, 6),
                             circle(40, 0, 40, 3),    circle(40, 0, 15, 0), circle(-60, 0, 30, 9),
                             circle(-60, -60, 20, 3), circle(0, 80, 20, 6)};
    struct lw_grid g = grid_about(210, 2);
    double z;

    solve(c, 8, &g);
    cr_assert(isnan(depth_at(&g, 40, 0)), "island");
    cr_assert(isnan(depth_at(&g, 205, 0)), "outside");
    z = depth_at(&g, 64, 0); /* on the shoal, off the island */
    cr_assert(z >= 0 && z <= 3, "%g", z);
    z = depth_at(&g, -60, 0); /* in the hole */
    cr_assert(z >= 9 && z < 12, "%g", z);
    z = depth_at(&g, -60, -60); /* a shoal without more: shallower than its ring */
    cr_assert(z > 0 && z <= 3, "%g", z);
    z = depth_at(&g, 0, -100); /* in the 6 m area, beside all that lies on it */
    cr_assert(z > 3 && z <= 9, "%g", z);
    z = depth_at(&g, 0, 170);
    cr_assert(z >= 0 && z <= 3, "%g", z);
    free_all(c, 8, &g);
}

Test(surface, pond_on_an_island_is_water)
{
    struct lw_contour c[] = {circle(0, 0, 200, 0), circle(0, 0, 150, 3), circle(0, 0, 80, 0),
                             circle(0, 0, 50, 0), circle(0, 0, 30, 2)};
    struct lw_grid g = grid_about(210, 2);
    struct lw_bands bands;
    struct lw_error err = {""};
    double z;

    solve(c, 5, &g);
    cr_assert(isnan(depth_at(&g, 65, 0)), "the island about the pond");
    z = depth_at(&g, 40, 0); /* between the pond's shore and its 2 m */
    cr_assert(z >= 0 && z <= 2, "%g", z);
    cr_assert_eq(lw_bands_make(c, 5, &g, &bands, &err), 0, "%s", err.text);
    cr_assert_float_eq(lw_bands_area(&bands), M_PI * (200 * 200 - 80 * 80 + 50 * 50), 50);
    lw_bands_free(&bands);
    free_all(c, 5, &g);
}

Test(surface, nothing_closed_is_refused)
{
    struct lw_contour c = circle(0, 0, 100, 3);
    struct lw_surface_in in = {.contour = &c, .contours = 1, .beta_m2 = NAN, .ell_m = NAN};
    struct lw_grid g = grid_about(110, 2);
    struct lw_error err = {""};

    c.line.n -= 40;
    c.line.closed = false;
    cr_assert_eq(lw_surface_solve(&in, &g, &err), -1);
    cr_assert_not_null(strstr(err.text, "closes"));
    cr_assert_null(g.depth_m);
    lw_line_free(&c.line);
}

/* A floor at 18 m with a shoal's ring of 15 m on it and no contour between them: what the rings say
 * is 18 m or more inside the outer one, but for the slope of the shoal. The spline alone reads less
 * than 17.5 m over a third of the floor. */
Test(surface, small_shoal_does_not_lift_the_floor)
{
    struct lw_contour c[] = {circle(0, 0, 300, 0), circle(0, 0, 280, 15), circle(0, 0, 260, 18),
                             circle(0, 0, 15, 15)};
    struct lw_grid g = grid_about(310, 2);

    solve(c, 4, &g);
    cr_assert_lt(depth_at(&g, 0, 0), 15.3);
    cr_assert_float_eq(depth_at(&g, 0, 16), 15, 0.2);
    for (int k = 0; k < 360; k += 10) {
        double e = cos(k * M_PI / 180), n = sin(k * M_PI / 180), before = 0;

        for (double r = 20; r < 130; r += 10) {
            double z = depth_at(&g, r * e, r * n);

            cr_assert_geq(z, before - 0.05, "%g m off: %g after %g", r, z, before);
            before = z;
        }
        for (double r = 140; r < 255; r += 10)
            cr_assert_geq(depth_at(&g, r * e, r * n), 18 - 1e-4, "%g m off", r);
    }
    free_all(c, 4, &g);
}

/* At 0.1 m the line lies 3.3 m from the shore, in part between a cell of water and one of land. */
Test(surface, contour_close_to_the_shore_is_whole)
{
    struct lw_contour c[16];
    struct lw_chart chart = {.contour = c, .contours = round_lake(c, 1.524)};
    struct lw_lines lines;
    struct lw_error err = {""};

    chart.grid = grid_about(310, 3);
    solve(c, chart.contours, &chart.grid);
    cr_assert_eq(lw_chart_contour(&chart, 0.1, &lines, &err), 0, "%s", err.text);
    cr_assert_eq(lines.n, 1, "%zu lines", lines.n);
    cr_assert(lines.line[0].closed);
    cr_assert_gt(lw_line_area(&lines.line[0]), 0, "the deep side lies left");
    for (size_t k = 0; k < lines.line[0].n; k++) {
        struct lw_en p = lines.line[0].p[k];

        cr_assert_float_eq(RADIUS - hypot(p.e_m, p.n_m), distance_of(0.1), 3, "a cell at most");
    }
    lw_lines_free(&lines);
    /* Without the shore nothing is known of what is shallower than the outermost contour. */
    chart.contour = c + 1;
    chart.contours--;
    free(chart.grid.depth_m);
    free(chart.grid.sigma_m);
    chart.grid = grid_about(310, 3);
    solve(chart.contour, chart.contours, &chart.grid);
    cr_assert_eq(lw_chart_contour(&chart, 0.1, &lines, &err), 0, "%s", err.text);
    cr_assert_eq(lines.n, 0, "%zu lines", lines.n);
    free_all(c, chart.contours + 1, &chart.grid);
}
