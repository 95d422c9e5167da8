/* Lips: where a gently tapering flat turns into the drop.
 *
 * Found on the depth surface as ridges of profile curvature across the slope, told from mere bends
 * by the contrast of the slopes on top and on the break. Deep side to the left of increasing along.
 */
#ifndef LIPWALK_CHART_LIP_H
#define LIPWALK_CHART_LIP_H

#include "lipwalk/chart/chart.h"

struct lw_lip_point {
    struct lw_en at;
    double depth_m;     /* of the lip */
    double foot_m;      /* depth at the break's foot */
    double slope_top;   /* rise over run on the flat above, and ... */
    double slope_break; /* ... on the break */
    double sharpness_m; /* along the fall line, the way in which the slope goes from a fifth to four
                           fifths of the difference: small is sharp */
    double sigma_m;     /* one sigma of the lip's place across itself */
    double bend_per_m; /* 1 / radius of the line's bend in the plan: + where the lip juts toward the
                          deep side (a point), - where it draws back (an inside turn) */
    bool inferred;     /* the line only hugs one contour, or the data are too far apart to say */
};
enum lw_lip_kind {
    LW_LIP_SHORE, /* first break outward from the shore */
    LW_LIP_HUMP,  /* closes about shallower water off the shore: a hump or a bar */
    LW_LIP_OTHER  /* a second break, deeper down */
};
struct lw_lip {
    enum lw_lip_kind kind;
    bool closed;            /* the first point is repeated as the last */
    bool inferred;          /* most of it is */
    struct lw_lip_point *p; /* p[n], owned */
    size_t n;
    double length_m, depth_m, drop_m, slope_top, slope_break, sharpness_m, sigma_m; /* medians */
};
/* Places along a lip that gather fish. */
struct lw_lip_place {
    bool inside_turn;                    /* else a point */
    size_t lip;                          /* which one */
    struct lw_en at;                     /* where it bends most */
    double along_m;                      /* of its lip */
    double radius_m, turn_deg, length_m; /* least radius, whole turn, stretch over which it turns */
};
struct lw_lips {
    struct lw_lip *lip; /* lip[lips], longest first; owned */
    size_t lips;
    struct lw_lip_place *place; /* place[places], owned */
    size_t places;
};
/* Finds them all. Thread-safe: reads the chart only. */
int lw_lips_find(const struct lw_chart *chart, struct lw_lips *out, struct lw_error *err);
void lw_lips_free(struct lw_lips *lips);             /* frees and zeroes */
const char *lw_lip_kind_name(enum lw_lip_kind kind); /* "shore", "hump", "other" */

#endif
