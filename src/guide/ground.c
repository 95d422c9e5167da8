/* What lies on the bottom: cover where the boat is and where the cast lands, and hazards near by.
 */
#include <limits.h>
#include <math.h>

#include "parts.h"

#define COVER_NEAR_M     5.0  /* a rock of the map without an extent is fished from so near */
#define HAZARD_NEAR_M    30.0 /* told when so near, */
#define HAZARD_AHEAD_S   15.0 /* or to be reached so soon: time to look up and turn, */
#define HAZARD_AHEAD_DEG 60.0 /* when no farther than this off the course: boats swing */

static const struct lw_cover *cover_at(const struct lw_chart *chart, struct lw_en at)
{
    size_t which;

    if (lw_features_cover_at(&chart->features, at, COVER_NEAR_M, &which) < 0)
        return NULL;
    return &chart->features.cover[which];
}

/* Whether the boat gets there soon, were it to hold its course; a course unknown may be any. */
static bool soon(const struct lw_guidance *g, double dist_m, double bearing_deg)
{
    if (!(dist_m <= g->sog_mps * HAZARD_AHEAD_S)) /* not with an unknown speed */
        return false;
    return isnan(g->cog_deg) ||
           cos((bearing_deg - g->cog_deg) * M_PI / 180) >= cos(HAZARD_AHEAD_DEG * M_PI / 180);
}

/* Of those that are told: one that the boat can touch before one with water enough over it, one
 * ahead before one abeam or astern, then the nearer. */
static void near_hazard(const struct lw_guide_in *in, struct lw_en boat, struct lw_guidance *out)
{
    const struct lw_features *features = &in->chart->features;
    int best = INT_MAX;

    for (size_t i = 0; i < features->hazards; i++) {
        const struct lw_hazard *hazard = &features->hazard[i];
        struct lw_en at;
        double dist_m = lw_feature_distance(&hazard->line, boat, &at);
        double bearing_deg = dist_m > 0 ? lw_en_bearing(boat, at) : NAN;
        bool ahead = dist_m <= 0 || soon(out, dist_m, bearing_deg);
        int rank = (hazard->depth_m + in->level_m > LW_HAZARD_DEEP_M ? 2 : 0) + (ahead ? 0 : 1);

        if (!(ahead || dist_m <= HAZARD_NEAR_M) || rank > best ||
            (rank == best && dist_m >= out->hazard_m))
            continue;
        best = rank;
        out->hazard = hazard;
        out->hazard_m = dist_m;
        out->hazard_deg = bearing_deg;
    }
    if (!out->hazard)
        return;
    out->hazard_depth_m = out->hazard->depth_m + in->level_m;
    if (out->heading_source != LW_HEADING_NONE && !isnan(out->hazard_deg))
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
