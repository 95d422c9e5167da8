#include "lipwalk/plan/passes.h"

#include <math.h>
#include <stdio.h>

#include "lipwalk/base/units.h"
#include "steps.h"

#define SCAN_MPS     (2 * LW_MPH_MPS)
#define FLAT_LEAST_M (5 * LW_FT_M)
#define FLAT_M       (6 * LW_FT_M)
#define FLAT_MOST_M  (7 * LW_FT_M)
#define ON_DEG       60.0 /* a wind nearer to square than this blows on the edge */
#define ON_SHARE     0.5
#define PLACES       41
#define HALF_M       5.0 /* the edge's direction is its mean over so much either way */

const char *lw_pass_name(enum lw_pass_kind kind)
{
    static const char *const name[LW_PASSES] = {"scan", "edge", "flat"};

    return (unsigned)kind < LW_PASSES ? name[kind] : "";
}

static bool wind_known(const struct lw_plan *plan)
{
    return plan->params.wind_mps > 0 && !isnan(plan->params.wind_from_deg);
}

double lw_pass_headwind(const struct lw_plan *plan)
{
    double sum = 0, all_m = 0;

    if (!wind_known(plan))
        return NAN;
    for (size_t i = 0; i < plan->hold.n; i++)
        for (size_t k = 0; k + 1 < plan->hold.line[i].n; k++) {
            struct lw_en a = plan->hold.line[i].p[k], b = plan->hold.line[i].p[k + 1];
            double run_m = lw_en_distance(a, b);
            double turn = lw_bearing_turn(lw_en_bearing(a, b), plan->params.wind_from_deg);

            sum += run_m * cos(turn * M_PI / 180);
            all_m += run_m;
        }
    return all_m > 0 ? sum / all_m : NAN;
}

double lw_pass_wind_on(const struct lw_plan *plan)
{
    double beat_m = lw_plan_beat_length(plan);
    int on = 0;

    if (!wind_known(plan))
        return NAN;
    for (int i = 0; i < PLACES; i++) {
        double along_m = plan->beat_from_m + beat_m * (i + 0.5) / PLACES;
        double deep_deg = lw_line_bearing(&plan->edge, along_m, HALF_M) +
                          (plan->deep_left ? -90 : 90);

        on += fabs(lw_bearing_turn(deep_deg, plan->params.wind_from_deg)) < ON_DEG;
    }
    return (double)on / PLACES;
}

static struct lw_pass scan(const struct lw_plan *plan)
{
    struct lw_pass pass = {
        .kind = LW_PASS_SCAN, .backward = !plan->params.backward, .depth_m = plan->params.depth_m};
    double length_m = 0;

    for (size_t i = 0; i < plan->hold.n; i++)
        length_m += lw_line_length(&plan->hold.line[i]);
    pass.minutes = length_m / SCAN_MPS / 60;
    snprintf(
        pass.words, sizeof pass.words,
        "run the hold line %s with the sounder on, no casts, and mark fish, weed and bottom: it "
        "ends where the edge begins",
        pass.backward ? "from its far end" : "from its start");
    return pass;
}

static struct lw_pass edge(const struct lw_plan *plan)
{
    struct lw_pass pass = {.kind = LW_PASS_EDGE,
                           .backward = plan->params.backward,
                           .depth_m = plan->params.depth_m,
                           .minutes = plan->minutes};
    double ahead = lw_pass_headwind(plan) * (pass.backward ? -1 : 1);
    const char *end = pass.backward ? "from the far end" : "from the start";

    if (isnan(ahead))
        snprintf(pass.words, sizeof pass.words, "the outside edge, %s (no wind is known)", end);
    else if (ahead > 0.1)
        snprintf(pass.words, sizeof pass.words,
                 "the outside edge, %s: into the wind, where the boat obeys at low speed", end);
    else if (ahead < -0.1)
        snprintf(pass.words, sizeof pass.words,
                 "the outside edge, %s: the wind pushes from astern, hold against it", end);
    else
        snprintf(pass.words, sizeof pass.words,
                 "the outside edge, %s: the wind is abeam, either way is alike", end);
    return pass;
}

size_t lw_passes(const struct lw_plan *plan, struct lw_pass *pass)
{
    size_t n = 0;

    pass[n++] = scan(plan);
    pass[n++] = edge(plan);
    if (plan->params.depth_m > FLAT_MOST_M && lw_pass_wind_on(plan) >= ON_SHARE) {
        char least[24], most[24];

        pass[n] = (struct lw_pass){.kind = LW_PASS_FLAT,
                                   .backward = plan->params.backward,
                                   .depth_m = FLAT_M,
                                   .minutes = NAN};
        snprintf(pass[n].words, sizeof pass[n].words,
                 "a second pass up on the flat, in %s to %s: the wind blows on it",
                 lw_plan_length(least, plan->params.units, FLAT_LEAST_M),
                 lw_plan_length(most, plan->params.units, FLAT_MOST_M));
        n++;
    }
    return n;
}
