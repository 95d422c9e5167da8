/* Choosing an edge and the stretch of it to work. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "steps.h"

#define SHORTEST_BEAT_M 1.0

size_t lw_beat_pick_edge(const struct lw_lines *lines, struct lw_en near, bool near_known)
{
    size_t best = 0;
    double least = INFINITY;

    for (size_t i = 0; i < lines->n; i++) {
        double cost = near_known ? lw_line_nearest(&lines->line[i], near).dist_m
                                 : -lw_line_length(&lines->line[i]);

        if (cost < least) {
            least = cost;
            best = i;
        }
    }
    return best;
}

static int set_by_ends(struct lw_plan *plan, double edge_m, struct lw_error *err)
{
    const struct lw_plan_params *params = &plan->params;
    double from_m = params->from_m, to_m = params->to_m;

    if (isnan(from_m) || isnan(to_m)) {
        if (isnan(params->length_m))
            return lw_fail(err, "the beat has one end but no length; give its other end too");
        if (isnan(from_m))
            from_m = to_m - params->length_m;
        else
            to_m = from_m + params->length_m;
    }
    if (plan->edge.closed) {
        double length_m = to_m - from_m;

        if (length_m <= 0) /* past the ring's first vertex */
            length_m += edge_m * (1 + floor(-length_m / edge_m));
        from_m -= edge_m * floor(from_m / edge_m);
        plan->beat_from_m = from_m;
        plan->beat_to_m = from_m + fmin(length_m, edge_m);
    } else {
        if (to_m < from_m) {
            double swap_m = from_m;

            from_m = to_m;
            to_m = swap_m;
        }
        plan->beat_from_m = fmax(0, from_m);
        plan->beat_to_m = fmin(edge_m, to_m);
    }
    if (plan->beat_to_m - plan->beat_from_m < SHORTEST_BEAT_M)
        return lw_fail(err,
                       "the beat from %s to %s is shorter than %s on an edge of %s; "
                       "give ends that lie on the edge",
                       lw_plan_words(&plan->params, from_m), lw_plan_words(&plan->params, to_m),
                       lw_plan_words(&plan->params, SHORTEST_BEAT_M),
                       lw_plan_words(&plan->params, edge_m));
    return 0;
}

int lw_beat_set(struct lw_plan *plan, double centre_m, struct lw_error *err)
{
    double edge_m = lw_line_length(&plan->edge);
    double length_m = plan->params.length_m;

    if (!isnan(plan->params.from_m) || !isnan(plan->params.to_m))
        return set_by_ends(plan, edge_m, err);
    if (isnan(length_m) || length_m > edge_m)
        length_m = edge_m;
    if (edge_m < SHORTEST_BEAT_M)
        return lw_fail(err, "the edge is only %s long; choose another",
                       lw_plan_words(&plan->params, edge_m));
    plan->beat_from_m = centre_m - length_m / 2;
    if (plan->edge.closed)
        plan->beat_from_m -= edge_m * floor(plan->beat_from_m / edge_m);
    else
        plan->beat_from_m = fmin(fmax(0, plan->beat_from_m), edge_m - length_m);
    plan->beat_to_m = plan->beat_from_m + length_m;
    return 0;
}

static int by_distance(const void *a, const void *b)
{
    const struct lw_beat *x = a, *y = b;

    if (isnan(x->distance_m) || isnan(y->distance_m) || x->distance_m == y->distance_m)
        return (x->length_m < y->length_m) - (x->length_m > y->length_m);
    return (x->distance_m > y->distance_m) - (x->distance_m < y->distance_m);
}

int lw_plan_beats(const struct lw_chart *chart, double depth_m, struct lw_ll from,
                  struct lw_beat *beats, size_t max, size_t *n, struct lw_error *err)
{
    struct lw_lines lines = {0};
    struct lw_beat *all = NULL;
    bool known = lw_ll_known(from);
    int rc = -1;

    *n = 0;
    if (lw_chart_contour(chart, depth_m, &lines, err))
        return -1;
    all = calloc(lines.n + 1, sizeof *all);
    if (!all) {
        lw_fail(err, "memory ran out while listing %zu edges", lines.n);
        goto done;
    }
    for (size_t i = 0; i < lines.n; i++) {
        struct lw_beat *beat = &all[i];

        beat->length_m = lw_line_length(&lines.line[i]);
        beat->closed = lines.line[i].closed;
        beat->distance_m = beat->bearing_deg = NAN;
        beat->nearest = lw_frame_to_ll(&chart->frame, lines.line[i].p[0]);
        if (known) {
            struct lw_near near = lw_line_nearest(&lines.line[i],
                                                  lw_frame_to_en(&chart->frame, from));

            beat->nearest = lw_frame_to_ll(&chart->frame, near.at);
            beat->nearest_along_m = near.along_m;
            lw_geodesic(from, beat->nearest, &beat->distance_m, &beat->bearing_deg);
        }
    }
    qsort(all, lines.n, sizeof *all, by_distance);
    *n = lines.n < max ? lines.n : max;
    memcpy(beats, all, *n * sizeof *all);
    rc = 0;
done:
    free(all);
    lw_lines_free(&lines);
    return rc;
}
