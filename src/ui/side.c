#include "side.h"

#include <math.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "words.h"

#define LABEL_W 13

void ui_header(const struct lw_view *view, struct lw_canvas *canvas)
{
    char clock[32], edge[64], fix[64], lake[64];
    const char *name = view->plan && view->plan->lake[0]     ? view->plan->lake
                       : view->chart && view->chart->lake[0] ? view->chart->lake
                                                             : "lipwalk";
    int w = canvas->w, left, clock_x, free_w, gap, x;

    lw_text_clean(lake, (size_t)(w / 4 < 60 ? w / 4 : 60) + 1, name);
    lw_clock_local(clock, sizeof clock, view->now_utc_ms, w < 60 ? "%H:%M:%S" : "%a %H:%M:%S");
    ui_words_edge(edge, sizeof edge, view);
    ui_words_fix(fix, sizeof fix, view, canvas->ascii);
    clock_x = lw_canvas_right(canvas, w, 0, LW_ROLE_STRONG, clock);
    if (w < 60) { /* the fix is what must not be missed */
        lw_canvas_text(canvas, 0, 0, view->guidance->ok ? LW_ROLE_TEXT : LW_ROLE_ALARM, fix);
        return;
    }
    left = lw_canvas_width(lake) + lw_canvas_width(edge) + lw_canvas_width(fix);
    free_w = clock_x - left;
    gap = free_w / 3 > 1 ? free_w / 3 : 1;
    x = lw_canvas_text(canvas, 0, 0, LW_ROLE_STRONG, lake);
    x = lw_canvas_text(canvas, x + gap, 0, LW_ROLE_TEXT, edge);
    lw_canvas_text(canvas, x + gap, 0, view->guidance->ok ? LW_ROLE_TEXT : LW_ROLE_ALARM, fix);
}

static void alarm_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    static const enum lw_alarm shown[] = {LW_ALARM_SHALLOW, LW_ALARM_PAST_END};

    /* what is wrong with the position is already said in place of the figures */
    for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++)
        if (view->guidance->alarms & shown[i])
            ui_pieces_add(to, LW_ROLE_ALARM, 0, "%s", lw_alarm_words(shown[i]));
}

static void hazard_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    char text[64];
    enum lw_role role = ui_words_hazard(text, sizeof text, view);

    ui_pieces_add(to, role, role == LW_ROLE_WARN ? 0 : 2, "%s", text);
    ui_words_hazard_depth(text, sizeof text, view);
    ui_pieces_add(to, role, role == LW_ROLE_WARN ? 1 : 3, "%s", text);
}

static void sensor_pieces(const struct lw_view *view, bool narrow, struct ui_pieces *to)
{
    const struct lw_guidance *g = view->guidance;
    enum lw_units units = ui_units(view);
    char text[32];

    if (isfinite(g->depth_m)) {
        ui_words_length(text, sizeof text, g->depth_m, units);
        ui_pieces_add(to, LW_ROLE_STRONG, g->hazard ? 0 : 3, "%s deep%s%s", text,
                      g->cover ? ", " : "", g->cover ? lw_cover_name(g->cover->kind) : "");
    }
    if (isfinite(g->map_depth_m)) {
        ui_words_length(text, sizeof text, g->map_depth_m, units);
        ui_pieces_add(to, LW_ROLE_TEXT,
                      isfinite(g->depth_m) ? 8
                      : g->hazard          ? 0
                                           : 3,
                      "map %s%s%s", text, g->cover && !isfinite(g->depth_m) ? ", " : "",
                      g->cover && !isfinite(g->depth_m) ? lw_cover_name(g->cover->kind) : "");
    }
    if (isfinite(g->water_c)) {
        lw_units_print(text, sizeof text, g->water_c, LW_TEMP, units, 0);
        ui_pieces_add(to, LW_ROLE_TEXT, 5, "%s%s", narrow ? "" : "water ", text);
    }
    if (isfinite(g->wind_mps)) {
        lw_units_print(text, sizeof text, g->wind_mps, LW_SPEED, units, 0);
        ui_pieces_add(to, LW_ROLE_TEXT, 4, "%s%swind %s", ui_words_compass(g->wind_from_deg),
                      isfinite(g->wind_from_deg) ? " " : "", text);
        ui_pieces_add(to, LW_ROLE_DIM, 9, "%s", g->wind_sensor ? "" : "(typed in)");
    }
}

