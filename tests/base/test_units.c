#include "lipwalk/base/units.h"

#include <math.h>

#include "lw_test.h"

static double parse(const char *text, enum lw_quantity quantity, enum lw_units bare)
{
    struct lw_error err = {""};
    double si = NAN;

    cr_expect_eq(lw_units_parse(text, quantity, bare, &si, &err), 0, "%s", err.text);
    return si;
}

/* Factors: NIST SP 811 (2008), appendix B; all exact by definition. */
Test(units, lengths)
{
    cr_expect_float_eq(parse("35ft", LW_LENGTH, LW_METRIC), 10.668, 1e-12);
    cr_expect_float_eq(parse("35 ft", LW_DEPTH, LW_METRIC), 10.668, 1e-12);
    cr_expect_float_eq(parse("10.5 m", LW_LENGTH, LW_US), 10.5, 1e-12);
    cr_expect_float_eq(parse("1yd", LW_LENGTH, LW_US), 0.9144, 1e-12);
    cr_expect_float_eq(parse("1 mi", LW_LENGTH, LW_US), 1609.344, 1e-9);
    cr_expect_float_eq(parse("1 nmi", LW_LENGTH, LW_US), 1852, 1e-9);
    cr_expect_float_eq(parse("0.5 km", LW_LENGTH, LW_US), 500, 1e-9);
    cr_expect_float_eq(parse("3cm", LW_LENGTH, LW_US), 0.03, 1e-12);
    cr_expect_float_eq(parse("3/4 in", LW_LENGTH, LW_US), 0.01905, 1e-12);
    cr_expect_float_eq(parse("2 fathoms", LW_DEPTH, LW_US), 3.6576, 1e-12);
    cr_expect_float_eq(parse("9", LW_DEPTH, LW_US), 2.7432, 1e-12);
    cr_expect_float_eq(parse("9", LW_DEPTH, LW_METRIC), 9, 1e-12);
    cr_expect_float_eq(parse("-4ft", LW_LENGTH, LW_US), -1.2192, 1e-12);
    cr_expect_float_eq(LW_US_SURVEY_FT_M, 0.304800609601219, 1e-15);
}

Test(units, speeds)
{
    cr_expect_float_eq(parse("1.2 mph", LW_SPEED, LW_METRIC), 1.2 * 0.44704, 1e-12);
    cr_expect_float_eq(parse("1.2", LW_SPEED, LW_US), 1.2 * 0.44704, 1e-12);
    cr_expect_float_eq(parse("1kn", LW_SPEED, LW_US), 0.514444444444, 1e-9);
    cr_expect_float_eq(parse("36", LW_SPEED, LW_METRIC), 10, 1e-12);
    cr_expect_float_eq(parse("36 km/h", LW_SPEED, LW_US), 10, 1e-12);
    cr_expect_float_eq(parse("2 ft/s", LW_SPEED, LW_US), 0.6096, 1e-12);
    cr_expect_float_eq(parse("2 m/s", LW_SPEED, LW_US), 2, 1e-12);
}

Test(units, masses)
{
    cr_expect_float_eq(parse("5/16oz", LW_MASS, LW_METRIC), 5.0 / 16 * 0.028349523125, 1e-15);
    cr_expect_float_eq(parse("1/4", LW_MASS, LW_US), 7.08738078125e-3, 1e-15);
    cr_expect_float_eq(parse("1 lb", LW_MASS, LW_US), 0.45359237, 1e-15);
    cr_expect_float_eq(parse("7 g", LW_MASS, LW_US), 0.007, 1e-15);
    cr_expect_float_eq(parse("7", LW_MASS, LW_METRIC), 0.007, 1e-15);
}

