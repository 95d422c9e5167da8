/* Sentences: NMEA 0183 field order from memory; each with a checksum computed independently (XOR by
 * hand or by another program), the known-good ones from public parser documentation. */
#include "lipwalk/feed/nmea.h"

#include "lw_test.h"
#include <math.h>

#define NEAR(got, want, tol)                                                                       \
    cr_assert_float_eq(got, want, tol, "%s = %.9g, not %.9g", #got, got, want)

Test(nmea, gga)
{
    struct lw_nmea s = lw_nmea_parse(
        "$GPGGA,174530.00,4612.3456,N,09338.7654,W,1,09,0.9,381.2,M,-29.4,M,,*54\r\n");

    cr_assert_eq(s.kind, LW_NMEA_GGA);
    NEAR(s.at.lat_deg, 46.20576, 1e-9);
    NEAR(s.at.lon_deg, -93.64609, 1e-9);
    NEAR(s.time_of_day_s, 17 * 3600 + 45 * 60 + 30.0, 1e-9);
    cr_assert(s.valid);
    NEAR(s.hdop, 0.9, 1e-12);
    NEAR(s.altitude_m, 381.2, 1e-9);
}

Test(nmea, gga_in_south_and_east)
{
    struct lw_nmea s = lw_nmea_parse(
        "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47");

    NEAR(s.at.lat_deg, 48.1173, 1e-9);
    NEAR(s.at.lon_deg, 11.5166667, 1e-7);
}

Test(nmea, rmc)
{
    struct lw_nmea s = lw_nmea_parse(
        "$GPRMC,174530.00,A,4612.3456,N,09338.7654,W,2.7,231.4,110524,0.6,E,A*23");

    cr_assert_eq(s.kind, LW_NMEA_RMC);
    cr_assert(s.valid);
    cr_assert_eq(s.year, 2024);
    cr_assert_eq(s.month, 5);
    cr_assert_eq(s.day, 11);
    NEAR(s.sog_mps, 1.389, 1e-9);
    NEAR(s.cog_deg, 231.4, 1e-9);
    NEAR(s.variation_deg, 0.6, 1e-12);

    s = lw_nmea_parse("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A");
    cr_assert_eq(s.year, 1994);
    NEAR(s.sog_mps, 11.523556, 1e-6);
    NEAR(s.variation_deg, -3.1, 1e-12);
}

Test(nmea, vtg_in_knots)
{
    struct lw_nmea s = lw_nmea_parse("$GPVTG,231.4,T,230.8,M,2.7,N,5.0,K,A*2E");

    cr_assert_eq(s.kind, LW_NMEA_VTG);
    NEAR(s.cog_deg, 231.4, 1e-12);
    NEAR(s.sog_mps, 1.389, 1e-9);
}

Test(nmea, headings)
{
    struct lw_nmea s = lw_nmea_parse("$HEHDT,228.6,T*21");

    cr_assert_eq(s.kind, LW_NMEA_HDT);
    NEAR(s.heading_true_deg, 228.6, 1e-12);
    s = lw_nmea_parse("$HCHDG,228.0,,,0.6,E*27");
    cr_assert_eq(s.kind, LW_NMEA_HDG);
    NEAR(s.heading_mag_deg, 228.0, 1e-12);
    cr_assert(isnan(s.deviation_deg));
    NEAR(s.variation_deg, 0.6, 1e-12);
    s = lw_nmea_parse("$VWVHW,228.6,T,228.0,M,2.5,N,4.6,K*57");
    cr_assert_eq(s.kind, LW_NMEA_VHW);
    NEAR(s.heading_true_deg, 228.6, 1e-12);
}

Test(nmea, depths)
{
    struct lw_nmea s = lw_nmea_parse("$SDDBT,18.4,f,5.6,M,3.1,F*3A");

    cr_assert_eq(s.kind, LW_NMEA_DBT);
    NEAR(s.depth_m, 5.6, 1e-12);
    s = lw_nmea_parse("$SDDPT,5.6,0.4,100.0*53");
    cr_assert_eq(s.kind, LW_NMEA_DPT);
    NEAR(s.depth_m + s.depth_offset_m, 6.0, 1e-12);
    s = lw_nmea_parse("$SDDPT,5.6,-0.3,*56");
    NEAR(s.depth_m + s.depth_offset_m, 5.3, 1e-12);
    s = lw_nmea_parse("$INDPT,2.3,0.0*46");
    NEAR(s.depth_m, 2.3, 1e-12);
    NEAR(s.depth_offset_m, 0.0, 1e-12);
}

Test(nmea, water_and_wind)
{
    struct lw_nmea s = lw_nmea_parse("$YXMTW,15.2,C*14");

    cr_assert_eq(s.kind, LW_NMEA_MTW);
    NEAR(s.water_c, 15.2, 1e-12);
    s = lw_nmea_parse("$SDMTW,,C*1A"); /* a sounder without a thermometer */
    cr_assert_eq(s.kind, LW_NMEA_MTW);
    cr_assert(isnan(s.water_c));
    s = lw_nmea_parse("$WIMWV,042.0,R,11.3,N,A*16");
    cr_assert_eq(s.kind, LW_NMEA_MWV);
    cr_assert_not(s.wind_true);
    NEAR(s.wind_deg, 42.0, 1e-12);
    NEAR(s.wind_mps, 5.813222, 1e-6);
    s = lw_nmea_parse("$WIMWV,275.0,T,4.6,M,A*24");
    cr_assert(s.wind_true);
    NEAR(s.wind_deg, 275.0, 1e-12);
    NEAR(s.wind_mps, 4.6, 1e-12);
    s = lw_nmea_parse("$WIMWD,328.2,T,326.8,M,11.2,N,5.8,M*61");
    cr_assert_eq(s.kind, LW_NMEA_MWD);
    NEAR(s.wind_deg, 328.2, 1e-12);
    NEAR(s.wind_mps, 5.8, 1e-12);
}

/* Three examples printed in the documentation of parser libraries have wrong checksums (the right
 * ones are 64, 78 and 30). */
Test(nmea, wrong_checksums_from_print)
{
    cr_assert_eq(lw_nmea_parse("$SDDPT,15.2,0.5*68").kind, LW_NMEA_BAD);
    cr_assert_eq(lw_nmea_parse("$SDDPT,4.2,0.5,*4F").kind, LW_NMEA_BAD);
    cr_assert_eq(lw_nmea_parse("$SDDBT,12.3,f,3.7,M,2.0,F*35").kind, LW_NMEA_BAD);
    NEAR(lw_nmea_parse("$SDDPT,15.2,0.5*64").depth_m, 15.2, 1e-12);
    NEAR(lw_nmea_parse("$SDDPT,4.2,0.5,*78").depth_m, 4.2, 1e-12);
    NEAR(lw_nmea_parse("$SDDBT,12.3,f,3.7,M,2.0,F*30").depth_m, 3.7, 1e-12);
}

/* Seals a body and reads it. */
static struct lw_nmea sealed(const char *body)
{
    char line[256];

    snprintf(line, sizeof line, "%s", body);
    cr_assert_gt(lw_nmea_seal(line, sizeof line), 0);
    return lw_nmea_parse(line);
}

Test(nmea, bad_lines)
{
    static const char *const bad[] = {"",
                                      "$",
                                      "$*00",
                                      "GPGGA,1*00",
                                      "$GPGGA,174530.00",
                                      "$SDDBT,18.4,f,5.6,M,3.1,F",
                                      "$SDDBT,18.4,f,5.6,M,3.1,F*",
                                      "$SDDBT,18.4,f,5.6,M,3.1,F*3",
                                      "$SDDBT,18.4,f,5.6,M,3.1,F*3Ax",
                                      "$SDDBT,18.4,f,5.6,M,3.1,F*G0",
                                      "{\"class\":\"TPV\"}",
                                      "# a comment"};

    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        cr_assert_eq(lw_nmea_parse(bad[i]).kind, LW_NMEA_BAD, "%s", bad[i]);
    cr_assert_eq(lw_nmea_parse("$SDDBT,18.4,f,5.6,M,3.1,F*3a\n").kind, LW_NMEA_DBT);
    cr_assert_eq(sealed("$PGRMZ,246,f,3").kind, LW_NMEA_OTHER);
    cr_assert_eq(sealed("$GPGSV,3,1,12").kind, LW_NMEA_OTHER);
}

Test(nmea, absurd_fields_are_unknown)
{
    cr_assert(isnan(sealed("$SDDBT,,f,-3.0,M,,F").depth_m));
    cr_assert(isnan(sealed("$SDDBT,,f,1e3,M,,F").depth_m));
    cr_assert(isnan(sealed("$SDDBT").depth_m));
    cr_assert(isnan(sealed("$HEHDT,400.0,T").heading_true_deg));
    cr_assert(isnan(sealed("$HEHDT,nan,T").heading_true_deg));
    cr_assert(isnan(sealed("$GPGLL,4660.000,N,09338.000,W,174530,A").at.lat_deg));
    cr_assert(isnan(sealed("$GPGLL,4630.000,X,09338.000,W,174530,A").at.lon_deg));
    cr_assert(isnan(sealed("$GPGLL,4630.000,N,09338.000,W,176030,A").time_of_day_s));
    cr_assert_not(sealed("$GPRMC,174530,V,4630.0,N,09338.0,W,1.0,2.0,110524,,,N").valid);
    cr_assert_not(sealed("$GPRMC,174530,A,4630.0,N,09338.0,W,1.0,2.0,110524,,,N").valid);
    cr_assert_not(sealed("$GPGGA,174530,4630.0,N,09338.0,W,0,00,,,M,,M,,").valid);
    cr_assert(isnan(sealed("$WIMWV,042.0,R,11.3,N,V").wind_mps));
    cr_assert_eq(sealed("$GPRMC,174530,A,4630.0,N,09338.0,W,1.0,2.0,321324,,,A").year, 0);
    NEAR(sealed("$HEHDT,360.0,T").heading_true_deg, 0.0, 1e-12);
    NEAR(sealed("$SDDBT,10.0,f,,M,,F").depth_m, 3.048, 1e-12);
    NEAR(sealed("$SDDBT,,f,,M,2.0,F").depth_m, 3.6576, 1e-12);
    NEAR(sealed("$GPGLL,3300.000,S,15130.000,E,000000,A").at.lat_deg, -33.0, 1e-12);
}

/* The other program is the known-good sentence's own checksum. */
Test(nmea, seal)
{
    char line[80] = "$YXMTW,15.2,C";

    cr_assert_eq(lw_nmea_seal(line, sizeof line), strlen("$YXMTW,15.2,C*14\r\n"));
    cr_assert_str_eq(line, "$YXMTW,15.2,C*14\r\n");
    cr_assert_eq(lw_nmea_seal(strcpy(line, "$YXMTW,15.2,C"), 18), 0, "no room for the end");
    cr_assert_eq(lw_nmea_seal(strcpy(line, "YXMTW"), sizeof line), 0);
}

/* Every line with one byte changed to any other must be refused or still be sound: never a crash,
 * and a changed digit in the body never passes. */
Test(nmea, one_wrong_byte)
{
    const char *good = "$SDDPT,5.6,0.4,100.0*53";
    char line[64];

    for (size_t i = 1; i < strlen(good) - 3; i++) {
        for (int c = 1; c < 256; c++) {
            strcpy(line, good);
            if ((char)c == good[i])
                continue;
            line[i] = (char)c;
            cr_assert_eq(lw_nmea_parse(line).kind, LW_NMEA_BAD, "byte %zu as %d", i, c);
        }
    }
}
