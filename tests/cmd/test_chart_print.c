/* What `lipwalk chart` prints of hazards, cover and uncertainty. */
#include <criterion/criterion.h> /* before redirect.h, whose own asserts are only words */
#include <criterion/redirect.h>
#include <jansson.h>
#include <math.h>

#include "../../src/cmd/chart_out.h"
#include "lw_test.h"

static float depth[100], sigma[100];
static struct lw_en rock[] = {{10, 20}}, square[] = {{0, 0}, {30, 0}, {30, 40}, {0, 40}, {0, 0}};
static struct lw_en edge[] = {{0, 0}, {10, 0}, {10, 30}};
static struct lw_hazard hazard[] = {
    {LW_HAZARD_ROCK, {rock, 1, 1, false}, 0.6, "Old \"Ben\""},
    {LW_HAZARD_ROCK, {rock, 1, 1, false}, NAN, ""},
    {LW_HAZARD_OBSTRUCTION, {square, 5, 5, true}, NAN, "crib"},
};
static struct lw_cover cover[] = {
    {LW_COVER_WEED, {square, 5, 5, true}, false},
    {LW_COVER_WEED, {edge, 3, 3, false}, false},
    {LW_COVER_GRAVEL, {rock, 1, 1, false}, true},
};

static struct lw_chart sample(void)
{
    struct lw_chart c = {.frame = {{46, -89}},
                         .grid = {.cell_m = 2, .nx = 10, .ny = 10},
                         .features = {hazard, 3, 3, cover, 3, 3},
                         .soundings = 1234,
                         .source = "a.shp, b.csv"};

    c.grid.depth_m = depth;
    c.grid.sigma_m = sigma;
    for (int k = 0; k < 100; k++) {
        depth[k] = 3;
        sigma[k] = k < 50 ? NAN : (float)k / 100; /* 0.50 to 0.99 */
    }
    return c;
}

static char *printed(void)
{
    char *text = calloc(1, 20000);

    fflush(NULL);
    cr_assert_not_null(text);
    cr_assert_gt(fread(text, 1, 19999, cr_get_redirected_stdout()), 0);
    return text;
}

Test(chart_print, words, .init = cr_redirect_stdout)
{
    struct lw_chart c = sample();
    struct lw_import_report report = {.summary = "what was read"};
    char *text;

    lw_chart_print_text(&c, &report);
    text = printed();
    cr_assert_str_eq(text, "what was read\n"
                           "soundings: 1234 in the surface\n"
                           "hazards: 2 rocks, 1 obstruction\n"
                           "bottom and cover: gravel in 1 place, weed in 2 places; "
                           "1 of them marked by the crew\n");
    free(text);
}

static double number(const json_t *list, size_t i, const char *name)
{
    const json_t *value = json_object_get(json_array_get(list, i), name);

    return json_is_number(value) ? json_number_value(value) : NAN;
}

static const char *word(const json_t *list, size_t i, const char *name)
{
    return json_string_value(json_object_get(json_array_get(list, i), name));
}

Test(chart_print, json, .init = cr_redirect_stdout)
{
    struct lw_chart c = sample();
    struct lw_import_report report = {.warning = {"one"}, .warnings = 1};
    struct lw_arg_texts maps = {{"a.shp", "b\x1b[31m.csv"}, 2};
    struct lw_ll at = lw_frame_to_ll(&c.frame, (struct lw_en){10, 20});
    struct lw_ll middle = lw_frame_to_ll(&c.frame, (struct lw_en){15, 20});
    struct lw_ll half_way = lw_frame_to_ll(&c.frame, (struct lw_en){10, 10});
    struct lw_error err = {""};
    json_t *all, *list, *of;
    char *text;

    cr_assert_eq(lw_chart_print_json(&c, &report, &maps, &err), 0, "%s", err.text);
    text = printed();
    all = json_loads(text, 0, NULL);
    cr_assert_not_null(all, "%s", text);
    list = json_object_get(all, "hazards");
    cr_assert_eq(json_array_size(list), 3);
    cr_assert_str_eq(word(list, 0, "kind"), "rock");
    cr_assert_str_eq(word(list, 0, "words"), "Old \"Ben\"");
    cr_assert_float_eq(number(list, 0, "depth_m"), 0.6, 1e-12);
    cr_assert(isnan(number(list, 1, "depth_m")));
    cr_assert_float_eq(number(list, 0, "lat"), at.lat_deg, 1e-9);
    cr_assert_float_eq(number(list, 0, "lon"), at.lon_deg, 1e-9);
    cr_assert_float_eq(number(list, 2, "lat"), middle.lat_deg, 1e-9);
    list = json_object_get(all, "covers");
    cr_assert_str_eq(word(list, 0, "shape"), "area");
    cr_assert_float_eq(number(list, 0, "area_m2"), 1200, 1e-6);
    cr_assert_float_eq(number(list, 0, "lon"), middle.lon_deg, 1e-9);
    cr_assert_str_eq(word(list, 1, "shape"), "line");
    cr_assert_float_eq(number(list, 1, "lat"), half_way.lat_deg, 1e-9);
    cr_assert(isnan(number(list, 1, "area_m2")));
    cr_assert_str_eq(word(list, 2, "shape"), "point");
    cr_assert(json_is_true(json_object_get(json_array_get(list, 2), "crew")));
    of = json_object_get(all, "sigma_m"); /* of 50 values, the 26th and the 48th */
    cr_assert_float_eq(json_number_value(json_object_get(of, "median")), 0.75, 1e-6);
    cr_assert_float_eq(json_number_value(json_object_get(of, "p95")), 0.97, 1e-6);
    cr_assert_eq(json_integer_value(json_object_get(all, "soundings")), 1234);
    cr_assert_eq(json_array_size(json_object_get(all, "sources")), 2);
    cr_assert_null(strchr(text, '\x1b'));
    json_decref(all);
    free(text);
}

Test(chart_print, no_sigma_is_null, .init = cr_redirect_stdout)
{
    struct lw_chart c = sample();
    struct lw_import_report report = {.warnings = 0};
    struct lw_arg_texts maps = {{"a.shp"}, 1};
    json_t *all;
    char *text;

    c.grid.sigma_m = NULL;
    cr_assert_eq(lw_chart_print_json(&c, &report, &maps, NULL), 0);
    text = printed();
    all = json_loads(text, 0, NULL);
    cr_assert(json_is_null(json_object_get(all, "sigma_m")));
    json_decref(all);
    free(text);
}
