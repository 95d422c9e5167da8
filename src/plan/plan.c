/* Making a plan, step by step. */
#include "lipwalk/plan/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"
#include "lipwalk/geo/thin.h"
#include "lipwalk/plan/passes.h"
#include "steps.h"

#define INDEX_CELL_M      10.0
#define JITTER_M          0.5 /* a driven line's wobble that is the receiver's, not the edge's */
#define SHORTEST_DRIVEN_M 10.0
#define DRIVEN_SIGMA_M    1.5 /* receiver 3 m at 95 %: common practice, no source */
#define SIGMA_PLACES      9
#define SAME_DEPTH_M      1e-6 /* a level taken off and put on again */

int lw_plan_index(struct lw_plan *plan, struct lw_error *err)
{
    plan->index = lw_line_index_new(&plan->edge, INDEX_CELL_M);
    return plan->index ? 0
                       : lw_fail(err, "memory ran out while indexing an edge of %zu vertices",
                                 plan->edge.n);
}

/* From an edge with a known side to the finished plan. */
static int build(const struct lw_chart *chart, struct lw_plan *plan, double centre_m,
                 struct lw_error *err)
{
    if (lw_plan_index(plan, err) || lw_beat_set(plan, centre_m, err))
        return -1;
    if (lw_hold_make(chart, plan, err) || lw_belt_make(plan, err))
        return -1;
    if (plan->belt.n == 0)
        return lw_fail(err, "the belt has no width; give --up or --past above 0");
    if (lw_care_check(chart, plan, err))
        return -1;
    if (plan->params.choose_way && !isnan(lw_pass_headwind(plan)))
        plan->params.backward = lw_pass_headwind(plan) < 0;
    return lw_fan_make(chart, plan, err) || lw_belt_cover(plan, err) ? -1 : 0;
}

static double centre_on(const struct lw_plan *plan)
{
    if (!lw_ll_known(plan->params.near))
        return isnan(plan->params.length_m) ? lw_line_length(&plan->edge) / 2
                                            : plan->params.length_m / 2;
    return lw_line_nearest(&plan->edge, lw_frame_to_en(&plan->frame, plan->params.near)).along_m;
}

static struct lw_plan *start(const struct lw_chart *chart, const struct lw_frame *frame,
                             const struct lw_plan_params *params, struct lw_error *err)
{
    struct lw_plan *plan = calloc(1, sizeof *plan);

    if (!plan) {
        lw_fail(err, "memory ran out while making a plan");
        return NULL;
    }
    plan->frame = *frame;
    plan->params = *params;
    if (chart) {
        lw_text_clean(plan->lake, sizeof plan->lake, chart->lake);
        lw_text_clean(plan->map, sizeof plan->map, chart->source);
    }
    return plan;
}

/* The edge's uncertainty along the beat, root mean square: one place may lie beside a wide gap. */
static double beat_sigma(const struct lw_chart *chart, const struct lw_plan *plan)
{
    double sum_m2 = 0;

    for (int i = 0; i < SIGMA_PLACES; i++) {
        double along_m = plan->beat_from_m + lw_plan_beat_length(plan) * (i + 0.5) / SIGMA_PLACES;
        struct lw_en at = lw_line_at(&plan->edge, along_m, NULL);
        double sigma_m = lw_chart_edge_sigma(chart, at, plan->params.depth_m);

        sum_m2 += sigma_m * sigma_m;
    }
    return sqrt(sum_m2 / SIGMA_PLACES);
}

/* Casts made before, and the edge's own ± where a map tells it. */
static int keep_made(struct lw_plan *plan, const struct lw_plan *old, const struct lw_made *made,
                     size_t mades, struct lw_error *err)
{
    size_t before = old ? old->mades : 0;

    if (before + mades == 0)
        return 0;
    plan->made = calloc(before + mades, sizeof *plan->made);
    if (!plan->made)
        return lw_fail(err, "memory ran out while keeping %zu casts", before + mades);
    if (before)
        memcpy(plan->made, old->made, before * sizeof *plan->made);
    if (mades)
        memcpy(plan->made + before, made, mades * sizeof *plan->made);
    plan->mades = before + mades;
    return 0;
}

static int make(const struct lw_chart *chart, const struct lw_plan_params *params,
                const struct lw_plan *old, const struct lw_made *made, size_t mades,
                struct lw_plan **out, struct lw_error *err)
{
    struct lw_plan *plan;

    *out = NULL;
    if (isnan(params->depth_m) && !params->lip)
        return lw_fail(err, "the edge's depth is not set; give --depth or --lip");
    if (lw_plan_params_check(params, err))
        return -1;
    plan = start(chart, &chart->frame, params, err);
    if (!plan)
        return -1;
    if (keep_made(plan, old, made, mades, err) || lw_edge_take(chart, plan, err) ||
        build(chart, plan, centre_on(plan), err))
        goto fail;
    if (!params->lip)
        plan->edge_sigma_m = beat_sigma(chart, plan);
    *out = plan;
    return 0;
fail:
    lw_plan_free(plan);
    return -1;
}

