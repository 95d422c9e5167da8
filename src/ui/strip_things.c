/* What stands on the strip: stations, landings, marks, places, the dwell bracket, the boat. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "strip.h"
#include "words.h"

static void draw_stations(const struct ui_strip *s, const struct lw_view *view,
                          struct lw_canvas *canvas)
{
    const struct lw_plan *plan = view->plan;

    for (size_t i = 0; i < plan->stations; i++) {
        int col = ui_strip_col(s, plan->station[i].along_m);
        int row = ui_strip_row(s, s->hold_off_m);

        if (!ui_strip_holds(s, col, row))
            continue;
        if (canvas->cell[row * canvas->w + col].ch != UI_HAZARD) /* to be seen before a station */
            lw_canvas_put(canvas, col, row, LW_ROLE_CAST, 0x25cb);
        if (plan->station[i].order == view->guidance->station)
            lw_canvas_reverse(canvas, col, row, 1);
    }
}

/* The landings of the station now worked by their order; the next one stands out, those made are
 * dim. Drawn twice: a mark may stand on a landing, but not on the next one. */
static void draw_landings(const struct ui_strip *s, const struct lw_view *view,
                          struct lw_canvas *canvas, bool only_next)
{
    const struct lw_plan *plan = view->plan;
    const struct lw_guidance *g = view->guidance;

    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];
        struct lw_offset_at at;
        char text[16];
        int col, row, w;
        bool done;

        if (cast->station != g->station || (only_next && cast->order != g->cast))
            continue;
        at = lw_plan_offset(plan, cast->to);
        col = ui_strip_col(s, at.along_m);
        row = ui_strip_row(s, at.off_m);
        if (!ui_strip_holds(s, col, row))
            continue;
        done = lw_trip_cast_done(view->trip, cast->station, cast->order);
        w = snprintf(text, sizeof text, "%d", cast->order);
        if (col + w > s->x + s->w)
            col = s->x + s->w - w;
        lw_canvas_text(canvas, col, row, done ? LW_ROLE_DIM : LW_ROLE_CAST, text);
        if (cast->order == g->cast)
            lw_canvas_reverse(canvas, col, row, w);
    }
}

static void draw_marks(const struct ui_strip *s, const struct lw_view *view,
                       struct lw_canvas *canvas)
{
    size_t n;
    const struct lw_mark *mark = lw_trip_marks(view->trip, &n);

    for (size_t i = 0; i < n; i++) {
        const struct lw_ev_mark *m = &mark[i].m;
        int col, row;

        /* where the bait was, as far as that is known: there the fish is */
        if (!mark[i].undone &&
            ui_strip_place(s, view, lw_ll_known(m->bait) ? m->bait : m->where.at, &col, &row))
            lw_canvas_put(canvas, col, row, LW_ROLE_MARK,
                          (uint32_t)(unsigned char)lw_mark_info(m->kind)->letter);
    }
}

static const struct lw_return *return_of(const struct lw_view *view, int place)
{
    for (int i = 0; i < view->day->returns; i++)
        if (view->day->ret[i].place == place)
            return &view->day->ret[i];
    return NULL;
}

static void draw_places(const struct ui_strip *s, const struct lw_view *view,
                        struct lw_canvas *canvas)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(view->trip, &n);

    for (size_t i = 0; i < n; i++) {
        const struct lw_return *ret = return_of(view, (int)i);
        bool dwelt = view->day->dwell.open && view->day->dwell.place == (int)i;
        char state[64] = "";
        int col, row, x;

        if (place[i].gone || !ui_strip_place(s, view, place[i].at, &col, &row))
            continue;
        x = lw_canvas_text(canvas, col, row, ret || dwelt ? LW_ROLE_PLACE : LW_ROLE_DIM,
                           place[i].label);
        if (dwelt || (ret && ret->state != LW_RET_RESTING))
            lw_canvas_reverse(canvas, col, row, x - col);
        if (ret && canvas->w >= 110) {
            ui_words_return(state, sizeof state, view, ret);
            if (x + 1 + lw_canvas_width(state) < s->x + s->w)
                lw_canvas_text(canvas, x + 1, row, LW_ROLE_PLACE, state);
        }
    }
}