static void where_pieces(const struct lw_view *view, bool ascii, struct ui_pieces *to)
{
    const struct lw_guidance *g = view->guidance;
    enum lw_units units = ui_units(view);
    char a[64], b[64], why[128];

    if (!g->ok) {
        ui_words_no_guidance(why, sizeof why, view);
        ui_pieces_add(to, LW_ROLE_ALARM, 0, "%s", why);
        return;
    }
    if (!view->plan) {
        ui_pieces_add(to, LW_ROLE_TEXT, 0, "no edge chosen: press e and type a depth");
        return;
    }
    ui_words_length(a, sizeof a, g->off_m, units);
    ui_words_length_bare(b, sizeof b, g->sigma_m, units);
    if (isfinite(g->sigma_m))
        ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s off %s%s", a, ascii ? "+-" : "±", b);
    else
        ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s off", a);
    if (g->off_m < -0.5) /* a minus is soon overlooked */
        ui_pieces_add(to, LW_ROLE_TEXT, 1, "up the flat");
    ui_pieces_add(to, ui_words_side(b, sizeof b, view), 0, "%s", b);
    ui_words_steer(a, sizeof a, view);
    ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s", a);
}

static void way_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    const struct lw_guidance *g = view->guidance;
    enum lw_units units = ui_units(view);
    char a[32];

    if (!g->ok)
        return;
    if (view->plan && isfinite(g->along_m))
        ui_pieces_add(to, LW_ROLE_TEXT, 2, "along %.0f of %.0f %s",
                      lw_units_from_si(g->along_m, LW_LENGTH, units),
                      lw_units_from_si(g->beat_m, LW_LENGTH, units),
                      lw_units_name(LW_LENGTH, units));
    if (isfinite(g->sog_mps)) {
        lw_units_print(a, sizeof a, g->sog_mps, LW_SPEED, units, 1);
        ui_pieces_add(to, LW_ROLE_TEXT, 1, "%s%s%s", a, isfinite(g->cog_deg) ? " " : "",
                      ui_words_compass(g->cog_deg));
    }
    if (g->heading_source != LW_HEADING_NONE && g->heading_source != LW_HEADING_COG)
        ui_pieces_add(to, LW_ROLE_TEXT, 9, "bow %03.0f", lw_bearing_wrap(g->heading_deg));
}

static void cast_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    const struct lw_guidance *g = view->guidance;
    enum lw_units units = ui_units(view);
    char a[64], b[64];

    if (!view->plan || !g->ok) {
        ui_pieces_add(to, LW_ROLE_DIM, 0, view->plan ? "waits for a position" : "needs an edge");
        return;
    }
    if (g->cast > 0) {
        ui_words_toward(a, sizeof a, g->cast_clock, g->cast_deg);
        ui_words_way(b, sizeof b, g->cast_m, units);
        ui_pieces_add(to, LW_ROLE_TEXT, 2, "%d of %d", g->cast, g->casts);
        if (g->cast_far) {
            ui_pieces_add(to, LW_ROLE_TEXT, 1, "too far to cast");
        } else {
            ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s", a);
            ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s", b);
        }
        if (isfinite(g->cast_depth_m) && !g->cast_far) {
            ui_words_length(a, sizeof a, g->cast_depth_m, units);
            ui_pieces_add(to, LW_ROLE_TEXT, 1, "lands in %s%s%s", a, g->cast_cover ? ", " : "",
                          g->cast_cover ? lw_cover_name(g->cast_cover->kind) : "");
        }
        if (g->cast_crosses == 0 && !g->cast_far)
            ui_pieces_add(to, LW_ROLE_TEXT, 6, "short of the edge");
    } else if (g->station > 0) {
        ui_pieces_add(to, LW_ROLE_TEXT, 0, "fan done: n goes to the next station");
    } else if (g->stations > 0) {
        ui_pieces_add(to, LW_ROLE_STRONG, 0,
                      "every cast of the plan is made: e plans another edge");
    }
    if (g->station > 0 && g->at_station) {
        ui_pieces_add(to, LW_ROLE_TEXT, 3, "at station %d of %d", g->station, g->stations);
    } else if (g->station > 0) {
        int clock = g->heading_source == LW_HEADING_NONE
                        ? 0
                        : lw_bearing_clock(g->heading_deg, g->station_deg);

        ui_words_way(b, sizeof b, g->station_m, units);
        ui_words_toward(a, sizeof a, clock, g->station_deg);
        ui_pieces_add(to, g->cast_far ? LW_ROLE_STRONG : LW_ROLE_TEXT, g->cast_far ? 0 : 3,
                      "station %d of %d %s, %s", g->station, g->stations, b, a);
    }
}

