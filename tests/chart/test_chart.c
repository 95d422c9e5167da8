/* What a chart says of an edge's uncertainty when its surface has one. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/chart/chart.h"

static float depth[50 * 50], sigma[50 * 50];

/* A plane that falls toward the east, flat in its eastern half, land in the west. */
static struct lw_chart plane(double slope)
{
    struct lw_chart c = {
        .frame = {{46, -89.7}},
        .grid = {.cell_m = 2, .nx = 50, .ny = 50, .depth_m = depth, .sigma_m = sigma}};

    for (int i = 0; i < 50; i++)
        for (int j = 0; j < 50; j++) {
            depth[i * 50 + j] = j < 5 ? NAN : (float)(1 + slope * 2 * fmin(j, 25));
            sigma[i * 50 + j] = j < 5 ? NAN : 0.1f;
        }
    return c;
}

Test(chart, edge_sigma_is_that_of_depth_over_the_slope)
{
    struct lw_chart c = plane(0.02);
    struct lw_en on_the_slope = {31, 40}, at_the_land = {10.5, 40}, on_the_flat = {70, 40};

    /* 0.1 m over a slope of 0.02 is 5 m, and the map's own 2 m */
    cr_assert_float_eq(lw_chart_edge_sigma(&c, on_the_slope, 1.6), hypot(2, 5), 1e-3);
    cr_assert_float_eq(lw_chart_edge_sigma(&c, at_the_land, 1.2), hypot(2, 5), 1e-3);
    cr_assert_float_eq(lw_chart_edge_sigma(&c, on_the_flat, 2), 50, 1e-9);
    c = plane(0.0005);
    cr_assert_float_eq(lw_chart_edge_sigma(&c, on_the_slope, 1.6), 50, 1e-9, "never more");
}

Test(chart, edge_sigma_without_the_surfaces_word)
{
    struct lw_chart c = plane(0.02);
    struct lw_en corner[2][2] = {{{20, 0}, {20, 98}}, {{44, 0}, {44, 98}}};
    struct lw_contour contour[2] = {{1.4, {corner[0], 2, 2, false}},
                                    {1.88, {corner[1], 2, 2, false}}};

    c.contour = contour;
    c.contours = 2;
    cr_assert_float_eq(lw_chart_edge_sigma(&c, (struct lw_en){20, 40}, 1.4), 2, 1e-9, "mapped");
    cr_assert_float_eq(lw_chart_edge_sigma(&c, (struct lw_en){4, 40}, 1.6), sqrt(4 + 16.0 * 40 / 3),
                       1e-6, "on land: between its neighbours");
    c.grid.sigma_m = NULL;
    cr_assert_float_eq(lw_chart_edge_sigma(&c, (struct lw_en){32, 40}, 1.6),
                       sqrt(4 + 12.0 * 12 / 3), 1e-6, "no sigma: between its neighbours");
}
