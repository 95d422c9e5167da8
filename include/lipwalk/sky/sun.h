/* The sun: rise, set, twilight for a place and a day.
 *
 * Method: low-precision solar position of Meeus, Astronomical Algorithms (2nd ed. 1998), chapter
 * 25, iterated at each event. Rise and set are the sun's centre at -0.8333 degrees (34' refraction
 * and 16' semi-diameter), civil twilight -6, after the US Naval Observatory's definitions. */
#ifndef LIPWALK_SKY_SUN_H
#define LIPWALK_SKY_SUN_H

#include <stdint.h>

#include "lipwalk/geo/point.h"

#define LW_NO_TIME INT64_MIN /* the event does not happen that day */

struct lw_sun_day {
    int64_t civil_dawn_utc_ms, rise_utc_ms, noon_utc_ms, set_utc_ms, civil_dusk_utc_ms;
    double noon_altitude_deg, midnight_altitude_deg; /* of the centre, no refraction; the
                                                        lower of the day's two midnights */
};

/* Geometric altitude (no refraction) and true azimuth of the sun. Good to 0.02 degrees. */
void lw_sun_position(struct lw_ll at, int64_t utc_ms, double *altitude_deg, double *azimuth_deg);

/* The solar day (solar midnight to solar midnight at that longitude) that holds utc_ms. Events
 * that do not happen are LW_NO_TIME. Good to 60 s for |latitude| < 65. */
struct lw_sun_day lw_sun_day_of(struct lw_ll at, int64_t utc_ms);

#endif
