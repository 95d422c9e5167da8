/* Lips of lakes as agencies map them. */
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
        cr_assert_geq(lip->length_m, 40);
        cr_assert_gt(lip->slope_break, 1.2 * lip->slope_top);
        cr_assert(lip->drop_m > 0.5 && lip->depth_m > 0 && lip->depth_m + lip->drop_m < 19.5);
    }
    cr_assert_leq(told, 12, "%d", told);
    lw_lips_free(&lips);
    lw_chart_free(chart);
}
