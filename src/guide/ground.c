/* What lies on the bottom: cover where the boat is and where the cast lands, and hazards near by.
 */
#include <math.h>

#include "parts.h"

#define COVER_NEAR_M   5.0  /* a rock of the map without an extent is fished from so near */
#define HAZARD_NEAR_M  30.0 /* said when so near, */
#define HAZARD_AHEAD_S 15.0 /* or to be reached so soon: time to look up and turn */

static const struct lw_cover *cover_at(const struct lw_chart *chart, struct lw_en at)
{
    size_t which;

    if (lw_features_cover_at(&chart->features, at, COVER_NEAR_M, &which) < 0)
        return NULL;
    return &chart->features.cover[which];
}

static void near_hazard(const struct lw_guide_in *in, struct lw_en boat, struct lw_guidance *out)
{
    double dist_m, near_m = HAZARD_NEAR_M;
    int which = lw_features_nearest_hazard(&in->chart->features, boat, &dist_m);
    const struct lw_hazard *hazard;
    struct lw_en at;

    if (out->sog_mps * HAZARD_AHEAD_S > near_m) /* not with an unknown speed */
        near_m = out->sog_mps * HAZARD_AHEAD_S;
    if (which < 0 || !(dist_m <= near_m))
        return;
    hazard = &in->chart->features.hazard[which];
    out->hazard = hazard;
    out->hazard_m = dist_m;
    out->hazard_depth_m = hazard->depth_m + in->level_m;
    if (dist_m <= 0)
        return;
    at = hazard->line.n > 1 ? lw_line_nearest(&hazard->line, boat).at : hazard->line.p[0];
    out->hazard_deg = lw_en_bearing(boat, at);
    if (out->heading_source != LW_HEADING_NONE)
        out->hazard_clock = lw_bearing_clock(out->heading_deg, out->hazard_deg);
}

void guide_ground(const struct lw_guide_in *in, struct lw_guidance *out)
{
    const struct lw_cast *cast;
    struct lw_en boat;

    if (!in->chart || in->chart->features.covers + in->chart->features.hazards == 0)
        return;
    boat = lw_frame_to_en(&in->chart->frame, out->caster);
    boat.e_m += in->shift.e_m;
    boat.n_m += in->shift.n_m;
    out->cover = cover_at(in->chart, boat);
    near_hazard(in, boat, out);
    cast = in->plan ? guide_cast(in->plan, out->station, out->cast) : NULL;
    if (cast) /* the plan is on the map already: no shift */
        out->cast_cover = cover_at(
            in->chart,
            lw_frame_to_en(&in->chart->frame, lw_frame_to_ll(&in->plan->frame, cast->to)));
}
