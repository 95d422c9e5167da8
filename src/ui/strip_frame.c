/* Metres of the beat to cells of the strip. */
#include <math.h>

#include "strip.h"

/* Share of a page by which one begins after the other. */
#define STRIDE 0.7

static void frame_rows(struct ui_strip *s, const struct lw_plan *plan)
{
    const struct lw_plan_params *p = &plan->params;
    double up = fmax(p->up_m, 1), past = fmax(p->past_m, 0), standoff = fmax(p->standoff_m, 1);
    double least, most, step, landing;
    int rows_of_standoff;

    s->hold_off_m = p->hold_deep ? standoff : -standoff;
    landing = s->hold_off_m + (p->hold_deep ? -1 : 1) * fmax(p->cast_m, 0); /* square to the edge */
    least = fmin(fmin(-up, s->hold_off_m), landing);
    most = fmax(fmax(past, s->hold_off_m), landing);
    /* room to be out of place in, on the boat's side */
    least -= p->hold_deep ? 0.5 : 0.4 * standoff;
    most += p->hold_deep ? 0.4 * standoff : 0.5;
    step = (most - least) / (s->h > 1 ? s->h - 1 : 1);
    /* a whole number of rows between edge and hold line, so that neither is drawn beside itself */
    rows_of_standoff = (int)floor(standoff / step);
    if (rows_of_standoff >= 1)
        step = standoff / rows_of_standoff;
    s->m_per_row = step;
    s->edge_row = (int)lround((s->h - 1 - (most - least) / step) / 2 - least / step);
}

static double margin_m(const struct ui_strip *s)
{
    return 0.1 * s->w * s->m_per_row;
}

void ui_strip_frame(struct ui_strip *s, const struct lw_plan *plan, int x, int y, int w, int h,
                    double from_m)
{
    double beat = lw_plan_beat_length(plan), natural, need;

    *s = (struct ui_strip){.x = x, .y = y, .w = w, .h = h};
    frame_rows(s, plan);
    /* as many metres a column as a row: a cell is twice as high as wide, so the beat is shown at
     * half its length and the gap to the hold line, which is what is steered by, at full */
    natural = s->w * s->m_per_row;
    need = beat + 2 * margin_m(s);
    s->m_per_col = s->m_per_row;
    if (need <= 1.25 * natural)
        s->m_per_col = fmax(need, natural / 2) / s->w;
    s->from_m = from_m;
    s->from_m = ui_strip_turn(s, plan, NAN);
}

double ui_strip_page_m(const struct ui_strip *s)
{
    return s->w * s->m_per_col;
}

/* All pages but a single one lie within the beat and its margins. */
static double page_from(const struct ui_strip *s, const struct lw_plan *plan, int page)
{
    double beat = lw_plan_beat_length(plan), page_m = ui_strip_page_m(s);

    if (ui_strip_pages(s, plan) == 1)
        return (beat - page_m) / 2;
    return fmin(page * STRIDE * page_m - margin_m(s), beat + margin_m(s) - page_m);
}

int ui_strip_pages(const struct ui_strip *s, const struct lw_plan *plan)
{
    double page_m = ui_strip_page_m(s);
    double rest = lw_plan_beat_length(plan) + 2 * margin_m(s) - page_m;

    /* a thousandth of a page: rounding must not make a second one */
    return rest <= 0.001 * page_m ? 1 : 1 + (int)ceil(rest / (STRIDE * page_m) - 1e-9);
}

static int page_best(const struct ui_strip *s, const struct lw_plan *plan, double along_m)
{
    double page_m = ui_strip_page_m(s);
    int best = 0;

    for (int i = 1, n = ui_strip_pages(s, plan); i < n; i++)
        if (fabs(page_from(s, plan, i) + page_m / 2 - along_m) <
            fabs(page_from(s, plan, best) + page_m / 2 - along_m))
            best = i;
    return best;
}

int ui_strip_page_number(const struct ui_strip *s, const struct lw_plan *plan)
{
    return 1 + page_best(s, plan, s->from_m + ui_strip_page_m(s) / 2);
}

double ui_strip_turn(const struct ui_strip *s, const struct lw_plan *plan, double along_m)
{
    double page_m = ui_strip_page_m(s), now;

    if (!isfinite(s->from_m))
        return page_from(s, plan, isfinite(along_m) ? page_best(s, plan, along_m) : 0);
    /* the page now shown, on the grid of today's canvas */
    now = page_from(s, plan, page_best(s, plan, s->from_m + page_m / 2));
    if (!isfinite(along_m) || (along_m > now + 0.05 * page_m && along_m < now + 0.95 * page_m))
        return now;
    return page_from(s, plan, page_best(s, plan, along_m));
}

int ui_strip_col(const struct ui_strip *s, double along_m)
{
    double col = floor((along_m - s->from_m) / s->m_per_col);

    return s->x + (int)fmax(-10000, fmin(10000, col));
}

int ui_strip_row(const struct ui_strip *s, double off_m)
{
    double row = floor(off_m / s->m_per_row + 0.5);

    return s->y + s->edge_row + (int)fmax(-10000, fmin(10000, row));
}

double ui_strip_along(const struct ui_strip *s, int col)
{
    return s->from_m + (col - s->x + 0.5) * s->m_per_col;
}

double ui_strip_off(const struct ui_strip *s, int row)
{
    return (row - s->y - s->edge_row) * s->m_per_row;
}

bool ui_strip_holds(const struct ui_strip *s, int col, int row)
{
    return col >= s->x && col < s->x + s->w && row >= s->y && row < s->y + s->h;
}

bool ui_strip_near(const struct ui_strip *s, const struct lw_plan *plan, struct lw_en at)
{
    double page_m = ui_strip_page_m(s);
    struct lw_en middle = lw_plan_point(plan, s->from_m + page_m / 2, 0);

    /* farther from the page's middle than any of its cells can be: the edge bends, so along is at
     * least the distance */
    return lw_en_distance(at, middle) <=
           page_m / 2 + fmax(s->edge_row + 1, s->h - s->edge_row) * s->m_per_row;
}

bool ui_strip_place(const struct ui_strip *s, const struct lw_view *view, struct lw_ll at, int *col,
                    int *row)
{
    const struct lw_plan *plan = view->plan;
    struct lw_offset_at offset;
    struct lw_en place;

    if (!lw_ll_known(at))
        return false;
    place = lw_frame_to_en(&plan->frame, at);
    place.e_m += view->guidance->shift.e_m;
    place.n_m += view->guidance->shift.n_m;
    if (!ui_strip_near(s, plan, place))
        return false;
    offset = lw_plan_offset(plan, place);
    *col = ui_strip_col(s, offset.along_m);
    *row = ui_strip_row(s, offset.off_m);
    return ui_strip_holds(s, *col, *row);
}

static struct lw_en between(const struct lw_frame *from, const struct lw_frame *to, struct lw_en at)
{
    if (from->origin.lat_deg == to->origin.lat_deg && from->origin.lon_deg == to->origin.lon_deg)
        return at;
    return lw_frame_to_en(to, lw_frame_to_ll(from, at));
}

struct lw_en ui_strip_to_chart(const struct lw_view *view, struct lw_en at)
{
    return between(&view->plan->frame, &view->chart->frame, at);
}

struct lw_en ui_strip_to_plan(const struct lw_view *view, struct lw_en at)
{
    return between(&view->chart->frame, &view->plan->frame, at);
}
