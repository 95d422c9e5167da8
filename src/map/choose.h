/* One water out of all that the files gave. */
#ifndef LIPWALK_SRC_MAP_CHOOSE_H
#define LIPWALK_SRC_MAP_CHOOSE_H

#include "gather.h"
#include "waters.h"

/* The water that the options pick, with all contours and shores in it; where there is none that
 * closes, the outline of the soundings. A shore that the contours have already is left out, and
 * said. `out` has no contours and no limit where only a grid was given. */
int lw_choose_water(struct lw_gather *gather, const struct lw_import_options *options,
                    struct lw_waters *out, struct lw_error *err);

#endif
