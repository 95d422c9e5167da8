/* What the map has on the bottom, on the strip: hazards by '!', under what moves; then, where cells
 * are free, words: a hazard's beside its sign, a cover's once where its patch is widest. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/geo/span.h"
#include "strip.h"
#include "words.h"

#define AGAIN_COLS 40  /* a long patch says its word so often */
#define DEPTHS_W   100 /* hazards have their depth on canvases from here on */

struct ground {
    const struct ui_strip *strip;
    const struct lw_view *view;
    struct lw_canvas *canvas;
};

/* The cell of a place of the chart; false off the page or beyond the edge's ends. */
static bool locate(const struct ground *g, struct lw_en at, int *col, int *row)
{
    const struct lw_plan *plan = g->view->plan;
    struct lw_offset_at offset;

    at = ui_strip_to_plan(g->view, at);
    if (!ui_strip_near(g->strip, plan, at))
        return false;
    offset = lw_plan_offset(plan, at);
    *col = ui_strip_col(g->strip, offset.along_m);
    *row = ui_strip_row(g->strip, offset.off_m);
    return !offset.past_end && ui_strip_holds(g->strip, *col, *row);
}

/* Whether a word has these cells and a blank on either side: what stands there is never cut. */
static bool is_free(const struct ground *g, int col, int row, int w)
{
    const struct ui_strip *s = g->strip;

    if (row < s->y || row >= s->y + s->h || col < s->x || col + w > s->x + s->w)
        return false;
    for (int x = col - 1; x <= col + w; x++)
        if (x >= s->x && x < s->x + s->w && g->canvas->cell[row * g->canvas->w + x].ch != ' ')
            return false;
    return true;
}

static bool in_box(const struct lw_span *b, struct lw_en at)
{
    return at.e_m >= b->e_min && at.e_m <= b->e_max && at.n_m >= b->n_min && at.n_m <= b->n_max;
}

/* Whether the two boxes meet. */
static bool meet(const struct lw_span *a, const struct lw_span *b)
{
    return a->e_min <= b->e_max && b->e_min <= a->e_max && a->n_min <= b->n_max &&
           b->n_min <= a->n_max;
}

struct run { /* of cells within an area, in one row */
    int col, row, n;
};

/* The cells' places in the chart, by column; computed once for all areas. */
struct cells {
    struct lw_en edge[1024], out[1024];
    struct lw_span box;
};

static struct lw_en cell_at(const struct ui_strip *s, const struct cells *cells, int i, int row)
{
    double off_m = ui_strip_off(s, row);

    return (struct lw_en){cells->edge[i].e_m + off_m * cells->out[i].e_m,
                          cells->edge[i].n_m + off_m * cells->out[i].n_m};
}

static void grow(struct lw_span *b, struct lw_en at)
{
    b->e_min = fmin(b->e_min, at.e_m);
    b->e_max = fmax(b->e_max, at.e_m);
    b->n_min = fmin(b->n_min, at.n_m);
    b->n_max = fmax(b->n_max, at.n_m);
}

static int columns(const struct ui_strip *s)
{
    return s->w < 1024 ? s->w : 1024;
}

static void lay_cells(const struct ground *g, struct cells *cells)
{
    const struct ui_strip *s = g->strip;

    cells->box = lw_span_of_nothing();
    for (int i = 0; i < columns(s); i++) {
        double along_m = ui_strip_along(s, s->x + i);
        struct lw_en one = ui_strip_to_chart(g->view, lw_plan_point(g->view->plan, along_m, 1));

        cells->edge[i] = ui_strip_to_chart(g->view, lw_plan_point(g->view->plan, along_m, 0));
        cells->out[i].e_m = one.e_m - cells->edge[i].e_m;
        cells->out[i].n_m = one.n_m - cells->edge[i].n_m;
        grow(&cells->box, cell_at(s, cells, i, s->y));
        grow(&cells->box, cell_at(s, cells, i, s->y + s->h - 1));
    }
}

/* The segments that the line to the east from any place in the box can cross: a ring of 100,000
 * vertices has few of them, and each is asked about at every cell. NULL without memory. */
