/* Contours of a map in local metres, and which of them belong to one water. */
#ifndef LIPWALK_SRC_CHART_WATERS_H
#define LIPWALK_SRC_CHART_WATERS_H

#include "depth_field.h"
#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/import.h"
#include "raw.h"

struct lw_waters {
    struct lw_frame frame;
    struct lw_contour *contour; /* contour[contours], owned */
    size_t contours, cap;
    bool *hole; /* hole[i]: contour i is one of an area; until repeated rings are dropped; owned */
    size_t without_depth, above_water; /* features left out */
    size_t outside;                    /* lines left out that do not close and lie in no ring */
    double off_m;                      /* how far `at` lies outside the water chosen; 0 */
};
/* Lines are joined where they meet, rings that say what another says are dropped. The
 * frame lies about the middle of the features. */
int lw_waters_make(const struct lw_raw *raw, const double *value, const struct lw_depth_rule *rule,
                   struct lw_waters *out, struct lw_error *err);
/* Keeps the contours of the water that `at` lies on or nearest to; without `at` there must be one.
 * named: all contours bear one lake's name, and belong together. Moves the frame to the middle. */
int lw_waters_choose(struct lw_waters *waters, const struct lw_import_options *options, bool named,
                     struct lw_error *err);
void lw_waters_free(struct lw_waters *waters);

#endif
