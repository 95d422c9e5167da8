/* Names and values as the agencies' published maps have them (field and unit conventions of state
 * agencies' open data: common practice, no source). */
#include "lw_test.h"

#include <math.h>

#include "../../src/map/depth_field.h"
#include "lipwalk/chart/interval.h"

static struct lw_import_options none(void)
{
    struct lw_import_options options;

    lw_import_options_clear(&options);
    options.map[0].path = "lake.shp";
    options.maps = 1;
    return options;
}

static int choose(const char *name, const double *value, size_t n,
                  const struct lw_import_options *options, struct lw_depth_rule *rule,
                  struct lw_error *err)
{
    struct lw_depth_column column = {name, value, n, LW_UNIT_NONE};

    return lw_depth_choose(&column, 1, &options->map[0], rule, err);
}

Test(depth_field, units_in_names)
{
    cr_assert_eq(lw_depth_unit_of_name("Depth_m"), LW_UNIT_M);
    cr_assert_eq(lw_depth_unit_of_name("DEPTH_FT"), LW_UNIT_FT);
    cr_assert_eq(lw_depth_unit_of_name("DepthFt"), LW_UNIT_FT);
    cr_assert_eq(lw_depth_unit_of_name("DEPTHM"), LW_UNIT_M);
    cr_assert_eq(lw_depth_unit_of_name("dybde_m"), LW_UNIT_M);
    cr_assert_eq(lw_depth_unit_of_name("terrElevNavd88ft"), LW_UNIT_FT);
    cr_assert_eq(lw_depth_unit_of_name("DEPTH_METE"), LW_UNIT_M, "cut at ten characters");
    cr_assert_eq(lw_depth_unit_of_name("depth_fath"), LW_UNIT_FATHOM, "cut at ten characters");
    cr_assert_eq(lw_depth_unit_of_name("DEPTH"), LW_UNIT_NONE);
    cr_assert_eq(lw_depth_unit_of_name("abs_depth"), LW_UNIT_NONE);
    cr_assert_eq(lw_depth_unit_of_name("CONTOUR"), LW_UNIT_NONE);
    cr_assert_eq(lw_depth_unit_of_name("Z"), LW_UNIT_NONE);
}

Test(depth_field, ranks)
{
    cr_assert_lt(lw_depth_rank("abs_depth"), lw_depth_rank("Depth_m"));
    cr_assert_lt(lw_depth_rank("Depth_m"), lw_depth_rank("DEPTH"));
    cr_assert_lt(lw_depth_rank("DEPTH"), lw_depth_rank("CONTOUR"));
    cr_assert_lt(lw_depth_rank("CONTOUR"), lw_depth_rank("Elevation"));
    cr_assert_lt(lw_depth_rank("Elevation"), lw_depth_rank("ID"));
    cr_assert_eq(lw_depth_rank("SHAPE_Leng"), 0);
    cr_assert_eq(lw_depth_rank("MAX_DEPTH"), 0, "a figure of the lake");
}

Test(depth_field, text_with_units)
{
    double value;
    enum lw_depth_unit unit;

    cr_assert(lw_depth_text("20 FEET", &value, &unit));
    cr_assert_float_eq(value, 20, 1e-12);
    cr_assert_eq(unit, LW_UNIT_FT);
    cr_assert(lw_depth_text(" -6.1 m", &value, &unit));
    cr_assert_float_eq(value, -6.1, 1e-12);
    cr_assert_eq(unit, LW_UNIT_M);
    cr_assert(lw_depth_text("15'", &value, &unit));
    cr_assert_eq(unit, LW_UNIT_FT);
    cr_assert(lw_depth_text("15", &value, &unit));
    cr_assert_eq(unit, LW_UNIT_NONE);
    cr_assert_not(lw_depth_text("5 - 10 ft", &value, &unit), "a range is no depth");
    cr_assert_not(lw_depth_text("lots", &value, &unit));
    cr_assert_not(lw_depth_text("", &value, &unit));
    cr_assert_not(lw_depth_text("2026-05-11", &value, &unit));
}

Test(depth_field, name_with_unit_needs_no_word)
{
    const double v[] = {0, 1.524, 3.048};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    cr_assert_eq(choose("Depth_m", v, 3, &o, &rule, &err), 0, "%s", err.text);
    cr_assert_float_eq(lw_depth_of(&rule, 3.048), 3.048, 1e-12);
    cr_assert_str_eq(rule.reason, "the name says metres");
}

