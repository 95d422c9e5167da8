/* The bottom line: questions and their keys, and what was last recorded. */
#include <stdio.h>
#include <string.h>

#include "screens.h"
#include "side.h"
#include "words.h"

#define LAST_MS 8000 /* so long what was just recorded comes before what goes on */

static void append_code(struct lw_ask *ask, int code)
{
    size_t n = strlen(ask->text);
    char utf8[5] = {0};

    if (code < 0x80) {
        utf8[0] = (char)code;
    } else if (code < 0x800) {
        utf8[0] = (char)(0xc0 | (code >> 6));
        utf8[1] = (char)(0x80 | (code & 0x3f));
    } else if (code < 0x10000) {
        utf8[0] = (char)(0xe0 | (code >> 12));
        utf8[1] = (char)(0x80 | ((code >> 6) & 0x3f));
        utf8[2] = (char)(0x80 | (code & 0x3f));
    } else {
        utf8[0] = (char)(0xf0 | (code >> 18));
        utf8[1] = (char)(0x80 | ((code >> 12) & 0x3f));
        utf8[2] = (char)(0x80 | ((code >> 6) & 0x3f));
        utf8[3] = (char)(0x80 | (code & 0x3f));
    }
    if (n + strlen(utf8) < sizeof ask->text)
        memcpy(ask->text + n, utf8, strlen(utf8) + 1);
}

static void remove_last(struct lw_ask *ask)
{
    size_t n = strlen(ask->text);

    while (n > 0 && ((unsigned char)ask->text[n - 1] & 0xc0) == 0x80)
        n--;
    ask->text[n > 0 ? n - 1 : 0] = '\0';
}

static void settle(struct lw_ui *ui, bool yes, struct lw_act *act)
{
    ui->ask.yes = yes;
    act->action = LW_ACT_ANSWER;
}

bool ui_ask_key(struct lw_ui *ui, int code, struct lw_act *act)
{
    const struct lw_key *key = lw_key_find(code);

    switch (ui->ask.kind) {
    case LW_ASK_NONE:
        return false;
    case LW_ASK_YES_NO:
        if (code == 'y' || code == 'Y' || code == LW_KEY_ENTER)
            settle(ui, true, act);
        else if (code == 'n' || code == 'N' || code == LW_KEY_ESC)
            settle(ui, false, act);
        else if (key && (key->action == LW_ACT_MARK || key->action == LW_ACT_EMERGENCY ||
                         key->action == LW_ACT_CAST))
            *act = (struct lw_act){key->action, key};
        return true;
    case LW_ASK_TEXT:
        if (code == LW_KEY_ENTER)
            settle(ui, true, act);
        else if (code == LW_KEY_ESC)
            settle(ui, false, act);
        else if (code == LW_KEY_BACKSPACE)
            remove_last(&ui->ask);
        else if (code == '0' &&
                 !ui->ask.text[0]) /* few answers begin with 0: it stays what it is */
            *act = (struct lw_act){LW_ACT_EMERGENCY, key};
        else if (code >= ' ' && code <= 0x10ffff && !(code >= 0x7f && code < 0xa0) &&
                 !(code >= 0xd800 && code <= 0xdfff))
            append_code(&ui->ask, code);
        return true;
    }
    return true;
}

/* Returns its first row. */
static int draw_question(const struct lw_ask *ask, struct lw_canvas *canvas)
{
    static const char keys[] = "   Enter keeps it, Esc leaves";
    char line[sizeof ask->sentence + sizeof ask->text + sizeof keys + 8];
    int rows, y;

    snprintf(line, sizeof line, "%s%s%s", ask->sentence, ask->kind == LW_ASK_TEXT ? " " : "",
             ask->kind == LW_ASK_TEXT ? ask->text : "");
    /* the place where the next letter goes */
    if (ask->kind == LW_ASK_TEXT)
        strncat(line, "_", sizeof line - strlen(line) - 1);
    if (ask->kind == LW_ASK_TEXT && lw_canvas_width(line) + (int)sizeof keys <= canvas->w)
        strcat(line, keys);
    rows = ui_wrap_rows(canvas->w, line);
    rows = rows > canvas->h ? canvas->h : rows;
    y = canvas->h - rows;
    for (int i = 0; i < rows; i++)
        lw_canvas_fill(canvas, 0, y + i, canvas->w, LW_ROLE_STRONG, ' ');
    ui_wrap(canvas, 0, y, canvas->w, rows, LW_ROLE_STRONG, line);
    for (int i = 0; i < rows; i++)
        lw_canvas_reverse(canvas, 0, y + i, canvas->w);
    return y;
}

