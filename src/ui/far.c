/* The far read: the sentence that is steered by, in the largest letters that fit. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "large.h"
#include "screens.h"
#include "side.h"
#include "words.h"

#define ITEMS    4
#define BESIDE_W 20 /* "10 o'clock, 70 ft" and a gap */

struct sentences {
    struct ui_large item[ITEMS];
    int scale[ITEMS], n;
};

static int rows_of(const struct sentences *s)
{
    int rows = s->n - 1;

    for (int i = 0; i < s->n; i++)
        rows += 5 * s->scale[i];
    return rows;
}

/* Whether all fit in w by rows at their scales. */
static bool fits(const struct sentences *s, int w, int rows)
{
    for (int i = 0; i < s->n; i++)
        if (ui_large_fit(&s->item[i], w, s->scale[i]) < 0)
            return false;
    return rows_of(s) <= rows;
}

/* Grows the letters in turn, the first sentence before the others, while all fit. */
static void grow(struct sentences *s, int w, int rows)
{
    bool grew = true;

    while (grew) {
        grew = false;
        for (int i = 0; i < s->n; i++) {
            s->scale[i]++;
            if (fits(s, w, rows))
                grew = true;
            else
                s->scale[i]--;
        }
    }
}

/* Draws them from y on with a row between; returns the row below. */
static int draw_sentences(struct lw_canvas *canvas, int y, const struct sentences *s)
{
    for (int i = 0; i < s->n; i++) {
        ui_large_draw(canvas, 0, y, s->scale[i], &s->item[i],
                      ui_large_fit(&s->item[i], canvas->w, s->scale[i]));
        y += 5 * s->scale[i] + 1;
    }
    return y;
}

