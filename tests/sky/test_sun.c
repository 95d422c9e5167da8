/* The sun against published places and times.
 *
 * Sources: Meeus, Astronomical Algorithms (2nd ed. 1998), example 25.a, from memory; Reda and
 * Andreas, Solar Position Algorithm, NREL/TP-560-34302 (rev. 2008), example A.5 and the table of
 * rises and sets; rows of rise, set and twilight computed with that algorithm (delta T 69.2 s) by
 * root finding, at the altitudes -0.8333 and -6 of the US Naval Observatory's definitions. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/sky/sun.h"
#include "sky/solar.h"

static int64_t utc(const char *iso)
{
    int64_t ms = 0;

    cr_assert(lw_clock_from_iso(iso, &ms), "%s", iso);
    return ms;
}

static void at_time(const char *what, int64_t got, const char *want, double tolerance_s)
{
    double late_s;

    if (!want) {
        cr_assert_eq(got, LW_NO_TIME, "%s should not happen", what);
        return;
    }
    cr_assert_neq(got, LW_NO_TIME, "%s should happen at %s", what, want);
    late_s = (double)(got - utc(want)) / 1000;
    cr_assert(fabs(late_s) <= tolerance_s, "%s is %.1f s after %s", what, late_s, want);
}

/* Meeus 25.a: 1992-10-13 0h TD, JDE 2448908.5. */
Test(sun, stands_where_meeus_example_25a_puts_it)
{
    const struct sun_place sun = sun_place_at(2448908.5 - 2451545.0);

    cr_assert_float_eq(sun.ascension_deg, 198.38083, 1e-4, "%.6f", sun.ascension_deg);
    cr_assert_float_eq(sun.declination_deg, -7.78507, 1e-4, "%.6f", sun.declination_deg);
}

/* SPA A.5: zenith angle without refraction 90 - 39.872046; azimuth 194.34024. */
Test(sun, agrees_with_the_spa_example)
{
    const struct lw_ll golden = {39.742476, -105.1786};
    double altitude, azimuth;

    lw_sun_position(golden, utc("2003-10-17T19:30:30Z"), &altitude, &azimuth);
    cr_assert_float_eq(altitude, 39.872046, 0.02, "%.5f", altitude);
    cr_assert_float_eq(azimuth, 194.340240, 0.02, "%.5f", azimuth);
}

/* The example's sunset, 17:20:19, belongs to 0 to 24 h UT of the 17th, the evening of the 16th
 * there; sunrise 06:12:43 and transit 11:46:05 local are of the 17th. */
Test(sun, rises_and_sets_as_in_the_spa_example)
{
    const struct lw_ll golden = {39.742476, -105.1786};
    struct lw_sun_day day = lw_sun_day_of(golden, utc("2003-10-17T19:30:30Z"));

    at_time("rise", day.rise_utc_ms, "2003-10-17T13:12:43Z", 60);
    at_time("noon", day.noon_utc_ms, "2003-10-17T18:46:05Z", 60);
    day = lw_sun_day_of(golden, utc("2003-10-16T19:30:30Z"));
    at_time("set", day.set_utc_ms, "2003-10-17T00:20:19Z", 60);
}

/* SPA's table of rises and sets at longitude 0. */
Test(sun, rises_and_sets_as_in_the_spa_table)
{
    static const struct {
        double lat_deg;
        const char *noonish, *rise, *set;
    } rows[] = {
        {35, "1994-01-02T12:00:00Z", "1994-01-02T07:08:12.8Z", "1994-01-02T16:59:55.9Z"},
        {-35, "1996-07-05T12:00:00Z", "1996-07-05T07:08:15.4Z", "1996-07-05T17:01:04.5Z"},
        {-35, "2004-12-04T12:00:00Z", "2004-12-04T04:38:57.1Z", "2004-12-04T19:02:02.5Z"},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct lw_ll at = {rows[i].lat_deg, 0};
        const struct lw_sun_day day = lw_sun_day_of(at, utc(rows[i].noonish));

        at_time("rise", day.rise_utc_ms, rows[i].rise, 60);
        at_time("set", day.set_utc_ms, rows[i].set, 60);
    }
}

Test(sun, stands_at_the_altitudes_of_spa)
{
    static const struct {
        double lat_deg, lon_deg;
        const char *when;
        double altitude_deg, azimuth_deg;
    } rows[] = {
        {46.25, -93.65, "2024-05-11T18:00:00Z", 61.8015, 174.4814},
        {46.25, -93.65, "2024-05-11T12:00:00Z", 11.1107, 75.3925},
        {45, -93, "2024-12-21T18:00:00Z", 21.5185, 177.4320},
        {-33.87, 151.21, "2024-06-20T12:00:00Z", -62.4447, 255.4755},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct lw_ll at = {rows[i].lat_deg, rows[i].lon_deg};
        double altitude, azimuth;

        lw_sun_position(at, utc(rows[i].when), &altitude, &azimuth);
        cr_assert_float_eq(altitude, rows[i].altitude_deg, 0.02, "row %zu: %.4f", i, altitude);
        cr_assert_float_eq(azimuth, rows[i].azimuth_deg, 0.02, "row %zu: %.4f", i, azimuth);
    }
}

