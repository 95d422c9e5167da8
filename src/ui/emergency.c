/* The emergency screen: the frozen position, large, and the way back to it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "screens.h"
#include "side.h"
#include "words.h"

/* Degrees and decimal minutes, as they are read over a radio: "46 00.528 N". 0.001' is 2 m. */
static void minutes_of(char *to, size_t size, double deg, const char *hemispheres, int digits)
{
    long thousandths = lround(fabs(deg) * 60000);

    snprintf(to, size, "%0*ld %02ld.%03ld %c", digits, thousandths / 60000, thousandths / 1000 % 60,
             thousandths % 1000, hemispheres[deg < 0]);
}

/* In the largest letters that fit in the width by rows, at most `most` times, the shorter saying
 * where the longer does not fit; returns the row below. */
static int big_line(struct lw_canvas *canvas, int y, int rows, int most, enum lw_role role,
                    const char *longer, const char *shorter)
{
    const char *const saying[] = {longer, shorter};

    for (int i = 0; i < 2; i++)
        for (int scale = most; scale > 0; scale--)
            if (5 * scale <= rows &&
                lw_canvas_big(NULL, 0, 0, role, scale, saying[i]) <= canvas->w) {
                lw_canvas_big(canvas, 0, y, role, scale, saying[i]);
                return y + 5 * scale;
            }
    lw_canvas_text(canvas, 0, y, role, longer);
    return y + 1;
}

static void way_back(char *big, size_t size, char *way, size_t way_size, char *words,
                     size_t words_size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    char toward[32];
    int clock = 0;

    words[0] = '\0';
    if (!g->ok || !isfinite(g->freeze_back_m)) {
        snprintf(big, size, "NO FIX");
        snprintf(way, way_size, "NO FIX");
        ui_words_no_guidance(words, words_size, view);
        if (!words[0])
            snprintf(words, words_size, "no way back known: the frozen position is unknown");
        return;
    }
    if (g->heading_source != LW_HEADING_NONE)
        clock = lw_bearing_clock(g->heading_deg, g->freeze_back_deg);
    ui_words_way(way, way_size, g->freeze_back_m, ui_units(view));
    ui_words_toward(toward, sizeof toward, clock, g->freeze_back_deg);
    snprintf(big, size, "%s  %03ld", way, lround(lw_bearing_wrap(g->freeze_back_deg)) % 360);
    snprintf(words, words_size, "back there: %s, bearing %03ld (%s)%s%s", way,
             lround(lw_bearing_wrap(g->freeze_back_deg)) % 360,
             ui_words_compass(g->freeze_back_deg), clock ? ", " : "", clock ? toward : "");
}

void ui_emergency_draw(const struct lw_view *view, struct lw_canvas *canvas)
{
    struct lw_ll at = view->frozen_where.at;
    char lat[32], lon[32], big[64], way[32], words[256], since[32], clock[32], line[128];
    int y = 0, bottom = canvas->h - 2, spare, scale_most, lon_end;

    ui_words_about(since, sizeof since, (double)(view->now_utc_ms - view->frozen_utc_ms) / 1000);
    lw_clock_local(clock, sizeof clock, view->frozen_utc_ms, "%H:%M:%S");
    if (!lw_ll_known(at))
        snprintf(line, sizeof line, "EMERGENCY since %s: no position yet", clock);
    else
        snprintf(line, sizeof line,
                 canvas->w < 60 ? "EMERGENCY, frozen %s, %s ago"
                                : "EMERGENCY: position frozen at %s, %s ago",
                 clock, since);
    lw_canvas_fill(canvas, 0, y, canvas->w, LW_ROLE_ALARM, ' ');
    lw_canvas_text(canvas, 0, y++, LW_ROLE_ALARM, line);
    lw_canvas_fill(canvas, 0, bottom, canvas->w, LW_ROLE_TEXT, ' ');
    lw_canvas_text(canvas, 0, bottom, LW_ROLE_DIM, "release: 0, then y");
    way_back(big, sizeof big, way, sizeof way, words, sizeof words, view);
    if (!lw_ll_known(at)) {
        y += ui_wrap(
            canvas, 0, y + 1, canvas->w, 3, LW_ROLE_ALARM,
            "There was no position to freeze: say over the radio what you see on shore. The "
            "first fix that comes is frozen.");
        ui_wrap(canvas, 0, y + 2, canvas->w, bottom - y - 2, LW_ROLE_TEXT, words);
        return;
    }
    minutes_of(lat, sizeof lat, at.lat_deg, "NS", 2);
    minutes_of(lon, sizeof lon, at.lon_deg, "EW", 3);
    /* decimal degrees, the way back and a word on the age stay in plain letters below */
    spare = bottom - y - 3;
    scale_most = spare / 18 > 0 ? spare / 18 : 1;
    if (spare >= 17 && canvas->w >= 70) {
        y = big_line(canvas, y + 1, 5 * scale_most, scale_most, LW_ROLE_STRONG, lat, lat);
        y = big_line(canvas, y + 1, 5 * scale_most, scale_most, LW_ROLE_STRONG, lon, lon);
    } else {
        snprintf(line, sizeof line, "%s  %s", lat, lon);
        lw_canvas_text(canvas, 0, y++, LW_ROLE_STRONG, line);
    }
    snprintf(line, sizeof line, "%.6f, %.6f", at.lat_deg, at.lon_deg);
    lon_end = lw_canvas_text(canvas, 0, y, LW_ROLE_TEXT, line);
    if (view->frozen_where.age_s > 2) {
        ui_words_about(since, sizeof since, view->frozen_where.age_s);
        snprintf(line, sizeof line, "%s old when frozen", since);
        lw_canvas_text(canvas, lon_end + 2, y, LW_ROLE_WARN, line);
    }
    y++;
    y += bottom - y >= 8;
    y = big_line(canvas, y, bottom - y - 1, scale_most,
                 view->guidance->ok ? LW_ROLE_STRONG : LW_ROLE_ALARM, big, way);
    ui_wrap(canvas, 0, y, canvas->w, bottom - y, LW_ROLE_TEXT, words);
}
