/* Waves that a wind raises over a fetch of deep or shallow water: Shore Protection Manual, 4th ed.,
 * CERC 1984, vol. I ch. 3, eq. 3-33 to 3-40 (coefficients from memory, values checked in tests). */
#ifndef LIPWALK_SKY_WAVE_H
#define LIPWALK_SKY_WAVE_H

struct lw_wave {
    double height_m; /* significant */
    double period_s; /* of the peak */
};
/* Wind at 10 m (m/s), fetch (m) and the mean depth over it (m; INFINITY: deep water).
 * Fetch-limited, capped at fully developed. No wind or no fetch: zeros. NaN in, NaN out. */
struct lw_wave lw_wave_raised(double wind_mps, double fetch_m, double depth_m);
/* Seconds for which the wind must have blown for the fetch to be the limit. */
double lw_wave_needs_s(double wind_mps, double fetch_m);

#endif
