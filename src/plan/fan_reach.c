/* How far a cast goes today, and what ends it sooner. */
#include <math.h>

#include "fan_parts.h"
#include "lipwalk/plan/care.h"
#include "lipwalk/rig/throw.h"

#define STEP_M   0.5
#define FINE_M   0.25
#define HAZARD_M 1.5 /* a line over a hazard nearer than this snags: common practice, no source */

double fan_full(const struct lw_plan_params *params, double bearing_deg)
{
    return lw_throw_reach(params->cast_m, bearing_deg, params->wind_mps, params->wind_from_deg);
}

double fan_seconds(const struct lw_plan_params *params, double length_m)
{
    return params->cast_s + length_m / params->retrieve_mps;
}

static bool barred(const struct fan_limits *limits, struct lw_en at)
{
    for (size_t i = 0; i < limits->hazards; i++)
        if (lw_feature_distance(&limits->chart->features.hazard[limits->hazard[i]].line, at, NULL) <
            HAZARD_M)
            return true;
    return limits->closed && lw_care_closed(limits->chart, at, true) >= 0;
}

void fan_clear(struct fan_limits *limits, struct lw_en at, double full_m)
{
    const struct lw_grid *g;
    int col0, row0, col1, row1;
    bool clear = true;

    limits->clear = !limits->chart;
    if (!limits->chart || limits->hazards || limits->closed)
        return;
    g = &limits->chart->grid;
    full_m += g->cell_m;
    if (!lw_grid_cell(g, (struct lw_en){at.e_m - full_m, at.n_m - full_m}, &col0, &row0) ||
        !lw_grid_cell(g, (struct lw_en){at.e_m + full_m, at.n_m + full_m}, &col1, &row1))
        return;
    for (int row = row0; row <= row1; row++) {
        const float *depth_m = g->depth_m + (size_t)row * (size_t)g->nx;

        for (int col = col0; col <= col1; col++) /* NaN is not deep enough either */
            clear &= (double)depth_m[col] >= limits->least_m;
    }
    limits->clear = clear;
}

double fan_reach(const struct fan_limits *limits, struct lw_en at, double bearing_deg,
                 double full_m)
{
    struct lw_en to = lw_en_step(at, bearing_deg, full_m);
    double reach_m = 0, out_m = 0, step_m = STEP_M;

    if (limits->clear)
        return full_m;
    while (out_m < full_m) {
        double next_m = fmin(out_m + step_m, full_m);
        struct lw_en there = lw_en_between(at, to, next_m / full_m);
        double depth_m = lw_chart_depth(limits->chart, there);

        if (isnan(depth_m) || barred(limits, there)) {
            if (step_m <= FINE_M)
                break;
            step_m = FINE_M; /* once more, closer up to it */
            continue;
        }
        out_m = next_m;
        if (depth_m >= limits->least_m)
            reach_m = out_m;
    }
    return reach_m;
}
