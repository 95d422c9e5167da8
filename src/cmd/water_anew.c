/* The plan made anew on the water; casts that were made stay worked. */
#include <math.h>
#include <stdlib.h>

#include "anew.h"
#include "water.h"

/* The casts of the plan now worked that were made, into the job. */
static int keep_made(struct water *w, struct water_job *job)
{
    const struct lw_plan *plan = w->plan;

    free(job->made);
    job->mades = 0;
    job->made = calloc(plan->casts + 1, sizeof *job->made);
    if (!job->made)
        return -1;
    for (size_t i = 0; i < plan->casts; i++)
        if (lw_trip_cast_done(w->trip, plan->cast[i].station, plan->cast[i].order))
            job->made[job->mades++] = (struct lw_made){plan->cast[i].from, plan->cast[i].to,
                                                       plan->params.swath_m};
    return 0;
}

void water_anew(struct water *w, const struct lw_plan_params *params, int64_t now)
{
    struct water_job *job = &w->job;

    if (keep_made(w, job)) {
        water_say(w, LW_ROLE_WARN, "no memory to plan anew");
        return;
    }
    job->params = *params;
    job->params.units = water_units(w);
    job->old = w->plan;
    job->chart = w->chart;
    water_start_plan(w, WATER_JOB_ANEW, now);
}

void water_today(const struct water *w, struct lw_plan_params *params)
{
    params->wind_mps = w->guidance.wind_mps;
    params->wind_from_deg = w->guidance.wind_from_deg;
    params->water_c = w->guidance.water_c;
}

/* A standoff is kept for the plans to come. */
static void keep_standoff(struct water *w, double before_m, double standoff_m, int64_t now)
{
    if (standoff_m != before_m)
        water_set(w, "standoff", standoff_m, now);
}

void water_typed_anew(struct water *w, const char *text, int64_t now)
{
    struct lw_plan_params params;
    struct lw_error err;
    double before_m;

    if (water_busy(w))
        return;
    if (w->plan)
        params = w->plan->params;
    else
        water_plan_params(w, &params);
    before_m = params.standoff_m;
    params.depth_m += water_level(w); /* as people say it: today's */
    if (anew_read(text, water_units(w), &params, &err)) {
        water_say(w, LW_ROLE_WARN, "%s", err.text);
        return;
    }
    keep_standoff(w, before_m, params.standoff_m, now);
    if (!w->plan) {
        water_say(w, LW_ROLE_WARN, "there is no plan yet: e chooses an edge");
        return;
    }
    water_today(w, &params);
    water_anew(w, &params, now);
}
