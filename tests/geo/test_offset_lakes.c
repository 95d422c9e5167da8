/* Lines at a distance from the contours of public lakes, judged by brute force that shares nothing
 * with their making: 20, 35 and 60 ft, both sides, every line.
 */
#include "hold_judge.h"
#include "lake_lines.h"
#include "lipwalk/geo/offset.h"
#include "lw_test.h"

#define FT 0.3048

static void all_of(const char *name, size_t every, struct judge_score *worst, size_t *tried)
{
    static const double distance_m[] = {20 * FT, 35 * FT, 60 * FT};
    struct lw_lines lines = {0};
    char path[300];

    lw_test_data(path, sizeof path, name);
    cr_assert_eq(lake_read(path, &lines), 0);
    cr_assert_gt(lines.n, 5);
    for (size_t i = 0; i < lines.n; i += every)
        for (int k = 0; k < 6; k++) {
            struct judge_score s = {0};
            struct lw_lines out = {0};
            struct lw_error err = {""};

            cr_assert_eq(lw_offset_line(&lines.line[i], distance_m[k / 2], k % 2, &out, &err), 0,
                         "%s", err.text);
            judge(&lines.line[i], &out, distance_m[k / 2], k % 2, &s);
            ++*tried;
            cr_expect_leq(s.vertex_m, 0.05, "%s line %zu, %g m: %g", name, i, distance_m[k / 2],
                          s.vertex_m);
            cr_expect_leq(s.between_m, 0.05, "%s line %zu, %g m: %g", name, i, distance_m[k / 2],
                          s.between_m);
            cr_expect_eq(s.crossings, 0, "%s line %zu, %g m", name, i, distance_m[k / 2]);
            cr_expect_eq(s.backward, 0, "%s line %zu, %g m: back %g", name, i, distance_m[k / 2],
                         s.back_m);
            cr_expect_eq(s.unordered, 0, "%s line %zu, %g m", name, i, distance_m[k / 2]);
            cr_expect_eq(s.wrong_side, 0, "%s line %zu, %g m", name, i, distance_m[k / 2]);
            cr_expect_leq(s.lost_m, 0.002 * s.free_m + 1, "%s line %zu, %g m: %g of %g", name, i,
                          distance_m[k / 2], s.lost_m, s.free_m);
            worst->vertex_m = fmax(worst->vertex_m, s.vertex_m);
            worst->between_m = fmax(worst->between_m, s.between_m);
            worst->vertices += s.vertices;
            worst->lost_m += s.lost_m;
            worst->free_m += s.free_m;
            lw_lines_free(&out);
        }
    lw_lines_free(&lines);
}

Test(offset_lakes, keep_their_distance_and_lose_nothing, .timeout = 120)
{
    struct judge_score worst = {0};
    size_t tried = 0;

    all_of("lakes/small-lakes-metres.geojson", 1, &worst, &tried);
    all_of("lakes/wingra-contours-all.shp", 1, &worst, &tried);
    cr_log_info("%zu lines, %zu vertices: worst %.2g m, between %.3g m; lost %.1f of %.0f m", tried,
                worst.vertices, worst.vertex_m, worst.between_m, worst.lost_m, worst.free_m);
}
