/* What a plan says in words: warnings, and lengths in people's units. */
#include <stdarg.h>
#include <stdio.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"
#include "steps.h"

void lw_plan_warn(struct lw_plan *plan, const char *format, ...)
{
    char text[sizeof plan->warning[0]];
    va_list args;

    if (plan->warnings == (int)(sizeof plan->warning / sizeof *plan->warning))
        return;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    lw_text_clean(plan->warning[plan->warnings++], sizeof text, text);
}

const char *lw_plan_length(char to[24], enum lw_units units, double length_m)
{
    lw_units_print(to, 24, length_m, LW_LENGTH, units,
                   units == LW_METRIC && length_m < 100 ? 1 : 0);
    return to;
}

const char *lw_detour_name(enum lw_detour_why why)
{
    static const char *const name[LW_DETOUR_WHYS] = {
        [LW_DETOUR_LAND] = "land",           [LW_DETOUR_CLOSED] = "closed",
        [LW_DETOUR_HAZARD] = "hazard",       [LW_DETOUR_SHALLOW] = "shallow",
        [LW_DETOUR_FAR_SHORE] = "far shore", [LW_DETOUR_BEND] = "bend"};

    return (unsigned)why < LW_DETOUR_WHYS ? name[why] : "";
}
