/* The hold line: the whole edge's offset line, cut to the beat and to water deep enough.
 *
 * The whole edge is offset, not only the beat: where the edge comes back near the beat, the boat
 * must keep the standoff from that stretch too. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "lipwalk/geo/offset.h"
#include "steps.h"

#define SHORTEST_PART_M    1.0
#define BACKWARD_M         2.0 /* along going back by more starts a new part */
#define JUMP_M             3.0 /* along going on by more between vertices 1 m apart */
#define SAME_PLACE_M       0.5 /* parts whose ends are nearer have no gap worth naming */
#define END_GAP_M          2.0 /* vertices lie 1 m apart, so a part ends up to that short of the beat */
#define GAPS_NAMED         3
#define FAR_BANK_STANDOFFS 4 /* so much farther along it is another bank, no bend */

struct part { /* of the hold line; along runs from the start of the beat */
    struct lw_line line;
    double first_m, last_m;
};
struct cut { /* a vertex that was cut away */
    double along_m;
    enum lw_care_why why;
    size_t which; /* hazard or closed area */
};
struct walk {
    const struct lw_chart *chart;
    struct lw_plan *plan;
    struct lw_care care;
    double edge_m, beat_m;
    struct part now; /* being added to */
    struct part *part;
    size_t parts, part_cap;
    struct cut *cut;
    size_t cuts, cut_cap, detour_cap;
};

static int end_part(struct walk *w)
{
    if (w->now.line.n >= 2 && lw_line_length(&w->now.line) >= SHORTEST_PART_M) {
        if (lw_array_room(&w->part, w->parts, &w->part_cap))
            return -1;
        w->part[w->parts++] = w->now;
        w->now = (struct part){0};
    }
    lw_line_free(&w->now.line);
    return 0;
}

static int put(struct walk *w, struct lw_en at, double along_m)
{
    if (w->chart) {
        struct cut cut = {.along_m = along_m};

        cut.why = lw_care_at(w->chart, &w->care, w->plan->params.min_depth_m, at, &cut.which);
        if (cut.why != LW_CARE_FREE) {
            if (lw_array_room(&w->cut, w->cuts, &w->cut_cap))
                return -1;
            w->cut[w->cuts++] = cut;
            return end_part(w);
        }
    }
    if (w->now.line.n > 0 && along_m < w->now.last_m) {
        if (along_m >= w->now.last_m - 1e-6) {
            along_m = w->now.last_m; /* on the arc round a corner, within rounding */
        } else if (along_m > w->now.last_m - BACKWARD_M) {
            return 0; /* parts are monotone: leave the vertex out */
        } else if (end_part(w)) {
            return -1;
        }
    }
    if (w->now.line.n == 0)
        w->now.first_m = along_m;
    w->now.last_m = along_m;
    return lw_line_add(&w->now.line, at);
}

/* Adds what of the run a..b lies within the beat; a and b are at along a_m and b_m. */
static int add_run(struct walk *w, struct lw_en a, double a_m, struct lw_en b, double b_m)
{
    double t0 = 0, t1 = 1;

    if (b_m < 0 || (a_m > w->beat_m && b_m > w->beat_m))
        return end_part(w);
    if (a_m > w->beat_m) /* back into the beat: begin at b */
        return end_part(w) || put(w, b, b_m) ? -1 : 0;
    if (a_m < 0) /* where the foot jumps (across a cove's mouth) there is no place in between */
        t0 = b_m - a_m > JUMP_M ? 1 : -a_m / (b_m - a_m);
    if (b_m > w->beat_m && b_m > a_m)
        t1 = b_m - a_m > JUMP_M ? 0 : (w->beat_m - a_m) / (b_m - a_m);
    if (t0 > t1)
        return end_part(w);
    if (w->now.line.n == 0 && put(w, lw_en_between(a, b, t0), fmax(0, a_m + t0 * (b_m - a_m))))
        return -1;
    if (put(w, lw_en_between(a, b, t1), fmin(w->beat_m, a_m + t1 * (b_m - a_m))))
        return -1;
    return t1 < 1 ? end_part(w) : 0;
}

/* Along from the start of the beat; on a closed edge 0 <= along < its length. */
static double along_at(const struct walk *w, struct lw_en at)
{
    double along_m = lw_line_index_nearest(w->plan->index, at).along_m - w->plan->beat_from_m;

    if (!w->plan->edge.closed)
        return along_m;
    along_m -= w->edge_m * floor(along_m / w->edge_m);
    return along_m < w->edge_m ? along_m : 0;
}

static bool passes_start(const struct walk *w, double a_m, double b_m)
{
    return w->plan->edge.closed && a_m - b_m > w->edge_m / 2;
}

