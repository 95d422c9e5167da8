/* NMEA 0183 sentences that gpsd passes on raw but does not decode, and those that a replay needs.
 *
 * Pure. A sentence counts only when its checksum is there and right (XOR between $ and *). Fields
 * are by the standard; an empty field is NaN. Talker is any two letters. */
#ifndef LIPWALK_FEED_NMEA_H
#define LIPWALK_FEED_NMEA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/geo/point.h"

enum lw_nmea_kind {
    LW_NMEA_BAD,   /* no sentence, or a wrong or missing checksum */
    LW_NMEA_OTHER, /* sound, but not one of these */
    LW_NMEA_GGA,
    LW_NMEA_RMC,
    LW_NMEA_VTG,
    LW_NMEA_GLL,
    LW_NMEA_DBT,
    LW_NMEA_DPT,
    LW_NMEA_MTW,
    LW_NMEA_MWV,
    LW_NMEA_MWD,
    LW_NMEA_HDT,
    LW_NMEA_HDG,
    LW_NMEA_HDM,
    LW_NMEA_VHW
};
struct lw_nmea {
    enum lw_nmea_kind kind;
    /* GGA, RMC, GLL */
    double time_of_day_s; /* UTC; NaN */
    int year, month, day; /* RMC; 0 unknown */
    bool valid;           /* GGA quality > 0; RMC, GLL status A */
    struct lw_ll at;
    double hdop, altitude_m;
    double sog_mps, cog_deg; /* RMC, VTG */
    double variation_deg;    /* RMC, HDG: + east */
    /* sensors */
    double depth_m;        /* DBT: below the transducer. DPT: as measured */
    double depth_offset_m; /* DPT: + transducer to water line, - to keel */
    double water_c;
    double wind_deg, wind_mps; /* MWV: from the bow. MWD: true */
    bool wind_true;            /* MWV T, MWD */
    double heading_true_deg, heading_mag_deg, deviation_deg;
};
/* Reads one line (line end allowed). */
struct lw_nmea lw_nmea_parse(const char *line);
/* Appends "*hh\r\n" for a body that starts with '$'. Returns the length, 0 when it does not fit. */
size_t lw_nmea_seal(char *sentence, size_t size);

#endif