static void draw_line(struct lw_canvas *canvas, int y, enum lw_role role, const char *text)
{
    lw_canvas_fill(canvas, 0, y, canvas->w, role, ' ');
    lw_canvas_text(canvas, 0, y, role, text);
}

/* Upwards from row y, whole if it can be; returns its first row. */
static int draw_wrapped(struct lw_canvas *canvas, int y, enum lw_role role, const char *text)
{
    int rows = ui_wrap_rows(canvas->w, text), most = canvas->w < 60 ? 4 : 3;

    rows = rows > most ? most : rows;
    y -= rows - 1;
    for (int i = 0; i < rows; i++)
        lw_canvas_fill(canvas, 0, y + i, canvas->w, role, ' ');
    ui_wrap(canvas, 0, y, canvas->w, rows, role, text);
    return y;
}

static int draw_last(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    static const char *const state[] = {
        [LW_SAVED_NONE] = "",
        [LW_SAVED_PENDING] = ", saving...",
        [LW_SAVED_CONFIRMED] = ", confirmed",
        [LW_SAVED_FAILED] = ", NOT SAVED",
    };
    enum lw_role role = view->last_saved == LW_SAVED_FAILED      ? LW_ROLE_ALARM
                        : view->last_saved == LW_SAVED_CONFIRMED ? LW_ROLE_GOOD
                                                                 : LW_ROLE_STRONG;
    int room, x;

    if (!view->last_words[0])
        return 0;
    /* the state must not be cut off, however long the words are */
    room = canvas->w - lw_canvas_width(state[view->last_saved]);
    x = lw_canvas_text(canvas, 0, y, LW_ROLE_TEXT, view->last_words);
    if (x > room) {
        uint32_t ch;

        for (x = room; x > 0; x--) /* cut at a comma, not beside one */
            if ((ch = canvas->cell[y * canvas->w + x - 1].ch) != ',' && ch != ' ')
                break;
        lw_canvas_fill(canvas, x, y, canvas->w - x, LW_ROLE_TEXT, ' ');
    }
    return lw_canvas_text(canvas, x, y, role, state[view->last_saved]);
}

static void draw_hands(const struct lw_view *view, struct lw_canvas *canvas, int y, int from)
{
    char text[128];

    snprintf(text, sizeof text, "left hand marks for %.40s, right for %.40s   ? all keys",
             ui_words_crew(view, 0), ui_words_crew(view, 1));
    if (lw_canvas_width(text) + from + 2 > canvas->w)
        text[strlen(text) - strlen("   ? all keys")] = '\0';
    if (lw_canvas_width(text) + from + 2 > canvas->w)
        snprintf(text, sizeof text, "left %.40s, right %.40s", ui_words_crew(view, 0),
                 ui_words_crew(view, 1));
    if (lw_canvas_width(text) + from + 2 <= canvas->w)
        lw_canvas_right(canvas, canvas->w, y, LW_ROLE_DIM, text);
}

/* Just recorded, or not safe yet: what a person who pressed a key looks for. */
static bool last_counts(const struct lw_view *view)
{
    return view->last_words[0] &&
           (view->last_saved == LW_SAVED_PENDING || view->last_saved == LW_SAVED_FAILED ||
            view->mono_ms - view->last_mono_ms < LAST_MS);
}

/* A mark made during a question, and trouble at any time, take a row of the picture. */
static void draw_above(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    if (view->trouble[0])
        y = draw_wrapped(canvas, y, LW_ROLE_ALARM, view->trouble) - 1;
    if (last_counts(view) && y >= 0) {
        lw_canvas_fill(canvas, 0, y, canvas->w, LW_ROLE_TEXT, ' ');
        draw_last(view, canvas, y);
    }
}

void ui_bottom(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    int y = canvas->h - 1;

    if (ui->ask.kind != LW_ASK_NONE) {
        draw_above(view, canvas, draw_question(&ui->ask, canvas) - 1);
        return;
    }
    lw_canvas_fill(canvas, 0, y, canvas->w, LW_ROLE_TEXT, ' ');
    if (view->trouble[0])
        draw_above(view, canvas, y);
    else if (view->notice[0])
        draw_wrapped(canvas, y, view->notice_role, view->notice);
    else if (last_counts(view))
        draw_hands(view, canvas, y, draw_last(view, canvas, y));
    else if (view->busy)
        lw_canvas_text(canvas, 0, y, LW_ROLE_STRONG, view->busy_words);
    else if (view->no_map[0] && ui->screen != LW_SCREEN_EDGE) /* that one has it whole */
        draw_wrapped(canvas, y, LW_ROLE_WARN, view->no_map);
    else if (view->driving)
        draw_line(canvas, y, LW_ROLE_WARN, "an edge is being driven: i ends it");
    else
        draw_hands(view, canvas, y, draw_last(view, canvas, y));
}
