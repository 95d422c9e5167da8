#include "source.h"

#include <math.h>

void lw_said_clear(struct lw_said *said)
{
    *said = (struct lw_said){
        .part = {.at = {NAN, NAN}, .sog_mps = NAN, .cog_deg = NAN, .eph_m = NAN, .hdop = NAN},
        .sentence = {.kind = LW_NMEA_BAD},
        .depth_m = NAN,
        .heading_deg = NAN};
}