Test(depth_field, unit_is_asked_for_with_a_proposal)
{
    const double feet[] = {0, 5, 10, 15}, metres[] = {0, 1.524, 3.048, 4.572}, either[] = {1, 2, 4};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    cr_assert_eq(choose("DEPTH", feet, 4, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "looks like feet"), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "--depth-unit ft to confirm"), "%s", err.text);
    cr_assert_eq(choose("DEPTH", metres, 4, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-unit m to confirm"), "%s", err.text);
    cr_assert_eq(choose("DEPTH", either, 3, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-unit ft or --depth-unit m"), "%s", err.text);
    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("DEPTH", feet, 4, &o, &rule, &err), 0);
    /* 15 ft: NIST SP 811 */
    cr_assert_float_eq(lw_depth_of(&rule, 15), 4.572, 1e-12);
    o.map[0].depth_unit = "furlong";
    cr_assert_eq(choose("DEPTH", feet, 4, &o, &rule, &err), -1);
}

Test(depth_field, option_over_name_is_said)
{
    const double v[] = {0, 5, 10};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;

    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("Depth_m", v, 3, &o, &rule, NULL), 0);
    cr_assert_float_eq(lw_depth_of(&rule, 10), 3.048, 1e-12);
    cr_assert_eq(rule.warnings, 1);
}

Test(depth_field, negative_values_are_depths_below)
{
    const double v[] = {0, -5, -10, -20};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;

    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("DEPTH", v, 4, &o, &rule, NULL), 0);
    cr_assert_float_eq(lw_depth_of(&rule, -20), 6.096, 1e-12);
    cr_assert_float_eq(lw_depth_of(&rule, 0), 0, 0);
    cr_assert_eq(rule.warnings, 0);
}

