#include "lipwalk/plan/care.h"

#include <math.h>

/* With so much water over it beyond the draft no hull touches a hazard: common practice, no source.
 */
#define TO_SPARE_M 1.0

int lw_care_closed(const struct lw_chart *chart, struct lw_en at, bool fishing)
{
    const struct lw_features *f = &chart->features;
    int in = -1;

    for (size_t i = 0; i < f->closeds; i++) {
        const struct lw_closed *c = &f->closed[i];

        if (!c->hole) {
            if (in >= 0)
                return in; /* inside it, and in none of its holes */
            if ((fishing ? c->fishing : c->boating) && lw_line_contains(&c->ring, at))
                in = (int)i;
        } else if (in >= 0 && lw_line_contains(&c->ring, at)) {
            in = -1;
        }
    }
    return in;
}

bool lw_care_touches(const struct lw_hazard *hazard, const struct lw_care *care)
{
    return !(hazard->depth_m > care->draft_m + TO_SPARE_M); /* one of unknown depth does */
}

enum lw_care_why lw_care_at(const struct lw_chart *chart, const struct lw_care *care,
                            double least_m, struct lw_en at, size_t *which)
{
    double depth_m = lw_chart_depth(chart, at);
    int closed;

    if (isnan(depth_m))
        return LW_CARE_LAND;
    closed = chart->features.closeds ? lw_care_closed(chart, at, false) : -1;
    if (closed >= 0) {
        if (which)
            *which = (size_t)closed;
        return LW_CARE_CLOSED;
    }
    for (size_t i = 0; i < chart->features.hazards; i++) {
        const struct lw_hazard *hazard = &chart->features.hazard[i];

        if (lw_care_touches(hazard, care) &&
            lw_feature_distance(&hazard->line, at, NULL) < care->berth_m) {
            if (which)
                *which = i;
            return LW_CARE_HAZARD;
        }
    }
    return depth_m >= least_m ? LW_CARE_FREE : LW_CARE_SHALLOW;
}