/* Adds one offset line, beginning at vertex `first` (a ring goes round from there). */
static int add_line(struct walk *w, const struct lw_line *line, const double *along_m, size_t first)
{
    size_t count = line->n - 1; /* runs */

    for (size_t k = 0; k < count; k++) {
        size_t i = line->closed ? (first + k) % count : k;
        size_t j = line->closed ? (i + 1) % count : k + 1;
        struct lw_en a = line->p[i], b = line->p[j];
        double a_m = along_m[i], b_m = along_m[j];

        if (!passes_start(w, a_m, b_m)) {
            if (add_run(w, a, a_m, b, b_m))
                return -1;
            continue;
        }
        if (add_run(w, a, a_m, b, b_m + w->edge_m) || end_part(w) ||
            add_run(w, a, a_m - w->edge_m, b, b_m))
            return -1;
    }
    return end_part(w);
}

/* A ring round the whole edge, for a beat that is the whole edge too: it starts where along is 0,
 * between two vertices. */
static int add_ring(struct walk *w, const struct lw_line *line, const double *along_m, size_t last)
{
    size_t count = line->n - 1, next = (last + 1) % count;
    double a_m = along_m[last] - w->edge_m, b_m = along_m[next];
    struct lw_en start = lw_en_between(line->p[last], line->p[next], -a_m / (b_m - a_m));

    if (put(w, start, 0))
        return -1;
    for (size_t k = 0; k < count; k++) {
        size_t i = (next + k) % count;

        if (put(w, line->p[i], along_m[i]))
            return -1;
    }
    return put(w, start, w->edge_m) || end_part(w) ? -1 : 0;
}

static int add_offset(struct walk *w, const struct lw_line *line)
{
    double *along_m;
    size_t turn = 0;
    bool turns = false;
    int rc;

    if (line->n < 2)
        return 0;
    along_m = calloc(line->n, sizeof *along_m);
    if (!along_m)
        return -1;
    for (size_t i = 0; i < line->n; i++)
        along_m[i] = along_at(w, line->p[i]);
    for (size_t i = 0; i + 1 < line->n && !turns; i++)
        if (passes_start(w, along_m[i], along_m[i + 1])) {
            turns = true;
            turn = i;
        }
    if (line->closed && turns && w->beat_m >= w->edge_m - 1e-6)
        rc = add_ring(w, line, along_m, turn);
    else
        rc = add_line(w, line, along_m, turns ? turn : 0);
    free(along_m);
    return rc;
}

static int by_first(const void *a, const void *b)
{
    const struct part *x = a, *y = b;

    return (x->first_m > y->first_m) - (x->first_m < y->first_m);
}

/* What most of the vertices cut away from..to say; LW_CARE_FREE: none was. */
static enum lw_care_why most_cut(const struct walk *w, double from_m, double to_m, size_t *which)
{
    size_t count[LW_CARE_SHALLOW + 1] = {0};
    enum lw_care_why best = LW_CARE_FREE;

    for (size_t i = 0; i < w->cuts; i++)
        if (w->cut[i].along_m >= from_m - END_GAP_M && w->cut[i].along_m <= to_m + END_GAP_M) {
            count[w->cut[i].why]++;
            if (count[w->cut[i].why] > (best == LW_CARE_FREE ? 0 : count[best])) {
                best = w->cut[i].why;
                *which = w->cut[i].which;
            }
        }
    return best;
}

/* No vertex was there to be cut: another stretch of the edge is nearer than the standoff. Far along
 * from here it is the far bank's, else the edge bends too tightly. */
static bool far_bank(const struct walk *w, double from_m, double to_m)
{
    const struct lw_plan *plan = w->plan;
    double middle_m = (from_m + to_m) / 2, turn_m;
    double off_m = plan->params.hold_deep ? plan->params.standoff_m : -plan->params.standoff_m;

    turn_m = fabs(lw_plan_offset(plan, lw_plan_point(plan, middle_m, off_m)).along_m - middle_m);
    if (plan->edge.closed)
        turn_m = fmin(turn_m, fabs(w->edge_m - turn_m));
    return turn_m > to_m - from_m + FAR_BANK_STANDOFFS * plan->params.standoff_m;
}

/* Says why there is no hold line from..to; the words fit behind a colon. */
static enum lw_detour_why reason(const struct walk *w, double from_m, double to_m, char *to,
                                 size_t size)
{
    const struct lw_plan_params *params = &w->plan->params;
    size_t which = 0;

    switch (most_cut(w, from_m, to_m, &which)) {
    case LW_CARE_LAND:
        snprintf(to, size, "it would be on land or off the map");
        return LW_DETOUR_LAND;
    case LW_CARE_CLOSED:
        snprintf(to, size, "closed to boats%s%s; local regulations decide",
                 w->chart->features.closed[which].words[0] ? ", " : "",
                 w->chart->features.closed[which].words);
        return LW_DETOUR_CLOSED;
    case LW_CARE_HAZARD:
        snprintf(to, size, "it would pass within %s of a %s",
                 lw_plan_words(params, params->berth_m),
                 lw_hazard_name(w->chart->features.hazard[which].kind));
        return LW_DETOUR_HAZARD;
    case LW_CARE_SHALLOW:
        snprintf(to, size, "the water is shallower than %s",
                 lw_plan_words(params, params->min_depth_m));
        return LW_DETOUR_SHALLOW;
    default:
        break;
    }
    snprintf(to, size, "the edge bends or comes back too close for a line %s off it",
             lw_plan_words(params, params->standoff_m));
    return far_bank(w, from_m, to_m) ? LW_DETOUR_FAR_SHORE : LW_DETOUR_BEND;
}

