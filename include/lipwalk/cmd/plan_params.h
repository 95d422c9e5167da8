/* Plan parameters from the settings: the same for `lipwalk plan` and the on-water screen. */
#ifndef LIPWALK_CMD_PLAN_PARAMS_H
#define LIPWALK_CMD_PLAN_PARAMS_H

#include "lipwalk/conf/settings.h"
#include "lipwalk/plan/plan.h"

/* Fills all that settings tell, hold line on the deep side; depth, place and ends stay NaN. */
void lw_plan_params_from_conf(const struct lw_conf *conf, struct lw_plan_params *params);

#endif