static struct lw_en *crossed(const struct lw_line *ring, const struct lw_span *box, size_t *n)
{
    struct lw_en *pair = malloc(2 * ring->n * sizeof *pair);

    *n = 0;
    for (size_t i = 0, j = ring->n - 1; pair && i < ring->n; j = i++) {
        struct lw_en a = ring->p[i], b = ring->p[j];

        if (fmax(a.n_m, b.n_m) < box->n_min || fmin(a.n_m, b.n_m) > box->n_max ||
            fmax(a.e_m, b.e_m) < box->e_min)
            continue;
        pair[2 * *n] = a;
        pair[2 * (*n)++ + 1] = b;
    }
    return pair;
}

static bool inside(const struct lw_en *pair, size_t n, struct lw_en at)
{
    bool in = false;

    for (size_t i = 0; i < n; i++) {
        struct lw_en a = pair[2 * i], b = pair[2 * i + 1];

        if ((a.n_m > at.n_m) != (b.n_m > at.n_m) &&
            at.e_m < a.e_m + (b.e_m - a.e_m) * (at.n_m - a.n_m) / (b.n_m - a.n_m))
            in = !in;
    }
    return in;
}

/* The column where a word has room in that row, its middle among the cells from..to-1 and as near
 * as may be to theirs; -1 none. */
static int room(const struct ground *g, int from, int to, int row, int w)
{
    for (int d = 0; d <= (to - from) / 2; d++)
        for (int side = -1; side <= 1; side += 2) {
            int middle = (from + to) / 2 + side * d, col = middle - w / 2;

            if (middle >= from && middle < to && is_free(g, col, row, w))
                return col;
        }
    return -1;
}

/* The longest run with room for the word, in its own row or, failing that, in one beside it. */
static struct run widest(const struct ground *g, const struct cells *cells,
                         const struct lw_line *ring, const struct lw_span *box, int w)
{
    const struct ui_strip *s = g->strip;
    struct run best = {0, 0, 0};
    bool beside = true;
    size_t pairs;
    struct lw_en *pair = crossed(ring, &cells->box, &pairs);

    for (int row = s->y; pair && row < s->y + s->h; row++) {
        int n = 0;

        for (int i = 0; i <= columns(s); i++) {
            int from = s->x + i - n;
            struct lw_en at;

            if (i < columns(s)) {
                at = cell_at(s, cells, i, row);
                if (in_box(box, at) && inside(pair, pairs, at)) {
                    n++;
                    continue;
                }
            }
            for (int by = 0; n > 0 && by < (beside ? 3 : 1); by++) {
                int y = row + (by == 2 ? -1 : by);

                if ((n > best.n || (beside && by == 0)) && room(g, from, s->x + i, y, w) >= 0) {
                    best = (struct run){from, y, n};
                    beside = by > 0;
                    break;
                }
            }
            n = 0;
        }
    }
    free(pair);
    return best;
}

static void draw_area(const struct ground *g, const struct cells *cells,
                      const struct lw_cover *cover)
{
    const char *word = lw_cover_name(cover->kind);
    struct lw_span box = lw_span_of(&cover->line);
    int w = lw_canvas_width(word), words;
    struct run run;

    if (!meet(&box, &cells->box))
        return;
    run = widest(g, cells, &cover->line, &box, w);
    words = run.n > 0 ? 1 + run.n / AGAIN_COLS : 0;
    for (int i = 0; i < words; i++) {
        int col = room(g, run.col + i * run.n / words, run.col + (i + 1) * run.n / words, run.row,
                       w);

        if (col >= 0)
            lw_canvas_text(g->canvas, col, run.row, LW_ROLE_TEXT, word);
    }
}

/* Near a cell: in its row, else in one beside it. */
static void draw_near(const struct ground *g, int col, int row, const char *word)
{
    int w = lw_canvas_width(word);

    for (int by = 0; by < 3; by++) {
        int y = row + (by == 2 ? -1 : by), x = room(g, col - w, col + w + 1, y, w);

        if (x < 0)
            continue;
        lw_canvas_text(g->canvas, x, y, LW_ROLE_TEXT, word);
        return;
    }
}