Test(units, temperatures)
{
    cr_expect_float_eq(parse("32F", LW_TEMP, LW_METRIC), 0, 1e-12);
    cr_expect_float_eq(parse("50 F", LW_TEMP, LW_METRIC), 10, 1e-12);
    cr_expect_float_eq(parse("-40", LW_TEMP, LW_US), -40, 1e-12);
    cr_expect_float_eq(parse("39.2f", LW_TEMP, LW_METRIC), 4, 1e-12);
    cr_expect_float_eq(parse("288.35 K", LW_TEMP, LW_US), 15.2, 1e-9);
    cr_expect_float_eq(parse("20", LW_TEMP, LW_METRIC), 20, 1e-12);
}

Test(units, durations)
{
    cr_expect_eq(parse("90s", LW_DURATION, LW_US), 90);
    cr_expect_eq(parse("2h30", LW_DURATION, LW_US), 9000);
    cr_expect_eq(parse("2h30min", LW_DURATION, LW_US), 9000);
    cr_expect_eq(parse("2:30", LW_DURATION, LW_METRIC), 9000);
    cr_expect_eq(parse("0:05", LW_DURATION, LW_US), 300);
    cr_expect_eq(parse("2h", LW_DURATION, LW_US), 7200);
    cr_expect_eq(parse("1.5 h", LW_DURATION, LW_US), 5400);
    cr_expect_eq(parse("20", LW_DURATION, LW_US), 1200);
}

Test(units, plain_numbers)
{
    cr_expect_float_eq(parse("95%", LW_RATIO, LW_US), 0.95, 1e-12);
    cr_expect_float_eq(parse("0.95", LW_RATIO, LW_US), 0.95, 1e-12);
    cr_expect_eq(parse("30deg", LW_ANGLE, LW_US), 30);
    cr_expect_eq(parse("30", LW_ANGLE, LW_US), 30);
    cr_expect_eq(parse(" 7 ", LW_COUNT, LW_US), 7);
    cr_expect_float_eq(parse("1e2 m", LW_LENGTH, LW_US), 100, 1e-12);
}

Test(units, junk_is_refused_by_a_sentence)
{
    static const struct {
        const char *text;
        enum lw_quantity quantity;
    } bad[] = {
        {"", LW_LENGTH},        {"ft", LW_LENGTH},      {"35ftx", LW_LENGTH},
        {"35 ft 2", LW_LENGTH}, {"35 lb", LW_LENGTH},   {"nan", LW_LENGTH},
        {"inf m", LW_LENGTH},   {"0x10 m", LW_LENGTH},  {"1e999 m", LW_LENGTH},
        {"1,5 m", LW_LENGTH},   {"--5", LW_LENGTH},     {"1/0 oz", LW_MASS},
        {"1/-2 oz", LW_MASS},   {"5/16 mph", LW_SPEED}, {"2:60", LW_DURATION},
        {"2h30s", LW_DURATION}, {"2:", LW_DURATION},    {"7.5", LW_COUNT},
        {"7 ft", LW_COUNT},     {"95%%", LW_RATIO},     {"1.5e", LW_LENGTH},
        {"1..5", LW_LENGTH},
    };

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct lw_error err = {""};
        double si = 77;

        cr_expect_eq(lw_units_parse(bad[i].text, bad[i].quantity, LW_US, &si, &err), -1,
                     "\"%s\" was taken as %g", bad[i].text, si);
        cr_expect_eq(si, 77);
        cr_expect(strstr(err.text, bad[i].text), "\"%s\" is not named in: %s", bad[i].text,
                  err.text);
    }
}

Test(units, sentence_names_what_is_accepted)
{
    struct lw_error err;
    double si;

    lw_units_parse("35 furlongs", LW_LENGTH, LW_US, &si, &err);
    cr_expect(strstr(err.text, "ft, yd, mi"), "%s", err.text);
    cr_expect(strstr(err.text, "bare number counts as ft"), "%s", err.text);
    lw_units_parse("fast", LW_SPEED, LW_METRIC, &si, &err);
    cr_expect(strstr(err.text, "kn"), "%s", err.text);
    cr_expect(strstr(err.text, "counts as km/h"), "%s", err.text);
    lw_units_parse("soon", LW_DURATION, LW_METRIC, &si, &err);
    cr_expect(strstr(err.text, "2h30"), "%s", err.text);
    cr_expect_eq(lw_units_parse(NULL, LW_LENGTH, LW_US, &si, NULL), -1);
}

