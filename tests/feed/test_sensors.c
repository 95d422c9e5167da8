/* Which speaker is believed, and true wind. Wind values: vector arithmetic done by hand and by
 * another program. */
#include "../../src/feed/sensors.h"

#include "lw_test.h"
#include <math.h>

static void say(struct lw_sensors *s, const char *body, int64_t mono_ms)
{
    char line[128];
    struct lw_nmea sentence;

    snprintf(line, sizeof line, "%s", body);
    cr_assert_gt(lw_nmea_seal(line, sizeof line), 0);
    sentence = lw_nmea_parse(line);
    cr_assert_neq(sentence.kind, LW_NMEA_BAD);
    lw_sensors_take(s, &sentence, mono_ms, 0.0, 0.0);
}

static struct lw_sensors fresh(double variation_deg)
{
    struct lw_sensors s;

    lw_sensors_clear(&s, variation_deg);
    return s;
}

Test(sensors, depth_by_offset_before_below_transducer)
{
    struct lw_sensors s = fresh(0);

    say(&s, "$SDDBT,18.4,f,5.6,M,3.1,F", 0);
    cr_assert_float_eq(s.readings.depth_m.value, 5.6, 1e-12);
    say(&s, "$SDDPT,5.6,0.4,100.0", 100);
    cr_assert_float_eq(s.readings.depth_m.value, 6.0, 1e-12);
    say(&s, "$SDDBT,,f,5.5,M,,F", 200);
    cr_assert_float_eq(s.readings.depth_m.value, 6.0, 1e-12, "DBT does not overrule DPT");
    say(&s, "$SDDPT,5.6,-0.3,", 300);
    cr_assert_float_eq(s.readings.depth_m.value, 5.3, 1e-12);
    say(&s, "$SDDPT,,,", 400);
    cr_assert_float_eq(s.readings.depth_m.value, 5.3, 1e-12);
    cr_assert_eq(s.readings.depth_m.seen_mono_ms, 300, "an empty sentence is no reading");
    say(&s, "$SDDBT,,f,4.0,M,,F", 300 + LW_SPEAKER_MS + 1);
    cr_assert_float_eq(s.readings.depth_m.value, 4.0, 1e-12, "a silent DPT gives way");
    lw_sensors_depth(&s, 9.0, 300 + LW_SPEAKER_MS + 2);
    cr_assert_float_eq(s.readings.depth_m.value, 4.0, 1e-12, "gpsd's own is the least");
}

Test(sensors, heading_order_and_correction)
{
    struct lw_sensors s = fresh(-2.0);

    cr_assert_eq(s.readings.heading_source, LW_HEADING_NONE);
    say(&s, "$HCHDM,100.0,M", 0);
    cr_assert_float_eq(s.readings.heading_deg.value, 98.0, 1e-12, "the crew's variation");
    cr_assert_eq(s.readings.heading_source, LW_HEADING_MAGNETIC);
    say(&s, "$HCHDG,100.0,1.0,W,0.6,E", 100);
    cr_assert_float_eq(s.readings.heading_deg.value, 99.6, 1e-12, "the sentence's own");
    say(&s, "$VWVHW,228.6,T,228.0,M,2.5,N,4.6,K", 200);
    cr_assert_float_eq(s.readings.heading_deg.value, 99.6, 1e-12);
    say(&s, "$HEHDT,228.6,T", 300);
    cr_assert_float_eq(s.readings.heading_deg.value, 228.6, 1e-12);
    cr_assert_eq(s.readings.heading_source, LW_HEADING_COMPASS);
    say(&s, "$HCHDM,100.0,M", 400);
    cr_assert_float_eq(s.readings.heading_deg.value, 228.6, 1e-12);
    say(&s, "$HCHDM,1.0,M", 300 + LW_SPEAKER_MS + 1);
    cr_assert_float_eq(s.readings.heading_deg.value, 359.0, 1e-12, "wrapped");
}

