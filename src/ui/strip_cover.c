/* What the map has on the bottom, on the strip: cover by its word, once where its patch is widest;
 * hazards by '!' and a word where there is room. */
#include <math.h>
#include <stdio.h>

#include "strip.h"
#include "words.h"

#define AGAIN_COLS 40  /* a long patch says its word so often */
#define DEPTHS_W   100 /* hazards have their depth on canvases from here on */

struct ground {
    const struct ui_strip *strip;
    const struct lw_view *view;
    struct lw_canvas *canvas;
    bool same_frame; /* plan and chart: they differ when a plan is used with another map */
};

static struct lw_en to_plan(const struct ground *g, struct lw_en at)
{
    if (g->same_frame)
        return at;
    return lw_frame_to_en(&g->view->plan->frame, lw_frame_to_ll(&g->view->chart->frame, at));
}

static struct lw_en to_chart(const struct ground *g, struct lw_en at)
{
    if (g->same_frame)
        return at;
    return lw_frame_to_en(&g->view->chart->frame, lw_frame_to_ll(&g->view->plan->frame, at));
}

/* The cell of a place of the chart; false off the page or beyond the edge's ends. */
static bool locate(const struct ground *g, struct lw_en at, int *col, int *row)
{
    const struct lw_plan *plan = g->view->plan;
    struct lw_offset_at offset;

    at = to_plan(g, at);
    if (!ui_strip_near(g->strip, plan, at))
        return false;
    offset = lw_plan_offset(plan, at);
    *col = ui_strip_col(g->strip, offset.along_m);
    *row = ui_strip_row(g->strip, offset.off_m);
    return !offset.past_end && ui_strip_holds(g->strip, *col, *row);
}

/* On the edge or the hold line a word would cut the line. */
static bool on_line(const struct ui_strip *s, int row)
{
    return row == ui_strip_row(s, 0) || row == ui_strip_row(s, s->hold_off_m);
}

/* The word with its middle there, within the strip. */
static void draw_word(const struct ground *g, int col, int row, const char *word)
{
    const struct ui_strip *s = g->strip;
    int w = lw_canvas_width(word);

    if (on_line(s, row))
        row += row > s->y ? -1 : 1;
    col -= w / 2;
    if (col + w > s->x + s->w)
        col = s->x + s->w - w;
    lw_canvas_text(g->canvas, col < s->x ? s->x : col, row, LW_ROLE_TEXT, word);
}

struct box {
    double w_m, s_m, e_m, n_m;
};

static struct box box_of(const struct lw_line *line)
{
    struct box b = {INFINITY, INFINITY, -INFINITY, -INFINITY};

    for (size_t i = 0; i < line->n; i++) {
        b.w_m = fmin(b.w_m, line->p[i].e_m);
        b.e_m = fmax(b.e_m, line->p[i].e_m);
        b.s_m = fmin(b.s_m, line->p[i].n_m);
        b.n_m = fmax(b.n_m, line->p[i].n_m);
    }
    return b;
}

static bool in_box(const struct box *b, struct lw_en at)
{
    return at.e_m >= b->w_m && at.e_m <= b->e_m && at.n_m >= b->s_m && at.n_m <= b->n_m;
}

/* Whether the two boxes meet. */
static bool meet(const struct box *a, const struct box *b)
{
    return a->w_m <= b->e_m && b->w_m <= a->e_m && a->s_m <= b->n_m && b->s_m <= a->n_m;
}

struct run { /* of cells within an area, in one row */
    int col, row, n;
};

/* The cells' places in the chart, by column; computed once for all areas. */
struct cells {
    struct lw_en edge[1024], out[1024];
    struct box box;
};

static struct lw_en cell_at(const struct ui_strip *s, const struct cells *cells, int i, int row)
{
    double off_m = ui_strip_off(s, row);

    return (struct lw_en){cells->edge[i].e_m + off_m * cells->out[i].e_m,
                          cells->edge[i].n_m + off_m * cells->out[i].n_m};
}

static void grow(struct box *b, struct lw_en at)
{
    b->w_m = fmin(b->w_m, at.e_m);
    b->e_m = fmax(b->e_m, at.e_m);
    b->s_m = fmin(b->s_m, at.n_m);
    b->n_m = fmax(b->n_m, at.n_m);
}

static int columns(const struct ui_strip *s)
{
    return s->w < 1024 ? s->w : 1024;
}

