/* Lips of a lake as an agency maps it, and of the demo's. */
#include "map_test.h"

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

/* The lip's distance from the middle of the demo's lake by contrib/demo/make-lake.py, away from its
 * bar. */
static double demo_lip_m(double a)
{
    double ellipse = 450.0 * 290.0 / hypot(290 * cos(a), 450 * sin(a));
    double shore = ellipse *
                   (1 + 0.035 * sin(3 * a + 0.7) + 0.02 * sin(5 * a + 2.1) + 0.008 * sin(11 * a));
    double turn = (a * 180 / M_PI - 92) / 9;

    return shore - (82 + 33 * sin(a) - 45 * exp(-0.5 * turn * turn));
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

Test(lip_on_maps, demo_lake)
{
    struct lw_import_options options;
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err = {""};
    struct lw_lips lips;
    char folder[128];

    chart_test_folder(folder, sizeof folder);
    lw_import_options_clear(&options);
    options.map[0].path = "contrib/demo/tarn-pool.geojson";
    options.maps = 1;
    cr_assert_eq(chart_test_read(&options, &chart, &report, &err), 0, "%s", err.text);
    cr_assert_eq(lw_lips_find(chart, &lips, &err), 0, "%s", err.text);
    cr_assert_eq(lips.lips, 2);
    cr_assert_eq(lips.lip[0].kind, LW_LIP_SHORE);
    cr_assert_eq(lips.lip[1].kind, LW_LIP_HUMP);
    cr_assert(lips.lip[0].closed && lips.lip[1].closed);
    cr_assert(lips.lip[0].inferred, "it keeps to the contour of 10 ft");
    cr_assert(lips.lip[1].inferred, "nothing is mapped above it");
    /* from the hump's top to its first contour are 14 m, all of them open */
    cr_assert_float_eq(lips.lip[1].sigma_m, hypot(14 / sqrt(12), 2), 0.6, "%g",
                       lips.lip[1].sigma_m);
    cr_assert_eq(lips.places, 6, "%zu", lips.places);
    for (size_t k = 0; k < lips.lip[0].n; k++) {
        struct lw_en at = from_middle(chart, lips.lip[0].p[k].at);
        double a = atan2(at.n_m, at.e_m), off = hypot(at.e_m, at.n_m) - demo_lip_m(a);

        if (a > 0.1 && a < 1.5) /* the bar */
            continue;
        cr_assert_leq(fabs(off), 2 * lips.lip[0].p[k].sigma_m, "%g", off);
        cr_assert_leq(fabs(off), 7, "%g", off);
    }
    for (size_t k = 0; k < lips.lip[1].n; k++) {
        struct lw_en at = from_middle(chart, lips.lip[1].p[k].at);

        cr_assert_leq(hypot(at.e_m + 150, at.n_m + 45), 14, "within the contour of 10 ft");
    }
    /* the bar's tip, 36 m past the end of its middle line; the notch; the corners beside the bar */
    cr_assert(place_near(chart, &lips, false, 80, 32, 10));
    cr_assert(place_near(chart, &lips, true, demo_lip_m(1.606) * cos(1.606),
                         demo_lip_m(1.606) * sin(1.606), 8));
    cr_assert(place_near(chart, &lips, true, 98, 165, 12));
    cr_assert(place_near(chart, &lips, true, 183, 165, 12));
    lw_lips_free(&lips);
    lw_chart_free(chart);
}
