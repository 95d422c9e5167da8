#include "lipwalk/feed/sim.h"

#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "lipwalk/base/units.h"
#include "lipwalk/feed/nmea.h"

#define RAD (M_PI / 180.0)

void lw_sim_rules_default(struct lw_sim_rules *rules)
{
    /* Gusts: a fifth of the mean wind, a few seconds long. Receiver: sub-metre with satellite
     * augmentation, most of it slow. Helm: an electric motor at the bow. All common practice, no
     * source. */
    *rules = (struct lw_sim_rules){
        .seed = 1,
        .wind_mps = 10 * LW_MPH_MPS,
        .wind_from_deg = 250,
        .gust_mps = 2 * LW_MPH_MPS,
        .gust_tau_s = 8,
        .leeway = 0.03,
        .drift_m = 0.8,
        .drift_tau_s = 60,
        .white_m = 0.3,
        .speed_noise_mps = 0.05,
        .turn_dps = 25,
        .accel_mps2 = 0.3,
        .heading_noise_deg = 1.5,
    };
}

/* ---- random numbers ---- */

static uint64_t rotate(uint64_t x, int by)
{
    return (x << by) | (x >> (64 - by));
}

/* splitmix64 spreads one seed over the whole state, so that seeds 1 and 2 are not alike. */
static void seed_state(uint64_t state[4], uint64_t seed)
{
    for (int i = 0; i < 4; i++) {
        uint64_t z = seed += 0x9e3779b97f4a7c15u;

        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        state[i] = z ^ (z >> 31);
    }
}

/* xoshiro256** 1.0 (Blackman and Vigna 2018, public domain). */
static uint64_t next(uint64_t s[4])
{
    uint64_t result = rotate(s[1] * 5, 7) * 9;
    uint64_t t = s[1] << 17;

    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate(s[3], 45);
    return result;
}

/* 0 < u <= 1, so that its logarithm is finite. */
static double uniform(uint64_t state[4])
{
    return ((double)(next(state) >> 11) + 1) * 0x1p-53;
}

/* Box and Muller 1958; the second of the pair is not kept: one number, two draws, always. */
static double normal(uint64_t state[4])
{
    double r = sqrt(-2 * log(uniform(state)));

    return r * cos(2 * M_PI * uniform(state));
}

/* First-order Gauss-Markov, exact for any dt: the standard deviation stays sigma. */
static double wander(uint64_t state[4], double x, double dt_s, double sigma, double tau_s)
{
    double keep = tau_s > 0 ? exp(-dt_s / tau_s) : 0;

    return x * keep + sigma * sqrt(1 - keep * keep) * normal(state);
}

/* ---- the boat ---- */

void lw_sim_start(struct lw_sim *sim, const struct lw_sim_rules *rules, struct lw_ll at,
                  double heading_deg)
{
    memset(sim, 0, sizeof *sim);
    sim->rules = *rules;
    sim->frame.origin = at;
    sim->heading_deg = sim->heading_seen_deg = lw_bearing_wrap(heading_deg);
    seed_state(sim->state, rules->seed);
    sim->gust_e_mps = rules->gust_mps * normal(sim->state);
    sim->gust_n_mps = rules->gust_mps * normal(sim->state);
    sim->drift_e_m = rules->drift_m * normal(sim->state);
    sim->drift_n_m = rules->drift_m * normal(sim->state);
}

/* Where the air moves to: mean and gust. */
static void wind(const struct lw_sim *sim, double *e_mps, double *n_mps)
{
    const struct lw_sim_rules *rules = &sim->rules;

    *e_mps = -rules->wind_mps * sin(rules->wind_from_deg * RAD) + sim->gust_e_mps;
    *n_mps = -rules->wind_mps * cos(rules->wind_from_deg * RAD) + sim->gust_n_mps;
}

static double limit(double x, double most)
{
    return fmin(fmax(x, -most), most);
}

