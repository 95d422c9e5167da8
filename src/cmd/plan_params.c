#include "lipwalk/cmd/plan_params.h"

#include <math.h>

#include "lipwalk/rig/throw.h"

#define TOLD_WITH_KG (0.25 * 0.028349523125) /* the head that an angler's length is told with */

/* What both anglers reach in still air with the head that is on. */
static double reach(const double *set)
{
    double cast_m = set[LW_SET_CAST];

    if (set[LW_SET_CO_CAST] > 0)
        cast_m = fmin(cast_m, set[LW_SET_CO_CAST]);
    return cast_m * lw_throw_usual(set[LW_SET_HEAD]) / lw_throw_usual(TOLD_WITH_KG);
}

void lw_plan_params_from_conf(const struct lw_conf *conf, struct lw_plan_params *params)
{
    const double *set = conf->number;

    lw_plan_params_clear(params);
    params->hold_deep = true;
    params->standoff_m = set[LW_SET_STANDOFF];
    params->cast_m = reach(set);
    params->fan_half_deg = set[LW_SET_FAN_HALF];
    params->bow_min_deg = set[LW_SET_BOW_MIN];
    params->bow_max_deg = set[LW_SET_BOW_MAX];
    params->swath_m = set[LW_SET_SWATH];
    params->up_m = set[LW_SET_UP];
    params->past_m = set[LW_SET_PAST];
    params->min_depth_m = set[LW_SET_MIN_DEPTH];
    params->draft_m = set[LW_SET_DRAFT];
    params->clearance_m = set[LW_SET_CLEARANCE];
    params->berth_m = set[LW_SET_BERTH];
    params->move_s = set[LW_SET_MOVE_TIME];
    params->boat_mps = set[LW_SET_BOAT_SPEED];
    params->cast_s = set[LW_SET_CAST_TIME];
    params->retrieve_mps = set[LW_SET_RETRIEVE];
    params->coverage = set[LW_SET_COVERAGE];
    params->lip_worth = set[LW_SET_LIP_WORTH];
    params->head_kg = set[LW_SET_HEAD];
    params->fall_factor = set[LW_SET_FALL_FACTOR];
    params->above_m = set[LW_SET_ABOVE];
    params->units = lw_conf_units(conf);
}
