/* The ground of the strip: depth tint, belt, worked cells, edge, hold line, axes. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/units.h"
#include "strip.h"
#include "words.h"

#define CASTS_MAX 512

/* One column: the edge there and the step of a metre off it, in the plan's frame and in the chart's
 * (they differ when a plan file is used with another map). */
struct column {
    struct lw_en edge, out;
    struct lw_en chart_edge, chart_out;
};

struct ground {
    const struct ui_strip *strip;
    const struct lw_view *view;
    struct lw_canvas *canvas;
    struct lw_made done[CASTS_MAX]; /* casts made that can touch the page */
    int dones;
};

static struct lw_en minus(struct lw_en a, struct lw_en b)
{
    return (struct lw_en){a.e_m - b.e_m, a.n_m - b.n_m};
}

static struct lw_en along_out(struct lw_en from, struct lw_en out, double off_m)
{
    return (struct lw_en){from.e_m + off_m * out.e_m, from.n_m + off_m * out.n_m};
}

static struct column column_at(const struct ground *g, double along_m)
{
    struct column c;
    struct lw_en one = lw_plan_point(g->view->plan, along_m, 1);

    c.edge = lw_plan_point(g->view->plan, along_m, 0);
    c.out = minus(one, c.edge);
    if (g->view->chart) {
        c.chart_edge = ui_strip_to_chart(g->view, c.edge);
        c.chart_out = minus(ui_strip_to_chart(g->view, one), c.chart_edge);
    }
    return c;
}

static double depth_at(const struct ground *g, const struct column *c, double off_m)
{
    if (!g->view->chart)
        return NAN;
    return lw_chart_depth(g->view->chart, along_out(c->chart_edge, c->chart_out, off_m));
}

static double segment_distance(struct lw_en p, struct lw_en a, struct lw_en b)
{
    struct lw_en ab = minus(b, a), ap = minus(p, a);
    double len2 = ab.e_m * ab.e_m + ab.n_m * ab.n_m;
    double t = len2 > 0 ? (ap.e_m * ab.e_m + ap.n_m * ab.n_m) / len2 : 0;

    t = fmax(0, fmin(1, t));
    return hypot(ap.e_m - t * ab.e_m, ap.n_m - t * ab.n_m);
}

static void take_cast(struct ground *g, struct lw_made made, struct lw_en middle, double page_m)
{
    if (g->dones < CASTS_MAX &&
        lw_en_distance(made.to, middle) < page_m / 2 + lw_en_distance(made.from, made.to))
        g->done[g->dones++] = made;
}

static void gather_casts(struct ground *g)
{
    const struct lw_plan *plan = g->view->plan;
    double page_m = ui_strip_page_m(g->strip);
    struct lw_en middle = lw_plan_point(plan, g->strip->from_m + page_m / 2, 0);

    for (size_t i = 0; i < plan->mades; i++)
        take_cast(g, plan->made[i], middle, page_m);
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];

        if (lw_trip_cast_done(g->view->trip, cast->station, cast->order))
            take_cast(g, (struct lw_made){cast->from, cast->to, plan->params.swath_m}, middle,
                      page_m);
    }
}

static bool worked(const struct ground *g, struct lw_en at)
{
    for (int i = 0; i < g->dones; i++)
        if (segment_distance(at, g->done[i].from, g->done[i].to) <= g->done[i].swath_m / 2)
            return true;
    return false;
}

static bool on_hold(const struct ground *g, const struct column *c)
{
    const struct lw_lines *hold = &g->view->plan->hold;
    struct lw_en at = along_out(c->edge, c->out, g->strip->hold_off_m);

    /* inside of a tight bend there is no such line: the dashes stop there */
    for (size_t i = 0; i < hold->n; i++)
        if (hold->line[i].n >= 2 &&
            lw_line_nearest(&hold->line[i], at).dist_m <= fmax(1, g->strip->m_per_col / 2))
            return true;
    return false;
}