static void lay_cells(const struct ground *g, struct cells *cells)
{
    const struct ui_strip *s = g->strip;

    cells->box = (struct box){INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (int i = 0; i < columns(s); i++) {
        double along_m = ui_strip_along(s, s->x + i);
        struct lw_en one = to_chart(g, lw_plan_point(g->view->plan, along_m, 1));

        cells->edge[i] = to_chart(g, lw_plan_point(g->view->plan, along_m, 0));
        cells->out[i].e_m = one.e_m - cells->edge[i].e_m;
        cells->out[i].n_m = one.n_m - cells->edge[i].n_m;
        grow(&cells->box, cell_at(s, cells, i, s->y));
        grow(&cells->box, cell_at(s, cells, i, s->y + s->h - 1));
    }
}

/* The longest run of cells in the area, one off the lines before one on them. */
static struct run widest(const struct ui_strip *s, const struct cells *cells,
                         const struct lw_line *ring, const struct box *box)
{
    struct run best = {0, 0, 0};

    for (int row = s->y; row < s->y + s->h; row++) {
        int n = 0;

        for (int i = 0; i <= columns(s); i++) {
            struct lw_en at;
            bool inside = false;

            if (i < columns(s)) {
                at = cell_at(s, cells, i, row);
                inside = in_box(box, at) && lw_line_contains(ring, at);
            }
            if (inside) {
                n++;
                continue;
            }
            if (n > best.n && (!on_line(s, row) || best.n == 0))
                best = (struct run){s->x + i - n, row, n};
            n = 0;
        }
    }
    return best;
}

static void draw_area(const struct ground *g, const struct cells *cells,
                      const struct lw_cover *cover)
{
    struct box box = box_of(&cover->line);
    struct run run;
    int words;

    if (!meet(&box, &cells->box))
        return;
    run = widest(g->strip, cells, &cover->line, &box);
    words = run.n > 0 ? 1 + run.n / AGAIN_COLS : 0;
    for (int i = 0; i < words; i++)
        draw_word(g, run.col + (2 * i + 1) * run.n / (2 * words), run.row,
                  lw_cover_name(cover->kind));
}

/* A place, or a line such as a weed edge: at its first vertex on the page. */
static void draw_place(const struct ground *g, const struct lw_cover *cover)
{
    int col, row;

    for (size_t i = 0; i < cover->line.n; i++)
        if (locate(g, cover->line.p[i], &col, &row)) {
            draw_word(g, col, row, lw_cover_name(cover->kind));
            return;
        }
}

static void hazard_words(const struct ground *g, const struct lw_hazard *hazard, int col, int row)
{
    const struct ui_strip *s = g->strip;
    double depth_m = hazard->depth_m + g->view->guidance->level_m;
    char depth[32] = "", words[64];

    if (g->canvas->w >= DEPTHS_W && isfinite(depth_m) && depth_m > 0)
        ui_words_length(depth, sizeof depth, depth_m, ui_units(g->view));
    snprintf(words, sizeof words, "%s%s%s", lw_hazard_name(hazard->kind), depth[0] ? " " : "",
             depth);
    if (col + 2 + lw_canvas_width(words) <= s->x + s->w && !on_line(s, row))
        lw_canvas_text(g->canvas, col + 2, row, LW_ROLE_WARN, words);
}

/* '!' at a place, or along a line's or area's rim, a cell apart; words once. */
static void draw_hazard(const struct ground *g, const struct lw_hazard *hazard)
{
    const struct lw_line *line = &hazard->line;
    double step_m = g->strip->m_per_col, length_m = line->n > 1 ? lw_line_length(line) : 0;
    bool said = false;

    for (double along_m = 0; line->n > 0 && along_m <= length_m; along_m += step_m) {
        int col, row;

        if (!locate(g, line->n > 1 ? lw_line_at(line, along_m, NULL) : line->p[0], &col, &row))
            continue;
        if (!said)
            hazard_words(g, hazard, col, row);
        said = true;
        lw_canvas_put(g->canvas, col, row, LW_ROLE_WARN, '!');
    }
}

void ui_strip_cover(const struct ui_strip *s, const struct lw_view *view, struct lw_canvas *canvas)
{
    struct ground g = {.strip = s, .view = view, .canvas = canvas};
    const struct lw_features *features;
    struct cells cells;

    if (!view->chart)
        return;
    features = &view->chart->features;
    g.same_frame = view->chart->frame.origin.lat_deg == view->plan->frame.origin.lat_deg &&
                   view->chart->frame.origin.lon_deg == view->plan->frame.origin.lon_deg;
    if (features->covers + features->hazards > 0)
        lay_cells(&g, &cells);
    for (size_t i = 0; i < features->covers; i++) {
        if (features->cover[i].line.closed)
            draw_area(&g, &cells, &features->cover[i]);
        else
            draw_place(&g, &features->cover[i]);
    }
    for (size_t i = 0; i < features->hazards; i++) {
        struct box box = box_of(&features->hazard[i].line);

        if (meet(&box, &cells.box))
            draw_hazard(&g, &features->hazard[i]);
    }
}