/* Beside the off figure, in plain letters: what has no room to be large. */
static void draw_beside(const struct lw_view *view, struct lw_canvas *canvas, int x, int y)
{
    const struct lw_guidance *g = view->guidance;
    char a[32], b[32];

    ui_words_length_bare(a, sizeof a, g->sigma_m, ui_units(view));
    lw_canvas_print(canvas, x, y++, LW_ROLE_STRONG, "%s off %s%s",
                    lw_units_name(LW_LENGTH, ui_units(view)),
                    !isfinite(g->sigma_m) ? ""
                    : canvas->ascii       ? "+-"
                                          : "±",
                    isfinite(g->sigma_m) ? a : "");
    ui_words_steer(a, sizeof a, view);
    lw_canvas_text(canvas, x, y++, LW_ROLE_STRONG, a);
    if (g->cast == 0)
        return;
    if (g->cast_far) {
        ui_words_way(b, sizeof b, g->station_m, ui_units(view));
        lw_canvas_print(canvas, x, y++, LW_ROLE_CAST, "station %d of %d", g->station, g->stations);
        lw_canvas_print(canvas, x, y, LW_ROLE_CAST, "%s to go", b);
        return;
    }
    ui_words_toward(a, sizeof a, g->cast_clock, g->cast_deg);
    ui_words_way(b, sizeof b, g->cast_m, ui_units(view));
    lw_canvas_print(canvas, x, y++, LW_ROLE_CAST, "cast %d of %d", g->cast, g->casts);
    lw_canvas_print(canvas, x, y++, LW_ROLE_CAST, "%s, %s", a, b);
    if (isfinite(g->cast_depth_m)) {
        ui_words_length(a, sizeof a, g->cast_depth_m, ui_units(view));
        lw_canvas_print(canvas, x, y, LW_ROLE_TEXT, "lands in %s%s%s", a, g->cast_cover ? ", " : "",
                        g->cast_cover ? lw_cover_name(g->cast_cover->kind) : "");
    }
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

static void draw_without(const struct lw_view *view, struct lw_canvas *canvas, int y, int rows)
{
    struct ui_large large;
    char sentence[256];
    int scale = 1;

    ui_large_off(&large, view);
    while (5 * (scale + 1) <= rows / 2 && ui_large_fit(&large, canvas->w, scale + 1) >= 0)
        scale++;
    if (ui_large_fit(&large, canvas->w, scale) >= 0) {
        ui_large_draw(canvas, 0, y, scale, &large, 0);
        y += 5 * scale + 1;
    }
    ui_words_no_guidance(sentence, sizeof sentence, view);
    if (!sentence[0])
        snprintf(sentence, sizeof sentence, "no edge chosen: press e and type a depth");
    y += ui_wrap(canvas, 0, y, canvas->w, 3, LW_ROLE_STRONG, sentence);
    draw_rest(view, canvas, y + 1);
}

/* Off and in or out are large, the rest stands beside the figure. */
static void draw_small(const struct lw_view *view, struct lw_canvas *canvas, int y, int rows)
{
    struct ui_large off, side;
    int scale = 1, gap = rows > 10, below = y + rows, last; /* a row between, where there is one */

    ui_large_off_only(&off, view);
    ui_large_side(&side, view);
    last = off.n - 1; /* the figure alone */
    while (10 * (scale + 1) + 1 <= rows &&
           ui_large_width(&side, side.n - 1, scale + 1) <= canvas->w &&
           ui_large_width(&off, last, scale + 1) + BESIDE_W <= canvas->w)
        scale++;
    ui_large_draw(canvas, 0, y, scale, &off, last);
    draw_beside(view, canvas, ui_large_width(&off, last, scale) + 2, y);
    y += 5 * scale + gap;
    last = ui_large_fit(&side, canvas->w, scale);
    if (last >= 0)
        ui_large_draw(canvas, 0, y, scale, &side, last);
    y += 5 * scale + 1;
    ui_large_steer(&side, view);
    last = ui_large_fit(&side, canvas->w, 1);
    if (last >= 0 && y + 5 < below) {
        ui_large_draw(canvas, 0, y, 1, &side, last);
        y += 6;
    }
    if (y < below)
        draw_rest(view, canvas, y);
}

/* Off; in or out and steering in one sentence, or each its own; the cast where there is one. */
static struct sentences sentences_of(const struct lw_view *view, bool split, int w)
{
    struct sentences s = {.n = 0};
    struct ui_large cast;

    ui_large_off_only(&s.item[s.n++], view);
    s.item[0].n = 2; /* never the figure without its word */
    ui_large_side(&s.item[s.n++], view);
    if (split) {
        s.item[1].saying[0] = s.item[1].saying[2];
        s.item[1].n = 1;
        ui_large_steer(&s.item[s.n++], view);
    } else {
        s.item[1].n = 2;
    }
    ui_large_cast(&cast, view);
    if (cast.n > 0 && ui_large_fit(&cast, w, 1) >= 0)
        s.item[s.n++] = cast;
    for (int i = 0; i < s.n; i++)
        s.scale[i] = 1;
    return s;
}

static void draw_alarm(struct lw_canvas *canvas, int y, enum lw_role role, const char *words)
{
    lw_canvas_fill(canvas, 0, y, canvas->w, role, ' ');
    lw_canvas_text(canvas, 0, y, role, words);
}

/* What the keel may meet, on the first rows: what passes on the last ones must not hide it.
 * Returns how many it took; the smallest canvas has one for both. */
static int draw_alarms(const struct lw_view *view, struct lw_canvas *canvas)
{
    bool shallow = view->guidance->alarms & LW_ALARM_SHALLOW;
    char words[64], depth[32], line[128] = "";
    int rows = 0;

    if (ui_words_hazard(words, sizeof words, view) == LW_ROLE_WARN) {
        ui_words_hazard_depth(depth, sizeof depth, view);
        snprintf(line, sizeof line, "%s%s%s", words, depth[0] ? ", " : "", depth);
    }
    if (shallow && line[0] && canvas->h < 14) {
        snprintf(line, sizeof line, "Shallow; %s", words);
        draw_alarm(canvas, rows++, LW_ROLE_ALARM, line);
        return rows;
    }
    if (shallow)
        draw_alarm(canvas, rows++, LW_ROLE_ALARM, lw_alarm_words(LW_ALARM_SHALLOW));
    if (line[0])
        draw_alarm(canvas, rows++, LW_ROLE_WARN, line);
    return rows;
}

static void draw(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas)
{
    struct sentences s;
    int y = draw_alarms(view, canvas), rows = canvas->h - 1 - y;

    (void)ui;
    if (!view->guidance->ok || !view->plan) {
        draw_without(view, canvas, y, rows);
        return;
    }
    s = sentences_of(view, true, canvas->w);
    grow(&s, canvas->w, rows);
    /* a line of its own for the steering only where it makes the letters larger */
    if (!fits(&s, canvas->w, rows) || s.scale[0] < 2 || s.scale[1] < 2 || s.scale[2] < 2) {
        s = sentences_of(view, false, canvas->w);
        grow(&s, canvas->w, rows);
    }
    if (!fits(&s, canvas->w, rows)) {
        draw_small(view, canvas, y, rows);
        return;
    }
    y = draw_sentences(canvas, y, &s);
    if (y < canvas->h - 1)
        draw_rest(view, canvas, y);
}

const struct lw_screen ui_screen_far = {"far read", draw, NULL};
