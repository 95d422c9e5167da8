/* Choosing an edge: type a depth, pick a beat from the list, set its ends by along. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "screens.h"
#include "side.h"
#include "words.h"

static char *field_text(struct lw_ui *ui, size_t *size)
{
    switch (ui->edge_field) {
    case LW_EDGE_DEPTH:
        *size = sizeof ui->depth_text;
        return ui->depth_text;
    case LW_EDGE_FROM:
    case LW_EDGE_TO:
        *size = sizeof ui->end_text[0];
        return ui->end_text[ui->edge_field - LW_EDGE_FROM];
    default:
        return NULL;
    }
}

/* What stands in an end's field, in metres of along; NaN: empty, the beat's own end. */
static double end_m(const struct lw_view *view, const struct lw_ui *ui, int end)
{
    double value_m;

    if (lw_units_parse(ui->end_text[end], LW_LENGTH, ui_units(view), &value_m, NULL))
        return NAN;
    return value_m;
}

static int chosen_beat(const struct lw_view *view, const struct lw_ui *ui)
{
    if (ui->beat_chosen >= (int)view->beats)
        return (int)view->beats - 1;
    return ui->beat_chosen < 0 ? 0 : ui->beat_chosen;
}

static void draw_field(struct lw_canvas *canvas, int x, int y, const char *text, const char *empty,
                       const char *unit, bool active)
{
    int end = lw_canvas_print(canvas, x, y, active ? LW_ROLE_STRONG : LW_ROLE_TEXT, " %s%s ",
                              text[0] || active ? text : empty, active ? "_" : "");

    if (active)
        lw_canvas_reverse(canvas, x, y, end - x);
    lw_canvas_text(canvas, end + 1, y, LW_ROLE_TEXT, unit);
}

static void draw_beats(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas,
                       int y, int rows)
{
    int chosen = chosen_beat(view, ui), top = chosen >= rows ? chosen - rows + 1 : 0;
    char length[32], way[32];

    for (int i = top; i < (int)view->beats && i < top + rows; i++, y++) {
        const struct lw_beat *beat = &view->beat[i];
        struct ui_pieces pieces = {0};

        ui_words_way(length, sizeof length, beat->length_m, ui_units(view));
        ui_pieces_add(&pieces, LW_ROLE_STRONG, 0, "%2d", i + 1);
        ui_pieces_add(&pieces, LW_ROLE_TEXT, 0, "%8s long", length);
        if (isfinite(beat->distance_m)) {
            ui_words_way(way, sizeof way, beat->distance_m, ui_units(view));
            ui_pieces_add(&pieces, LW_ROLE_TEXT, 1, "%8s %s", way,
                          ui_words_compass(beat->bearing_deg));
        }
        ui_pieces_add(&pieces, LW_ROLE_DIM, 2, beat->closed ? "all around" : "open");
        ui_pieces_draw(canvas, 2, y, canvas->w - 2, 1, 2, &pieces);
        if (i == chosen && ui->edge_field != LW_EDGE_DEPTH) {
            lw_canvas_text(canvas, 0, y, LW_ROLE_STRONG, ">");
            lw_canvas_reverse(canvas, 0, y, canvas->w);
        }
    }
}

static void draw_ends(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas,
                      int y)
{
    const char *unit = lw_units_name(LW_LENGTH, ui_units(view));
    char near[32] = "";
    const struct lw_beat *beat = &view->beat[chosen_beat(view, ui)];

    lw_canvas_text(canvas, 0, y, LW_ROLE_DIM, "from");
    draw_field(canvas, 6, y, ui->end_text[0], "whole", unit, ui->edge_field == LW_EDGE_FROM);
    lw_canvas_text(canvas, 20, y, LW_ROLE_DIM, "to");
    draw_field(canvas, 24, y, ui->end_text[1], "whole", unit, ui->edge_field == LW_EDGE_TO);
    if (isfinite(beat->distance_m) && canvas->w >= 70) {
        lw_units_print(near, sizeof near, beat->nearest_along_m, LW_LENGTH, ui_units(view), 0);
        lw_canvas_print(canvas, 40, y, LW_ROLE_DIM, "the boat is abeam of %s", near);
    }
}

static const char *hint(const struct lw_view *view, const struct lw_ui *ui)
{
    switch (ui->edge_field) {
    case LW_EDGE_DEPTH:
        return "a depth (9 or 9ft), then Enter lists the edges there; Esc goes back";
    case LW_EDGE_LIST:
        return view->beats
                   ? "up, down or a number picks; Enter works the whole edge; right sets ends"
                   : "";
    default:
        return "the beat's ends by along, empty: whole; Enter goes on, left goes back";
    }
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    enum lw_units units = ui_units(view);
    char depth[32];
    int y = canvas->h >= 20 ? 2 : 1, rows;

    ui_header(view, canvas);
    lw_canvas_text(canvas, 0, y, LW_ROLE_STRONG, "edge at depth");
    draw_field(canvas, 14, y, ui->depth_text, "--", lw_units_name(LW_DEPTH, units),
               ui->edge_field == LW_EDGE_DEPTH);
    if (canvas->w >= 70 && view->chart && isfinite(view->chart->deepest_m)) {
        ui_words_length(depth, sizeof depth, view->chart->deepest_m + view->guidance->level_m,
                        units);
        lw_canvas_print(canvas, 36, y, LW_ROLE_DIM, "the deepest contour is %s", depth);
    }
    y++;
    if (view->busy)
        ui_wrap(canvas, 0, y + 1, canvas->w, 2, LW_ROLE_STRONG, view->busy_words);
    else if (!view->chart)
        ui_wrap(canvas, 0, y + 1, canvas->w, canvas->h - y - 3, LW_ROLE_WARN,
                view->no_map[0]
                    ? view->no_map
                    : "no map is open: start with --map FILE, or press i and drive along the edge");
    else if (view->beats) {
        lw_units_print_edge(depth, sizeof depth, view->beats_depth_m, units);
        lw_canvas_print(canvas, 0, y++, LW_ROLE_DIM, "%zu edge%s at %s%s", view->beats,
                        view->beats == 1 ? "" : "s", depth,
                        isfinite(view->beat[0].distance_m) ? ", nearest first" : ", longest first");
        rows = canvas->h - 4 - y;
        draw_beats(view, ui, canvas, y, rows);
        draw_ends(view, ui, canvas, canvas->h - 4);
    }
    ui_wrap(canvas, 0, canvas->h - 3, canvas->w, 2, LW_ROLE_DIM, hint(view, ui));
}