static void prints(const char *wanted, double si, enum lw_quantity quantity, enum lw_units units,
                   int decimals)
{
    char text[32];

    lw_units_print(text, sizeof text, si, quantity, units, decimals);
    cr_expect_str_eq(text, wanted);
}

Test(units, printing)
{
    prints("35 ft", 10.668, LW_LENGTH, LW_US, 0);
    prints("10.7 m", 10.668, LW_LENGTH, LW_METRIC, 1);
    prints("1.2 mph", 0.536448, LW_SPEED, LW_US, 1);
    prints("60 F", 15.5555, LW_TEMP, LW_US, 0);
    prints("15.6 C", 15.5555, LW_TEMP, LW_METRIC, 1);
    prints("20 min", 1200, LW_DURATION, LW_US, 0);
    prints("0.95", 0.95, LW_RATIO, LW_US, 2);
    prints("7", 7, LW_COUNT, LW_US, 0);
    prints("0 ft", -0.01, LW_LENGTH, LW_US, 0);
    prints("--", NAN, LW_LENGTH, LW_US, 0);
}

Test(units, print_undoes_parse)
{
    for (int q = LW_LENGTH; q <= LW_COUNT; q++)
        for (int u = LW_US; u <= LW_METRIC; u++) {
            char text[32];
            double si = parse("12", (enum lw_quantity)q, (enum lw_units)u);

            cr_expect_float_eq(lw_units_from_si(si, (enum lw_quantity)q, (enum lw_units)u), 12,
                               1e-12);
            lw_units_print(text, sizeof text, si, (enum lw_quantity)q, (enum lw_units)u, 3);
            cr_expect_float_eq(parse(text, (enum lw_quantity)q, LW_US), si, 1e-12, "%s", text);
        }
}

Test(units, lat_lon)
{
    struct lw_error err = {""};
    double lat, lon;

    cr_assert_eq(lw_units_parse_lat_lon("46.0088, -89.6997", &lat, &lon, &err), 0);
    cr_expect_eq(lat, 46.0088);
    cr_expect_eq(lon, -89.6997);
    cr_assert_eq(lw_units_parse_lat_lon("-17,200", &lat, &lon, &err), 0);
    cr_expect_eq(lon, -160);
    cr_assert_eq(lw_units_parse_lat_lon("0,180", &lat, &lon, &err), 0);
    cr_expect_eq(lon, 180);
    cr_expect_eq(lw_units_parse_lat_lon("-89.6997,460", &lat, &lon, &err), -1);
    cr_expect(strstr(err.text, "longitude 460"), "%s", err.text);
    cr_expect_eq(lw_units_parse_lat_lon("-93.6,46.0", &lat, &lon, &err), -1);
    cr_expect(strstr(err.text, "latitude first"), "%s", err.text);
    cr_expect_eq(lw_units_parse_lat_lon("46.0088", &lat, &lon, &err), -1);
    cr_expect_eq(lw_units_parse_lat_lon("46.0088,-89.7,3", &lat, &lon, &err), -1);
    cr_expect_eq(lw_units_parse_lat_lon("nan,0", &lat, &lon, &err), -1);
    cr_expect_eq(lw_units_parse_lat_lon(NULL, &lat, &lon, &err), -1);
}

Test(units, an_edge_has_a_decimal_only_where_it_needs_one)
{
    char text[32];

    lw_units_print_edge(text, sizeof text, 9 * LW_FT_M, LW_US);
    cr_assert_str_eq(text, "9 ft");
    lw_units_print_edge(text, sizeof text, 9.5 * LW_FT_M, LW_US);
    cr_assert_str_eq(text, "9.5 ft");
    lw_units_print_edge(text, sizeof text, 2.7432, LW_METRIC);
    cr_assert_str_eq(text, "2.7 m");
    lw_units_print_edge(text, sizeof text, NAN, LW_US);
    cr_assert_str_eq(text, "--");
}
