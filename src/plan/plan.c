/* Making a plan, step by step. */
#include "lipwalk/plan/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"
#include "lipwalk/geo/thin.h"
#include "steps.h"

#define INDEX_CELL_M      10.0
#define MAJORITY          0.65 /* of the edge's length that must agree on the deep side */
#define TOLD              0.2  /* and so much of it must tell at all */
#define JITTER_M          0.5  /* a driven line's wobble that is the receiver's, not the edge's */
#define SHORTEST_DRIVEN_M 10.0
#define DRIVEN_SIGMA_M    1.5 /* receiver 3 m at 95 %: common practice, no source */
#define MOST_FAN_CASTS    1000
#define SIGMA_PLACES      9
#define FAR_M             1000.0 /* a place this far off the edge may be a slip */

void lw_plan_params_clear(struct lw_plan_params *params)
{
    *params = (struct lw_plan_params){.depth_m = NAN,
                                      .near = {NAN, NAN},
                                      .from_m = NAN,
                                      .to_m = NAN,
                                      .length_m = NAN,
                                      .standoff_m = NAN,
                                      .hold_deep = true,
                                      .cast_m = NAN,
                                      .fan_half_deg = NAN,
                                      .spacing_m = NAN,
                                      .swath_m = NAN,
                                      .up_m = NAN,
                                      .past_m = NAN,
                                      .min_depth_m = NAN,
                                      .move_s = NAN,
                                      .cast_s = NAN,
                                      .fan_casts = 0};
}

static int check(const struct lw_plan_params *p, struct lw_error *err)
{
    const struct {
        const char *name, *unit;
        double value, min, max;
    } wanted[] = {{"standoff", "m", p->standoff_m, 0.1, 1000},
                  {"cast", "m", p->cast_m, 2, 500},
                  {"fan-half", "degrees", p->fan_half_deg, 0, 89},
                  {"spacing", "m", p->spacing_m, 0.5, 10000},
                  {"swath", "m", p->swath_m, 0.1, 100},
                  {"up", "m", p->up_m, 0, 1000},
                  {"past", "m", p->past_m, 0, 1000},
                  {"min-depth", "m", p->min_depth_m, 0, 1000},
                  {"move-time", "s", p->move_s, 0, 86400},
                  {"cast-time", "s", p->cast_s, 0, 86400},
                  {"fan-casts", "casts", p->fan_casts, 1, MOST_FAN_CASTS}};

    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        if (isnan(wanted[i].value))
            return lw_fail(err, "the plan's %s is not set; give --%s", wanted[i].name,
                           wanted[i].name);
        if (wanted[i].value < wanted[i].min || wanted[i].value > wanted[i].max)
            return lw_fail(err, "the plan's %s is %g %s; give --%s from %g to %g %s",
                           wanted[i].name, wanted[i].value, wanted[i].unit, wanted[i].name,
                           wanted[i].min, wanted[i].max, wanted[i].unit);
    }
    if (!isnan(p->length_m) && !(p->length_m >= 1))
        return lw_fail(err, "a beat of %g m is shorter than 1 m; give a longer one", p->length_m);
    return 0;
}

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
    if (lw_hold_make(chart, plan, err) || lw_fan_make(chart, plan, err))
        return -1;
    if (lw_belt_make(plan, err) || lw_belt_cover(plan, err))
        return -1;
    return 0;
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

static int take_edge(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    const struct lw_plan_params *params = &plan->params;
    struct lw_lines lines = {0};
    bool known = lw_ll_known(params->near);
    struct lw_en near = {0};
    double share, told;
    int rc = -1;

    if (lw_chart_contour(chart, params->depth_m, &lines, err))
        return -1;
    if (lines.n == 0) {
        lw_fail(err,
                "the map has no edge at %.2f m (%.1f ft): its contours run from %.2f to %.2f m; "
                "give a depth between",
                params->depth_m, params->depth_m / LW_FT_M,
                chart->contours ? chart->contour[0].depth_m : NAN, chart->deepest_m);
        goto done;
    }
    if (known)
        near = lw_frame_to_en(&chart->frame, params->near);
    if (lw_line_copy(&plan->edge, &lines.line[lw_beat_pick_edge(&lines, near, known)])) {
        lw_fail(err, "memory ran out while copying the edge");
        goto done;
    }
    lw_line_clean(&plan->edge);
    if (known) {
        double far_m = lw_line_nearest(&plan->edge, near).dist_m;
        bool metric = params->units == LW_METRIC;

        if (far_m > FAR_M)
            lw_plan_warn(plan, "this edge, the nearest one, is %.1f %s from the place to be near",
                         far_m / (metric ? 1000 : 5280 * LW_FT_M), metric ? "km" : "miles");
    }
    share = lw_side_left_share(chart, &plan->edge, &told);
    if (told < TOLD || (share < MAJORITY && share > 1 - MAJORITY)) {
        lw_fail(err,
                "the deep side of this edge cannot be told: of its length %.0f %% is deeper on the "
                "left, %.0f %% on the right; choose another depth or place",
                100 * told * share, 100 * told * (1 - share));
        goto done;
    }
    plan->deep_left = share > 0.5;
    rc = 0;
done:
    lw_lines_free(&lines);
    return rc;
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

int lw_plan_make(const struct lw_chart *chart, const struct lw_plan_params *params,
                 struct lw_plan **out, struct lw_error *err)
{
    struct lw_plan *plan;
    double centre_m;

    *out = NULL;
    if (isnan(params->depth_m))
        return lw_fail(err, "the edge's depth is not set; give --depth");
    if (check(params, err))
        return -1;
    plan = start(chart, &chart->frame, params, err);
    if (!plan)
        return -1;
    if (take_edge(chart, plan, err))
        goto fail;
    centre_m = centre_on(plan);
    if (build(chart, plan, centre_m, err))
        goto fail;
    plan->edge_sigma_m = beat_sigma(chart, plan);
    *out = plan;
    return 0;
fail:
    lw_plan_free(plan);
    return -1;
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
    if (check(params, err))
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
        double told, share = lw_side_left_share(chart, &plan->edge, &told);

        if (told >= TOLD && (share >= MAJORITY || share <= 1 - MAJORITY))
            plan->deep_left = share > 0.5;
        else
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
    lw_line_index_free(plan->index);
    lw_line_free(&plan->edge);
    lw_lines_free(&plan->hold);
    lw_lines_free(&plan->belt);
    free(plan->station);
    free(plan->cast);
    free(plan);
}
