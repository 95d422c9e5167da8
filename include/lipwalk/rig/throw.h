/* How far a head can be thrown today. Common practice, no source: a table of lengths by head
 * weight, and what a wind takes or adds. Each angler's own lengths come first. */
#ifndef LIPWALK_RIG_THROW_H
#define LIPWALK_RIG_THROW_H

/* The usual length (m) of a cast with a head of so many kg in still air: 1/8 oz 60 ft, 1/4 oz 80,
 * 3/8 95, 1/2 oz 105 (middles of the usual ranges), between them by the logarithm of the weight,
 * beyond them held. NaN in, NaN out. */
double lw_throw_usual(double head_kg);
/* What the wind makes of a cast of `still_m` toward `bearing_deg`: a head wind of 20 mph takes 40 %
 * (in proportion below), a tail wind of 20 mph adds 20 %, only the part along the cast counts;
 * above 20 mph as at 20. NaN or no wind: still_m. */
double lw_throw_reach(double still_m, double bearing_deg, double wind_mps, double wind_from_deg);

#endif
