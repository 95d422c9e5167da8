#include "lipwalk/cmd/plan_params.h"

#include <math.h>

void lw_plan_params_from_conf(const struct lw_conf *conf, struct lw_plan_params *params)
{
    const double *set = conf->number;

    lw_plan_params_clear(params);
    params->hold_deep = true;
    params->standoff_m = set[LW_SET_STANDOFF];
    params->cast_m = set[LW_SET_CAST];
    params->fan_half_deg = set[LW_SET_FAN_HALF];
    params->fan_casts = (int)lround(set[LW_SET_FAN_CASTS]);
    params->spacing_m = set[LW_SET_SPACING];
    params->swath_m = set[LW_SET_SWATH];
    params->up_m = set[LW_SET_UP];
    params->past_m = set[LW_SET_PAST];
    params->min_depth_m = set[LW_SET_MIN_DEPTH];
    params->move_s = set[LW_SET_MOVE_TIME];
    params->cast_s = set[LW_SET_CAST_TIME];
    params->units = lw_conf_units(conf);
}
