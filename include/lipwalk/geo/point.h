/* Positions, and the two frames they live in.
 *
 * lat/lon (WGS 84, degrees) and local east/north metres are different types on purpose. A frame is
 * the azimuthal equidistant projection of the ellipsoid about its origin, computed from the
 * geodesic itself (PROJ's geodesic.h, after Karney 2013): a point's east/north is its geodesic
 * distance and true bearing from the origin. Pair distances are right to 2 cm over 20 km.
 *
 * Bearings are true, clockwise from north, 0 <= b < 360. */
#ifndef LIPWALK_GEO_POINT_H
#define LIPWALK_GEO_POINT_H

#include <stdbool.h>

struct lw_ll {
    double lat_deg, lon_deg;
};
struct lw_en {
    double e_m, n_m;
};
struct lw_frame {
    struct lw_ll origin;
};

/* East and north (m) of a place; NaN in, NaN out. */
struct lw_en lw_frame_to_en(const struct lw_frame *frame, struct lw_ll at);
/* The place of an east and north (m); NaN in, NaN out. */
struct lw_ll lw_frame_to_ll(const struct lw_frame *frame, struct lw_en at);

/* Geodesic on WGS 84: distance in metres (1 mm), true bearing at `from` toward `to`. */
void lw_geodesic(struct lw_ll from, struct lw_ll to, double *dist_m, double *bearing_deg);
/* The ground distance of two places near each other, by the radii of curvature at the first: good
 * to 0.1 % over 10 km, and quick. */
double lw_ground_m(struct lw_ll from, struct lw_ll to);
/* The point dist_m from `from` on the true bearing. */
struct lw_ll lw_geodesic_to(struct lw_ll from, double bearing_deg, double dist_m);

bool lw_ll_known(struct lw_ll at); /* both finite, latitude within +-90, longitude within +-180 */

/* Metres between two places of one frame. */
double lw_en_distance(struct lw_en a, struct lw_en b);
/* Bearing (degrees) from one place of a frame to another; 0 for the same place. */
double lw_en_bearing(struct lw_en from, struct lw_en to);
/* The point that lies the share t of the way from a to b. */
struct lw_en lw_en_between(struct lw_en a, struct lw_en b, double t);
/* The place dist_m (m) on the bearing. */
struct lw_en lw_en_step(struct lw_en from, double bearing_deg, double dist_m);

double lw_bearing_wrap(double deg);                     /* to 0 <= b < 360; NaN stays NaN */
double lw_bearing_turn(double from_deg, double to_deg); /* to -180 < t <= 180, + clockwise */
/* The clock direction (1..12) of a true bearing seen from a bow that points at heading_deg. */
int lw_bearing_clock(double heading_deg, double bearing_deg);

#endif