static void when_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    const struct lw_dwell *dwell = &view->day->dwell;
    const struct lw_guidance *g = view->guidance;
    char a[64], b[64];

    if (dwell->open) {
        size_t n;
        const struct lw_place *place = lw_trip_places(view->trip, &n);

        ui_words_dwell(a, sizeof a, view);
        ui_pieces_add(to, LW_ROLE_STRONG, 0, "%s  %s", place[dwell->place].label, a);
        if (dwell->away) {
            ui_words_span(a, sizeof a, dwell->away_s);
            ui_words_span(b, sizeof b, view->conf->number[LW_SET_AWAY]);
            ui_pieces_add(to, LW_ROLE_WARN, 1, "paused, away %s of %s", a, b);
        }
        if (g->ok && isfinite(g->dwell_back_m)) {
            ui_words_way(a, sizeof a, g->dwell_back_m, ui_units(view));
            ui_pieces_add(to, LW_ROLE_TEXT, 2, "back %s %s", a,
                          ui_words_compass(g->dwell_back_deg));
        }
        if (g->ok && isfinite(g->sog_mps) && isfinite(g->cog_deg)) {
            lw_units_print(a, sizeof a, g->sog_mps, LW_SPEED, ui_units(view), 1);
            ui_pieces_add(to, LW_ROLE_TEXT, 5, "drift %s %s", a, ui_words_compass(g->cog_deg));
        }
    } else {
        ui_pieces_add(to, LW_ROLE_DIM, 3, "no dwell");
    }
    ui_words_last_bite(a, sizeof a, view);
    ui_pieces_add(to, LW_ROLE_TEXT, 4, "%s", a);
    ui_words_light(a, sizeof a, view);
    ui_pieces_add(to, LW_ROLE_TEXT, 1, "%s", a);
}

static void back_pieces(const struct lw_view *view, struct ui_pieces *to)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(view->trip, &n);
    char state[64], way[64];

    if (view->day->returns == 0) {
        ui_pieces_add(to, LW_ROLE_DIM, 0, "nowhere yet: a dwell that ends makes a return");
        if (view->day_end_utc_ms != INT64_MAX) {
            lw_clock_local(way, sizeof way, view->day_end_utc_ms, "%H:%M");
            ui_pieces_add(to, LW_ROLE_DIM, 1, "day ends %s", way);
        }
        return;
    }
    for (int i = 0; i < view->day->returns && i < UI_PIECES - 1; i++) {
        const struct lw_return *ret = &view->day->ret[i];
        enum lw_role role = i == 0 ? LW_ROLE_STRONG : LW_ROLE_TEXT;

        if (ret->state == LW_RET_DUE || ret->state == LW_RET_LATE)
            role = LW_ROLE_WARN;
        ui_words_return(state, sizeof state, view, ret);
        ui_words_way_to(way, sizeof way, view, place[ret->place].at);
        /* what can be done about the first comes before the second */
        ui_pieces_add(to, role, i == 0 ? 0 : i + 1, "%s %s%s%s", place[ret->place].label, state,
                      way[0] ? ", " : "", way);
        if (i == 0 && ret->state != LW_RET_RESTING)
            ui_pieces_add(to, LW_ROLE_KEY, 1, "1 done 2 snooze 3 drop");
    }
}

static int when_rows(const struct lw_canvas *canvas)
{
    return canvas->h >= 28 && canvas->w < 110 ? 2 : 1;
}

int ui_questions_rows(const struct lw_canvas *canvas)
{
    return 4 + when_rows(canvas);
}

static void question(struct lw_canvas *canvas, int y, int rows, const char *label,
                     const struct ui_pieces *pieces)
{
    int gap = canvas->w >= 110 ? 4 : 2;

    lw_canvas_text(canvas, 0, y, LW_ROLE_DIM, label);
    ui_pieces_draw(canvas, LABEL_W, y, canvas->w - LABEL_W, rows, gap, pieces);
}

int ui_questions(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    struct ui_pieces where = {0}, way = {0}, cast = {0}, when = {0}, back = {0};

    where_pieces(view, canvas->ascii, &where);
    alarm_pieces(view, &way);
    hazard_pieces(view, &way);
    way_pieces(view, &way);
    sensor_pieces(view, canvas->w < 110, &way);
    cast_pieces(view, &cast);
    when_pieces(view, &when);
    back_pieces(view, &back);
    if (!view->guidance->ok && !(view->guidance->alarms & LW_ALARM_SHALLOW) &&
        ui_wrap_rows(canvas->w - LABEL_W, where.piece[0].text) > 1) {
        /* why there is no position comes before what the other sensors say */
        lw_canvas_text(canvas, 0, y, LW_ROLE_DIM, "where am I");
        ui_wrap(canvas, LABEL_W, y, canvas->w - LABEL_W, 2, LW_ROLE_ALARM, where.piece[0].text);
        y += 2;
    } else {
        question(canvas, y++, 1, "where am I", &where);
        question(canvas, y++, 1, "", &way);
    }
    question(canvas, y++, 1, "next cast", &cast);
    question(canvas, y, when_rows(canvas), "when", &when);
    y += when_rows(canvas);
    question(canvas, y++, 1, "where back", &back);
    return y;
}

static void rule_words(struct lw_canvas *canvas, int x, int y, const char *words)
{
    if (words[0])
        lw_canvas_print(canvas, x, y, LW_ROLE_DIM, " %s ", words);
}

void ui_rule(struct lw_canvas *canvas, int y, const char *left, const char *right)
{
    lw_canvas_fill(canvas, 0, y, canvas->w, LW_ROLE_DIM, 0x2500);
    rule_words(canvas, 2, y, left);
    rule_words(canvas, canvas->w - 4 - lw_canvas_width(right), y, right);
}
