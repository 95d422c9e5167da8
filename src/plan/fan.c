/* Stations along the hold line, and from each a plain fan of casts across the edge.
 *
 * A cast of length L at t degrees from square to the edge, from s off it, reaches the edge only if
 * t < acos(s / L): right triangle. */
#include <math.h>
#include <stdlib.h>

#include "steps.h"

#define PAST_EDGE_M   1.0 /* the outermost cast runs on at least so far behind the edge */
#define WATER_STEP_M  0.5
#define LANDING_M     0.3   /* a cast cut short by the bank lands in so much water ... */
#define AT_EDGE_M     3.0   /* ... behind the edge, or where the edge is the bank so near to it */
#define LEAST_SHARE   0.333 /* ... or is left out, as one shorter than this of the standoff is */
#define MOST_STATIONS 100000

struct tally { /* what is worth a warning */
    int left_out, shortened, short_of_edge, narrowed, left_out_stations;
    double narrowest_deg, shortest_m;
};

static bool crosses(const struct lw_line *edge, struct lw_en a, struct lw_en b)
{
    double w = fmin(a.e_m, b.e_m), e = fmax(a.e_m, b.e_m);
    double s = fmin(a.n_m, b.n_m), n = fmax(a.n_m, b.n_m);

    for (size_t i = 0; i + 1 < edge->n; i++) {
        struct lw_en p = edge->p[i], q = edge->p[i + 1];

        if ((p.e_m < w && q.e_m < w) || (p.e_m > e && q.e_m > e) || (p.n_m < s && q.n_m < s) ||
            (p.n_m > n && q.n_m > n))
            continue;
        if (lw_segments_meet(a, b, p, q, NULL))
            return true;
    }
    return false;
}

/* How far of a cast the bait is over water: to its full length, or to the last place `least_m` deep
 * before the bank; 0 where there is none. */
static double water_reach(const struct lw_chart *chart, const struct lw_cast *cast, double least_m)
{
    int steps = (int)ceil(cast->length_m / WATER_STEP_M);
    double reach_m = 0;

    for (int k = 0; k <= steps; k++) {
        double out_m = fmin(k * WATER_STEP_M, cast->length_m), depth_m;

        depth_m = lw_chart_depth(chart, lw_en_step(cast->from, cast->bearing_deg, out_m));
        if (isnan(depth_m))
            break;
        if (depth_m >= least_m)
            reach_m = out_m;
    }
    return reach_m;
}

static size_t part_stations(const struct lw_line *part, double spacing_m, double *first_m,
                            double *step_m)
{
    double length_m = lw_line_length(part), n;

    if (part->closed) {
        n = fmax(1, ceil(length_m / spacing_m - 1e-9));
        *first_m = 0;
        *step_m = length_m / n;
    } else { /* what is left over goes to both ends alike */
        n = floor(length_m / spacing_m + 1e-9) + 1;
        *first_m = fmax(0, (length_m - (n - 1) * spacing_m) / 2);
        *step_m = spacing_m;
    }
    return n < MOST_STATIONS ? (size_t)n : MOST_STATIONS;
}

static int place_stations(struct lw_plan *plan, struct lw_error *err)
{
    size_t most = 0, n = 0;
    double first_m, step_m;

    for (size_t i = 0; i < plan->hold.n; i++)
        most += part_stations(&plan->hold.line[i], plan->params.spacing_m, &first_m, &step_m);
    if (most >= MOST_STATIONS)
        return lw_fail(err,
                       "%s between stations makes more than %d of them; give a wider "
                       "spacing or a shorter beat",
                       lw_plan_words(&plan->params, plan->params.spacing_m), MOST_STATIONS);
    plan->station = calloc(most + 1, sizeof *plan->station);
    plan->cast = calloc(most * (size_t)plan->params.fan_casts + 1, sizeof *plan->cast);
    if (!plan->station || !plan->cast)
        return lw_fail(err, "memory ran out while placing %zu stations", most);
    for (size_t i = 0; i < plan->hold.n; i++) {
        const struct lw_line *part = &plan->hold.line[i];
        size_t count = part_stations(part, plan->params.spacing_m, &first_m, &step_m);

        for (size_t k = 0; k < count; k++) {
            struct lw_station *station = &plan->station[n++];

            station->at = lw_line_at(part, first_m + (double)k * step_m, NULL);
            station->along_m = lw_plan_offset(plan, station->at).along_m;
            if (part->closed && k == 0) /* the ring's start, and by rounding its end */
                station->along_m = 0;
        }
    }
    plan->stations = n;
    return 0;
}

