/* Depth, heading, wind and water from sentences: which of several speakers is believed, and true
 * wind from the wind that a moving boat feels. Pure. */
#ifndef LW_FEED_SENSORS_H
#define LW_FEED_SENSORS_H

#include <stdint.h>

#include "lipwalk/event/position.h"
#include "lipwalk/feed/nmea.h"

/* Who spoke last: a better source is not overruled by a lesser one until it has been silent for
 * LW_SPEAKER_MS. */
#define LW_SPEAKER_MS 3000
struct lw_speaker {
    int rank; /* 0: nobody yet */
    int64_t seen_mono_ms;
};

struct lw_sensors {
    struct lw_readings readings;
    double variation_deg;     /* the crew's, 0: unset */
    double variation_rmc_deg; /* the receiver's last; NaN */
    struct lw_speaker depth, heading, wind;
};
void lw_sensors_clear(struct lw_sensors *sensors, double variation_deg);

/* Takes in a sentence seen at mono_ms; ve, vn is the boat's velocity over ground, NaN unknown.
 * Depth: DPT with its offset, before DPT without and DBT. Heading: HDT, before HDG and HDM, before
 * VHW; a magnetic one is corrected by the sentence's own variation, else the crew's, else the
 * receiver's, else not. Wind: MWD, before MWV T, before what MWV R comes to. */
void lw_sensors_take(struct lw_sensors *sensors, const struct lw_nmea *sentence, int64_t mono_ms,
                     double ve_mps, double vn_mps);
/* What gpsd decoded itself. NaN is ignored. */
void lw_sensors_depth(struct lw_sensors *sensors, double depth_m, int64_t mono_ms);
void lw_sensors_heading(struct lw_sensors *sensors, double heading_deg, int64_t mono_ms);

/* True wind from apparent wind: the apparent wind is the true one less the boat's velocity (vectors
 * over ground). rel_deg clockwise from the bow, from which it blows. */
void lw_wind_true(double rel_mps, double rel_deg, double heading_deg, double ve_mps, double vn_mps,
                  double *wind_mps, double *wind_from_deg);

#endif