int lw_plan_make(const struct lw_chart *chart, const struct lw_plan_params *params,
                 struct lw_plan **out, struct lw_error *err)
{
    return make(chart, params, NULL, NULL, 0, out, err);
}

/* The old edge itself, with the new parameters. */
static int remake_on(const struct lw_chart *chart, const struct lw_plan *old,
                     const struct lw_plan_params *params, const struct lw_made *made, size_t mades,
                     struct lw_plan **out, struct lw_error *err)
{
    struct lw_plan *plan;

    *out = NULL;
    if (lw_plan_params_check(params, err))
        return -1;
    plan = start(chart, &old->frame, params, err);
    if (!plan)
        return -1;
    memcpy(plan->lake, old->lake, sizeof plan->lake);
    memcpy(plan->map, old->map, sizeof plan->map);
    plan->params.from_m = old->beat_from_m;
    plan->params.to_m = old->beat_to_m;
    plan->deep_left = old->deep_left;
    plan->edge_sigma_m = old->edge_sigma_m;
    if (lw_line_copy(&plan->edge, &old->edge)) {
        lw_fail(err, "memory ran out while copying the edge");
        goto fail;
    }
    if (keep_made(plan, old, made, mades, err) || build(chart, plan, 0, err))
        goto fail;
    *out = plan;
    return 0;
fail:
    lw_plan_free(plan);
    return -1;
}

int lw_plan_remake(const struct lw_chart *chart, const struct lw_plan *old,
                   const struct lw_plan_params *params, const struct lw_made *made, size_t mades,
                   struct lw_plan **out, struct lw_error *err)
{
    struct lw_plan_params other = *params;
    bool driven = isnan(params->depth_m) && !params->lip;

    if (driven || !chart ||
        (params->lip == old->params.lip &&
         (params->lip || fabs(params->depth_m - old->params.depth_m) < SAME_DEPTH_M)))
        return remake_on(chart, old, params, made, mades, out, err);
    other.near = lw_frame_to_ll(&old->frame, lw_plan_point(old, lw_plan_beat_length(old) / 2, 0));
    other.length_m = lw_plan_beat_length(old);
    other.from_m = other.to_m = NAN;
    return make(chart, &other, old, made, mades, out, err);
}

/* A line that crosses itself has no side: says where. */
static int check_simple(const struct lw_line *line, const struct lw_plan_params *params,
                        struct lw_error *err)
{
    double along_m = 0, share;

    for (size_t i = 0; i + 1 < line->n; i++) {
        struct lw_en a = line->p[i], b = line->p[i + 1];

        for (size_t k = i + 2; k + 1 < line->n; k++) {
            struct lw_en p = line->p[k], q = line->p[k + 1];

            if (line->closed && i == 0 && k + 2 == line->n)
                continue; /* neighbours round the start */
            if (lw_segments_meet(a, b, p, q, &share))
                return lw_fail(err,
                               "the driven line crosses itself %s from its start; drive it again "
                               "without a loop",
                               lw_plan_words(params, along_m + lw_en_distance(a, b) * share));
        }
        along_m += lw_en_distance(a, b);
    }
    return 0;
}

int lw_plan_from_line(const struct lw_chart *chart, const struct lw_frame *frame,
                      const struct lw_line *edge, bool deep_left,
                      const struct lw_plan_params *params, struct lw_plan **out,
                      struct lw_error *err)
{
    struct lw_plan *plan;

    *out = NULL;
    if (lw_plan_params_check(params, err))
        return -1;
    plan = start(chart, frame, params, err);
    if (!plan)
        return -1;
    if (lw_line_thin(edge, JITTER_M, &plan->edge, err))
        goto fail;
    lw_line_clean(&plan->edge);
    if (plan->edge.n < 2 || lw_line_length(&plan->edge) < SHORTEST_DRIVEN_M) {
        lw_fail(err, "the driven line is only %s long; drive at least %s of the edge",
                lw_plan_words(params, plan->edge.n < 2 ? 0.0 : lw_line_length(&plan->edge)),
                lw_plan_words(params, SHORTEST_DRIVEN_M));
        goto fail;
    }
    if (check_simple(&plan->edge, params, err))
        goto fail;
    plan->deep_left = deep_left;
    if (chart) {
        if (lw_side_vote(chart, plan, NULL) != 0)
            lw_plan_warn(plan,
                         "the map does not tell the deep side of the driven line: taken as "
                         "the %s of the way it was driven",
                         deep_left ? "left" : "right");
    }
    plan->edge_sigma_m = DRIVEN_SIGMA_M;
    if (build(chart, plan, centre_on(plan), err))
        goto fail;
    *out = plan;
    return 0;
fail:
    lw_plan_free(plan);
    return -1;
}

void lw_plan_free(struct lw_plan *plan)
{
    if (!plan)
        return;
    lw_plan_settle(plan);
    lw_line_index_free(plan->index);
    lw_line_free(&plan->edge);
    lw_lines_free(&plan->hold);
    lw_lines_free(&plan->belt);
    for (size_t i = 0; i < plan->detours; i++)
        lw_line_free(&plan->detour[i].way);
    free(plan->detour);
    free(plan->made);
    free(plan->station);
    free(plan->cast);
    free(plan);
}