/* From 500 to 100: on a ring it runs on through the start, on an open edge it is turned about. */
static void order_ends(const struct lw_beat *beat, double *from_m, double *to_m)
{
    double from = *from_m;

    if (!(*to_m <= from))
        return;
    if (beat->closed) {
        *to_m += beat->length_m;
    } else {
        *from_m = *to_m;
        *to_m = from;
    }
}

/* Enter: the depth is listed; a beat without ends is taken whole; ends are set one by one. */
static void enter(const struct lw_view *view, struct lw_ui *ui, struct lw_act *act)
{
    if (ui->edge_field == LW_EDGE_DEPTH) {
        if (ui->depth_text[0]) { /* the list takes over when it is there, and only if it has rows */
            act->action = LW_ACT_EDGE;
            ui->beat_chosen = 0;
            ui->end_text[0][0] = ui->end_text[1][0] = '\0';
        }
        return;
    }
    if (!view->beats)
        return;
    if (ui->edge_field == LW_EDGE_FROM) {
        ui->edge_field = LW_EDGE_TO;
        return;
    }
    ui->beat_chosen = chosen_beat(view, ui);
    ui->from_m = end_m(view, ui, 0);
    ui->to_m = end_m(view, ui, 1);
    /* one end given: the other is the edge's own */
    if (isfinite(ui->from_m) && !isfinite(ui->to_m))
        ui->to_m = view->beat[ui->beat_chosen].length_m;
    if (isfinite(ui->to_m) && !isfinite(ui->from_m))
        ui->from_m = 0;
    order_ends(&view->beat[ui->beat_chosen], &ui->from_m, &ui->to_m);
    act->action = LW_ACT_BEAT;
}

static bool move(const struct lw_view *view, struct lw_ui *ui, int code)
{
    switch (code) {
    case LW_KEY_UP:
        if (ui->edge_field == LW_EDGE_LIST && ui->beat_chosen > 0)
            ui->beat_chosen = chosen_beat(view, ui) - 1;
        else if (ui->edge_field > LW_EDGE_DEPTH)
            ui->edge_field = ui->edge_field == LW_EDGE_LIST ? LW_EDGE_DEPTH : LW_EDGE_LIST;
        return true;
    case LW_KEY_DOWN:
        if (ui->edge_field == LW_EDGE_DEPTH && view->beats)
            ui->edge_field = LW_EDGE_LIST;
        else if (ui->edge_field == LW_EDGE_LIST && ui->beat_chosen + 1 < (int)view->beats)
            ui->beat_chosen++;
        return true;
    case LW_KEY_RIGHT:
        if (view->beats && ui->edge_field < LW_EDGE_TO)
            ui->edge_field++;
        return true;
    case LW_KEY_LEFT:
        if (ui->edge_field > LW_EDGE_DEPTH)
            ui->edge_field--;
        return true;
    default:
        return false;
    }
}

/* What may be typed into a field: a figure, and after it a unit ("9ft", "2.7m"). */
static bool types(const char *text, int code)
{
    if ((code >= '0' && code <= '9') || code == '.')
        return true;
    return text[0] && (code == 'f' || code == 't' || code == 'm');
}

static bool handle(const struct lw_view *view, struct lw_ui *ui, int code, struct lw_act *act)
{
    size_t size, n;
    char *text = field_text(ui, &size);
    /* no depth begins with 0: where nothing is typed it stays the emergency key */
    bool emergency = code == '0' && (!text || (!text[0] && ui->edge_field == LW_EDGE_DEPTH));

    if (code == LW_KEY_ESC) {
        ui->screen = LW_SCREEN_STRIP;
        return true;
    }
    if (code == LW_KEY_ENTER) {
        enter(view, ui, act);
        return true;
    }
    if (emergency)
        return false;
    if (move(view, ui, code))
        return true;
    if (code == LW_KEY_BACKSPACE) { /* corrects what is typed; here it never takes a mark back */
        if (text && text[0])
            text[strlen(text) - 1] = '\0';
        return true;
    }
    if (!text) { /* the list: a digit picks a row, and is no other key here */
        if (code < '1' || code > '9')
            return false;
        if (code - '0' <= (int)view->beats)
            ui->beat_chosen = code - '1';
        return true;
    }
    if (!types(text, code))
        return false;
    n = strlen(text);
    if (n + 1 < size && n < 8) {
        text[n] = (char)code;
        text[n + 1] = '\0';
    }
    return true;
}

const struct lw_screen ui_screen_edge = {"choose an edge", draw, handle};
