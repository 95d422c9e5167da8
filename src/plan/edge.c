/* The edge that the parameters ask for: a contour or a lip, and which side of it is deep. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/units.h"
#include "lipwalk/chart/lip.h"
#include "steps.h"

#define MAJORITY 0.65   /* of the edge's length that must agree on the deep side */
#define TOLD     0.2    /* and so much of it must tell at all */
#define FAR_M    1000.0 /* a place this far off the edge may be a slip */

int lw_side_vote(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    double told, share = lw_side_left_share(chart, &plan->edge, &told);

    if (told >= TOLD && (share >= MAJORITY || share <= 1 - MAJORITY)) {
        plan->deep_left = share > 0.5;
        return 0;
    }
    if (!err)
        return -1;
    return lw_fail(err,
                   "the deep side of this edge cannot be told: of its length %.0f %% is deeper on "
                   "the left, %.0f %% on the right; choose another depth or place",
                   100 * told * share, 100 * told * (1 - share));
}

static int lip_line(const struct lw_lip *lip, struct lw_line *line)
{
    line->closed = lip->closed;
    for (size_t i = 0; i < lip->n; i++)
        if (lw_line_add(line, lip->p[i].at))
            return -1;
    return 0;
}

/* All lips as lines, in their order. */
static int lip_lines(const struct lw_lips *lips, struct lw_lines *lines)
{
    for (size_t i = 0; i < lips->lips; i++) {
        struct lw_line line = {0};

        if (lip_line(&lips->lip[i], &line) || lw_lines_take(lines, &line)) {
            lw_line_free(&line);
            return -1;
        }
    }
    return 0;
}

/* Warns of a nearest edge that is far. */
static void say_far(struct lw_plan *plan, struct lw_en near)
{
    double far_m = lw_line_nearest(&plan->edge, near).dist_m;
    bool metric = plan->params.units == LW_METRIC;

    if (far_m > FAR_M)
        lw_plan_warn(plan, "this edge, the nearest one, is %.1f %s from the place to be near",
                     far_m / (metric ? 1000 : 5280 * LW_FT_M), metric ? "km" : "miles");
}

/* Copies the line that is wanted; *which is its number. */
static int pick(struct lw_plan *plan, const struct lw_lines *lines, size_t *which,
                struct lw_error *err)
{
    bool known = lw_ll_known(plan->params.near);
    struct lw_en near = {0};

    if (known)
        near = lw_frame_to_en(&plan->frame, plan->params.near);
    *which = lw_beat_pick_edge(lines, near, known);
    if (lw_line_copy(&plan->edge, &lines->line[*which]))
        return lw_fail(err, "memory ran out while copying the edge");
    lw_line_clean(&plan->edge);
    if (known)
        say_far(plan, near);
    return 0;
}

static int take_lip(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    struct lw_lips lips = {0};
    struct lw_lines lines = {0};
    size_t which;
    int rc = -1;

    if (lw_lips_find(chart, &lips, err))
        return -1;
    if (lips.lips == 0) {
        lw_fail(err, "no lip was found on this map: give an edge by its --depth");
        goto done;
    }
    if (lip_lines(&lips, &lines)) {
        lw_fail(err, "memory ran out while copying %zu lips", lips.lips);
        goto done;
    }
    if (pick(plan, &lines, &which, err))
        goto done;
    plan->params.depth_m = lips.lip[which].depth_m;
    plan->edge_sigma_m = lips.lip[which].sigma_m;
    if (lips.lip[which].inferred)
        lw_plan_warn(plan, "this lip is inferred: its contours are too far apart to show it");
    rc = lw_side_vote(chart, plan, err);
done:
    lw_lips_free(&lips);
    lw_lines_free(&lines);
    return rc;
}

static int take_contour(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    const struct lw_plan_params *params = &plan->params;
    struct lw_lines lines = {0};
    size_t which;
    int rc = -1;

    if (lw_chart_contour(chart, params->depth_m, &lines, err))
        return -1;
    if (lines.n == 0)
        lw_fail(err,
                "the map has no edge at %.2f m (%.1f ft): its contours run from %.2f to %.2f m; "
                "give a depth between",
                params->depth_m, params->depth_m / LW_FT_M,
                chart->contours ? chart->contour[0].depth_m : NAN, chart->deepest_m);
    else if (pick(plan, &lines, &which, err) == 0)
        rc = lw_side_vote(chart, plan, err);
    lw_lines_free(&lines);
    return rc;
}

int lw_edge_take(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    return plan->params.lip ? take_lip(chart, plan, err) : take_contour(chart, plan, err);
}
