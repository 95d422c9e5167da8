#include "lipwalk/rig/throw.h"

#include <math.h>

#define OZ_KG 0.028349523125
#define FT_M  0.3048

#define FULL_WIND_MPS (20 * 0.44704)
#define HEAD_TAKES    0.40
#define TAIL_ADDS     0.20

double lw_throw_usual(double head_kg)
{
    static const struct {
        double oz, ft;
    } usual[] = {{0.125, 60}, {0.25, 80}, {0.375, 95}, {0.5, 105}};
    const int last = (int)(sizeof usual / sizeof *usual) - 1;
    double oz = head_kg / OZ_KG;
    int i = 0;

    if (isnan(head_kg))
        return NAN;
    if (oz <= usual[0].oz)
        return usual[0].ft * FT_M;
    while (i < last && oz > usual[i + 1].oz)
        i++;
    if (i == last)
        return usual[last].ft * FT_M;
    return FT_M * (usual[i].ft + (usual[i + 1].ft - usual[i].ft) * log(oz / usual[i].oz) /
                                     log(usual[i + 1].oz / usual[i].oz));
}

double lw_throw_reach(double still_m, double bearing_deg, double wind_mps, double wind_from_deg)
{
    double along, share;

    if (isnan(wind_mps) || isnan(wind_from_deg) || !(wind_mps > 0))
        return still_m;
    /* + a tail wind: it comes from behind the caster */
    along = -cos((bearing_deg - wind_from_deg) * M_PI / 180);
    share = fmin(1, wind_mps / FULL_WIND_MPS) * along;
    return still_m * (1 + share * (share < 0 ? HEAD_TAKES : TAIL_ADDS));
}
