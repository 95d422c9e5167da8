#include "helm.h"

#include <math.h>
#include <string.h>

#define STEP_S    0.1 /* of the simulated water */
#define HOLD_GAIN 0.3 /* m/s for each metre from the station */
#define NEAR_M    3.0
#define ARRIVED_M 1.5

void helm_start(struct helm *helm, const struct lw_plan *plan, const struct lw_chart *chart,
                const struct helm_rules *rules, const struct lw_sim_rules *sim, struct lw_ll at)
{
    struct lw_filter_rules filter;
    double heading_deg = 0;

    memset(helm, 0, sizeof *helm);
    helm->plan = plan;
    helm->chart = chart;
    helm->rules = *rules;
    helm->way = 1;
    helm->speed_mps = NAN;
    if (plan && plan->stations > 0) {
        at = lw_frame_to_ll(&plan->frame, plan->station[0].at);
        heading_deg = lw_plan_offset(plan, plan->station[0].at).along_bearing_deg;
    }
    lw_readings_clear(&helm->readings);
    lw_filter_rules_default(&filter);
    lw_filter_clear(&helm->filter, &filter);
    lw_sim_start(&helm->sim, sim, at, heading_deg);
}

void helm_pass(struct helm *helm, double dt_s)
{
    while (dt_s > 1e-9) {
        double step_s = fmin(dt_s, STEP_S), steer_deg = helm->sim.heading_deg, drive_mps = 0;

        if (!isnan(helm->speed_mps))
            lw_sim_helm(&helm->sim, helm->course_deg, helm->speed_mps, &steer_deg, &drive_mps);
        lw_sim_step(&helm->sim, step_s, steer_deg, drive_mps);
        dt_s -= step_s;
    }
}

double helm_deviation(const struct lw_plan *plan, double off_m)
{
    return (plan->params.hold_deep ? off_m : -off_m) - plan->params.standoff_m;
}

struct lw_offset_at helm_true_offset(const struct helm *helm)
{
    return lw_plan_offset(helm->plan, lw_frame_to_en(&helm->plan->frame, lw_sim_true(&helm->sim)));
}

double helm_depth(const struct helm *helm)
{
    if (!helm->chart)
        return NAN;
    return lw_chart_depth(helm->chart,
                          lw_frame_to_en(&helm->chart->frame, lw_sim_true(&helm->sim)));
}

static void next_station(struct helm *helm)
{
    size_t last = helm->plan->stations - 1;

    if (helm->station == last)
        helm->way = -1;
    if (helm->station == 0)
        helm->way = 1;
    if (last > 0)
        helm->station = helm->way > 0 ? helm->station + 1 : helm->station - 1;
}

static double station_s(const struct helm *helm, const struct lw_station *station)
{
    double sum_s = 0;

    for (size_t k = 0; k < station->casts; k++)
        sum_s += helm->rules.cast_s +
                 helm->plan->cast[station->cast0 + k].length_m / helm->rules.retrieve_mps;
    return sum_s;
}

static void keep_schedule(struct helm *helm)
{
    const struct lw_station *station = &helm->plan->station[helm->station];

    if (!helm->holding && helm->guidance.station_m < ARRIVED_M) {
        helm->holding = true;
        helm->held++;
        helm->leave_s = helm->sim.time_s + station_s(helm, station);
    }
    if (helm->holding && helm->sim.time_s >= helm->leave_s) {
        helm->holding = false;
        next_station(helm);
    }
}

/* Orders from what the crew is told: along the hold line as the guidance steers, and to the station
 * itself once it is near. */
static void order(struct helm *helm)
{
    const struct lw_guidance *guidance = &helm->guidance;

    if (helm->holding || guidance->station_m < NEAR_M) {
        helm->course_deg = guidance->station_deg;
        helm->speed_mps = fmin(HOLD_GAIN * guidance->station_m, helm->rules.crawl_mps);
    } else {
        helm->course_deg = guidance->steer_deg;
        helm->speed_mps = helm->rules.crawl_mps;
    }
}

struct lw_fix helm_fix(struct helm *helm, int64_t utc_ms, int64_t mono_ms)
{
    struct lw_fix fix = lw_sim_fix(&helm->sim, utc_ms, mono_ms);
    struct lw_guide_in in = {
        .plan = helm->plan,
        .chart = helm->chart,
        .readings = &helm->readings,
        .now_utc_ms = utc_ms,
        .mono_ms = mono_ms,
        .tolerance_m = helm->rules.tolerance_m,
        .typed_wind_mps = NAN,
        .typed_wind_from_deg = NAN,
        .typed_water_c = NAN,
    };

    if (!helm->plan || !lw_filter_step(&helm->filter, &fix, &in.estimate))
        return fix; /* adrift, or a dropped fix: the orders stand */
    helm->readings.heading_deg = (struct lw_reading){helm->sim.heading_seen_deg, mono_ms};
    helm->readings.heading_source = LW_HEADING_COMPASS;
    helm->memory.station = helm->plan->stations > 0 ? helm->plan->station[helm->station].order : 0;
    lw_guide_step(&in, &helm->memory, &helm->guidance);
    if (helm->guidance.ok && helm->guidance.station > 0) {
        keep_schedule(helm);
        order(helm);
    }
    return fix;
}
