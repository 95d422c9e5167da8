/* What the sensors say: plain structs between feed, guide and the screens.
 *
 * Unknown numbers are NaN; `seen_mono_ms` (CLOCK_BOOTTIME) says how old a known one is. */
#ifndef LIPWALK_EVENT_POSITION_H
#define LIPWALK_EVENT_POSITION_H

#include <stdint.h>

#include "lipwalk/geo/point.h"

enum lw_fix_state {
    LW_FIX_LOST,  /* no connection to the position source */
    LW_FIX_NONE,  /* connected, but the receiver has no fix */
    LW_FIX_STALE, /* had a fix; no new epoch for max(2 s, 2.5 epochs) */
    LW_FIX_2D,
    LW_FIX_3D
};
/* "lost", "none", "stale", "2d", "3d": the cue line's words. */
const char *lw_fix_state_name(enum lw_fix_state state);

/* One epoch, merged from all that the source said for it. */
struct lw_fix {
    int64_t at_utc_ms;    /* the receiver's time of the epoch */
    int64_t seen_mono_ms; /* when its last part arrived */
    int mode;             /* 0 unknown, 1 no fix, 2 = 2-D, 3 = 3-D */
    struct lw_ll at;      /* the antenna */
    double sog_mps, cog_deg;
    double eph_m; /* the source's error hint; a ceiling, not a truth */
    double hdop;
};

enum lw_heading_source { LW_HEADING_NONE, LW_HEADING_COMPASS, LW_HEADING_MAGNETIC, LW_HEADING_COG };
/* "none", "compass", "magnetic", "course" */
const char *lw_heading_source_name(enum lw_heading_source source);

struct lw_reading {
    double value; /* NaN: never seen */
    int64_t seen_mono_ms;
};
struct lw_readings {
    struct lw_reading depth_m; /* below the surface where the sounder's offset tells, else
                                  below the transducer */
    struct lw_reading water_c;
    struct lw_reading heading_deg;         /* true */
    enum lw_heading_source heading_source; /* of heading_deg; never LW_HEADING_COG here */
    struct lw_reading wind_mps;            /* true wind */
    struct lw_reading wind_from_deg;       /* true */
    struct lw_reading rel_wind_mps;        /* as measured on the moving boat */
    struct lw_reading rel_wind_deg;        /* clockwise from the bow, from */
};
void lw_readings_clear(struct lw_readings *readings); /* all NaN */
/* The value, or NaN when older than max_age_ms at mono_ms. */
double lw_reading_fresh(struct lw_reading reading, int64_t mono_ms, int64_t max_age_ms);

/* The filter's answer: where the antenna is, how it moves, and how sure that is. */
struct lw_estimate {
    enum lw_fix_state state;
    int64_t at_utc_ms;    /* of the last epoch used; 0: none yet */
    int64_t seen_mono_ms; /* of the same */
    struct lw_ll at;      /* NaN when there was never a fix */
    double sigma_m;       /* one sigma of one horizontal axis, from the filter */
    double ve_mps, vn_mps;
    double sog_mps, cog_deg; /* cog NaN below 0.25 m/s, where it is noise */
    double hdop;
};

#endif
