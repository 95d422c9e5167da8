/* Plan parameters: none set, and whether they make sense. */
#include <math.h>

#include "steps.h"

void lw_plan_params_clear(struct lw_plan_params *params)
{
    *params = (struct lw_plan_params){.depth_m = NAN,
                                      .near = {NAN, NAN},
                                      .from_m = NAN,
                                      .to_m = NAN,
                                      .length_m = NAN,
                                      .standoff_m = NAN,
                                      .hold_deep = true,
                                      .cast_m = NAN,
                                      .fan_half_deg = NAN,
                                      .bow_min_deg = NAN,
                                      .bow_max_deg = NAN,
                                      .swath_m = NAN,
                                      .up_m = NAN,
                                      .past_m = NAN,
                                      .min_depth_m = NAN,
                                      .draft_m = NAN,
                                      .clearance_m = NAN,
                                      .berth_m = NAN,
                                      .move_s = NAN,
                                      .boat_mps = NAN,
                                      .cast_s = NAN,
                                      .retrieve_mps = NAN,
                                      .coverage = NAN,
                                      .minutes = NAN,
                                      .lip_worth = NAN,
                                      .head_kg = NAN,
                                      .fall_factor = NAN,
                                      .above_m = NAN,
                                      .wind_mps = NAN,
                                      .wind_from_deg = NAN,
                                      .water_c = NAN};
}

int lw_plan_params_check(const struct lw_plan_params *p, struct lw_error *err)
{
    const struct {
        const char *name, *unit;
        double value, min, max;
        bool open; /* may be unknown */
    } wanted[] = {{"standoff", "m", p->standoff_m, 0.1, 1000, false},
                  {"cast", "m", p->cast_m, 2, 500, false},
                  {"fan-half", "degrees", p->fan_half_deg, 0, 89, false},
                  {"bow-min", "degrees", p->bow_min_deg, 0, 90, false},
                  {"bow-max", "degrees", p->bow_max_deg, 90, 180, false},
                  {"swath", "m", p->swath_m, 0.1, 100, false},
                  {"up", "m", p->up_m, 0, 1000, false},
                  {"past", "m", p->past_m, 0, 1000, false},
                  {"min-depth", "m", p->min_depth_m, 0, 1000, false},
                  {"draft", "m", p->draft_m, 0, 100, false},
                  {"clearance", "m", p->clearance_m, 0, 1000, false},
                  {"berth", "m", p->berth_m, 0, 1000, false},
                  {"move-time", "s", p->move_s, 0, 86400, false},
                  {"boat-speed", "m/s", p->boat_mps, 0.01, 50, false},
                  {"cast-time", "s", p->cast_s, 0, 86400, false},
                  {"retrieve", "m/s", p->retrieve_mps, 0.01, 50, false},
                  {"coverage", "", p->coverage, 0.01, 1, false},
                  {"lip-worth", "", p->lip_worth, 1, 100, false},
                  {"fall-factor", "", p->fall_factor, 0.1, 10, false},
                  {"above", "m", p->above_m, 0, 1000, false},
                  {"minutes", "min", p->minutes, 1, 10000, true},
                  {"head", "kg", p->head_kg, 1e-4, 10, true},
                  {"wind", "m/s", p->wind_mps, 0, 100, true},
                  {"wind-from", "degrees", p->wind_from_deg, 0, 360, true},
                  {"water-temp", "degrees C", p->water_c, -5, 50, true}};

    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        if (isnan(wanted[i].value)) {
            if (wanted[i].open)
                continue;
            return lw_fail(err, "the plan's %s is not set; give --%s", wanted[i].name,
                           wanted[i].name);
        }
        if (wanted[i].value < wanted[i].min || wanted[i].value > wanted[i].max)
            return lw_fail(err, "the plan's %s is %g %s; give --%s from %g to %g %s",
                           wanted[i].name, wanted[i].value, wanted[i].unit, wanted[i].name,
                           wanted[i].min, wanted[i].max, wanted[i].unit);
    }
    if (!isnan(p->length_m) && !(p->length_m >= 1))
        return lw_fail(err, "a beat of %g m is shorter than 1 m; give a longer one", p->length_m);
    return 0;
}
