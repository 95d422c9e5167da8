/* One line of `lipwalk cue`: the guidance as one JSON object in SI units, unknown as null. */
#ifndef LIPWALK_CMD_CUE_LINE_H
#define LIPWALK_CMD_CUE_LINE_H

#include <jansson.h>

#include "lipwalk/guide/guide.h"

/* utc_ms 0: unknown. dev_m is off_m minus the standoff, signed as off is (+ on the deep side), and
 * off_rate_mps the rate of off_m. NULL when memory ran out; else the caller's to decref. */
json_t *lw_cue_line(const struct lw_plan *plan, const struct lw_guidance *guidance, int64_t utc_ms);

#endif
