/* The places: returns to choose among, the dwell, the last marks, the counts of the day. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "screens.h"
#include "side.h"
#include "words.h"

static int chosen_return(const struct lw_view *view, const struct lw_ui *ui)
{
    if (ui->return_chosen < view->day->returns)
        return ui->return_chosen < 0 ? 0 : ui->return_chosen;
    return view->day->returns - 1;
}

static void draw_place(const struct lw_view *view, struct lw_canvas *canvas, int y,
                       const struct lw_place *place, const char *state, enum lw_role role,
                       bool chosen)
{
    char way[32], bites[24], fish[24], last[16] = "";
    struct ui_pieces pieces = {0};

    ui_words_way_to(way, sizeof way, view, place->at);
    snprintf(bites, sizeof bites, "%d bite%s", place->bites, place->bites == 1 ? "" : "s");
    snprintf(fish, sizeof fish, "%d fish", place->fish);
    lw_clock_local(last, sizeof last, place->last_utc_ms, "last %H:%M");
    lw_canvas_text(canvas, 0, y, LW_ROLE_STRONG, chosen ? ">" : " ");
    lw_canvas_text(canvas, 2, y, LW_ROLE_PLACE, place->label);
    /* columns of their own, so that a column can be read down */
    ui_pieces_add(&pieces, role, 0, "%-20s", state);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 1, "%-10s", way);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 2, "%-8s", bites);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 3, "%-7s", fish);
    ui_pieces_add(&pieces, LW_ROLE_DIM, 4, "%s", place->last_utc_ms ? last : "");
    ui_pieces_draw(canvas, 5, y, canvas->w - 5, 1, 2, &pieces);
    if (chosen)
        lw_canvas_reverse(canvas, 0, y, canvas->w);
}

/* Open returns by their time, then the other places. Keeps the chosen one in sight. */
static int draw_places(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas,
                       int y, int rows)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(view->trip, &n);
    int chosen = chosen_return(view, ui), end = y + rows;
    int top = chosen >= rows ? chosen - rows + 1 : 0;
    char state[64];

    for (int i = top; i < view->day->returns && y < end; i++) {
        const struct lw_return *ret = &view->day->ret[i];
        bool due = ret->state == LW_RET_DUE || ret->state == LW_RET_LATE;

        ui_words_return(state, sizeof state, view, ret);
        draw_place(view, canvas, y++, &place[ret->place], state, due ? LW_ROLE_WARN : LW_ROLE_TEXT,
                   i == chosen);
    }
    for (size_t i = n; i-- > 0 && y < end;) {
        bool open = false, dwelt = view->day->dwell.open && view->day->dwell.place == (int)i;

        for (int j = 0; j < view->day->returns; j++)
            open = open || view->day->ret[j].place == (int)i;
        if (!open && !place[i].gone)
            draw_place(view, canvas, y++, &place[i], dwelt ? "dwelt at now" : "no return open",
                       dwelt ? LW_ROLE_GOOD : LW_ROLE_DIM, false);
    }
    return y;
}

static void draw_keys(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas,
                      int y)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(view->trip, &n);
    struct ui_pieces pieces = {0};
    char snooze[32];
    int chosen = chosen_return(view, ui);

    if (chosen < 0) {
        lw_canvas_text(canvas, 2, y, LW_ROLE_DIM,
                       n ? "no return is open" : "no places yet: a bite, fish or follow makes one");
        return;
    }
    ui_words_about(snooze, sizeof snooze, view->conf->number[LW_SET_SNOOZE]);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 0, "%s:", place[view->day->ret[chosen].place].label);
    ui_pieces_add(&pieces, LW_ROLE_KEY, 0, "1 done");
    ui_pieces_add(&pieces, LW_ROLE_KEY, 0, "2 snooze %s", snooze);
    ui_pieces_add(&pieces, LW_ROLE_KEY, 0, "3 drop");
    ui_pieces_add(&pieces, LW_ROLE_DIM, 1, "up and down choose");
    ui_pieces_draw(canvas, 2, y, canvas->w - 2, 1, 2, &pieces);
}

