#include "large.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "words.h"

static void say(struct ui_large *to)
{
    if (to->n < UI_SAYINGS)
        to->n++;
}

/* Adds a part to the newest saying. */
static void part(struct ui_large *to, enum lw_role role, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void part(struct ui_large *to, enum lw_role role, const char *format, ...)
{
    int saying = to->n - 1, i;
    va_list args;

    if (saying < 0 || to->saying[saying].parts >= UI_PARTS)
        return;
    i = to->saying[saying].parts++;
    va_start(args, format);
    vsnprintf(to->saying[saying].part[i], sizeof to->saying[saying].part[i], format, args);
    va_end(args);
    to->saying[saying].role[i] = role;
}

int ui_large_width(const struct ui_large *large, int saying, int scale)
{
    int w = 0;

    for (int i = 0; i < large->saying[saying].parts; i++)
        w += lw_canvas_big(NULL, 0, 0, LW_ROLE_TEXT, scale, large->saying[saying].part[i]) +
             (i > 0 ? 4 * scale : 0);
    return w;
}

int ui_large_fit(const struct ui_large *large, int w, int scale)
{
    for (int i = 0; i < large->n; i++)
        if (ui_large_width(large, i, scale) <= w)
            return i;
    return -1;
}

void ui_large_draw(struct lw_canvas *canvas, int x, int y, int scale, const struct ui_large *large,
                   int saying)
{
    for (int i = 0; i < large->saying[saying].parts; i++)
        x += lw_canvas_big(canvas, x, y, large->saying[saying].role[i], scale,
                           large->saying[saying].part[i]) +
             4 * scale;
}

/* False, with the reason said, when there is nothing to steer by. */
static bool steerable(struct ui_large *to, const struct lw_view *view)
{
    char text[48];

    *to = (struct ui_large){0};
    if (!view->guidance->ok) {
        ui_words_no_guidance_big(text, sizeof text, view);
        say(to);
        part(to, LW_ROLE_ALARM, "%s", text);
        return false;
    }
    if (!view->plan) {
        say(to);
        part(to, LW_ROLE_DIM, "NO EDGE");
        return false;
    }
    return true;
}

static enum lw_role side_role(const struct lw_guidance *g)
{
    return g->side == LW_SIDE_ON ? LW_ROLE_GOOD : LW_ROLE_WARN;
}

static const char *unit_word(const struct lw_view *view)
{
    return ui_units(view) == LW_METRIC ? "M" : "FT";
}

/* "3 OUT", with its unit when asked for; on the hold line the word alone. */
static void side_part(struct ui_large *to, const struct lw_view *view, bool unit)
{
    const struct lw_guidance *g = view->guidance;
    char by[24];

    ui_words_length_bare(by, sizeof by, fabs(g->dev_m), ui_units(view));
    if (g->side == LW_SIDE_ON)
        part(to, side_role(g), "ON");
    else
        part(to, side_role(g), "%s%s%s %s", by, unit ? " " : "", unit ? unit_word(view) : "",
             g->side == LW_SIDE_OUT ? "OUT" : "IN");
}

void ui_large_off(struct ui_large *to, const struct lw_view *view)
{
    char off[24];

    if (!steerable(to, view))
        return;
    ui_words_length_bare(off, sizeof off, view->guidance->off_m, ui_units(view));
    for (int unit = 1; unit >= 0; unit--) {
        say(to);
        part(to, LW_ROLE_STRONG, unit ? "%s %s OFF" : "%s OFF", off, unit_word(view));
        side_part(to, view, unit == 1);
    }
    say(to);
    part(to, LW_ROLE_STRONG, "%s", off);
    side_part(to, view, false);
}

void ui_large_off_only(struct ui_large *to, const struct lw_view *view)
{
    char off[24];

    if (!steerable(to, view))
        return;
    ui_words_length_bare(off, sizeof off, view->guidance->off_m, ui_units(view));
    say(to);
    part(to, LW_ROLE_STRONG, "%s %s OFF", off, unit_word(view));
    say(to);
    part(to, LW_ROLE_STRONG, "%s OFF", off);
    say(to);
    part(to, LW_ROLE_STRONG, "%s", off);
}

static void steer_parts(struct ui_large *to, const struct lw_guidance *g, bool o_clock)
{
    if (!isfinite(g->steer_deg))
        return;
    if (ui_words_stays(g))
        part(to, LW_ROLE_GOOD, o_clock ? "STAY HERE" : "STAY");
    else if (ui_words_straight(g))
        part(to, LW_ROLE_GOOD, o_clock ? "STRAIGHT ON" : "STRAIGHT");
    else if (g->steer_clock > 0)
        part(to, LW_ROLE_STRONG, o_clock ? "STEER %d O'CLOCK" : "STEER %d", g->steer_clock);
    else
        part(to, LW_ROLE_STRONG, "STEER %03d", (int)lround(lw_bearing_wrap(g->steer_deg)) % 360);
}

void ui_large_steer(struct ui_large *to, const struct lw_view *view)
{
    if (!steerable(to, view))
        return;
    for (int o_clock = 1; o_clock >= 0; o_clock--) {
        say(to);
        steer_parts(to, view->guidance, o_clock == 1);
    }
}

void ui_large_side(struct ui_large *to, const struct lw_view *view)
{
    if (!steerable(to, view))
        return;
    for (int o_clock = 1; o_clock >= 0; o_clock--) {
        say(to);
        side_part(to, view, false);
        steer_parts(to, view->guidance, o_clock == 1);
    }
    say(to);
    side_part(to, view, false);
}

void ui_large_cast(struct ui_large *to, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    char length[24];

    *to = (struct ui_large){0};
    if (!g->ok || !view->plan || g->cast == 0)
        return;
    ui_words_length_bare(length, sizeof length, g->cast_m, ui_units(view));
    if (ui_units(view) == LW_METRIC) /* nobody casts to the decimetre */
        snprintf(length, sizeof length, "%.0f", g->cast_m);
    if (g->cast_far) { /* the way there is what is steered */
        ui_words_way(length, sizeof length, g->station_m, ui_units(view));
        say(to);
        part(to, LW_ROLE_CAST, "STATION");
        part(to, LW_ROLE_CAST, "%s", length);
        return;
    }
    for (int longer = 1; longer >= 0; longer--) {
        say(to);
        if (g->cast_clock > 0)
            part(to, LW_ROLE_CAST, longer ? "CAST %d O'CLOCK" : "CAST %d", g->cast_clock);
        else
            part(to, LW_ROLE_CAST, "CAST %03d", (int)lround(lw_bearing_wrap(g->cast_deg)) % 360);
        part(to, LW_ROLE_CAST, "%s %s", length, unit_word(view));
    }
}