void lw_sim_step(struct lw_sim *sim, double dt_s, double steer_deg, double drive_mps)
{
    const struct lw_sim_rules *rules = &sim->rules;
    double air_e_mps, air_n_mps;
    double turn_deg = lw_bearing_turn(sim->heading_deg, steer_deg);

    sim->heading_deg = lw_bearing_wrap(sim->heading_deg + limit(turn_deg, rules->turn_dps * dt_s));
    sim->stw_mps += limit(drive_mps - sim->stw_mps, rules->accel_mps2 * dt_s);
    sim->gust_e_mps = wander(sim->state, sim->gust_e_mps, dt_s, rules->gust_mps, rules->gust_tau_s);
    sim->gust_n_mps = wander(sim->state, sim->gust_n_mps, dt_s, rules->gust_mps, rules->gust_tau_s);
    sim->drift_e_m = wander(sim->state, sim->drift_e_m, dt_s, rules->drift_m, rules->drift_tau_s);
    sim->drift_n_m = wander(sim->state, sim->drift_n_m, dt_s, rules->drift_m, rules->drift_tau_s);

    wind(sim, &air_e_mps, &air_n_mps);
    sim->ve_mps = sim->stw_mps * sin(sim->heading_deg * RAD) + rules->leeway * air_e_mps;
    sim->vn_mps = sim->stw_mps * cos(sim->heading_deg * RAD) + rules->leeway * air_n_mps;
    sim->at.e_m += sim->ve_mps * dt_s;
    sim->at.n_m += sim->vn_mps * dt_s;
    sim->time_s += dt_s;
}

void lw_sim_helm(const struct lw_sim *sim, double course_deg, double speed_mps, double *steer_deg,
                 double *drive_mps)
{
    const struct lw_sim_rules *rules = &sim->rules;
    double drift_mps = rules->leeway * rules->wind_mps;
    double e = speed_mps * sin(course_deg * RAD) + drift_mps * sin(rules->wind_from_deg * RAD);
    double n = speed_mps * cos(course_deg * RAD) + drift_mps * cos(rules->wind_from_deg * RAD);
    double swing_deg;

    *steer_deg = lw_bearing_wrap(atan2(e, n) / RAD);
    swing_deg = lw_bearing_turn(sim->heading_deg, *steer_deg);
    *drive_mps = hypot(e, n) * fmax(0, cos(swing_deg * RAD));
}

struct lw_ll lw_sim_true(const struct lw_sim *sim)
{
    return lw_frame_to_ll(&sim->frame, sim->at);
}

/* ---- the receiver ---- */

struct lw_fix lw_sim_fix(struct lw_sim *sim, int64_t utc_ms, int64_t mono_ms)
{
    const struct lw_sim_rules *rules = &sim->rules;
    struct lw_en seen = sim->at;
    double ve_mps, vn_mps;

    seen.e_m += sim->drift_e_m + rules->white_m * normal(sim->state);
    seen.n_m += sim->drift_n_m + rules->white_m * normal(sim->state);
    ve_mps = sim->ve_mps + rules->speed_noise_mps * normal(sim->state);
    vn_mps = sim->vn_mps + rules->speed_noise_mps * normal(sim->state);
    sim->heading_seen_deg = lw_bearing_wrap(sim->heading_deg +
                                            rules->heading_noise_deg * normal(sim->state));
    return (struct lw_fix){
        .at_utc_ms = utc_ms,
        .seen_mono_ms = mono_ms,
        .mode = 3,
        .at = lw_frame_to_ll(&sim->frame, seen),
        .sog_mps = hypot(ve_mps, vn_mps),
        .cog_deg = lw_bearing_wrap(atan2(ve_mps, vn_mps) / RAD),
        .eph_m = NAN,
        .hdop = 0.9,
    };
}

/* ---- its sentences ---- */

struct out {
    char *to;
    size_t size, n;
    bool full;
};

