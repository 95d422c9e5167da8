/* The far read: the sentence that is steered by, in the largest letters that fit. */
#include <stdio.h>
#include <string.h>

#include "large.h"
#include "screens.h"
#include "side.h"
#include "words.h"

#define ITEMS 3

/* Grows the letters of one sentence after the other, the most wanted first, while all fit. */
static void grow(const struct ui_large *item, int items, int w, int rows, int scale[ITEMS])
{
    for (int i = 0; i < items; i++)
        for (;;) {
            int used = items - 1;

            scale[i]++;
            for (int j = 0; j < items; j++)
                used += 5 * scale[j];
            if (used > rows || ui_large_fit(&item[i], w, scale[i]) < 0) {
                scale[i]--;
                break;
            }
        }
}

/* Draws them from row y on with a row between; returns the row below. */
static int draw_items(struct lw_canvas *canvas, int y, int gap, const struct ui_large *item,
                      int items, const int scale[ITEMS])
{
    for (int i = 0; i < items; i++) {
        ui_large_draw(canvas, 0, y, scale[i], &item[i],
                      ui_large_fit(&item[i], canvas->w, scale[i]));
        y += 5 * scale[i] + gap;
    }
    return y;
}

/* Steering and cast in plain letters, where there is no room for large ones. */
static void plain_line(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    const struct lw_guidance *g = view->guidance;
    struct ui_pieces pieces = {0};
    char toward[32], way[32];

    ui_words_toward(toward, sizeof toward, g->steer_clock, g->steer_deg);
    ui_pieces_add(&pieces, LW_ROLE_STRONG, 0, "steer %s", toward);
    if (g->cast > 0) {
        ui_words_toward(toward, sizeof toward, g->cast_clock, g->cast_deg);
        ui_words_way(way, sizeof way, g->cast_m, ui_units(view));
        ui_pieces_add(&pieces, LW_ROLE_CAST, 1, "cast %s %s", toward, way);
    }
    ui_pieces_draw(canvas, 0, y, canvas->w, 1, 1, &pieces);
}

/* What else there is to say, in plain letters, where rows are left. */
static void draw_rest(const struct lw_view *view, struct lw_canvas *canvas, int y)
{
    struct ui_pieces pieces = {0};
    char text[64], way[64];
    size_t n;
    const struct lw_place *place = lw_trip_places(view->trip, &n);

    if (view->day->dwell.open) {
        ui_words_dwell(text, sizeof text, view);
        ui_pieces_add(&pieces, LW_ROLE_STRONG, 0, "%s %s", place[view->day->dwell.place].label,
                      text);
    }
    if (view->day->returns > 0) {
        const struct lw_return *ret = &view->day->ret[0];

        ui_words_return(text, sizeof text, view, ret);
        ui_words_way_to(way, sizeof way, view, place[ret->place].at);
        ui_pieces_add(&pieces, LW_ROLE_TEXT, 1, "%s %s%s%s", place[ret->place].label, text,
                      way[0] ? ", " : "", way);
    }
    ui_words_fix(text, sizeof text, view, canvas->ascii);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 2, "%s", text);
    ui_words_light(text, sizeof text, view);
    ui_pieces_add(&pieces, LW_ROLE_TEXT, 3, "%s", text);
    ui_pieces_draw(canvas, 0, y, canvas->w, 1, 3, &pieces);
}

static void draw_without(const struct lw_view *view, struct lw_canvas *canvas, int rows)
{
    struct ui_large large;
    char sentence[256];
    int scale = 1, y = 0;

    ui_large_off(&large, view);
    while (5 * (scale + 1) <= rows / 2 && ui_large_fit(&large, canvas->w, scale + 1) >= 0)
        scale++;
    if (ui_large_fit(&large, canvas->w, scale) >= 0) {
        ui_large_draw(canvas, 0, 0, scale, &large, 0);
        y = 5 * scale + 1;
    }
    ui_words_no_guidance(sentence, sizeof sentence, view);
    if (!sentence[0])
        snprintf(sentence, sizeof sentence, "no edge chosen: press e and type a depth");
    y += ui_wrap(canvas, 0, y, canvas->w, 3, LW_ROLE_STRONG, sentence);
    draw_rest(view, canvas, y + 1);
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    struct ui_large item[ITEMS];
    int scale[ITEMS] = {1, 1, 1}, items = 0, rows = canvas->h - 1, y, used;

    (void)ui;
    if (!view->guidance->ok || !view->plan) {
        draw_without(view, canvas, rows);
        return;
    }
    ui_large_off_only(&item[items++], view);
    ui_large_side(&item[items++], view);
    ui_large_cast(&item[items], view);
    /* the steering must not fall out of the second sentence when all three are large */
    if (item[items].n > 0 && rows >= 17 && ui_large_fit(&item[items], canvas->w, 1) >= 0)
        items++;
    item[1].n = ui_large_fit(&item[1], canvas->w, 1) == 2 ? 3 : 2;
    grow(item, items, canvas->w, rows - (items == 2), scale);
    used = 5 * scale[0] + 5 * scale[1] + (items == 3 ? 5 * scale[2] : 0);
    y = draw_items(canvas, 0, rows - used >= items ? 1 : 0, item, items, scale);
    if (items < 3 && y < rows)
        plain_line(view, canvas, y++);
    if (y < rows)
        draw_rest(view, canvas, y);
}

const struct lw_screen ui_screen_far = {"far read", draw, NULL};