static int add_detour(struct walk *w, double from_m, double to_m, size_t after, bool end)
{
    struct lw_detour *d;
    char why[120];

    if (lw_array_room(&w->plan->detour, w->plan->detours, &w->detour_cap))
        return -1;
    d = &w->plan->detour[w->plan->detours++];
    *d = (struct lw_detour){
        .from_m = from_m, .to_m = to_m, .after = end ? 0 : (int)after, .length_m = NAN};
    d->why = reason(w, from_m, to_m, why, sizeof why);
    lw_text_copy(d->words, sizeof d->words, why);
    return 0;
}

/* What of the beat no part covers. Parts may overlap in along: where the line off a bay splits from
 * the main one, the main one goes past the bay's mouth. */
static int name_gaps(struct walk *w)
{
    int gaps = 0;
    double from_m = 0, more_m = 0; /* covered up to */

    for (size_t i = 0; i <= w->parts; i++) {
        bool end = i == 0 || i == w->parts;
        double to_m = i < w->parts ? w->part[i].first_m : w->beat_m;

        if (to_m - from_m >= (end ? END_GAP_M : SAME_PLACE_M) &&
            (end || lw_en_distance(w->part[i - 1].line.p[w->part[i - 1].line.n - 1],
                                   w->part[i].line.p[0]) >= SAME_PLACE_M)) {
            if (add_detour(w, from_m, to_m, i, end))
                return -1;
            if (++gaps > GAPS_NAMED)
                more_m += to_m - from_m;
            else
                lw_plan_warn(w->plan, "the hold line has a gap from %s to %s along: %s",
                             lw_plan_words(&w->plan->params, from_m),
                             lw_plan_words(&w->plan->params, to_m),
                             w->plan->detour[w->plan->detours - 1].words);
        }
        if (i < w->parts)
            from_m = fmax(from_m, w->part[i].last_m);
    }
    if (gaps > GAPS_NAMED)
        lw_plan_warn(w->plan, "the hold line has %d more gap%s, %s along in all", gaps - GAPS_NAMED,
                     gaps == GAPS_NAMED + 1 ? "" : "s", lw_plan_words(&w->plan->params, more_m));
    return 0;
}

static int keep_parts(struct walk *w)
{
    for (size_t i = 0; i < w->parts; i++) {
        struct lw_line *line = &w->part[i].line;

        line->closed = w->plan->edge.closed && line->n > 3 &&
                       lw_en_distance(line->p[0], line->p[line->n - 1]) < 1e-9 &&
                       w->part[i].last_m - w->part[i].first_m > w->edge_m / 2;
        if (line->closed)
            line->p[line->n - 1] = line->p[0];
        if (lw_lines_take(&w->plan->hold, line))
            return -1;
    }
    return 0;
}

int lw_hold_make(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    struct walk w = {.chart = chart, .plan = plan, .edge_m = lw_line_length(&plan->edge)};
    struct lw_lines offset = {0};
    bool left = plan->deep_left == plan->params.hold_deep;
    char why[120];
    int rc = -1;

    w.beat_m = lw_plan_beat_length(plan);
    w.care = lw_plan_care(&plan->params);
    if (lw_offset_line(&plan->edge, plan->params.standoff_m, left, &offset, err))
        return -1;
    for (size_t i = 0; i < offset.n; i++)
        if (add_offset(&w, &offset.line[i]))
            goto memory;
    if (w.parts == 0) {
        reason(&w, 0, w.beat_m, why, sizeof why);
        lw_fail(err,
                "there is no hold line %s off this edge on the %s side: %s; give "
                "another standoff, side or edge",
                lw_plan_words(&plan->params, plan->params.standoff_m),
                plan->params.hold_deep ? "deep" : "shallow", why);
        goto done;
    }
    qsort(w.part, w.parts, sizeof *w.part, by_first);
    if (name_gaps(&w) || keep_parts(&w))
        goto memory;
    rc = lw_detours_find(chart, plan, err);
    goto done;
memory:
    lw_fail(err, "memory ran out while making the hold line");
done:
    lw_line_free(&w.now.line);
    for (size_t i = 0; i < w.parts; i++)
        lw_line_free(&w.part[i].line);
    free(w.part);
    free(w.cut);
    lw_lines_free(&offset);
    return rc;
}