static void say(struct out *out, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(struct out *out, const char *format, ...)
{
    char sentence[96];
    va_list args;
    int length;
    size_t sealed = 0;

    va_start(args, format);
    length = vsnprintf(sentence, sizeof sentence, format, args);
    va_end(args);
    if (length > 0 && (size_t)length < sizeof sentence)
        sealed = lw_nmea_seal(sentence, sizeof sentence);
    if (out->full || sealed == 0 || sealed >= out->size - out->n) {
        out->full = true;
        return;
    }
    memcpy(out->to + out->n, sentence, sealed + 1);
    out->n += sealed;
}

/* "4612.345678,N": degrees and minutes to 1e-6 (2 mm), carried so that no "60.000000" appears. */
static void degrees_minutes(char *to, size_t size, double deg, int width, const char *sides)
{
    long long micro = llround(fabs(deg) * 60e6);
    int whole = (int)(micro / 60000000);

    snprintf(to, size, "%0*d%09.6f,%c", width, whole, (double)(micro % 60000000) / 1e6,
             sides[deg < 0]);
}

/* Rounded to `step` degrees before it is wrapped: 359.97 is said as 0.0, not as 360.0. */
static double round_bearing(double deg, double step)
{
    return lw_bearing_wrap(round(deg / step) * step);
}

static void relative_wind(const struct lw_sim *sim, double *from_bow_deg, double *kn)
{
    double e, n;

    wind(sim, &e, &n);
    e -= sim->ve_mps;
    n -= sim->vn_mps;
    *from_bow_deg = lw_bearing_wrap(atan2(-e, -n) / RAD - sim->heading_deg);
    *kn = hypot(e, n) / LW_KN_MPS;
}

size_t lw_sim_sentences(const struct lw_sim *sim, const struct lw_fix *fix, double depth_m,
                        double water_c, char *to, size_t size)
{
    struct out out = {.to = to, .size = size};
    time_t second = (time_t)(fix->at_utc_ms / 1000);
    struct tm utc;
    char at[40], lon[20], clock[16], hundredths[12], date[16];
    double kn = fix->sog_mps / LW_KN_MPS, wind_deg, wind_kn;
    double cog_deg = round_bearing(fix->cog_deg, 0.01);

    if (size == 0)
        return 0;
    gmtime_r(&second, &utc);
    strftime(clock, sizeof clock, "%H%M%S", &utc);
    snprintf(hundredths, sizeof hundredths, "%02d", (int)(fix->at_utc_ms % 1000 / 10));
    strcat(strcat(clock, "."), hundredths);
    strftime(date, sizeof date, "%d%m%y", &utc);
    degrees_minutes(at, sizeof at, fix->at.lat_deg, 2, "NS");
    degrees_minutes(lon, sizeof lon, fix->at.lon_deg, 3, "EW");
    strcat(strcat(at, ","), lon);

    say(&out, "$GPRMC,%s,A,%s,%.3f,%.2f,%s,,,A", clock, at, kn, cog_deg, date);
    say(&out, "$GPGGA,%s,%s,2,10,%.1f,380.0,M,-29.4,M,,", clock, at, fix->hdop);
    say(&out, "$GPVTG,%.2f,T,,M,%.3f,N,%.3f,K,A", cog_deg, kn, fix->sog_mps * 3.6);
    say(&out, "$GPHDT,%.1f,T", round_bearing(sim->heading_seen_deg, 0.1));
    if (!isnan(depth_m)) {
        say(&out, "$SDDBT,%.2f,f,%.2f,M,%.2f,F", depth_m / LW_FT_M, depth_m,
            depth_m / (6 * LW_FT_M));
        say(&out, "$SDDPT,%.2f,0.0,", depth_m);
    }
    if (!isnan(water_c))
        say(&out, "$YXMTW,%.1f,C", water_c);
    relative_wind(sim, &wind_deg, &wind_kn);
    say(&out, "$WIMWV,%.1f,R,%.1f,N,A", round_bearing(wind_deg, 0.1), wind_kn);
    if (out.full)
        to[0] = '\0';
    return out.full ? 0 : out.n;
}