/* Three tones of one hue: up on the flat, from the edge on, and well below it. */
static enum lw_role tone(double depth_m, double edge_m, double deep_m)
{
    if (!isfinite(depth_m))
        return LW_ROLE_TEXT;
    if (!isfinite(edge_m) || depth_m < edge_m)
        return LW_ROLE_SHALLOW;
    return depth_m < deep_m ? LW_ROLE_MIDDLE : LW_ROLE_DEEP;
}

/* Whether the edge itself reaches here; an open one ends. */
static bool has_edge(const struct lw_plan *plan, double along_m)
{
    double at = plan->beat_from_m + along_m;

    return plan->edge.closed || (at >= 0 && at <= lw_line_length(&plan->edge));
}

static void draw_column(struct ground *g, int col, const struct column *c, double deep_m)
{
    const struct ui_strip *s = g->strip;
    const struct lw_plan_params *p = &g->view->plan->params;
    double along_m = ui_strip_along(s, col);
    bool in_beat = along_m >= 0 && along_m <= lw_plan_beat_length(g->view->plan);
    int up_row = ui_strip_row(s, -p->up_m), past_row = ui_strip_row(s, p->past_m);
    int edge_row = ui_strip_row(s, 0), hold_row = ui_strip_row(s, s->hold_off_m);

    for (int row = s->y; row < s->y + s->h; row++) {
        double off_m = ui_strip_off(s, row);

        lw_canvas_tint(g->canvas, col, row, 1, tone(depth_at(g, c, off_m), p->depth_m, deep_m));
        if (row == edge_row)
            lw_canvas_put(g->canvas, col, row, in_beat ? LW_ROLE_EDGE : LW_ROLE_DIM,
                          in_beat ? 0x2550 : 0x2500);
        else if (in_beat && row >= up_row && row <= past_row &&
                 worked(g, along_out(c->edge, c->out, off_m)))
            lw_canvas_put(g->canvas, col, row, LW_ROLE_BELT, 0x2591);
        else if (in_beat && (row == up_row || row == past_row))
            lw_canvas_put(g->canvas, col, row, LW_ROLE_BELT, 0xb7);
    }
    if (in_beat && (col - s->x) % 2 == 0 && on_hold(g, c))
        lw_canvas_put(g->canvas, col, hold_row, LW_ROLE_HOLD, 0x2500);
}

/* The left axis says how deep it is there, the right one (or the left, without a map) how far off.
 */
static void draw_label(const struct ui_strip *s, const struct lw_view *view,
                       struct lw_canvas *canvas, double off_m, double map_depth_m)
{
    enum lw_units units = ui_units(view);
    double depth_m = map_depth_m + view->guidance->level_m;
    int row = ui_strip_row(s, off_m);
    const char *side = off_m == 0 ? "edge" : off_m > 0 ? "off" : "up";
    char text[48], bare[24];

    if (isfinite(depth_m)) {
        ui_words_length(text, sizeof text, depth_m, units);
    } else {
        ui_words_length_bare(bare, sizeof bare, fabs(off_m), units);
        snprintf(text, sizeof text, "%s %s", off_m == 0 ? "" : bare, side);
    }
    lw_canvas_right(canvas, s->x - 1, row, LW_ROLE_DIM, text);
    if (canvas->w - (s->x + s->w) <= 2)
        return;
    ui_words_length(bare, sizeof bare, fabs(off_m), units);
    lw_canvas_print(canvas, s->x + s->w + 1, row, LW_ROLE_DIM, "%s%s%s", side,
                    off_m == 0 ? "" : " ", off_m == 0 ? "" : bare);
}

