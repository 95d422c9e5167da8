/* The alarms: their names, and what raises them. */
#include <math.h>

#include "parts.h"

#define FAR_TOLERANCES 10.0

static const struct {
    enum lw_alarm alarm;
    const char *name, *words;
} alarms[LW_ALARMS] = {
    {LW_ALARM_NO_SOURCE, "no source",
     "The position source is gone: nothing is shown until it is back."},
    {LW_ALARM_NO_FIX, "no fix", "The receiver has no fix: nothing to steer by."},
    {LW_ALARM_STALE, "stale", "The last position is old: nothing to steer by."},
    {LW_ALARM_SHALLOW, "shallow", "Shallow: less water here than the plan's min-depth."},
    {LW_ALARM_PAST_END, "past end", "The boat is beyond the end of the beat."},
    {LW_ALARM_FAR, "far", "The boat is far from the hold line."},
};

const char *lw_alarm_name(enum lw_alarm alarm)
{
    for (int i = 0; i < LW_ALARMS; i++) {
        if (alarms[i].alarm == alarm)
            return alarms[i].name;
    }
    return "";
}

const char *lw_alarm_words(enum lw_alarm alarm)
{
    for (int i = 0; i < LW_ALARMS; i++) {
        if (alarms[i].alarm == alarm)
            return alarms[i].words;
    }
    return "";
}

void guide_alarms(const struct lw_guide_in *in, struct lw_guidance *out)
{
    double depth_m = out->depth_sensor ? out->depth_m : out->map_depth_m;

    if (out->estimate.state == LW_FIX_LOST)
        out->alarms |= LW_ALARM_NO_SOURCE;
    else if (out->estimate.state == LW_FIX_NONE)
        out->alarms |= LW_ALARM_NO_FIX;
    else if (out->estimate.state == LW_FIX_STALE)
        out->alarms |= LW_ALARM_STALE;
    if (!in->plan)
        return;
    /* The sounder warns without a fix too. */
    if (depth_m < in->plan->params.min_depth_m)
        out->alarms |= LW_ALARM_SHALLOW;
    if (!out->ok)
        return;
    if (out->along_m < -in->tolerance_m || out->along_m > out->beat_m + in->tolerance_m)
        out->alarms |= LW_ALARM_PAST_END;
    if (fabs(out->dev_m) > FAR_TOLERANCES * in->tolerance_m)
        out->alarms |= LW_ALARM_FAR;
}
