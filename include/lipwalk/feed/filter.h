/* Position and velocity from fixes: constant velocity, white acceleration, two axes. Pure.
 *
 * The measurement noise is learnt from the innovations, with eph only as a ceiling; an innovation
 * beyond the chi-square gate is dropped, three in a row restart the filter. */
#ifndef LIPWALK_FEED_FILTER_H
#define LIPWALK_FEED_FILTER_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/event/position.h"
#include "lipwalk/geo/point.h"

struct lw_filter_rules {
    double accel_mps2;      /* one sigma of the boat's acceleration; 0.2 */
    double noise_m;         /* first guess of one sigma of a fix, an axis; 1.0 */
    double noise_min_m;     /* 0.15 */
    double speed_noise_mps; /* of SOG/COG as velocity; 0.1 */
    double bias_m;          /* slow receiver error that no filter sees, added to sigma; 0.8 */
};
/* The figures named beside the members above. */
void lw_filter_rules_default(struct lw_filter_rules *rules);

struct lw_filter {
    struct lw_filter_rules rules;
    bool on;
    struct lw_frame frame; /* about the first fix */
    int64_t at_utc_ms;
    double x[2], v[2];    /* east, north */
    double pxx, pxv, pvv; /* covariance, the same for both axes */
    double noise_m;       /* learnt */
    int outliers;         /* in a row */
};
/* Forgets everything; the next fix starts it. */
void lw_filter_clear(struct lw_filter *filter, const struct lw_filter_rules *rules);
/* Takes one fix (mode 2 or 3 and a position, else it is ignored) and gives the estimate for its
 * time. Returns false when the fix was ignored (no fix, a time not after the last one: *out is left
 * alone) or dropped as an outlier (then *out is the prediction for its time). More than 30 s
 * without a fix, or a time more than 2 s back, starts anew. */
bool lw_filter_step(struct lw_filter *filter, const struct lw_fix *fix, struct lw_estimate *out);

/* One axis, one step, textbook form, for checks against published steady states: predict by dt_s
 * with discrete white acceleration, then update with position z (and velocity vz unless NaN). */
struct lw_axis {
    double x, v, pxx, pxv, pvv;
};
/* On by dt_s (s) with white acceleration of one sigma accel_mps2 (m/s2). */
void lw_axis_predict(struct lw_axis *axis, double dt_s, double accel_mps2);
/* Takes a position z (m) of one sigma z_sigma (m, > 0). */
void lw_axis_update(struct lw_axis *axis, double z, double z_sigma);
/* Takes a speed vz (m/s) of one sigma vz_sigma (m/s, > 0). */
void lw_axis_update_speed(struct lw_axis *axis, double vz, double vz_sigma);

#endif
