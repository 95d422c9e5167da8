#include "sensors.h"

#include <math.h>
#include <stdbool.h>

enum { DEPTH_GPSD = 1, DEPTH_TRANSDUCER, DEPTH_SURFACE };
enum { HEADING_WATER = 1, HEADING_MAGNETIC, HEADING_TRUE };
enum { WIND_WORKED_OUT = 1, WIND_FROM_BOW, WIND_TRUE };

void lw_sensors_clear(struct lw_sensors *sensors, double variation_deg)
{
    *sensors = (struct lw_sensors){.variation_deg = variation_deg, .variation_rmc_deg = NAN};
    lw_readings_clear(&sensors->readings);
}

static bool may_speak(struct lw_speaker *speaker, int rank, int64_t mono_ms)
{
    if (rank < speaker->rank && mono_ms - speaker->seen_mono_ms <= LW_SPEAKER_MS)
        return false;
    speaker->rank = rank;
    speaker->seen_mono_ms = mono_ms;
    return true;
}

static struct lw_reading seen(double value, int64_t mono_ms)
{
    return (struct lw_reading){value, mono_ms};
}

static void take_depth(struct lw_sensors *s, int rank, double depth_m, int64_t mono_ms)
{
    if (!isnan(depth_m) && may_speak(&s->depth, rank, mono_ms))
        s->readings.depth_m = seen(depth_m, mono_ms);
}

static void take_heading(struct lw_sensors *s, int rank, double deg, bool magnetic, int64_t mono_ms)
{
    if (isnan(deg) || !may_speak(&s->heading, rank, mono_ms))
        return;
    s->readings.heading_deg = seen(lw_bearing_wrap(deg), mono_ms);
    s->readings.heading_source = magnetic ? LW_HEADING_MAGNETIC : LW_HEADING_COMPASS;
}

static void take_magnetic(struct lw_sensors *s, int rank, const struct lw_nmea *n, int64_t mono_ms)
{
    double deg = n->heading_mag_deg;

    if (!isnan(n->deviation_deg))
        deg += n->deviation_deg;
    if (!isnan(n->variation_deg))
        deg += n->variation_deg;
    else if (s->variation_deg != 0.0 && !isnan(s->variation_deg))
        deg += s->variation_deg;
    else if (!isnan(s->variation_rmc_deg))
        deg += s->variation_rmc_deg;
    take_heading(s, rank, deg, true, mono_ms);
}

static void take_wind(struct lw_sensors *s, int rank, double mps, double from_deg, int64_t mono_ms)
{
    if (isnan(mps) || isnan(from_deg) || !may_speak(&s->wind, rank, mono_ms))
        return;
    s->readings.wind_mps = seen(mps, mono_ms);
    s->readings.wind_from_deg = seen(lw_bearing_wrap(from_deg), mono_ms);
}

static void take_mwv(struct lw_sensors *s, const struct lw_nmea *n, int64_t mono_ms, double ve_mps,
                     double vn_mps)
{
    double heading = lw_reading_fresh(s->readings.heading_deg, mono_ms, LW_SPEAKER_MS);
    double mps, from_deg;

    if (isnan(n->wind_mps) || isnan(n->wind_deg))
        return;
    if (n->wind_true) {
        take_wind(s, WIND_FROM_BOW, n->wind_mps, heading + n->wind_deg, mono_ms);
        return;
    }
    s->readings.rel_wind_mps = seen(n->wind_mps, mono_ms);
    s->readings.rel_wind_deg = seen(n->wind_deg, mono_ms);
    lw_wind_true(n->wind_mps, n->wind_deg, heading, ve_mps, vn_mps, &mps, &from_deg);
    take_wind(s, WIND_WORKED_OUT, mps, from_deg, mono_ms);
}

void lw_sensors_take(struct lw_sensors *s, const struct lw_nmea *n, int64_t mono_ms, double ve_mps,
                     double vn_mps)
{
    switch (n->kind) {
    case LW_NMEA_RMC:
        if (n->valid && !isnan(n->variation_deg))
            s->variation_rmc_deg = n->variation_deg;
        break;
    case LW_NMEA_DBT:
        take_depth(s, DEPTH_TRANSDUCER, n->depth_m, mono_ms);
        break;
    case LW_NMEA_DPT:
        if (isnan(n->depth_offset_m))
            take_depth(s, DEPTH_TRANSDUCER, n->depth_m, mono_ms);
        else
            take_depth(s, DEPTH_SURFACE, n->depth_m + n->depth_offset_m, mono_ms);
        break;
    case LW_NMEA_MTW:
        if (!isnan(n->water_c))
            s->readings.water_c = seen(n->water_c, mono_ms);
        break;
    case LW_NMEA_HDT:
        take_heading(s, HEADING_TRUE, n->heading_true_deg, false, mono_ms);
        break;
    case LW_NMEA_HDG:
    case LW_NMEA_HDM:
        take_magnetic(s, HEADING_MAGNETIC, n, mono_ms);
        break;
    case LW_NMEA_VHW:
        if (!isnan(n->heading_true_deg))
            take_heading(s, HEADING_WATER, n->heading_true_deg, false, mono_ms);
        else
            take_magnetic(s, HEADING_WATER, n, mono_ms);
        break;
    case LW_NMEA_MWD:
        take_wind(s, WIND_TRUE, n->wind_mps, n->wind_deg, mono_ms);
        break;
    case LW_NMEA_MWV:
        take_mwv(s, n, mono_ms, ve_mps, vn_mps);
        break;
    default:
        break;
    }
}

void lw_sensors_depth(struct lw_sensors *sensors, double depth_m, int64_t mono_ms)
{
    take_depth(sensors, DEPTH_GPSD, depth_m, mono_ms);
}

void lw_sensors_heading(struct lw_sensors *sensors, double heading_deg, int64_t mono_ms)
{
    take_heading(sensors, HEADING_TRUE, heading_deg, false, mono_ms);
}

void lw_wind_true(double rel_mps, double rel_deg, double heading_deg, double ve_mps, double vn_mps,
                  double *wind_mps, double *wind_from_deg)
{
    double from = (heading_deg + rel_deg) * M_PI / 180.0;
    /* Where the true wind comes from, as a vector of its speed. */
    double e = rel_mps * sin(from) - ve_mps;
    double n = rel_mps * cos(from) - vn_mps;

    *wind_mps = hypot(e, n);
    *wind_from_deg = lw_bearing_wrap(atan2(e, n) * 180.0 / M_PI);
}
