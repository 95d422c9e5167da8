#include "cue_line.h"

#include <math.h>

#include "lipwalk/base/clock.h"

/* A figure with so many decimals and no more: the thousandth of a metre is noise enough. The added
 * 0 makes -0 a plain 0. */
static json_t *figure(double value, int decimals)
{
    double scale = pow(10.0, decimals);

    return isfinite(value) ? json_real(round(value * scale) / scale + 0.0) : json_null();
}

static json_t *whole(int value)
{
    return value > 0 ? json_integer(value) : json_null();
}

static json_t *time_text(int64_t utc_ms)
{
    char text[40];

    if (utc_ms == 0)
        return json_null();
    lw_clock_iso(text, sizeof text, utc_ms);
    return json_string(text);
}

static json_t *cast(const struct lw_guidance *g)
{
    if (g->cast == 0)
        return json_null();
    return json_pack("{s:i, s:o, s:o, s:o, s:o}", "order", g->cast, "bearing_deg",
                     figure(g->cast_deg, 2), "clock", whole(g->cast_clock), "length_m",
                     figure(g->cast_m, 3), "landing_depth_m", figure(g->cast_depth_m, 3));
}

static json_t *alarms(const struct lw_guidance *g)
{
    json_t *names = json_array();

    for (int i = 0; i < LW_ALARMS; i++) {
        if (g->alarms & 1u << i)
            json_array_append_new(names, json_string(lw_alarm_name((enum lw_alarm)(1u << i))));
    }
    return names;
}

json_t *lw_cue_line(const struct lw_plan *plan, const struct lw_guidance *g, int64_t utc_ms)
{
    double side = plan && !plan->params.hold_deep ? -1.0 : 1.0;
    json_t *source = g->heading_source == LW_HEADING_NONE
                         ? json_null()
                         : json_string(lw_heading_source_name(g->heading_source));

    return json_pack(
        "{s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:o, s:o, s:o, s:o}",
        "t_utc", time_text(utc_ms), "fix", lw_fix_state_name(g->estimate.state), "lat",
        figure(g->caster.lat_deg, 8), "lon", figure(g->caster.lon_deg, 8), "sigma_m",
        figure(g->sigma_m, 3), "off_m", figure(g->off_m, 3), "dev_m", figure(side * g->dev_m, 3),
        "off_rate_mps", figure(side * g->off_rate_mps, 4), "along_m", figure(g->along_m, 3),
        "sog_mps", figure(g->sog_mps, 3), "cog_deg", figure(g->cog_deg, 2), "heading_deg",
        figure(g->heading_deg, 2), "heading_source", source, "depth_m", figure(g->depth_m, 3),
        "map_depth_m", figure(g->map_depth_m, 3), "water_c", figure(g->water_c, 2), "wind_mps",
        figure(g->wind_mps, 3), "wind_from_deg", figure(g->wind_from_deg, 2), "station",
        whole(g->station), "cast", cast(g), "alarms", alarms(g));
}
