/* How a jig falls, and the count-down to a height over the bottom.
 *
 * Fall: quadratic drag with added mass, v = vt tanh(t / T), z = vt T ln cosh(t / T). The body is a
 * lead head with a soft plastic; its drag areas are a stated model, common practice, no source, and
 * one factor from a timed drop sets it right for a given lure and line. */
#ifndef LIPWALK_RIG_FALL_H
#define LIPWALK_RIG_FALL_H

#include "lipwalk/base/error.h"

struct lw_fall {
    double terminal_mps; /* vt */
    double settle_s;     /* T: the time scale of getting there */
};
/* `head_kg` > 0, `water_c` NaN: 15. `factor` multiplies the terminal speed (1: not calibrated). */
struct lw_fall lw_fall_of(double head_kg, double water_c, double factor);
double lw_fall_depth(const struct lw_fall *fall, double after_s);   /* metres fallen */
double lw_fall_seconds(const struct lw_fall *fall, double depth_m); /* to have fallen; 0 for <= 0 */
/* The factor that a timed drop gives: the jig took `took_s` to `depth_m`. -1 with a sentence when
 * the two are no drop (not above 0, or a factor outside .2 to 3). */
int lw_fall_factor(double head_kg, double water_c, double depth_m, double took_s, double *factor,
                   struct lw_error *err);

#endif
