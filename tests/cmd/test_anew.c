/* "Plan anew": what may be typed, and that a slip changes nothing. */
#include <math.h>

#include "cmd/anew.h"
#include "lw_test.h"

static struct lw_plan_params usual(void)
{
    struct lw_plan_params p;

    lw_plan_params_clear(&p);
    p.standoff_m = 10;
    p.depth_m = 3;
    p.cast_m = 24;
    return p;
}

static struct lw_plan_params typed(const char *text, enum lw_units units)
{
    struct lw_plan_params p = usual();
    struct lw_error err = {""};

    cr_assert_eq(anew_read(text, units, &p, &err), 0, "%s: %s", text, err.text);
    return p;
}

Test(anew, takes_any_of_it_in_any_order)
{
    struct lw_plan_params p = typed("", LW_US);

    cr_assert_eq(p.standoff_m, 10);
    cr_assert_not(p.backward);
    p = typed("side shallow, back,off 30ft 40min depth 8 cast 21m", LW_US);
    cr_assert_not(p.hold_deep);
    cr_assert(p.backward);
    cr_assert_float_eq(p.standoff_m, 9.144, 1e-9);
    cr_assert_float_eq(p.minutes, 40, 1e-9);
    cr_assert_float_eq(p.depth_m, 8 * LW_FT_M, 1e-9);
    cr_assert_float_eq(p.cast_m, 21, 1e-9);
    cr_assert_float_eq(typed("off 9", LW_METRIC).standoff_m, 9, 1e-9);
    cr_assert(isnan(typed("40min all", LW_US).minutes));
    cr_assert_not(typed("back back", LW_US).backward);
}

Test(anew, says_what_is_wrong_and_changes_nothing)
{
    static const struct {
        const char *text, *says;
    } row[] = {{"off", "off 30ft"},          {"off far", "far"},  {"side left", "deep or shallow"},
               {"upwards", "none of"},       {"20s", "a minute"}, {"off 5mph", "5mph"},
               {"depth 9ft off", "off 30ft"}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct lw_plan_params p = usual(), before = p;
        struct lw_error err = {""};

        cr_assert_eq(anew_read(row[i].text, LW_US, &p, &err), -1, "%s was taken", row[i].text);
        cr_assert(strstr(err.text, row[i].says), "%s: %s", row[i].text, err.text);
        cr_assert_eq(memcmp(&p, &before, sizeof p), 0);
    }
}
