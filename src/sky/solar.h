/* Where the sun stands among the stars: the step under sun.c that has published check values. */
#ifndef LIPWALK_SRC_SKY_SOLAR_H
#define LIPWALK_SRC_SKY_SOLAR_H

struct sun_place {
    double ascension_deg, declination_deg; /* apparent, of the date */
    double equinoxes_deg;                  /* nutation in right ascension */
};

/* `days_tt` since JD 2451545.0, dynamical time. */
struct sun_place sun_place_at(double days_tt);

#endif
