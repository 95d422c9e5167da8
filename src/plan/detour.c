/* The ways round the gaps of the hold line, and beats in closed water. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/geo/water.h"
#include "steps.h"

#define SNAP_M 25.0 /* the hold line may be nearer to a shoal than the boat's clearance */

struct lw_care lw_plan_care(const struct lw_plan_params *params)
{
    return (struct lw_care){
        .draft_m = params->draft_m, .clearance_m = params->clearance_m, .berth_m = params->berth_m};
}

static void say_way(const struct lw_plan *plan, struct lw_detour *d, bool known)
{
    size_t n = strlen(d->words);

    if (known)
        snprintf(d->words + n, sizeof d->words - n, "; %s by water round it",
                 lw_plan_words(&plan->params, d->length_m));
    else
        snprintf(d->words + n, sizeof d->words - n, "; no way by water is known with %s of draft",
                 lw_plan_words(&plan->params, plan->params.draft_m));
}

/* From the end of a part to the start of the next: out to water that the boat may be in, over it,
 * and in again. */
static int find_way(const struct lw_water *water, struct lw_plan *plan, struct lw_detour *d,
                    struct lw_error *err)
{
    const struct lw_line *a = &plan->hold.line[d->after - 1], *b = a + 1;
    int rc = lw_water_way(water, a->p[a->n - 1], b->p[0], SNAP_M, &d->way, &d->length_m, err);

    if (rc < 0)
        return -1;
    say_way(plan, d, rc == 0);
    return 0;
}

int lw_detours_find(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    struct lw_care care = lw_plan_care(&plan->params);
    struct lw_water water = {0};
    int rc = 0;

    for (size_t i = 0; chart && i < plan->detours && rc == 0; i++) {
        if (plan->detour[i].after == 0)
            continue;
        if (!water.open && lw_care_water(chart, &care, &water, err))
            return -1;
        rc = find_way(&water, plan, &plan->detour[i], err);
    }
    lw_water_free(&water);
    return rc;
}

int lw_care_check(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    size_t all = 0, closed = 0;
    int area = -1;
    const char *words;

    if (!chart || chart->features.closeds == 0)
        return 0;
    for (size_t i = 0; i < plan->belt.n; i++)
        for (size_t k = 0; k < plan->belt.line[i].n; k++, all++) {
            int in = lw_care_closed(chart, plan->belt.line[i].p[k], true);

            closed += in >= 0;
            area = in >= 0 ? in : area;
        }
    if (closed == 0)
        return 0;
    words = chart->features.closed[area].words;
    if (closed == all)
        return lw_fail(err,
                       "this beat lies in water closed to fishing%s%s; local regulations decide: "
                       "choose another",
                       words[0] ? ", " : "", words);
    lw_plan_warn(plan,
                 "part of the belt is closed to fishing%s%s: no cast goes there; local "
                 "regulations decide",
                 words[0] ? ", " : "", words);
    return 0;
}
