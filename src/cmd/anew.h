/* "Plan anew": what a person types to change a plan on the water. */
#ifndef LIPWALK_CMD_ANEW_H
#define LIPWALK_CMD_ANEW_H

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/plan/plan.h"

/* Reads "off 30ft, depth 8ft, cast 70ft, side shallow, back, 40min" (any of them, in any order,
 * commas or blanks between; nothing at all is good: the same again for what is left) into params.
 * -1 with a sentence, params untouched. */
int anew_read(const char *text, enum lw_units units, struct lw_plan_params *params,
              struct lw_error *err);

#endif
