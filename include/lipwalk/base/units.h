/* Units exist only here, at parse and print; everything inside is SI.
 *
 * Factors: NIST SP 811 (2008), appendix B: ft 0.3048 m, US survey ft 1200/3937 m, mi 1609.344 m,
 * nmi 1852 m, kn 1852/3600 m/s, oz 0.028349523125 kg, C = (F - 32) / 1.8, all exact. */
#ifndef LIPWALK_BASE_UNITS_H
#define LIPWALK_BASE_UNITS_H

#include <stddef.h>

#include "lipwalk/base/error.h"

enum lw_units { LW_US, LW_METRIC }; /* what a bare number means and what people read */

enum lw_quantity {
    LW_LENGTH,   /* m; ft, yd, mi, nmi, km, cm, in, fathom; bare: ft | m */
    LW_DEPTH,    /* m, positive down; same units as a length; bare: ft | m */
    LW_SPEED,    /* m/s; mph, kn, km/h, ft/s; bare: mph | km/h */
    LW_MASS,     /* kg; oz (also "5/16oz"), lb, g; bare: oz | g */
    LW_TEMP,     /* degrees Celsius; F, C, K; bare: F | C */
    LW_DURATION, /* s; s, min, h, also "2h30" and "2:30" (hours:minutes); bare: min */
    LW_ANGLE,    /* degrees; "deg" or nothing */
    LW_RATIO,    /* a plain number; "95%" is 0.95 */
    LW_COUNT     /* a whole number */
};

#define LW_FT_M           0.3048
#define LW_US_SURVEY_FT_M (1200.0 / 3937.0)
#define LW_MPH_MPS        0.44704
#define LW_KN_MPS         (1852.0 / 3600.0)

/* Reads `text` ("35ft", "10.5 m", "1.2mph", "5/16oz", "60F", "2h30") as `quantity` into SI.
 * Fails with a sentence naming the text and the units accepted. Never accepts NaN or infinity. */
int lw_units_parse(const char *text, enum lw_quantity quantity, enum lw_units bare, double *out_si,
                   struct lw_error *err);

/* Prints an SI value for people in the wanted system with `decimals` places: "35 ft", "10.7 m",
 * "1.2 mph", "60 F". NaN prints as "--". `to` is always terminated. */
void lw_units_print(char *to, size_t size, double si, enum lw_quantity quantity,
                    enum lw_units units, int decimals);

/* A chosen depth as people name an edge: a decimal only where it is no whole number ("9 ft",
 * "9.5 ft", "2.7 m"). */
void lw_units_print_edge(char *to, size_t size, double depth_m, enum lw_units units);

/* The SI value as a bare number of people's units (metres to feet, m/s to mph or km/h, ...). */
double lw_units_from_si(double si, enum lw_quantity quantity, enum lw_units units);
/* The name of people's unit: "ft", "m", "mph", "km/h", "F", "C", ... */
const char *lw_units_name(enum lw_quantity quantity, enum lw_units units);

/* Reads "46.0088,-89.6997" (decimal degrees, latitude first). Fails outside +-90, -180..360;
 * longitudes above 180 come back as -180..180. */
int lw_units_parse_lat_lon(const char *text, double *lat_deg, double *lon_deg,
                           struct lw_error *err);

#endif
