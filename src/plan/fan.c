/* Stations and their fans, from the weave of casts that covers the belt in the fewest minutes. */
#include <math.h>
#include <stdlib.h>

#include "cast_facts.h"
#include "fan_parts.h"

#define ROUNDS_PER_M 2.5 /* of beat: improvement flattens out there */
#define SEED         1

static void free_work(struct lw_fan_work *work)
{
    if (!work)
        return;
    weave_free(work->weave);
    cells_close(&work->cells);
    free(work->spot);
    free(work->worth);
    free(work->worked);
    free(work->at_m);
    free(work->cast0);
    free(work->cell0);
    free(work->cell);
    free(work->cast_s);
    free(work->bearing_deg);
    free(work->length_m);
    free(work->cut);
    free(work);
}

static size_t spot_of(const struct lw_fan_work *work, uint32_t cast)
{
    size_t low = 0, high = work->spots;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        if (work->cast0[middle] <= cast)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* One cast to the end of plan->cast. */
static void add_cast(struct lw_plan *plan, const struct lw_fan_work *work, uint32_t number,
                     struct lw_station *station)
{
    const struct lw_fall *fall = NULL;
    struct lw_fall usual;
    struct lw_cast *cast = &plan->cast[plan->casts++];

    *cast = (struct lw_cast){.station = station->order,
                             .from = station->at,
                             .bearing_deg = lw_bearing_wrap((double)work->bearing_deg[number]),
                             .length_m = (double)work->length_m[number]};
    cast->order = (int)++station->casts;
    cast->to = lw_en_step(cast->from, cast->bearing_deg, cast->length_m);
    if (!isnan(plan->params.head_kg)) {
        usual = lw_fall_of(plan->params.head_kg, plan->params.water_c, plan->params.fall_factor);
        fall = &usual;
    }
    lw_cast_facts(work->chart, plan, fall, cast);
}

/* Stations and casts anew from what the weave chose, in the order that they are worked: a fan is
 * swept so that it ends toward where the boat goes. */
static int take(struct lw_plan *plan, struct lw_fan_work *work, int *cut, struct lw_error *err)
{
    uint32_t *chosen = calloc(work->c.casts + 1, sizeof *chosen);
    struct lw_station *station = calloc(work->spots + 1, sizeof *station);
    struct lw_cast *cast = NULL;
    size_t n = chosen ? weave_chosen(work->weave, chosen) : 0;

    cast = calloc(n + 1, sizeof *cast);
    if (!chosen || !station || !cast) {
        free(chosen);
        free(station);
        free(cast);
        return lw_fail(err, "memory ran out while making %zu casts", n);
    }
    free(plan->station);
    free(plan->cast);
    plan->station = station;
    plan->cast = cast;
    plan->stations = plan->casts = 0;
    *cut = 0;
    for (size_t i = 0; i < n;) {
        size_t at = plan->params.backward ? n - 1 - i : i, count = 0;
        size_t s = spot_of(work, chosen[at]);
        const struct fan_spot *spot = &work->spot[s];
        struct lw_station *here = &plan->station[plan->stations++];
        bool rising; /* swept toward growing bearings */

        while (i + count < n &&
               spot_of(work, chosen[plan->params.backward ? n - 1 - i - count : i + count]) == s)
            count++;
        *here = (struct lw_station){.at = spot->at,
                                    .along_m = spot->along_m,
                                    .order = (int)plan->stations,
                                    .cast0 = plan->casts};
        rising = lw_bearing_turn(spot->square_deg, spot->bow_deg) >= 0;
        for (size_t k = 0; k < count; k++) {
            size_t low = plan->params.backward ? n - i - count : i; /* of its casts */
            uint32_t number = chosen[rising ? low + k : low + count - 1 - k];

            *cut += work->cut[number];
            add_cast(plan, work, number, here);
        }
        i += count;
    }
    plan->minutes = weave_seconds(work->weave) / 60;
    free(chosen);
    return 0;
}

/* The share of the belt that all casts together reach. */
static double reachable(const struct lw_fan_work *work)
{
    uint8_t *seen = calloc(work->c.cells + 1, 1);
    size_t n = 0;

    if (!seen)
        return NAN;
    for (size_t i = 0; i < work->cell0[work->c.casts]; i++)
        seen[work->cell[i]] = 1;
    for (size_t i = 0; i < work->c.cells; i++)
        n += seen[i] || (work->worked && work->worked[i]);
    free(seen);
    return work->c.cells ? (double)n / (double)work->c.cells : NAN;
}

int lw_fan_make(const struct lw_chart *chart, struct lw_plan *plan, struct lw_error *err)
{
    const struct lw_plan_params *params = &plan->params;
    struct weave_want want = {NAN, NAN};
    struct lw_fan_work *work = plan->work = calloc(1, sizeof *work);
    int cut = 0;

    if (!work)
        return lw_fail(err, "memory ran out while making fans");
    work->chart = chart;
    work->warnings = plan->warnings;
    if (fan_spots(plan, work, err) || fan_gather(plan, work, err))
        return -1;
    plan->reachable = reachable(work);
    if (work->c.casts == 0 && !(plan->reachable >= params->coverage))
        return lw_fail(
            err,
            "no cast of %s from the hold line reaches the belt over water; give a longer "
            "cast, a smaller standoff or another side",
            lw_plan_words(params, params->cast_m));
    if (isnan(params->minutes)) /* of what can be reached: cells are worth 1 each here */
        want.worth = params->coverage * plan->reachable * (double)work->c.cells;
    else
        want.seconds = 60 * params->minutes;
    work->weave = weave_new(&work->c, &want, SEED);
    if (!work->weave || take(plan, work, &cut, err))
        return work->weave ? -1 : lw_fail(err, "memory ran out while weaving casts");
    fan_say(plan, work, cut);
    return 0;
}

size_t lw_plan_rounds(const struct lw_plan *plan)
{
    return (size_t)ceil(ROUNDS_PER_M * lw_plan_beat_length(plan));
}

int lw_plan_improve(struct lw_plan *plan, size_t rounds, struct lw_error *err)
{
    struct lw_fan_work *work = plan->work;
    int cut = 0;

    if (!work)
        return 0;
    weave_improve(work->weave, rounds);
    if (take(plan, work, &cut, err) || lw_belt_cover(plan, err))
        return -1;
    plan->warnings = work->warnings;
    fan_say(plan, work, cut);
    return 0;
}

void lw_plan_settle(struct lw_plan *plan)
{
    free_work(plan->work);
    plan->work = NULL;
}