static const struct {
    double lat_deg, lon_deg;
    const char *when, *dawn, *rise, *set, *dusk; /* NULL: does not happen */
} days[] = {
    {45, -93, "2024-06-20T18:00:00Z", "2024-06-20T09:47:45Z", "2024-06-20T10:25:12Z",
     "2024-06-21T02:02:19Z", "2024-06-21T02:39:46Z"},
    {45, -93, "2024-12-21T18:00:00Z", "2024-12-21T13:13:33Z", "2024-12-21T13:47:26Z",
     "2024-12-21T22:33:23Z", "2024-12-21T23:07:16Z"},
    {46.25, -93.65, "2024-05-11T18:00:00Z", "2024-05-11T10:11:04Z", "2024-05-11T10:45:52Z",
     "2024-05-12T01:36:50Z", "2024-05-12T02:11:47Z"},
    {40, -75, "2024-03-20T17:00:00Z", "2024-03-20T10:35:33Z", "2024-03-20T11:02:32Z",
     "2024-03-20T23:12:37Z", "2024-03-20T23:39:40Z"},
    {50, 0, "2024-06-21T12:00:00Z", "2024-06-21T03:06:06Z", "2024-06-21T03:50:46Z",
     "2024-06-21T20:13:02Z", "2024-06-21T20:57:42Z"},
    {62, 18, "2024-06-21T11:00:00Z", NULL, "2024-06-21T00:57:24Z", "2024-06-21T20:42:21Z", NULL},
    {69.65, 18.96, "2024-06-21T11:00:00Z", NULL, NULL, NULL, NULL},
    {69.65, 18.96, "2024-12-21T11:00:00Z", "2024-12-21T08:31:31Z", NULL, NULL,
     "2024-12-21T12:53:19Z"},
};

Test(sun, days_have_the_times_of_spa)
{
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        const struct lw_ll at = {days[i].lat_deg, days[i].lon_deg};
        const struct lw_sun_day day = lw_sun_day_of(at, utc(days[i].when));

        at_time("civil dawn", day.civil_dawn_utc_ms, days[i].dawn, 60);
        at_time("rise", day.rise_utc_ms, days[i].rise, 60);
        at_time("set", day.set_utc_ms, days[i].set, 60);
        at_time("civil dusk", day.civil_dusk_utc_ms, days[i].dusk, 60);
    }
}

Test(sun, knows_how_low_and_high_it_stands_far_north)
{
    struct lw_sun_day day;

    day = lw_sun_day_of((struct lw_ll){69.65, 18.96}, utc("2024-06-21T11:00:00Z"));
    cr_assert_float_eq(day.midnight_altitude_deg, 3.083, 0.02);
    cr_assert_float_eq(day.noon_altitude_deg, 43.785, 0.02);
    day = lw_sun_day_of((struct lw_ll){69.65, 18.96}, utc("2024-12-21T11:00:00Z"));
    cr_assert_float_eq(day.noon_altitude_deg, -3.091, 0.02);
    day = lw_sun_day_of((struct lw_ll){62, 18}, utc("2024-06-21T11:00:00Z"));
    cr_assert_float_eq(day.midnight_altitude_deg, -4.567, 0.02);
    day = lw_sun_day_of((struct lw_ll){50, 0}, utc("2024-06-21T11:00:00Z"));
    cr_assert_float_eq(day.midnight_altitude_deg, -16.567, 0.02);
}

/* A dwell at one in the morning belongs to the night before or after it, never to both. */
Test(sun, every_minute_of_a_solar_day_gives_the_same_day)
{
    const struct lw_ll at = {46.25, -93.65};
    const struct lw_sun_day first = lw_sun_day_of(at, utc("2024-05-11T18:00:00Z"));
    int changes = 0;
    int64_t noon = first.noon_utc_ms;

    for (int64_t t = first.noon_utc_ms; t < first.noon_utc_ms + 86400000; t += 60000) {
        const struct lw_sun_day day = lw_sun_day_of(at, t);

        cr_assert(llabs(day.noon_utc_ms - t) <= 43200000 + 60000);
        if (llabs(day.noon_utc_ms - noon) > 1000) {
            changes++;
            cr_assert(llabs(day.noon_utc_ms - noon - 86400000) < 60000);
            noon = day.noon_utc_ms;
        }
    }
    cr_assert_eq(changes, 1);
}

/* The altitude at each event is the one that defines it, over a year and many latitudes. */
Test(sun, events_stand_at_their_altitude)
{
    int seen = 0;

    for (int lat = -64; lat <= 64; lat += 16)
        for (int d = 0; d < 366; d += 7) {
            const struct lw_ll at = {lat, 7.5 * d - 180 > 180 ? 0 : 7.5 * d - 180};
            const struct lw_sun_day day = lw_sun_day_of(at, utc("2026-01-01T12:00:00Z") +
                                                                d * INT64_C(86400000));
            const struct {
                int64_t when;
                double altitude_deg;
            } events[] = {{day.rise_utc_ms, -0.83333},
                          {day.set_utc_ms, -0.83333},
                          {day.civil_dawn_utc_ms, -6},
                          {day.civil_dusk_utc_ms, -6}};

            for (int i = 0; i < 4; i++) {
                double altitude, azimuth;

                if (events[i].when == LW_NO_TIME)
                    continue;
                seen++;
                lw_sun_position(at, events[i].when, &altitude, &azimuth);
                cr_assert_float_eq(altitude, events[i].altitude_deg, 1e-4);
                cr_assert((azimuth < 180) == (i % 2 == 0), "rises in the east, sets in the west");
            }
        }
    cr_assert_gt(seen, 1500);
}

Test(sun, an_unknown_place_has_no_times)
{
    const struct lw_sun_day day = lw_sun_day_of((struct lw_ll){NAN, NAN}, 0);

    cr_assert_eq(day.rise_utc_ms, LW_NO_TIME);
    cr_assert_eq(day.noon_utc_ms, LW_NO_TIME);
    cr_assert_eq(day.set_utc_ms, LW_NO_TIME);
    cr_assert(isnan(day.noon_altitude_deg));
}
