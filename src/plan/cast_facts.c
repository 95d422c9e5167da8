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

static bool inside(const struct lw_lines *rings, struct lw_en at)
{
    bool in = false;

    for (size_t i = 0; i < rings->n; i++)
        in ^= lw_line_contains(&rings->line[i], at);
    return in;
}

/* Metres of a..b in the rings. Its meetings with them cut it into pieces that are in or out as a
 * whole, which the middle of each tells: counting in and out by turns goes wrong from a station
 * that lies on the belt's border, as one at the standoff of `past` does. */
static double inside_m(const struct lw_lines *rings, struct lw_en a, struct lw_en b)
{
    double cut[MOST + 2] = {0}, sum = 0, share;
    size_t n = 1;

    for (size_t i = 0; i < rings->n; i++)
        for (size_t k = 0; k + 1 < rings->line[i].n && n <= MOST; k++)
            if (lw_segments_meet(a, b, rings->line[i].p[k], rings->line[i].p[k + 1], &share))
                cut[n++] = share;
    cut[n++] = 1;
    qsort(cut, n, sizeof *cut, lw_number_order);
    for (size_t k = 0; k + 1 < n; k++)
        if (cut[k] < cut[k + 1] && inside(rings, lw_en_between(a, b, (cut[k] + cut[k + 1]) / 2)))
            sum += cut[k + 1] - cut[k];
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
