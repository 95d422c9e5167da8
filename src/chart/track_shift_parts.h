/* The fit of a map's shift, between finding it and judging it. */
#ifndef LIPWALK_SRC_CHART_TRACK_SHIFT_PARTS_H
#define LIPWALK_SRC_CHART_TRACK_SHIFT_PARTS_H

#include <stddef.h>

#include "lipwalk/chart/track_places.h"

#define LW_SHIFT_PLACES_MIN 30
#define LW_SHIFT_REACH_M    30.0  /* a map is not searched farther off */
#define LW_SHIFT_HUBER      1.345 /* in sigmas; Huber 1981, "Robust Statistics" */
#define LW_SHIFT_SPIKE      4.0   /* in sigmas; beyond it a depth has no say */

struct lw_shift_place { /* of the fit as it stands */
    double left_m;      /* sounder - map - level; NaN: ashore, no say */
    double row[3];      /* d(map + level) / d(east, north, level) */
    double sigma_m;     /* of left_m, before `scale` */
};
struct lw_shift {
    const struct lw_chart *chart;
    const struct lw_track_place *p; /* p[n] */
    size_t n;
    struct lw_shift_place *place; /* place[n] */
    double *work;                 /* work[n] */
    double x[3];                  /* east, north, level */
    double scale;                 /* what sigma_m must be taken times, from the data */
};

/* The weight of a place: 1 / variance, less for those beyond Huber's bound, 0 for a spike. */
double lw_shift_weight(const struct lw_shift *shift, size_t i);
/* A shift is taken to be N(0, LW_SHIFT_REACH_M^2) beforehand: the term of that on the diagonal of
 * the normal equations. */
double lw_shift_bound(const struct lw_shift *shift);
/* Adds w row row^T. */
void lw_shift_add(double m[3][3], const double row[3], double w);
/* The inverse of a symmetric matrix; -1 when it has none. */
int lw_shift_invert(double m[3][3], double inverse[3][3]);

/* Fills sigma_m, worse_deg, rms and places of `out` from the fit that was found, and `clear`;
 * before_m[n]: sounder - map without a shift. -1 when too few places are left. */
int lw_shift_judge(const struct lw_shift *shift, const double *before_m, struct lw_shift_fit *out);

#endif
