#include "cast_facts.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"

#define STEP_M 0.5
#define MOST   256 /* crossings with the belt's border that are looked at */

/* The share of a..b at which it first meets the line; 2 where it does not. */
static double first_meeting(const struct lw_line *line, struct lw_en a, struct lw_en b)
{
    double w = fmin(a.e_m, b.e_m), e = fmax(a.e_m, b.e_m);
    double s = fmin(a.n_m, b.n_m), n = fmax(a.n_m, b.n_m), first = 2, share;

    for (size_t i = 0; i + 1 < line->n; i++) {
        struct lw_en p = line->p[i], q = line->p[i + 1];

        if ((p.e_m < w && q.e_m < w) || (p.e_m > e && q.e_m > e) || (p.n_m < s && q.n_m < s) ||
            (p.n_m > n && q.n_m > n))
            continue;
        if (lw_segments_meet(a, b, p, q, &share) && share < first)
            first = share;
    }
    return first;
}

/* Metres of a..b in the rings: its crossings with them, sorted, are in and out by turns. */
static double inside_m(const struct lw_lines *rings, struct lw_en a, struct lw_en b)
{
    double cut[MOST + 2], sum = 0, share;
    bool in = false;
    size_t n = 0;

    for (size_t i = 0; i < rings->n; i++) {
        in ^= lw_line_contains(&rings->line[i], a);
        for (size_t k = 0; k + 1 < rings->line[i].n && n < MOST; k++) {
            struct lw_en p = rings->line[i].p[k], q = rings->line[i].p[k + 1];
            /* half open, so that a vertex on the way counts once: which side each end lies on */
            double side_p = (b.e_m - a.e_m) * (p.n_m - a.n_m) - (b.n_m - a.n_m) * (p.e_m - a.e_m);
            double side_q = (b.e_m - a.e_m) * (q.n_m - a.n_m) - (b.n_m - a.n_m) * (q.e_m - a.e_m);

            if ((side_p > 0) != (side_q > 0) && lw_segments_meet(a, b, p, q, &share))
                cut[n++] = share;
        }
    }
    qsort(cut, n, sizeof *cut, lw_number_order);
    cut[n] = 1;
    for (size_t k = 0; k <= n; k++, in = !in)
        if (in)
            sum += cut[k] - (k ? cut[k - 1] : 0);
    return sum * lw_en_distance(a, b);
}

static void depths(const struct lw_chart *chart, struct lw_cast *cast)
{
    int steps = (int)ceil(cast->length_m / STEP_M);

    cast->facts.least_m = cast->facts.most_m = NAN;
    for (int k = 0; chart && k <= steps; k++) {
        double depth_m = lw_chart_depth(
            chart, lw_en_between(cast->from, cast->to, steps ? (double)k / steps : 0));

        cast->facts.least_m = fmin(cast->facts.least_m, depth_m); /* fmin passes NaN over */
        cast->facts.most_m = fmax(cast->facts.most_m, depth_m);
    }
}

void lw_cast_facts(const struct lw_chart *chart, const struct lw_plan *plan,
                   const struct lw_fall *fall, struct lw_cast *cast)
{
    double share = first_meeting(&plan->edge, cast->from, cast->to);

    cast->crosses_edge = share <= 1;
    cast->facts.lip_m = share <= 1 ? share * cast->length_m : NAN;
    cast->facts.belt_s = inside_m(&plan->belt, cast->from, cast->to) / plan->params.retrieve_mps;
    cast->landing_depth_m = chart ? lw_chart_depth(chart, cast->to) : NAN;
    depths(chart, cast);
    cast->facts.count_s = fall ? lw_fall_seconds(fall, cast->landing_depth_m - plan->params.above_m)
                               : NAN;
}
