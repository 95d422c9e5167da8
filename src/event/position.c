/* What the sensors say: names of states, and how old a reading may be. */
#include "lipwalk/event/position.h"

#include <math.h>
#include <stddef.h>

const char *lw_fix_state_name(enum lw_fix_state state)
{
    static const char *const names[] = {
        [LW_FIX_LOST] = "lost", [LW_FIX_NONE] = "none", [LW_FIX_STALE] = "stale",
        [LW_FIX_2D] = "2d",     [LW_FIX_3D] = "3d",
    };

    return (size_t)state < sizeof names / sizeof *names ? names[state] : "unknown";
}

const char *lw_heading_source_name(enum lw_heading_source source)
{
    static const char *const names[] = {
        [LW_HEADING_NONE] = "none",
        [LW_HEADING_COMPASS] = "compass",
        [LW_HEADING_MAGNETIC] = "magnetic",
        [LW_HEADING_COG] = "course",
    };

    return (size_t)source < sizeof names / sizeof *names ? names[source] : "unknown";
}

void lw_readings_clear(struct lw_readings *readings)
{
    const struct lw_reading never = {.value = NAN, .seen_mono_ms = 0};

    *readings = (struct lw_readings){
        .depth_m = never,
        .water_c = never,
        .heading_deg = never,
        .heading_source = LW_HEADING_NONE,
        .wind_mps = never,
        .wind_from_deg = never,
        .rel_wind_mps = never,
        .rel_wind_deg = never,
    };
}

double lw_reading_fresh(struct lw_reading reading, int64_t mono_ms, int64_t max_age_ms)
{
    return mono_ms - reading.seen_mono_ms > max_age_ms ? NAN : reading.value;
}
