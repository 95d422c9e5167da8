/* Lips of a lake as an agency maps it, and of the demo's. */
#include "map_test.h"

#include "lipwalk/base/units.h"
#include "lipwalk/chart/lip.h"

/* Outside data: a lake of 58 ha mapped at 5 ft (Wisconsin's North Temperate Lakes programme). */
Test(lip_on_maps, sparkling_lake)
{
    struct lw_import_options options;
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err = {""};
    struct lw_lips lips;
    char map[512], folder[128];
    int told = 0;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    chart_test_folder(folder, sizeof folder);
    lw_import_options_clear(&options);
    options.map[0].path = map;
    options.maps = 1;
    options.at = (struct lw_ll){46.0088, -89.6997};
    cr_assert_eq(chart_test_read(&options, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(lw_lips_find(chart, &lips, &err), 0, "%s", err.text);
    cr_assert_gt(lips.lips, 3);
    for (size_t l = 0; l < lips.lips; l++) {
        const struct lw_lip *lip = &lips.lip[l];

        told += !lip->inferred;
        cr_assert(lip->closed || lip->length_m >= 75, "%g", lip->length_m);
        cr_assert_geq(lip->slope_break, 1.4 * lip->slope_top);
        cr_assert(lip->drop_m > 0.5 && lip->depth_m > 0 && lip->depth_m + lip->drop_m < 19.5);
    }
    cr_assert_leq(told, 12, "%d", told);
    lw_lips_free(&lips);
    lw_chart_free(chart);
}

/* The demo's lake in closed form, as contrib/demo/make-lake.py has it: metres from the middle, a is
 * the angle from east. */
static double demo_shore_m(double a)
{
    double ellipse = 450.0 * 290.0 / hypot(290 * cos(a), 450 * sin(a));

    return ellipse * (1 + 0.035 * sin(3 * a + 0.7) + 0.02 * sin(5 * a + 2.1) + 0.008 * sin(11 * a));
}

static double demo_flat_m(double a)
{
    double turn = remainder(a * 180 / M_PI - 92, 360) / 9;

    return 82 + 33 * sin(a) - 45 * exp(-0.5 * turn * turn);
}

/* The lip's distance from the middle, away from the bar. */
static double demo_lip_m(double a)
{
    return demo_shore_m(a) - demo_flat_m(a);
}

static double demo_past_bar_m(struct lw_en at)
{
    struct lw_en a = {170, 230}, b = {95, 65};

    return sqrt(lw_segment_dist2(a, b, at)) - 36;
}

/* NaN on land. */
static double demo_depth_m(struct lw_en at)
{
    double a = atan2(at.n_m, at.e_m), u = demo_shore_m(a) - hypot(at.e_m, at.n_m);
    double off = u - demo_flat_m(a), bar = demo_past_bar_m(at),
           h = fmax(14 - fabs(off - bar), 0) / 14;
    double v = fmin(off, bar) - h * h * 14 / 4;
    double flat = 9 * pow(u / (u - fmin(v, 0)), 0.85);
    double past = v < 60 ? 2 * log1p(exp(v / 2)) : v;
    double hump = 20 * exp(-(pow(at.e_m + 150, 2) + pow(at.n_m + 45, 2)) / (2 * 30 * 30));

    if (u <= 0)
        return NAN;
    return (flat + 15 * (1 - exp(-past / 17)) + 4 * tanh(past / 90) - hump) * LW_FT_M;
}

/* Metres from the middle that make-lake.py counts from. */
static struct lw_en from_middle(const struct lw_chart *chart, struct lw_en at)
{
    struct lw_en middle = lw_frame_to_en(&chart->frame, (struct lw_ll){46.5, -94.3});

    return (struct lw_en){at.e_m - middle.e_m, at.n_m - middle.n_m};
}

static bool place_near(const struct lw_chart *chart, const struct lw_lips *lips, bool inside_turn,
                       double e_m, double n_m, double near_m)
{
    for (size_t k = 0; k < lips->places; k++) {
        struct lw_en at = from_middle(chart, lips->place[k].at);

        if (lips->place[k].inside_turn == inside_turn && hypot(at.e_m - e_m, at.n_m - n_m) < near_m)
            return true;
    }
    return false;
}

/* Its lips when the bottom is known everywhere. */
static void demo_true_lips(struct lw_lips *lips)
{
    struct lw_chart chart = {
        .grid = {.e0_m = -480, .n0_m = -340, .cell_m = 2, .nx = 481, .ny = 341}};
    struct lw_grid *grid = &chart.grid;
    struct lw_error err = {""};

    grid->depth_m = malloc((size_t)grid->nx * (size_t)grid->ny * sizeof *grid->depth_m);
    cr_assert_not_null(grid->depth_m);
    for (int y = 0; y < grid->ny; y++)
        for (int x = 0; x < grid->nx; x++)
            grid->depth_m[y * grid->nx + x] = (float)demo_depth_m(
                (struct lw_en){grid->e0_m + 2 * x, grid->n0_m + 2 * y});
    cr_assert_eq(lw_lips_find(&chart, lips, &err), 0, "%s", err.text);
    free(grid->depth_m);
}

/* From contours of 5 ft the same lips are found as on the true bottom: one about the flat and the
 * bar. The hump is a bell without a lip; one contour of 14 m radius is all that the map has of its
 * top, which must come out as round and as high as it is. */
Test(lip_on_maps, demo_lake)
{
    struct lw_import_options options;
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err = {""};
    struct lw_lips lips, truth;
    struct lw_en middle;
    char folder[128];

    demo_true_lips(&truth);
    cr_assert_eq(truth.lips, 1);
    chart_test_folder(folder, sizeof folder);
    lw_import_options_clear(&options);
    options.map[0].path = "contrib/demo/tarn-pool.geojson";
    options.maps = 1;
    cr_assert_eq(chart_test_read(&options, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(lw_lips_find(chart, &lips, &err), 0, "%s", err.text);
    cr_assert_eq(lips.lips, truth.lips);
    cr_assert_eq(lips.lip[0].kind, LW_LIP_SHORE);
    cr_assert_eq(truth.lip[0].kind, LW_LIP_SHORE);
    cr_assert(lips.lip[0].closed && truth.lip[0].closed);
    cr_assert(lips.lip[0].inferred, "it keeps to the contour of 10 ft");
    middle = lw_frame_to_en(&chart->frame, (struct lw_ll){46.5, -94.3});
    for (int e = -14; e <= 14; e += 2)
        for (int n = -14; n <= 14; n += 2) {
            struct lw_en at = {-150 + e, -45 + n};
            double depth_m = lw_chart_depth(
                chart, (struct lw_en){middle.e_m + at.e_m, middle.n_m + at.n_m});

            if (hypot(e, n) <= 14)
                cr_assert_float_eq(depth_m, demo_depth_m(at), 0.15, "%d %d: %g, in truth %g", e, n,
                                   depth_m, demo_depth_m(at));
        }
    cr_assert_eq(lips.places, 6, "%zu", lips.places);
    for (size_t k = 0; k < lips.lip[0].n; k++) {
        struct lw_en at = from_middle(chart, lips.lip[0].p[k].at);
        double a = atan2(at.n_m, at.e_m), off = hypot(at.e_m, at.n_m) - demo_lip_m(a);

        if (a > 0.1 && a < 1.5) /* the bar */
            continue;
        cr_assert_leq(fabs(off), 2 * lips.lip[0].p[k].sigma_m, "%g", off);
        cr_assert_leq(fabs(off), 7, "%g", off);
    }
    /* the bar's tip, 36 m past the end of its middle line; the notch; the corners beside the bar */
    cr_assert(place_near(chart, &lips, false, 80, 32, 10));
    cr_assert(place_near(chart, &lips, true, demo_lip_m(1.606) * cos(1.606),
                         demo_lip_m(1.606) * sin(1.606), 8));
    cr_assert(place_near(chart, &lips, true, 98, 165, 12));
    cr_assert(place_near(chart, &lips, true, 183, 165, 12));
    lw_lips_free(&truth);
    lw_lips_free(&lips);
    lw_chart_free(chart);
}