static void draw_off_axis(const struct ground *g, const double *mean_depth_m, double deep_m)
{
    const struct ui_strip *s = g->strip;
    const struct lw_plan_params *p = &g->view->plan->params;
    const double at[] = {0, s->hold_off_m, -p->up_m, p->past_m};
    bool taken[256] = {false};

    for (int row = s->y; row < s->y + s->h; row++) {
        int r = row - s->y;

        /* the axis itself carries the tone, for themes whose tint is a colour and no background */
        lw_canvas_put(g->canvas, s->x - 1, row,
                      r < 256 && isfinite(mean_depth_m[r])
                          ? tone(mean_depth_m[r], p->depth_m, deep_m)
                          : LW_ROLE_DIM,
                      0x2502);
        if (g->canvas->w - (s->x + s->w) > 2)
            lw_canvas_put(g->canvas, s->x + s->w, row, LW_ROLE_DIM, 0x2502);
    }
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        int row = ui_strip_row(s, at[i]), r = row - s->y;
        double depth_m = i == 0 ? p->depth_m : r >= 0 && r < s->h ? mean_depth_m[r] : NAN;

        /* the rows next to a label stay free: two figures on end read as one */
        if (r < 0 || r >= s->h || r >= 255 || taken[r] || (r > 0 && taken[r - 1]) || taken[r + 1])
            continue;
        taken[r] = true;
        draw_label(s, g->view, g->canvas, at[i], depth_m);
    }
    for (int r = 0; r < s->h && r < 255; r++) {
        if (taken[r] || (r > 0 && taken[r - 1]) || taken[r + 1] || (r > 1 && taken[r - 2]) ||
            taken[r + 2 < 255 ? r + 2 : 254])
            continue;
        taken[r] = true;
        draw_label(s, g->view, g->canvas, ui_strip_off(s, s->y + r), mean_depth_m[r]);
    }
}

static void draw_along_axis(const struct ui_strip *s, const struct lw_view *view,
                            struct lw_canvas *canvas)
{
    enum lw_units units = ui_units(view);
    double unit_m = units == LW_US ? LW_FT_M : 1;
    static const double nice[] = {5, 10, 20, 25, 50, 100, 200, 250, 500, 1000};
    double step_m = nice[9] * unit_m;
    double end_m = s->from_m + ui_strip_page_m(s);
    int y = s->y + s->h;
    bool first = true;

    for (size_t i = 0; i < sizeof nice / sizeof nice[0]; i++)
        if (nice[i] * unit_m >= 12 * s->m_per_col) {
            step_m = nice[i] * unit_m;
            break;
        }
    for (double at = ceil(s->from_m / step_m) * step_m; at < end_m; at += step_m) {
        int col = ui_strip_col(s, at);
        char text[32];

        if (at < -0.01 || at > lw_plan_beat_length(view->plan) + 0.01)
            continue;
        lw_canvas_put(canvas, col, y, LW_ROLE_DIM, 0x2502);
        snprintf(text, sizeof text, first ? "%.0f %s" : "%.0f", fabs(at) / unit_m,
                 lw_units_name(LW_LENGTH, units));
        if (col + 1 + lw_canvas_width(text) <= s->x + s->w)
            lw_canvas_text(canvas, col + 1, y, LW_ROLE_DIM, text);
        first = false;
    }
    lw_canvas_right(canvas, s->x - 1, y, LW_ROLE_DIM, "along");
}

void ui_strip_water(const struct ui_strip *s, const struct lw_view *view, struct lw_canvas *canvas)
{
    struct ground g = {.strip = s, .view = view, .canvas = canvas};
    double sum[256] = {0}, mean[256], edge_m = view->plan->params.depth_m, deep_m;
    int count[256] = {0};
    int rows = s->h < 256 ? s->h : 256;

    gather_casts(&g);
    /* a sample of columns is enough for the axis */
    for (int col = s->x; view->chart && col < s->x + s->w; col += 1 + s->w / 24) {
        struct column c = column_at(&g, ui_strip_along(s, col));

        for (int r = 0; r < rows; r++) {
            double depth_m = depth_at(&g, &c, ui_strip_off(s, s->y + r));

            if (isfinite(depth_m))
                sum[r] += depth_m, count[r]++;
        }
    }
    for (int r = 0; r < rows; r++)
        mean[r] = count[r] ? sum[r] / count[r] : NAN;
    deep_m = mean[rows - 1] > edge_m ? (edge_m + mean[rows - 1]) / 2 : INFINITY;
    for (int col = s->x; col < s->x + s->w; col++) {
        double along_m = ui_strip_along(s, col);
        struct column c;

        if (!has_edge(view->plan, along_m))
            continue;
        c = column_at(&g, along_m);
        draw_column(&g, col, &c, deep_m);
    }
    draw_off_axis(&g, mean, deep_m);
    draw_along_axis(s, view, canvas);
}
