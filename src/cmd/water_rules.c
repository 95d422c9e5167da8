/* The rules of dwell and return are part of the day's events, so that the fold never depends on
 * what the settings happen to be when it is read again. */
#include "water.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SAME_END_MS 120000

static void keep_rule(struct water *w, const char *name, double value)
{
    double kept = lw_trip_setting(w->trip, name);

    if (kept == value || (isnan(kept) && isnan(value)))
        return;
    water_set(w, name, value, water_now(w, lw_clock_mono_ms()));
}

void water_keep_rules(struct water *w)
{
    static const enum lw_setting_number rules[] = {
        LW_SET_DWELL,       LW_SET_AWAY,       LW_SET_PLACE_RADIUS, LW_SET_RETURN_AFTER,
        LW_SET_RIPE_BEFORE, LW_SET_LATE_AFTER, LW_SET_NEAR,
    };

    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        keep_rule(w, lw_conf_number_info(rules[i])->name, w->conf.number[rules[i]]);
}

/* The day's end by the setting `day-end`, for the sun's day that now is in; none once it is past
 * (who fishes on into the night has no end set). */
static int64_t day_end(const struct water *w, int64_t now)
{
    const char *text = w->conf.text[LW_SET_DAY_END];
    int64_t end = LW_NO_TIME;
    int hour, minute;

    if (strcmp(text, "dusk") == 0) {
        end = w->view.sun.civil_dusk_utc_ms;
    } else if (sscanf(text, "%d:%d", &hour, &minute) == 2) {
        int64_t local = now + lw_clock_utc_offset_s(now) * 1000LL;

        end = now - local % 86400000 + (hour * 60 + minute) * 60000LL;
    } else {
        end = w->view.sun.set_utc_ms;
    }
    return end == LW_NO_TIME || end <= now ? INT64_MAX : end;
}

/* Without a map sunset is the boat's own, and moves by milliseconds with it: no new day's end. */
static bool same_end(int64_t a_utc_ms, int64_t b_utc_ms)
{
    return a_utc_ms == b_utc_ms || (a_utc_ms != INT64_MAX && b_utc_ms != INT64_MAX &&
                                    llabs(a_utc_ms - b_utc_ms) < SAME_END_MS);
}

void water_day_end(struct water *w)
{
    double set = lw_trip_setting(w->trip, "day_end_utc_ms");
    int64_t end = day_end(w, w->view.now_utc_ms);

    w->day_end_utc_ms = isnan(set) ? INT64_MAX : (int64_t)set;
    if (same_end(end, w->day_end_utc_ms))
        return;
    w->day_end_utc_ms = end;
    water_set(w, "day_end_utc_ms", end == INT64_MAX ? NAN : (double)end,
              water_now(w, lw_clock_mono_ms()));
}
