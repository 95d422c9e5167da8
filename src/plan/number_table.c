#include "number_table.h"

#define FAR_M  1e6 /* no lake is longer */
#define LONG_S 1e6

#define PARAM(member) offsetof(struct lw_plan, params.member)
#define PLAN(member)  offsetof(struct lw_plan, member)

const struct lw_plan_number lw_plan_number[LW_PLAN_NUMBERS] = {
    {"beat_from_m", PLAN(beat_from_m), false, 0, FAR_M},
    {"beat_to_m", PLAN(beat_to_m), false, 0, 2 * FAR_M},
    {"coverage", PLAN(coverage), true, 0, 1},
    {"reachable", PLAN(reachable), true, 0, 1},
    {"worth", PLAN(worth), true, 0, 1},
    {"minutes", PLAN(minutes), false, 0, FAR_M},
    {"edge_sigma_m", PLAN(edge_sigma_m), true, 0, FAR_M},
    {"depth_m", PARAM(depth_m), true, -FAR_M, FAR_M},
    {"near_lat_deg", PARAM(near.lat_deg), true, -90, 90},
    {"near_lon_deg", PARAM(near.lon_deg), true, -180, 180},
    {"from_m", PARAM(from_m), true, -FAR_M, FAR_M},
    {"to_m", PARAM(to_m), true, -FAR_M, 2 * FAR_M},
    {"length_m", PARAM(length_m), true, 0, FAR_M},
    {"cast_m", PARAM(cast_m), false, 0, FAR_M},
    {"fan_half_deg", PARAM(fan_half_deg), false, 0, 90},
    {"bow_min_deg", PARAM(bow_min_deg), false, 0, 180},
    {"bow_max_deg", PARAM(bow_max_deg), false, 0, 180},
    {"swath_m", PARAM(swath_m), false, 0, FAR_M},
    {"up_m", PARAM(up_m), false, 0, FAR_M},
    {"past_m", PARAM(past_m), false, 0, FAR_M},
    {"min_depth_m", PARAM(min_depth_m), false, 0, FAR_M},
    {"draft_m", PARAM(draft_m), false, 0, FAR_M},
    {"clearance_m", PARAM(clearance_m), false, 0, FAR_M},
    {"berth_m", PARAM(berth_m), false, 0, FAR_M},
    {"move_s", PARAM(move_s), false, 0, LONG_S},
    {"boat_mps", PARAM(boat_mps), false, 1e-3, FAR_M},
    {"cast_s", PARAM(cast_s), false, 0, LONG_S},
    {"retrieve_mps", PARAM(retrieve_mps), false, 1e-3, FAR_M},
    {"wanted_coverage", PARAM(coverage), false, 0, 1},
    {"wanted_minutes", PARAM(minutes), true, 0, FAR_M},
    {"lip_worth", PARAM(lip_worth), false, 1, FAR_M},
    {"head_kg", PARAM(head_kg), true, 0, FAR_M},
    {"fall_factor", PARAM(fall_factor), false, 0, FAR_M},
    {"above_m", PARAM(above_m), false, 0, FAR_M},
    {"wind_mps", PARAM(wind_mps), true, 0, FAR_M},
    {"wind_from_deg", PARAM(wind_from_deg), true, 0, 360},
    {"water_c", PARAM(water_c), true, -FAR_M, FAR_M},
};
