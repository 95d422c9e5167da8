/* A simulated boat for rehearsal: wind and gusts push it, a helm turns and drives it, a receiver
 * reports it with a slow correlated error and white noise. Pure and seeded: the same rules, steps
 * and helm orders give the same boat on every machine. */
#ifndef LIPWALK_FEED_SIM_H
#define LIPWALK_FEED_SIM_H

#include <stddef.h>
#include <stdint.h>

#include "lipwalk/event/position.h"
#include "lipwalk/geo/point.h"

struct lw_sim_rules {
    uint64_t seed;
    double wind_mps, wind_from_deg; /* mean true wind */
    double gust_mps, gust_tau_s;    /* one sigma and time constant of the gusts */
    double leeway; /* drift as a share of the wind; 0.03, common practice, no source */
    double drift_m, drift_tau_s; /* receiver: correlated error an axis, Gauss-Markov */
    double white_m;              /* receiver: white error an axis */
    double speed_noise_mps;      /* receiver: of SOG */
    double turn_dps;             /* fastest turn of the bow */
    double accel_mps2;           /* fastest change of speed through the water */
    double heading_noise_deg;
};
/* 10 mph of wind from 250 degrees, a bow motor, a receiver good to a metre; no source. */
void lw_sim_rules_default(struct lw_sim_rules *rules);

struct lw_sim {
    struct lw_sim_rules rules;
    struct lw_frame frame;       /* about the start */
    struct lw_en at;             /* true place of the antenna, no error */
    double heading_deg, stw_mps; /* through the water */
    double ve_mps, vn_mps;       /* over ground */
    double gust_e_mps, gust_n_mps;
    double drift_e_m, drift_n_m; /* receiver error now */
    double heading_seen_deg;     /* the compass at the last fix, with its noise */
    uint64_t state[4];           /* random generator */
    double time_s;
};
/* Puts the boat at rest at `at`, bow to heading_deg, and seeds its noise. */
void lw_sim_start(struct lw_sim *sim, const struct lw_sim_rules *rules, struct lw_ll at,
                  double heading_deg);
/* One step of dt_s (<= 1) with the helm's orders: bow toward steer_deg, water speed drive_mps. */
void lw_sim_step(struct lw_sim *sim, double dt_s, double steer_deg, double drive_mps);
/* The helm that makes good a wanted course and speed over ground in the present wind: the orders
 * that cancel the mean leeway. While the bow still swings, only the part of the drive that already
 * pulls the right way is ordered. */
void lw_sim_helm(const struct lw_sim *sim, double course_deg, double speed_mps, double *steer_deg,
                 double *drive_mps);
/* What the receiver says now (draws noise), and what is true. */
struct lw_fix lw_sim_fix(struct lw_sim *sim, int64_t utc_ms, int64_t mono_ms);
/* Where the antenna truly is. */
struct lw_ll lw_sim_true(const struct lw_sim *sim);
/* The NMEA 0183 sentences of one epoch (GPRMC, GPGGA, GPVTG, GPHDT, SDDBT, SDDPT, YXMTW, WIMWV R),
 * CRLF ended, checksums right. depth_m (below the transducer) and water_c NaN: left out. Returns
 * the length, 0 when `size` is too small (1024 suffices). */
size_t lw_sim_sentences(const struct lw_sim *sim, const struct lw_fix *fix, double depth_m,
                        double water_c, char *to, size_t size);

#endif