static bool is_figure(uint32_t ch)
{
    return ch >= '0' && ch <= '9';
}

/* Half a figure beside the bracket would be read as another figure. */
static void wipe_figure(struct lw_canvas *canvas, int x, int y, int step)
{
    for (; x >= 0 && x < canvas->w && is_figure(canvas->cell[y * canvas->w + x].ch); x += step)
        lw_canvas_put(canvas, x, y, LW_ROLE_DIM, ' ');
}

/* A bracket on the along axis about the place that is dwelt at. */
static void draw_dwell(const struct ui_strip *s, const struct lw_view *view,
                       struct lw_canvas *canvas)
{
    const struct lw_dwell *dwell = &view->day->dwell;
    int y = s->y + s->h, col, row, from, to;
    const struct lw_place *place;
    double half_m = view->conf->number[LW_SET_PLACE_RADIUS];
    size_t n;

    if (!dwell->open)
        return;
    place = lw_trip_places(view->trip, &n) + dwell->place;
    if (!ui_strip_place(s, view, place->at, &col, &row))
        return;
    from = ui_strip_col(s, ui_strip_along(s, col) - half_m);
    to = ui_strip_col(s, ui_strip_along(s, col) + half_m);
    from = from < s->x ? s->x : from;
    to = to >= s->x + s->w ? s->x + s->w - 1 : to;
    if (to - from < 2)
        return;
    wipe_figure(canvas, from - 1, y, -1);
    wipe_figure(canvas, to + 1, y, 1);
    lw_canvas_fill(canvas, from, y, to - from + 1, LW_ROLE_PLACE, ' ');
    lw_canvas_put(canvas, from, y, LW_ROLE_PLACE, '[');
    lw_canvas_put(canvas, to, y, LW_ROLE_PLACE, ']');
    lw_canvas_text(canvas,
                   col <= from ? from + 1
                   : col >= to ? to - 1
                               : col,
                   y, LW_ROLE_PLACE, place->label);
}

static void draw_boat(const struct ui_strip *s, const struct lw_view *view,
                      struct lw_canvas *canvas)
{
    const struct lw_guidance *g = view->guidance;
    enum lw_role role = g->side == LW_SIDE_ON ? LW_ROLE_GOOD : LW_ROLE_WARN;
    int hold_row = ui_strip_row(s, s->hold_off_m), col, row, step, w;
    char by[32], words[96];

    if (!g->ok || !isfinite(g->off_m) || !isfinite(g->along_m))
        return;
    col = ui_strip_col(s, g->along_m);
    row = ui_strip_row(s, g->off_m);
    ui_words_length(by, sizeof by, fabs(g->dev_m), ui_units(view));
    snprintf(words, sizeof words, ui_words_is_zero(by) ? "on" : "%s %s", by,
             g->dev_m >= 0 ? "out" : "in");
    if (!ui_strip_holds(s, col, row)) {
        /* where the picture ends the boat waits at its rim, and the words say so */
        col = col < s->x ? s->x : col >= s->x + s->w ? s->x + s->w - 1 : col;
        row = row < s->y ? s->y : row >= s->y + s->h ? s->y + s->h - 1 : row;
        strncat(words, ", beyond this page", sizeof words - strlen(words) - 1);
    }
    /* the gap itself, from the hold line to the boat */
    step = row > hold_row ? 1 : -1;
    for (int y = hold_row + step; hold_row != row && y != row; y += step)
        lw_canvas_put(canvas, col, y, role, ':');
    lw_canvas_put(canvas, col, row, LW_ROLE_BOAT, 0x25b2);
    w = lw_canvas_width(words);
    if (col + 2 + w <= s->x + s->w)
        lw_canvas_print(canvas, col + 1, row, role, " %s", words);
    else
        lw_canvas_print(canvas, col - 1 - w, row, role, "%s ", words);
}

void ui_strip_things(const struct ui_strip *s, const struct lw_view *view, struct lw_canvas *canvas)
{
    draw_dwell(s, view, canvas);
    draw_stations(s, view, canvas);
    draw_landings(s, view, canvas, false);
    draw_marks(s, view, canvas);
    draw_landings(s, view, canvas, true);
    draw_places(s, view, canvas);
    draw_boat(s, view, canvas);
}
