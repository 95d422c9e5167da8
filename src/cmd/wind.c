#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/geo/point.h"

int lw_cmd_wind(const char *text, enum lw_units units, double *mps, double *from_deg,
                struct lw_error *err)
{
    char speed[64];
    const char *at = strchr(text, '@');

    if (at && lw_units_parse(at + 1, LW_ANGLE, LW_US, from_deg, err))
        return -1;
    if (!lw_text_copy(speed, sizeof speed, text))
        return lw_fail(err, "--wind wants a speed like 10mph or 10mph@250");
    if (at)
        speed[at - text] = '\0';
    if (lw_units_parse(speed, LW_SPEED, units, mps, err))
        return -1;
    if (*mps < 0 || *mps > 30)
        return lw_fail(err, "a wind of %s is beyond what is known here: 0 to 30 m/s", speed);
    *from_deg = lw_bearing_wrap(*from_deg);
    return 0;
}
