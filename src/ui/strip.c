/* The strip screen: lines by question, big words where there is height, and the beat. */
#include "strip.h"

#include <stdio.h>

#include "large.h"
#include "lipwalk/base/text.h"
#include "screens.h"
#include "side.h"
#include "words.h"

#define AXIS_W       9   /* left: a depth and a bar */
#define RIGHT_AXIS_W 11  /* right, on wide canvases: how far off */
#define ROWS_LEAST   16  /* strip and its axis */
#define HOLE_W       100 /* the rule has room for holes from here on */

/* Bands of big words between the lines and the rule, and how large they are. */
struct bands {
    int n, scale;
};

static struct bands bands_of(const struct lw_canvas *canvas)
{
    /* header, lines, rule, bottom line */
    int spare = canvas->h - (1 + ui_questions_rows(canvas) + 1 + 1) - ROWS_LEAST;

    if (spare >= 2 * 11 && canvas->w >= 160)
        return (struct bands){2, 2};
    if (spare >= 2 * 6)
        return (struct bands){2, 1};
    if (spare >= 6)
        return (struct bands){1, 1};
    return (struct bands){0, 0};
}

static int rule_row(const struct lw_canvas *canvas)
{
    struct bands bands = bands_of(canvas);

    return 1 + ui_questions_rows(canvas) + bands.n * (5 * bands.scale + 1);
}

int ui_strip_on(struct ui_strip *strip, const struct lw_view *view, const struct lw_canvas *canvas,
                double page_from_m)
{
    int y = rule_row(canvas) + 1, h = canvas->h - y - 2;
    int right = canvas->w >= 100 ? RIGHT_AXIS_W : 0, w = canvas->w - AXIS_W - right;

    if (!view->plan || view->plan->edge.n < 2 || h < 4 || w < 20)
        return -1;
    ui_strip_frame(strip, view->plan, AXIS_W, y, w, h, page_from_m);
    return 0;
}

static void draw_bands(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    struct bands bands = bands_of(canvas);
    struct ui_large large;

    for (int i = 0; i < bands.n; i++) {
        int saying, scale = bands.scale;

        if (i == 0)
            ui_large_off(&large, view);
        else
            ui_large_steer(&large, view);
        if (i == 1 && (!view->guidance->ok || !view->plan))
            return; /* said once is enough */
        saying = ui_large_fit(&large, canvas->w, scale);
        if (saying < 0 && scale > 1)
            saying = ui_large_fit(&large, canvas->w, --scale);
        if (saying >= 0)
            ui_large_draw(canvas, 0, y + 1 + i * (5 * bands.scale + 1), scale, &large, saying);
    }
}

static void draw_no_strip(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    static const char *const steps[] = {
        "No edge is being worked.",
        "e       choose one: type a depth, pick a beat, say yes",
        "i       or drive along it: i starts, i ends",
        "?       all keys",
        "Marks, dwell and returns work all the same.",
    };

    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++)
        lw_canvas_text(canvas, 2, y + 1 + (int)i + (i > 0) + (i == 4),
                       i == 0 ? LW_ROLE_STRONG : LW_ROLE_TEXT,
                       i == 0 && view->busy ? view->busy_words : steps[i]);
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    struct ui_strip strip;
    char words[96] = "", tally[160], hole[64];
    int y;

    ui_header(view, canvas);
    y = ui_questions(view, canvas, 1);
    draw_bands(view, canvas, y);
    y = rule_row(canvas);
    ui_words_tally(tally, sizeof tally, view);
    ui_words_hole(hole, sizeof hole, view);
    if (hole[0] && canvas->w >= HOLE_W)
        lw_text_add(tally, sizeof tally, ", %s", hole);
    if (ui_strip_on(&strip, view, canvas, ui->page_from_m) != 0) {
        ui_rule(canvas, y, tally, "");
        draw_no_strip(view, canvas, y + 1);
        return;
    }
    if (ui_strip_pages(&strip, view->plan) > 1)
        snprintf(words, sizeof words, "page %d of %d", ui_strip_page_number(&strip, view->plan),
                 ui_strip_pages(&strip, view->plan));
    ui_rule(canvas, y, tally, words);
    ui_strip_water(&strip, view, canvas);
    ui_strip_hazards(&strip, view, canvas);
    ui_strip_things(&strip, view, canvas);
    ui_strip_cover(&strip, view, canvas);
}

const struct lw_screen ui_screen_strip = {"strip", draw, NULL};