/* Where the boat goes from station i, for the end of the sweep: the next station, or as far on
 * again as the last one lay. */
static struct lw_en onward(const struct lw_plan *plan, size_t i)
{
    struct lw_en at = plan->station[i].at, before;

    if (i + 1 < plan->stations)
        return plan->station[i + 1].at;
    if (i == 0)
        return lw_en_step(at, lw_plan_offset(plan, at).along_bearing_deg, 10);
    before = plan->station[i - 1].at;
    return (struct lw_en){2 * at.e_m - before.e_m, 2 * at.n_m - before.n_m};
}

/* Does a cast at turn_deg from square to the edge cross it, with something to spare? */
static bool reaches(const struct lw_plan *plan, struct lw_en at, double square_deg, double turn_deg)
{
    struct lw_en to = lw_en_step(at, square_deg + turn_deg, plan->params.cast_m - PAST_EDGE_M);

    return crosses(&plan->edge, at, to);
}

/* The widest turn to one side (+1 clockwise, -1), up to the fan's half, at which a cast still
 * crosses the edge; where none does (the cast is too short) the fan's half. */
static double widest(const struct lw_plan *plan, struct lw_en at, double square_deg, int side,
                     struct tally *tally)
{
    double half_deg = plan->params.fan_half_deg, low_deg = half_deg, high_deg = half_deg;

    while (low_deg > 0 && !reaches(plan, at, square_deg, side * low_deg)) {
        high_deg = low_deg;
        low_deg -= 1;
    }
    if (low_deg == half_deg)
        return half_deg;
    if (low_deg <= 0) {
        low_deg = 0;
        if (!reaches(plan, at, square_deg, 0))
            return half_deg;
    }
    while (high_deg - low_deg > 0.01) {
        double middle_deg = (low_deg + high_deg) / 2;

        if (reaches(plan, at, square_deg, side * middle_deg))
            low_deg = middle_deg;
        else
            high_deg = middle_deg;
    }
    tally->narrowest_deg = fmin(tally->narrowest_deg, low_deg);
    return low_deg;
}

/* Shortens a cast that would come down on the bank. False when what is left is no cast. */
static bool keep_on_water(const struct lw_chart *chart, const struct lw_plan *plan,
                          struct lw_cast *cast, struct tally *tally)
{
    const struct lw_plan_params *params = &plan->params;
    double length_m = water_reach(chart, cast, fmin(LANDING_M, params->depth_m));
    bool crossed = cast->crosses_edge;

    if (length_m >= cast->length_m)
        return true;
    cast->length_m = length_m;
    cast->to = lw_en_step(cast->from, cast->bearing_deg, length_m);
    cast->crosses_edge = crosses(&plan->edge, cast->from, cast->to);
    if (length_m < LEAST_SHARE * params->standoff_m ||
        (crossed && !cast->crosses_edge &&
         lw_line_index_nearest(plan->index, cast->to).dist_m > AT_EDGE_M))
        return false;
    tally->shortened++;
    tally->shortest_m = fmin(tally->shortest_m, length_m);
    return true;
}

/* The fan of one station goes to the end of plan->cast, swept from the side away from `next`. */
static void add_fan(const struct lw_chart *chart, struct lw_plan *plan, struct lw_station *station,
                    struct lw_en next, struct tally *tally)
{
    const struct lw_plan_params *params = &plan->params;
    struct lw_near near = lw_line_index_nearest(plan->index, station->at);
    double square_deg = lw_en_bearing(station->at, near.at);
    int side = lw_bearing_turn(square_deg, lw_en_bearing(station->at, next)) >= 0 ? 1 : -1;
    double first_deg = widest(plan, station->at, square_deg, -side, tally);
    double last_deg = widest(plan, station->at, square_deg, side, tally);

