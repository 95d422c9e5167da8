/* Help: the key table, left hand on the left, right hand on the right, and what comes first. */
#include <stdio.h>
#include <string.h>

#include "screens.h"
#include "side.h"
#include "words.h"

static const char *const cautions[] = {
    "Maps and this program are not for navigation. Life jackets on.",
    "Cold water takes the breath first, then the hands, then the mind.",
    "Lightning: off the water till 30 minutes after the last thunder.",
    "Local seasons, sanctuaries and regulations come before any edge.",
};
#define CAUTIONS (sizeof cautions / sizeof cautions[0])

/* Rows are laid out first and then shown from help_top on; a row has one or two columns. */
struct row {
    const char *key[2], *text[2];
    enum lw_role role[2];
    bool whole; /* text[0] over the whole width */
};
#define ROWS_MAX 64
struct page {
    struct row row[ROWS_MAX];
    int n;
};

static void add(struct page *page, int at, int column, const char *key, const char *text,
                enum lw_role role)
{
    if (at >= ROWS_MAX)
        return;
    while (page->n <= at)
        page->row[page->n++] = (struct row){.key = {"", ""}, .text = {"", ""}};
    page->row[at].key[column] = key;
    page->row[at].text[column] = text;
    page->row[at].role[column] = role;
}

/* A column for each hand, the same row for the same finger. */
static void lay_marks(struct page *page)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);
    int at[2] = {page->n, page->n};

    for (size_t i = 0; i < n; i++)
        if (keys[i].action == LW_ACT_MARK)
            add(page, at[keys[i].who]++, keys[i].who, keys[i].name, keys[i].help, LW_ROLE_TEXT);
}

static void lay_others(struct page *page, int columns, bool ascii)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);
    int from = page->n, count = 1, done = 0, rows;

    for (size_t i = 0; i < n; i++)
        count += keys[i].action != LW_ACT_MARK && keys[i].help;
    rows = (count + columns - 1) / columns;
    for (size_t i = 0; i < n; i++) {
        if (keys[i].action == LW_ACT_MARK || !keys[i].help)
            continue;
        add(page, from + done % rows, done / rows, keys[i].name, keys[i].help,
            keys[i].action == LW_ACT_EMERGENCY ? LW_ROLE_ALARM : LW_ROLE_TEXT);
        done++;
    }
    add(page, from + done % rows, done / rows, ascii ? "+-" : "±", "holds two times in three",
        LW_ROLE_DIM);
}

static void draw_row(struct lw_canvas *canvas, int y, const struct row *row)
{
    bool mark = strlen(row->key[0]) == 1 && row->text[1][0] && strlen(row->key[1]) == 1;
    int half = canvas->w / 2 < 60 ? canvas->w / 2 : 60, indent = canvas->w < 76 && mark ? 3 : 10;

    for (int c = 0; c < 2; c++) {
        lw_canvas_text(canvas, c * half, y, LW_ROLE_KEY, row->key[c]);
        lw_canvas_text(canvas, c * half + (row->key[c][0] ? indent : 0), y, row->role[c],
                       row->text[c]);
    }
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    struct page page = {.n = 0};
    char hand[2][64];
    int room = canvas->h - 1, top, y = 0, from;

    for (int who = 0; who < 2; who++) {
        snprintf(hand[who], sizeof hand[who], "%s hand, %.40s", who ? "right" : "left",
                 ui_words_crew(view, who));
        add(&page, 0, who, "", hand[who], LW_ROLE_STRONG);
    }
    lay_marks(&page);
    lay_others(&page, canvas->w >= 76 ? 2 : 1, canvas->ascii);
    from = page.n;
    for (size_t i = 0; i < CAUTIONS; i++) {
        add(&page, from + (int)i, 0, "", cautions[i], LW_ROLE_WARN);
        page.row[from + (int)i].whole = true;
    }
    top = ui->help_top < page.n ? ui->help_top : page.n - 1;
    if (page.n <= room) /* the window grew */
        top = 0;
    for (int i = top; i < page.n && y < room; i++) {
        if (page.row[i].whole)
            y += ui_wrap(canvas, 0, y, canvas->w, room - y, page.row[i].role[0],
                         page.row[i].text[0]);
        else
            draw_row(canvas, y++, &page.row[i]);
        if (y == room && i + 1 < page.n)
            lw_canvas_right(canvas, canvas->w, room - 1, LW_ROLE_STRONG, " down: more");
    }
}

static bool handle(const struct lw_view *view, struct lw_ui *ui, int code, struct lw_act *act)
{
    (void)view;
    (void)act;
    switch (code) {
    case LW_KEY_ESC:
        ui->screen = ui->before_help;
        return true;
    case LW_KEY_DOWN:
    case LW_KEY_PAGE_DOWN:
        ui->help_top += code == LW_KEY_DOWN ? 1 : 8;
        ui->help_top = ui->help_top > 40 ? 40 : ui->help_top;
        return true;
    case LW_KEY_UP:
    case LW_KEY_PAGE_UP:
        ui->help_top -= code == LW_KEY_UP ? 1 : 8;
        ui->help_top = ui->help_top < 0 ? 0 : ui->help_top;
        return true;
    default:
        return false;
    }
}

const struct lw_screen ui_screen_help = {"help", draw, handle};