Test(depth_field, few_of_the_other_sign_warn_many_are_refused)
{
    const double few[] = {0, -5, -10, -15, -20, -25, 30}, many[] = {-5, -10, 5, 10, 15};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("CONTOUR", few, 7, &o, &rule, &err), 0, "%s", err.text);
    cr_assert_eq(rule.warnings, 1);
    cr_assert_float_eq(lw_depth_of(&rule, 30), 9.144, 1e-12);
    cr_assert_float_eq(lw_depth_of(&rule, -25), 7.62, 1e-12);
    cr_assert_eq(choose("CONTOUR", many, 5, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-sign"), "%s", err.text);
    o.map[0].sign = LW_SIGN_UP;
    cr_assert_eq(choose("CONTOUR", many, 5, &o, &rule, &err), 0);
    cr_assert_float_eq(lw_depth_of(&rule, 15), -4.572, 1e-12, "land");
}

Test(depth_field, elevations_ask_for_the_level)
{
    const double bed[] = {1180, 1185, 1190, 1195};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    cr_assert_eq(choose("Elevation", bed, 4, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--water-level"), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "--depth-unit ft"), "at once: %s", err.text);
    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("CONTOUR", bed, 4, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--water-level"), "%s", err.text);
    cr_assert_null(strstr(err.text, "--depth-unit"), "it is given: %s", err.text);
    cr_assert_eq(choose("Elevation", bed, 4, &o, &rule, &err), -1);
    cr_assert_eq(choose("DEPTH", bed, 4, &o, &rule, &err), -1, "whatever the name");
    cr_assert_not_null(strstr(err.text, "--water-level"), "%s", err.text);
    o.map[0].water_level_m = 1200 * 0.3048;
    cr_assert_eq(choose("Elevation", bed, 4, &o, &rule, &err), 0);
    cr_assert_float_eq(lw_depth_of(&rule, 1180), 6.096, 1e-9);
}

/* Heights from the water down need no level; those of a lake below the sea do. */
Test(depth_field, elevations_from_0_down_are_depths)
{
    const double down[] = {-0.5, -3, -11}, deep_land[] = {-430, -425, -421};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    o.map[0].depth_unit = "m";
    cr_assert_eq(choose("Elevation", down, 3, &o, &rule, &err), 0, "%s", err.text);
    cr_assert_float_eq(lw_depth_of(&rule, -11), 11, 1e-12);
    cr_assert_eq(choose("ele", down, 3, &o, &rule, &err), 0, "%s", err.text);
    cr_assert_eq(choose("Elevation", deep_land, 3, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--water-level"), "%s", err.text);
}

Test(depth_field, two_units_must_agree)
{
    const double ft[] = {0, 8, 25}, m[] = {0, 2.5, 7.5}, wrong[] = {0, 8, 25};
    struct lw_depth_column good[] = {{"Depth_ft", ft, 3, LW_UNIT_NONE},
                                     {"Depth_m", m, 3, LW_UNIT_NONE}};
    struct lw_depth_column bad[] = {{"Depth_ft", ft, 3, LW_UNIT_NONE},
                                    {"Depth_m", wrong, 3, LW_UNIT_NONE}};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    /* Whole feet beside half metres, as the Trout Bog map has them. */
    cr_assert_eq(lw_depth_choose(good, 2, &o.map[0], &rule, &err), 0, "%s", err.text);
    cr_assert_eq(rule.column, 1);
    cr_assert_not_null(strstr(rule.reason, "Depth_ft agrees"));
    cr_assert_eq(lw_depth_choose(bad, 2, &o.map[0], &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "contradicts itself"), "%s", err.text);
    o.map[0].depth_field = "depth_FT";
    cr_assert_eq(lw_depth_choose(bad, 2, &o.map[0], &rule, &err), 0);
    cr_assert_eq(rule.column, 0);
}

Test(depth_field, id_only_is_proposed_not_taken)
{
    const double id[] = {2, 3, 6, 12, 12};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    cr_assert_eq(choose("ID", id, 5, &o, &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-field ID --depth-unit"), "%s", err.text);
    o.map[0].depth_field = "ID";
    o.map[0].depth_unit = "ft";
    cr_assert_eq(choose("ID", id, 5, &o, &rule, &err), 0);
    cr_assert_float_eq(lw_depth_of(&rule, 12), 3.6576, 1e-12);
}

Test(depth_field, nothing_known_is_no_depth)
{
    const double v[] = {NAN, NAN};
    struct lw_import_options o = none();
    struct lw_depth_rule rule;
    struct lw_error err = {""};

    cr_assert_eq(choose("Depth_m", v, 2, &o, &rule, &err), -1);
    cr_assert_neq(err.text[0], '\0');
    cr_assert_eq(lw_depth_choose(NULL, 0, &o.map[0], &rule, &err), -1);
}

Test(depth_field, usual_step)
{
    const double regular[] = {0, 1.524, 3.048, 4.572, 9.144}, odd[] = {0, 1, 3, 7, 20};

    cr_assert_float_eq(lw_depth_interval(regular, 5), 1.524, 1e-9);
    cr_assert(isnan(lw_depth_interval(odd, 5)));
    cr_assert(isnan(lw_depth_interval(odd, 1)));
}

/* One agency's contour maps are told by their two columns together; either alone is not enough. */
Test(depth_field, negative_feet_beside_their_magnitude)
{
    double depth[] = {-5, -10, -15, -20, 0}, magnitude[] = {5, 10, 15, 20, 0};
    struct lw_depth_column both[] = {{"DEPTH", depth, 5, LW_UNIT_NONE},
                                     {"abs_depth", magnitude, 5, LW_UNIT_NONE}};
    struct lw_import_options options = none();
    struct lw_depth_rule rule;
    struct lw_error err;

    cr_assert_eq(lw_depth_choose(both, 2, &options.map[0], &rule, &err), 0, "%s", err.text);
    cr_assert_eq(rule.unit, LW_UNIT_FT);
    cr_assert_float_eq(lw_depth_of(&rule, both[rule.column].value[3]), 20 * 0.3048, 1e-12);
    cr_assert_not_null(strstr(rule.reason, "abs_depth"), "%s", rule.reason);
    cr_assert_eq(lw_depth_choose(both, 1, &options.map[0], &rule, &err), -1);
    cr_assert_not_null(strstr(err.text, "--depth-unit"), "%s", err.text);
    cr_assert_eq(lw_depth_choose(both + 1, 1, &options.map[0], &rule, &err), -1);
    depth[0] = -3; /* no step of 5 ft: it may as well be metres */
    magnitude[0] = 3;
    cr_assert_eq(lw_depth_choose(both, 2, &options.map[0], &rule, &err), -1);
}
