/* The sun, after Meeus, Astronomical Algorithms (2nd ed. 1998), from memory: chapter 25 (low
 * precision, 0.01 degrees), 12 (sidereal time), 13 (altitude and azimuth). */
#include "lipwalk/sky/sun.h"

#include <math.h>

#include "solar.h"

#define RAD          (M_PI / 180.0)
#define DAY_MS       86400000.0
#define J2000_UTC_MS INT64_C(946728000000) /* 2000-01-01T12:00:00Z, JD 2451545.0 */
/* TT - UT. It was 69 s in 2020 to 2026 (IERS, from memory) and moves by less than 1 s a year; 10 s
 * shift the sun by 0.0001 degrees. */
#define DELTA_T_DAYS (69.0 / 86400.0)
#define HALF_DAY_MS  (DAY_MS / 2)

#define RISE_ALTITUDE_DEG  (-50.0 / 60.0)
#define CIVIL_ALTITUDE_DEG (-6.0)

static double wrap_turn(double deg) /* to -180 <= d < 180 */
{
    return deg - 360.0 * floor((deg + 180.0) / 360.0);
}

struct sun_place sun_place_at(double days_tt)
{
    const double t = days_tt / 36525.0;
    const double mean_lon = 280.46646 + t * (36000.76983 + t * 0.0003032);
    const double anomaly = RAD * (357.52911 + t * (35999.05029 - t * 0.0001537));
    const double centre = (1.914602 - t * (0.004817 + t * 0.000014)) * sin(anomaly) +
                          (0.019993 - t * 0.000101) * sin(2 * anomaly) +
                          0.000289 * sin(3 * anomaly);
    const double node = RAD * (125.04 - 1934.136 * t);
    /* Apparent: less aberration, with the largest term of nutation. */
    const double nutation = -0.00478 * sin(node);
    const double lon = RAD * (mean_lon + centre - 0.00569 + nutation);
    const double mean_obliquity = 23.0 + 26.0 / 60 +
                                  (21.448 - t * (46.8150 + t * (0.00059 - t * 0.001813))) / 3600;
    const double obliquity = RAD * (mean_obliquity + 0.00256 * cos(node));
    const double ascension = atan2(cos(obliquity) * sin(lon), cos(lon)) / RAD;

    return (struct sun_place){
        .ascension_deg = ascension < 0 ? ascension + 360 : ascension,
        .declination_deg = asin(sin(obliquity) * sin(lon)) / RAD,
        .equinoxes_deg = nutation * cos(obliquity),
    };
}

static double days_of(double utc_ms)
{
    return (utc_ms - (double)J2000_UTC_MS) / DAY_MS;
}

/* The hour angle, west positive, and the declination. */
static double hour_angle_deg(double lon_deg, double utc_ms, double *declination_deg)
{
    const double days = days_of(utc_ms), t = days / 36525.0;
    const double mean_sidereal = 280.46061837 + 360.98564736629 * days + 0.000387933 * t * t;
    const struct sun_place sun = sun_place_at(days + DELTA_T_DAYS);

    *declination_deg = sun.declination_deg;
    return wrap_turn(mean_sidereal + sun.equinoxes_deg + lon_deg - sun.ascension_deg);
}

static double altitude_of(struct lw_ll at, double utc_ms)
{
    double declination;
    const double hour = RAD * hour_angle_deg(at.lon_deg, utc_ms, &declination);
    const double sine = sin(RAD * at.lat_deg) * sin(RAD * declination) +
                        cos(RAD * at.lat_deg) * cos(RAD * declination) * cos(hour);

    /* A rounding past 1 is the zenith; fmin would make a zenith of NaN too. */
    return sine > 1 ? 90 : sine < -1 ? -90 : asin(sine) / RAD;
}

void lw_sun_position(struct lw_ll at, int64_t utc_ms, double *altitude_deg, double *azimuth_deg)
{
    double declination;
    const double hour = RAD * hour_angle_deg(at.lon_deg, (double)utc_ms, &declination);
    const double south = atan2(sin(hour), cos(hour) * sin(RAD * at.lat_deg) -
                                              tan(RAD * declination) * cos(RAD * at.lat_deg));

    *altitude_deg = altitude_of(at, (double)utc_ms);
    *azimuth_deg = fmod(south / RAD + 180.0, 360.0);
}

/* The time near `utc_ms` at which the hour angle is `want_deg`. */
static double time_of_hour_angle(double lon_deg, double want_deg, double utc_ms)
{
    double unused;

    /* The hour angle grows 360 degrees a day within 30 s: each pass divides the error by 2000. */
    for (int pass = 0; pass < 4; pass++)
        utc_ms -= wrap_turn(hour_angle_deg(lon_deg, utc_ms, &unused) - want_deg) / 360.0 * DAY_MS;
    return utc_ms;
}

/* The time between a midnight and a noon (either order) at which the sun's altitude is `want_deg`,
 * or LW_NO_TIME. The interval is halved, with the sun placed anew at each step, rather than solved
 * from the day's declination: that also holds where the sun only grazes the altitude. */
static int64_t time_of_altitude(struct lw_ll at, double want_deg, double midnight, double noon)
{
    double low = midnight, high = noon;

    if (!(altitude_of(at, low) < want_deg && altitude_of(at, high) >= want_deg))
        return LW_NO_TIME;
    while (fabs(high - low) > 1.0) {
        const double middle = (low + high) / 2;

        if (altitude_of(at, middle) < want_deg)
            low = middle;
        else
            high = middle;
    }
    return llround(high);
}

struct lw_sun_day lw_sun_day_of(struct lw_ll at, int64_t utc_ms)
{
    double unused;
    const double hour = hour_angle_deg(at.lon_deg, (double)utc_ms, &unused);
    const double noon = time_of_hour_angle(at.lon_deg, 0, (double)utc_ms - hour / 360.0 * DAY_MS);
    const double before = time_of_hour_angle(at.lon_deg, 180, noon - HALF_DAY_MS);
    const double after = time_of_hour_angle(at.lon_deg, 180, noon + HALF_DAY_MS);

    return (struct lw_sun_day){
        .civil_dawn_utc_ms = time_of_altitude(at, CIVIL_ALTITUDE_DEG, before, noon),
        .rise_utc_ms = time_of_altitude(at, RISE_ALTITUDE_DEG, before, noon),
        .noon_utc_ms = isnan(noon) ? LW_NO_TIME : llround(noon),
        .set_utc_ms = time_of_altitude(at, RISE_ALTITUDE_DEG, after, noon),
        .civil_dusk_utc_ms = time_of_altitude(at, CIVIL_ALTITUDE_DEG, after, noon),
        .noon_altitude_deg = altitude_of(at, noon),
        .midnight_altitude_deg = fmin(altitude_of(at, before), altitude_of(at, after)),
    };
}