static void draw_dwell(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    const struct lw_dwell *dwell = &view->day->dwell;
    struct ui_pieces pieces = {0};
    char text[64];
    size_t n;

    if (!dwell->open)
        return;
    ui_words_dwell(text, sizeof text, view);
    ui_pieces_add(&pieces, LW_ROLE_STRONG, 0, "dwell at %s: %s",
                  lw_trip_places(view->trip, &n)[dwell->place].label, text);
    if (dwell->away) {
        ui_words_span(text, sizeof text, dwell->away_s);
        ui_pieces_add(&pieces, LW_ROLE_WARN, 0, "paused, away %s", text);
    }
    ui_pieces_add(&pieces, LW_ROLE_KEY, 1, "o ends it");
    ui_pieces_draw(canvas, 2, y, canvas->w - 2, 1, 2, &pieces);
}

static void draw_counts(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    struct ui_pieces pieces = {0};

    ui_pieces_add(&pieces, LW_ROLE_STRONG, 0, "today");
    for (int kind = 0; kind < LW_MARK_KINDS; kind++) {
        int count = lw_trip_count_marks(view->trip, (enum lw_mark_kind)kind);

        if (count > 0 || kind == LW_MARK_BITE || kind == LW_MARK_FISH)
            ui_pieces_add(&pieces, LW_ROLE_TEXT, kind, "%s %d",
                          lw_mark_info((enum lw_mark_kind)kind)->name, count);
    }
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 2, "casts %d", lw_trip_count_casts(view->trip));
    ui_pieces_draw(canvas, 2, y, canvas->w - 2, 1, 2, &pieces);
}

static void draw_mark(const struct lw_view *view, struct lw_canvas *canvas, int y,
                      const struct lw_mark *mark, const char *label)
{
    struct ui_pieces pieces = {0};
    double depth_m = isfinite(mark->m.depth_m) ? mark->m.depth_m : mark->m.map_depth_m;
    char clock[16], depth[24] = "";

    lw_clock_local(clock, sizeof clock, mark->at_utc_ms, "%H:%M:%S");
    if (isfinite(depth_m))
        ui_words_length(depth, sizeof depth, depth_m, ui_units(view));
    ui_pieces_add(&pieces, LW_ROLE_DIM, 0, "%s", clock);
    ui_pieces_add(&pieces, mark->undone ? LW_ROLE_DIM : LW_ROLE_MARK, 0, "%-13s",
                  lw_mark_info(mark->m.kind)->name);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 1, "%-10s", mark->m.who_name);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 2, "%-7s", depth);
    ui_pieces_add(&pieces, LW_ROLE_PLACE, 3, "%-4s", label);
    if (mark->undone)
        ui_pieces_add(&pieces, LW_ROLE_DIM, 1, "taken back");
    else if (!lw_ll_known(mark->m.where.at))
        ui_pieces_add(&pieces, LW_ROLE_WARN, 4, "no position");
    else if (mark->m.where.age_s > 5)
        ui_pieces_add(&pieces, LW_ROLE_WARN, 4, "position %.0f s old", mark->m.where.age_s);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 5, "%s", mark->m.note);
    ui_pieces_draw(canvas, 2, y, canvas->w - 2, 1, 2, &pieces);
}

static void draw_marks(const struct lw_view *view, struct lw_canvas *canvas, int y, int end)
{
    size_t n, places;
    const struct lw_mark *mark = lw_trip_marks(view->trip, &n);
    const struct lw_place *place = lw_trip_places(view->trip, &places);

    while (n-- > 0 && y < end)
        draw_mark(view, canvas, y++, &mark[n],
                  mark[n].place >= 0 && (size_t)mark[n].place < places ? place[mark[n].place].label
                                                                       : "");
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    int half = canvas->h / 2, y;

    ui_header(view, canvas);
    y = draw_places(view, ui, canvas, canvas->h >= 20 ? 2 : 1, half - 4);
    draw_keys(view, ui, canvas, y++);
    draw_dwell(view, canvas, y++);
    ui_rule(canvas, y++, "last marks", "");
    draw_marks(view, canvas, y, canvas->h - 2);
    draw_counts(view, canvas, canvas->h - 2);
}

static bool handle(const struct lw_view *view, struct lw_ui *ui, int code, struct lw_act *act)
{
    int chosen = chosen_return(view, ui);

    (void)act;
    if (code == LW_KEY_ESC) {
        ui->screen = LW_SCREEN_STRIP;
        ui->return_chosen = 0;
        return true;
    }
    if (code != LW_KEY_UP && code != LW_KEY_DOWN)
        return false;
    chosen += code == LW_KEY_UP ? -1 : 1;
    if (chosen >= 0 && chosen < view->day->returns)
        ui->return_chosen = chosen;
    return true;
}

const struct lw_screen ui_screen_places = {"places", draw, handle};