    tally->narrowed += fmin(first_deg, last_deg) < params->fan_half_deg;
    station->cast0 = plan->casts;
    for (int k = 0; k < params->fan_casts; k++) {
        double share = params->fan_casts == 1 ? 0 : (double)k / (params->fan_casts - 1);
        double turn_deg = params->fan_casts == 1 ? 0 : share * (first_deg + last_deg) - first_deg;
        struct lw_cast cast = {.from = station->at, .length_m = params->cast_m};

        cast.bearing_deg = lw_bearing_wrap(square_deg + side * turn_deg);
        cast.to = lw_en_step(cast.from, cast.bearing_deg, cast.length_m);
        cast.crosses_edge = crosses(&plan->edge, cast.from, cast.to);
        if (chart && !keep_on_water(chart, plan, &cast, tally)) {
            tally->left_out++;
            continue;
        }
        cast.landing_depth_m = chart ? lw_chart_depth(chart, cast.to) : NAN;
        tally->short_of_edge += !cast.crosses_edge && cast.length_m == params->cast_m;
        cast.order = (int)++station->casts;
        plan->cast[plan->casts++] = cast;
    }
}

static const char *plural(int n)
{
    return n == 1 ? "" : "s";
}

static void say(struct lw_plan *plan, const struct tally *tally)
{
    const struct lw_plan_params *params = &plan->params;

    if (tally->narrowed)
        lw_plan_warn(plan,
                     "at %d station%s the fan is narrower on a side, down to %.0f degrees, so that "
                     "its casts of %s cross the edge",
                     tally->narrowed, plural(tally->narrowed), tally->narrowest_deg,
                     lw_plan_words(params, params->cast_m));
    if (tally->short_of_edge == (int)plan->casts)
        lw_plan_warn(plan, "a cast of %s does not cross an edge %s off",
                     lw_plan_words(params, params->cast_m),
                     lw_plan_words(params, params->standoff_m));
    else if (tally->short_of_edge)
        lw_plan_warn(plan, "%d cast%s short of the edge, which bends away or ends there",
                     tally->short_of_edge, tally->short_of_edge == 1 ? " lands" : "s land");
    if (tally->shortened)
        lw_plan_warn(plan, "%d cast%s shorter than %s, down to %s: the bank lies behind",
                     tally->shortened, tally->shortened == 1 ? " is" : "s are",
                     lw_plan_words(params, params->cast_m),
                     lw_plan_words(params, tally->shortest_m));
    if (tally->left_out)
        lw_plan_warn(plan, "%d cast%s left out: the retrieve would cross land or leave the map",
                     tally->left_out, tally->left_out == 1 ? " is" : "s are");
    if (tally->left_out_stations)
        lw_plan_warn(plan, "%d station%s left out: no cast from there stays on water",
                     tally->left_out_stations, tally->left_out_stations == 1 ? " is" : "s are");
}

int lw_fan_make(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    struct tally tally = {.narrowest_deg = plan->params.fan_half_deg, .shortest_m = INFINITY};
    size_t kept = 0;

    if (place_stations(plan, err))
        return -1;
    for (size_t i = 0; i < plan->stations; i++)
        add_fan(chart, plan, &plan->station[i], onward(plan, i), &tally);
    for (size_t i = 0; i < plan->stations; i++) {
        struct lw_station *station = &plan->station[i];

        if (station->casts == 0)
            continue;
        station->order = (int)kept + 1;
        for (size_t k = 0; k < station->casts; k++)
            plan->cast[station->cast0 + k].station = station->order;
        plan->station[kept++] = *station;
    }
    tally.left_out_stations = (int)(plan->stations - kept);
    plan->stations = kept;
    if (kept == 0)
        return lw_fail(err,
                       "no cast of %s from the hold line stays on water; give a shorter cast "
                       "or another side",
                       lw_plan_words(&plan->params, plan->params.cast_m));
    say(plan, &tally);
    plan->minutes = ((double)plan->stations * plan->params.move_s +
                     (double)plan->casts * plan->params.cast_s) /
                    60;
    return 0;
}
