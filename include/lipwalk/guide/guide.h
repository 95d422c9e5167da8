/* Guidance: estimate + plan + trip + now -> what the crew is told. Pure; the one place where `off`,
 * in/out, next station, next cast and alarms are worked out, for the screens and `cue` alike. */
#ifndef LIPWALK_GUIDE_GUIDE_H
#define LIPWALK_GUIDE_GUIDE_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/event/position.h"
#include "lipwalk/plan/plan.h"
#include "lipwalk/sky/sun.h"
#include "lipwalk/trip/trip.h"

/* Memory between steps: the trend and the station. Zero it at the start and when the plan changes.
 * The crew's keys set `station`; it then stays until its casts are made (or, without a trip to
 * count them, until the boat has been there and left). */
#define LW_TREND_POINTS 64
struct lw_guide_memory {
    struct {
        int64_t at_utc_ms;
        double off_m;
    } point[LW_TREND_POINTS]; /* a ring */
    int n, next;
    int station;                 /* the station being worked, order from 1; 0 none */
    int station_seen, left_seen; /* at the last step: the station, and its casts left to make */
    bool reached;                /* the boat has been at it */
};

struct lw_guide_in {
    const struct lw_plan *plan;   /* NULL: no plan */
    const struct lw_chart *chart; /* NULL */
    const struct lw_trip *trip;   /* NULL: no casts counted, no dwell */
    struct lw_estimate estimate;
    const struct lw_readings *readings;
    int64_t now_utc_ms, mono_ms;
    double tolerance_m;
    double forward_m, starboard_m; /* antenna relative to the caster */
    struct lw_en shift;            /* what to add to a fix to be on the map */
    double level_m; /* what to add to the map's and the plan's depths to be in today's water */
    double typed_wind_mps, typed_wind_from_deg, typed_water_c; /* NaN none; used without a sensor */
};

enum lw_side { LW_SIDE_ON, LW_SIDE_IN, LW_SIDE_OUT }; /* in: nearer the edge than the hold line */
enum lw_trend { LW_TREND_UNKNOWN, LW_TREND_STEADY, LW_TREND_COMING_IN, LW_TREND_GOING_OUT };

enum lw_alarm {
    LW_ALARM_NO_SOURCE = 1 << 0, /* lost */
    LW_ALARM_NO_FIX = 1 << 1,
    LW_ALARM_STALE = 1 << 2,
    LW_ALARM_SHALLOW = 1 << 3,  /* under the plan's min-depth, by sounder, else by map */
    LW_ALARM_PAST_END = 1 << 4, /* beyond the beat */
    LW_ALARM_FAR = 1 << 5       /* more than 10 tolerances off the hold line */
};
#define LW_ALARMS 6
const char *lw_alarm_name(enum lw_alarm alarm);  /* "no source", "no fix", ... for cue */
const char *lw_alarm_words(enum lw_alarm alarm); /* a sentence for people */

/* With more water than this over it no boat of this kind touches a hazard; common practice, no
 * source. */
#define LW_HAZARD_DEEP_M 2.0

struct lw_guidance {
    /* A fresh fix: only then are the numbers below known, else NaN and 0. What sensors other than
     * the receiver say (depth, water, wind, a compass heading) does not hang on it: a bite without
     * a fix still has its depth. */
    bool ok;
    struct lw_estimate estimate;
    struct lw_ll caster;    /* as the receiver sees it: lever arm applied (the antenna itself when
                               heading is unknown), map shift NOT: what is recorded and shared */
    struct lw_en caster_en; /* on the map: shift applied, in the plan's frame (the chart's without
                               a plan) */
    struct lw_en shift;     /* the map shift in force: recorded place + shift = place on the map */
    double level_m;         /* the level in force: the map's depth + level = today's */
    double sigma_m;         /* of off: filter's and edge's together */
    double off_m, dev_m;    /* off; how far from the hold line: + farther from the edge (out) */
    enum lw_side side;
    double off_rate_mps; /* + going out; NaN unknown */
    enum lw_trend trend;
    double along_m, beat_m; /* NaN without a plan */
    double sog_mps, cog_deg;
    double heading_deg;
    enum lw_heading_source heading_source;
    double depth_m, water_c, wind_mps, wind_from_deg;
    double map_depth_m;                           /* today's: the level is in it */
    bool depth_sensor, water_sensor, wind_sensor; /* false: typed in or unknown */
    /* where to steer to be back on the hold line and on to the next station */
    double steer_deg; /* true bearing; NaN */
    int steer_clock;  /* 0 when heading is unknown */
    int station;      /* the station now worked or headed for, order from 1; 0 none */
    int stations;
    double station_m, station_deg; /* to it */
    bool at_station;
    /* the next cast of that station */
    int cast, casts;                       /* order from 1, 0 none; casts of this station */
    double cast_deg, cast_m, cast_depth_m; /* from where the boat is now to the planned landing; the
                                              depth is today's */
    bool cast_far;       /* no cast from here reaches that landing: first to the station */
    int cast_clock;      /* 0 when heading is unknown: say the bearing instead */
    double cast_crosses; /* 1 crosses the edge, 0 not, NaN unknown */
    /* what the map has besides depth, part of in->chart; NULL none */
    const struct lw_cover *cover, *cast_cover; /* under the boat; where the next cast lands */
    const struct lw_hazard *hazard; /* the one to be told: near, or ahead and reached soon; one
                                       not known to be deep comes first */
    double hazard_m, hazard_deg, hazard_depth_m; /* the way to it (0, NaN: over it), and today's
                                                   depth of the water over it; NaN unknown */
    int hazard_clock;                            /* 0 when heading is unknown */
    unsigned alarms;
    /* from `caster` back to the place that is dwelt at, and to the frozen position */
    double dwell_back_m, dwell_back_deg, freeze_back_m, freeze_back_deg;
};

/* Works out the guidance for in->now_utc_ms into *out, all of it, and moves the memory on. Never
 * fails: what cannot be known is NaN or 0, and out->alarms says why. */
void lw_guide_step(const struct lw_guide_in *in, struct lw_guide_memory *memory,
                   struct lw_guidance *out);

/* Where the bait is taken to be: the landing of the next cast when a cast from here can reach it
 * (at most a quarter farther than planned), else the edge abeam, else NaN. As the receiver would
 * see it (map shift taken off again), like guidance->caster. */
struct lw_ll lw_guide_bait(const struct lw_plan *plan, const struct lw_guidance *guidance,
                           bool *from_cast);

/* The map shift that puts the boat's present place on the edge ("the lip is under the boat now"):
 * what to ADD to the shift in force. False without a plan or fresh fix. */
bool lw_guide_shift(const struct lw_plan *plan, const struct lw_guidance *guidance,
                    struct lw_en *add);

#endif