Test(sensors, receiver_variation_when_nobody_else_tells)
{
    struct lw_sensors s = fresh(0);

    say(&s, "$HCHDM,100.0,M", 0);
    cr_assert_float_eq(s.readings.heading_deg.value, 100.0, 1e-12);
    say(&s, "$GPRMC,174530,A,4612.3456,N,09338.7654,W,2.7,231.4,110524,3.5,W,A", 10);
    say(&s, "$HCHDM,100.0,M", 20);
    cr_assert_float_eq(s.readings.heading_deg.value, 96.5, 1e-12);
}

static const struct {
    double from, speed, course, boat, felt, felt_from;
} winds[] = {{240, 12, 30, 6, 7.435882050, 263.793976877},
             {0, 10, 90, 5, 11.180339887, 26.565051177},
             {0, 10, 0, 5, 15, 0},
             {0, 10, 180, 5, 5, 0},
             {315, 15, 0, 10, 23.176109129, 332.764276080}};

Test(sensors, true_wind)
{
    for (size_t i = 0; i < sizeof winds / sizeof winds[0]; i++) {
        double a = winds[i].course * M_PI / 180.0;

        for (double heading = 0; heading < 360; heading += 47) { /* the bow need not point ahead */
            double mps, from;

            lw_wind_true(winds[i].felt, winds[i].felt_from - heading, heading,
                         winds[i].boat * sin(a), winds[i].boat * cos(a), &mps, &from);
            cr_assert_float_eq(mps, winds[i].speed, 1e-7);
            cr_assert_float_eq(lw_bearing_turn(winds[i].from, from), 0.0, 1e-6);
        }
    }
}

Test(sensors, wind_order)
{
    struct lw_sensors s = fresh(0);

    say(&s, "$WIMWV,042.0,R,11.3,N,A", 0);
    cr_assert_float_eq(s.readings.rel_wind_mps.value, 5.813222, 1e-6);
    cr_assert(isnan(s.readings.wind_mps.value), "no heading: no true wind");
    say(&s, "$HEHDT,100.0,T", 10);
    say(&s, "$WIMWV,042.0,R,11.3,N,A", 20); /* the boat lies still: felt is true */
    cr_assert_float_eq(s.readings.wind_mps.value, 5.813222, 1e-6);
    cr_assert_float_eq(s.readings.wind_from_deg.value, 142.0, 1e-9);
    say(&s, "$WIMWV,275.0,T,4.6,M,A", 30);
    cr_assert_float_eq(s.readings.wind_mps.value, 4.6, 1e-12);
    cr_assert_float_eq(s.readings.wind_from_deg.value, 15.0, 1e-9, "from the bow, not from north");
    say(&s, "$WIMWD,328.2,T,326.8,M,11.2,N,5.8,M", 40);
    cr_assert_float_eq(s.readings.wind_from_deg.value, 328.2, 1e-12);
    say(&s, "$WIMWV,275.0,T,4.6,M,A", 50);
    cr_assert_float_eq(s.readings.wind_from_deg.value, 328.2, 1e-12);
    say(&s, "$WIMWV,042.0,R,11.3,N,A", 60);
    cr_assert_float_eq(s.readings.wind_from_deg.value, 328.2, 1e-12);
}

Test(sensors, a_stale_heading_makes_no_wind)
{
    struct lw_sensors s = fresh(0);

    say(&s, "$HEHDT,100.0,T", 0);
    say(&s, "$WIMWV,275.0,T,4.6,M,A", LW_SPEAKER_MS + 1);
    cr_assert(isnan(s.readings.wind_mps.value));
}

Test(sensors, water)
{
    struct lw_sensors s = fresh(0);

    say(&s, "$YXMTW,15.2,C", 7);
    say(&s, "$SDMTW,,C", 8);
    cr_assert_float_eq(s.readings.water_c.value, 15.2, 1e-12);
    cr_assert_eq(s.readings.water_c.seen_mono_ms, 7);
}
