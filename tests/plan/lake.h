/* An invented lake in closed form, for the tests of this room.
 *
 * The shore is a wave along the south; the bottom falls gently to a lip at 2 m, then steeply to 12
 * m. Humps are cones with their top at 1 m. Depth 3 m lies 44 m north of the shore, and 10 m from
 * the middle of a hump. The deep side of every contour is to the left of increasing along. */
#ifndef LW_TEST_LAKE_H
#define LW_TEST_LAKE_H

#include <math.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/plan/plan.h"
#include "lw_test.h"

#define LAKE_WIDE_M 600.0
#define LAKE_HIGH_M 300.0
#define LAKE_CELL_M 1.0

struct lake_hump {
    double e_m, n_m;
};
static const struct lake_hump lake_hump_far = {300, 220};

static inline double lake_shore(double e_m)
{
    return 30 + 12 * sin(e_m / 45);
}

static inline double lake_depth(struct lw_en at, const struct lake_hump *hump, size_t humps)
{
    double d = at.n_m - lake_shore(at.e_m), depth_m;

    if (d <= 0 || at.e_m < 0 || at.e_m > LAKE_WIDE_M || at.n_m > LAKE_HIGH_M)
        return NAN;
    depth_m = d < 40 ? 0.05 * d : fmin(12, 2 + 0.25 * (d - 40));
    for (size_t i = 0; i < humps; i++)
        depth_m = fmin(depth_m, 1 + 0.2 * hypot(at.e_m - hump[i].e_m, at.n_m - hump[i].n_m));
    return depth_m;
}

/* How far north of the shore a depth lies. */
static inline double lake_off_shore(double depth_m)
{
    return depth_m <= 2 ? depth_m / 0.05 : 40 + (depth_m - 2) / 0.25;
}

static inline void lake_add_contours(struct lw_chart *chart, double depth_m,
                                     const struct lake_hump *hump, size_t humps)
{
    struct lw_contour *shore = &chart->contour[chart->contours++];

    shore->depth_m = depth_m;
    for (int e = 0; e <= (int)LAKE_WIDE_M; e++) /* east: deep water, north, is to the left */
        cr_assert_eq(
            lw_line_add(&shore->line, (struct lw_en){e, lake_shore(e) + lake_off_shore(depth_m)}),
            0);
    for (size_t i = 0; i < humps && depth_m > 1; i++) {
        struct lw_contour *ring = &chart->contour[chart->contours++];
        double r = (depth_m - 1) / 0.2;
        int n = 120;

        ring->depth_m = depth_m;
        ring->line.closed = true;
        for (int k = 0; k <= n; k++) { /* clockwise: deep water, outside, is to the left */
            double a = -2 * M_PI * (k % n) / n;

            cr_assert_eq(lw_line_add(&ring->line, (struct lw_en){hump[i].e_m + r * cos(a),
                                                                 hump[i].n_m + r * sin(a)}),
                         0);
        }
    }
}

/* The lake with contours of 0.5 and 3 m. Free with lw_chart_free. */
static inline struct lw_chart *lake_new(const struct lake_hump *hump, size_t humps)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *g = &chart->grid;

    chart->frame.origin = (struct lw_ll){46.2, -89.7};
    strcpy(chart->lake, "Tarn Pool");
    strcpy(chart->source, "tarn.geojson");
    chart->deepest_m = 12;
    chart->area_m2 = LAKE_WIDE_M * LAKE_HIGH_M;
    g->cell_m = LAKE_CELL_M;
    g->nx = (int)(LAKE_WIDE_M / LAKE_CELL_M) + 1;
    g->ny = (int)(LAKE_HIGH_M / LAKE_CELL_M) + 1;
    g->depth_m = calloc((size_t)g->nx * (size_t)g->ny, sizeof *g->depth_m);
    chart->contour = calloc(2 + 2 * humps, sizeof *chart->contour);
    for (int j = 0; j < g->ny; j++)
        for (int i = 0; i < g->nx; i++)
            g->depth_m[(size_t)j * (size_t)g->nx + (size_t)i] = (float)lake_depth(
                (struct lw_en){i * LAKE_CELL_M, j * LAKE_CELL_M}, hump, humps);
    lake_add_contours(chart, 0.5, hump, humps);
    lake_add_contours(chart, 3, hump, humps);
    return chart;
}

/* The settings' defaults, for the 3 m edge. */
static inline struct lw_plan_params lake_params(void)
{
    struct lw_plan_params p;

    lw_plan_params_clear(&p);
    p.units = LW_METRIC;
    p.depth_m = 3;
    p.length_m = 400;
    p.standoff_m = 10.668;
    p.cast_m = 24.384;
    p.fan_half_deg = 65;
    p.bow_min_deg = 20;
    p.bow_max_deg = 160;
    p.draft_m = 0.6;
    p.clearance_m = 3;
    p.berth_m = 10;
    p.boat_mps = 0.36;
    p.retrieve_mps = 0.46;
    p.coverage = 0.95;
    p.lip_worth = 2;
    p.fall_factor = 1;
    p.above_m = 0.3;
    p.swath_m = 2.4384;
    p.up_m = 6.096;
    p.past_m = 3.048;
    p.min_depth_m = 0.9144;
    p.move_s = 20;
    p.cast_s = 10;
    return p;
}

static inline struct lw_plan *lake_plan(const struct lw_chart *chart,
                                        const struct lw_plan_params *params)
{
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_plan_make(chart, params, &plan, &err), 0, "%s", err.text);
    return plan;
}

/* A plan on a straight edge that runs east, deep side north, without a map. */
static inline struct lw_plan *lake_straight(double length_m, const struct lw_plan_params *params)
{
    struct lw_en p[] = {{0, 0}, {length_m, 0}};
    struct lw_line line = {.p = p, .n = 2};
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, true, params, &plan, &err), 0, "%s",
                 err.text);
    return plan;
}

/* Distance to a line, every segment tried: independent of the code under test. */
static inline double lake_distance(const struct lw_line *line, struct lw_en at)
{
    double least = INFINITY;

    for (size_t i = 0; i + 1 < line->n; i++) {
        double e = line->p[i + 1].e_m - line->p[i].e_m, n = line->p[i + 1].n_m - line->p[i].n_m;
        double x = at.e_m - line->p[i].e_m, y = at.n_m - line->p[i].n_m;
        double t = fmax(0, fmin(1, (x * e + y * n) / (e * e + n * n)));

        least = fmin(least, hypot(x - t * e, y - t * n));
    }
    return least;
}

static inline bool lake_warned(const struct lw_plan *plan, const char *words)
{
    for (int i = 0; i < plan->warnings; i++)
        if (strstr(plan->warning[i], words))
            return true;
    return false;
}

#endif