/* A place, or a line such as a weed edge: at its first vertex on the page. */
static void draw_place(const struct ground *g, const struct lw_cover *cover)
{
    int col, row;

    for (size_t i = 0; i < cover->line.n; i++)
        if (locate(g, cover->line.p[i], &col, &row)) {
            draw_near(g, col, row, lw_cover_name(cover->kind));
            return;
        }
}

/* To the right of the sign, to its left, else under or over it. */
static void hazard_words(const struct ground *g, const struct lw_hazard *hazard, int col, int row)
{
    double depth_m = hazard->depth_m + g->view->guidance->level_m;
    char depth[32] = "", words[64];
    int w, x[4];

    if (g->canvas->w >= DEPTHS_W && isfinite(depth_m) && depth_m > 0)
        ui_words_length(depth, sizeof depth, depth_m, ui_units(g->view));
    snprintf(words, sizeof words, "%s%s%s", lw_hazard_name(hazard->kind), depth[0] ? " " : "",
             depth);
    w = lw_canvas_width(words);
    x[0] = col + 2;
    x[1] = col - 1 - w;
    x[2] = x[3] = col - w / 2;
    for (int i = 0; i < 4; i++) {
        int y = row + (i == 2) - (i == 3);

        if (is_free(g, x[i], y, w)) {
            lw_canvas_text(g->canvas, x[i], y, LW_ROLE_WARN, words);
            return;
        }
    }
}

/* Each cell of a hazard's place, line or rim that is on the page: its sign, or, at the first, its
 * words. */
static void draw_hazard(const struct ground *g, const struct cells *cells,
                        const struct lw_hazard *hazard, bool words)
{
    const struct lw_line *line = &hazard->line;
    double step_m = g->strip->m_per_col;
    struct lw_en last = {INFINITY, INFINITY};

    for (size_t i = 0; i < line->n; i++) {
        struct lw_en a = line->p[i], b = line->p[i + 1 < line->n ? i + 1 : i];
        struct lw_span box = {fmin(a.e_m, b.e_m), fmax(a.e_m, b.e_m), fmin(a.n_m, b.n_m),
                              fmax(a.n_m, b.n_m)};
        double length_m = lw_en_distance(a, b);

        if (!meet(&box, &cells->box))
            continue;
        for (double along_m = 0; along_m <= length_m; along_m += step_m) {
            double part = length_m > 0 ? along_m / length_m : 0;
            struct lw_en at = {a.e_m + part * (b.e_m - a.e_m), a.n_m + part * (b.n_m - a.n_m)};
            int col, row;

            if (lw_en_distance(at, last) < step_m / 2 || !locate(g, at, &col, &row))
                continue;
            last = at;
            if (words) {
                hazard_words(g, hazard, col, row);
                return;
            }
            lw_canvas_put(g->canvas, col, row, LW_ROLE_WARN, UI_HAZARD);
        }
    }
}

static bool begin(struct ground *g, struct cells *cells)
{
    const struct lw_chart *chart = g->view->chart;

    if (!chart || chart->features.covers + chart->features.hazards == 0)
        return false;
    lay_cells(g, cells);
    return true;
}

void ui_strip_hazards(const struct ui_strip *s, const struct lw_view *view,
                      struct lw_canvas *canvas)
{
    struct ground g = {.strip = s, .view = view, .canvas = canvas};
    struct cells cells;

    if (!begin(&g, &cells))
        return;
    for (size_t i = 0; i < view->chart->features.hazards; i++)
        draw_hazard(&g, &cells, &view->chart->features.hazard[i], false);
}

void ui_strip_cover(const struct ui_strip *s, const struct lw_view *view, struct lw_canvas *canvas)
{
    struct ground g = {.strip = s, .view = view, .canvas = canvas};
    const struct lw_features *features;
    struct cells cells;

    if (!begin(&g, &cells))
        return;
    features = &view->chart->features;
    for (size_t i = 0; i < features->hazards; i++)
        draw_hazard(&g, &cells, &features->hazard[i], true);
    for (size_t i = 0; i < features->covers; i++) {
        if (features->cover[i].line.closed)
            draw_area(&g, &cells, &features->cover[i]);
        else
            draw_place(&g, &features->cover[i]);
    }
}
