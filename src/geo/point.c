#include "lipwalk/geo/point.h"

#include <geodesic.h>
#include <math.h>
#include <stddef.h>

#define WGS84_A_M 6378137.0
#define WGS84_F   (1 / 298.257223563)
#define WGS84_E2  6.69437999014e-3 /* NIMA TR8350.2, from memory */
#define DEG       (M_PI / 180)

/* Filling the struct costs a tenth of one geodesic, so nothing is kept between calls. */
static struct geod_geodesic wgs84(void)
{
    struct geod_geodesic g;

    geod_init(&g, WGS84_A_M, WGS84_F);
    return g;
}

void lw_geodesic(struct lw_ll from, struct lw_ll to, double *dist_m, double *bearing_deg)
{
    struct geod_geodesic g = wgs84();
    double azimuth_deg;

    geod_inverse(&g, from.lat_deg, from.lon_deg, to.lat_deg, to.lon_deg, dist_m, &azimuth_deg,
                 NULL);
    if (bearing_deg)
        *bearing_deg = lw_bearing_wrap(azimuth_deg);
}

double lw_ground_m(struct lw_ll from, struct lw_ll to)
{
    double lat = from.lat_deg * DEG, s = sin(lat), w = 1 - WGS84_E2 * s * s;
    double across = WGS84_A_M / sqrt(w), north = across * (1 - WGS84_E2) / w;
    double dn = (to.lat_deg - from.lat_deg) * DEG * north;
    double de = remainder(to.lon_deg - from.lon_deg, 360) * DEG * across * cos(lat);

    return sqrt(dn * dn + de * de);
}

struct lw_ll lw_geodesic_to(struct lw_ll from, double bearing_deg, double dist_m)
{
    struct geod_geodesic g = wgs84();
    struct lw_ll to;

    geod_direct(&g, from.lat_deg, from.lon_deg, bearing_deg, dist_m, &to.lat_deg, &to.lon_deg,
                NULL);
    return to;
}

struct lw_en lw_frame_to_en(const struct lw_frame *frame, struct lw_ll at)
{
    double dist_m, bearing_deg;

    lw_geodesic(frame->origin, at, &dist_m, &bearing_deg);
    return lw_en_step((struct lw_en){0, 0}, bearing_deg, dist_m);
}

struct lw_ll lw_frame_to_ll(const struct lw_frame *frame, struct lw_en at)
{
    return lw_geodesic_to(frame->origin, atan2(at.e_m, at.n_m) / DEG, hypot(at.e_m, at.n_m));
}

bool lw_ll_known(struct lw_ll at)
{
    return fabs(at.lat_deg) <= 90 && fabs(at.lon_deg) <= 180; /* false for NaN */
}

double lw_en_distance(struct lw_en a, struct lw_en b)
{
    return hypot(b.e_m - a.e_m, b.n_m - a.n_m);
}

double lw_en_bearing(struct lw_en from, struct lw_en to)
{
    return lw_bearing_wrap(atan2(to.e_m - from.e_m, to.n_m - from.n_m) / DEG);
}

struct lw_en lw_en_between(struct lw_en a, struct lw_en b, double t)
{
    return (struct lw_en){a.e_m + t * (b.e_m - a.e_m), a.n_m + t * (b.n_m - a.n_m)};
}

struct lw_en lw_en_step(struct lw_en from, double bearing_deg, double dist_m)
{
    return (struct lw_en){from.e_m + dist_m * sin(bearing_deg * DEG),
                          from.n_m + dist_m * cos(bearing_deg * DEG)};
}

double lw_bearing_wrap(double deg)
{
    double b = fmod(deg, 360);

    if (b < 0)
        b += 360;
    /* -1e-20 + 360 rounds to 360; and -0 would print as such. */
    return b >= 360 || b == 0 ? 0 : b;
}

double lw_bearing_turn(double from_deg, double to_deg)
{
    double t = lw_bearing_wrap(to_deg - from_deg);

    return t > 180 ? t - 360 : t;
}

int lw_bearing_clock(double heading_deg, double bearing_deg)
{
    double hour = round(lw_bearing_wrap(bearing_deg - heading_deg) / 30);

    return hour >= 1 && hour <= 11 ? (int)hour : 12;
}
