/* The bottom along one fall line through a place on a lip. */
#ifndef LIPWALK_SRC_CHART_LIP_PROFILE_H
#define LIPWALK_SRC_CHART_LIP_PROFILE_H

#include "lip_parts.h"

#define LW_LIP_SIDE 160 /* samples up and down, at most */

struct lw_lip_profile {
    int up, down; /* samples on either side of the place itself */
    double step_m;
    bool shore;                          /* the way up ended at the shore */
    double depth_m[2 * LW_LIP_SIDE + 1]; /* depth_m[up] at the place, from up to down */
    struct lw_en at[2 * LW_LIP_SIDE + 1];
};
/* Of the surface itself, along the fall line of the smoothed one. Ends where the way up or down
 * ends: at the shore, on a top, in a hole. */
void lw_lip_profile_of(const struct lw_chart *chart, const struct lw_lip_field *field,
                       double step_m, struct lw_en at, struct lw_lip_profile *out);
/* The depth s_m past the place (clamped to the profile). */
double lw_lip_profile_depth(const struct lw_lip_profile *p, double s_m);
struct lw_en lw_lip_profile_at(const struct lw_lip_profile *p, double s_m);

/* What the spacing of mapped contours along the profile says of a bend: the line through the two
 * crossings above meets the line through the two below. */
struct lw_lip_stick {
    double s_m;                 /* where they meet, past the place; NaN: nothing can be said */
    double sigma_m;             /* one sigma of that along the fall line */
    double depth_m, top, steep; /* of the meeting point; slopes above and below */
    double room_m;              /* the way between the two mapped contours about it */
    bool guessed;               /* a contour is missing above or below */
};
struct lw_lip_stick lw_lip_stick_of(const struct lw_lip_profile *p,
                                    const struct lw_lip_scale *scale);

#endif
