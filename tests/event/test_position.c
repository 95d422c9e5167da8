/* Words for states, and readings that grow old. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/event/position.h"

Test(position, states_and_sources_have_the_cue_lines_words)
{
    cr_assert_str_eq(lw_fix_state_name(LW_FIX_LOST), "lost");
    cr_assert_str_eq(lw_fix_state_name(LW_FIX_NONE), "none");
    cr_assert_str_eq(lw_fix_state_name(LW_FIX_STALE), "stale");
    cr_assert_str_eq(lw_fix_state_name(LW_FIX_2D), "2d");
    cr_assert_str_eq(lw_fix_state_name(LW_FIX_3D), "3d");
    cr_assert_str_eq(lw_heading_source_name(LW_HEADING_NONE), "none");
    cr_assert_str_eq(lw_heading_source_name(LW_HEADING_COMPASS), "compass");
    cr_assert_str_eq(lw_heading_source_name(LW_HEADING_MAGNETIC), "magnetic");
    cr_assert_str_eq(lw_heading_source_name(LW_HEADING_COG), "course");
}

Test(position, cleared_readings_are_unknown)
{
    struct lw_readings r;

    memset(&r, 0x55, sizeof r);
    lw_readings_clear(&r);
    cr_assert(isnan(r.depth_m.value) && isnan(r.water_c.value) && isnan(r.heading_deg.value));
    cr_assert(isnan(r.wind_mps.value) && isnan(r.wind_from_deg.value));
    cr_assert(isnan(r.rel_wind_mps.value) && isnan(r.rel_wind_deg.value));
    cr_assert_eq(r.heading_source, LW_HEADING_NONE);
}

Test(position, a_reading_is_fresh_up_to_its_age)
{
    struct lw_reading r = {.value = 5.6, .seen_mono_ms = 10000};

    cr_assert(lw_reading_fresh(r, 10000, 3000) == 5.6);
    cr_assert(lw_reading_fresh(r, 13000, 3000) == 5.6);
    cr_assert(isnan(lw_reading_fresh(r, 13001, 3000)));
    r.value = NAN;
    cr_assert(isnan(lw_reading_fresh(r, 10000, 3000)));
}
