/* The tables of kinds, and blank events. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/event/event.h"

Test(event, the_letters_of_marks_are_those_of_the_trade_words)
{
    char letters[LW_MARK_KINDS + 1] = "";

    for (int kind = 0; kind < LW_MARK_KINDS; kind++)
        letters[kind] = lw_mark_info((enum lw_mark_kind)kind)->letter;
    cr_assert_str_eq(letters, "bfoswrcn");
    cr_assert_null(lw_mark_info(LW_MARK_KINDS));
}

Test(event, bites_and_fish_renew_a_dwell_and_follows_make_a_place_too)
{
    for (int kind = 0; kind < LW_MARK_KINDS; kind++) {
        const struct lw_mark_info *info = lw_mark_info((enum lw_mark_kind)kind);

        cr_assert_eq(info->productive, kind == LW_MARK_BITE || kind == LW_MARK_FISH);
        cr_assert_eq(info->makes_place, info->productive || kind == LW_MARK_FOLLOW);
    }
}

Test(event, each_mark_is_found_by_its_name)
{
    for (int kind = 0; kind < LW_MARK_KINDS; kind++)
        cr_assert_eq(lw_mark_kind_of(lw_mark_info((enum lw_mark_kind)kind)->name), kind);
    cr_assert_eq(lw_mark_kind_of("bottom"), LW_MARK_BOTTOM);
    cr_assert_eq(lw_mark_kind_of("bottom-change"), LW_MARK_BOTTOM);
    cr_assert_eq(lw_mark_kind_of("Bottom_Change"), LW_MARK_BOTTOM);
    cr_assert_eq(lw_mark_kind_of("FISH"), LW_MARK_FISH);
    cr_assert_eq(lw_mark_kind_of("fis"), -1);
    cr_assert_eq(lw_mark_kind_of("fishy"), -1);
    cr_assert_eq(lw_mark_kind_of(""), -1);
}

Test(event, each_kind_has_a_name_of_its_own)
{
    for (int a = 0; a < LW_EV_KINDS; a++)
        for (int b = 0; b < a; b++)
            cr_assert_str_neq(lw_event_kind_name((enum lw_event_kind)a),
                              lw_event_kind_name((enum lw_event_kind)b));
    cr_assert_null(lw_event_kind_name(LW_EV_KINDS));
}

Test(event, a_new_one_knows_nothing)
{
    struct lw_event e = lw_event_new(LW_EV_MARK, 1234);

    cr_assert_eq(e.at_utc_ms, 1234);
    cr_assert_eq(e.kind, LW_EV_MARK);
    cr_assert_eq(e.id.origin, 0);
    cr_assert_eq(e.u.mark.station, 0);
    cr_assert_str_eq(e.u.mark.note, "");
    cr_assert(isnan(e.u.mark.where.at.lat_deg) && isnan(e.u.mark.where.at.lon_deg));
    cr_assert(isnan(e.u.mark.where.age_s) && isnan(e.u.mark.where.off_m));
    cr_assert(isnan(e.u.mark.bait.lat_deg) && isnan(e.u.mark.bait.lon_deg));
    cr_assert(isnan(e.u.mark.depth_m) && isnan(e.u.mark.wind_from_deg));
    e = lw_event_new(LW_EV_RETURN, 0);
    cr_assert(isnan(e.u.ret.snooze_s));
    e = lw_event_new(LW_EV_SETTING, 0);
    cr_assert(isnan(e.u.setting.value));
}

Test(event, ids_are_the_same_when_both_parts_are)
{
    struct lw_event_id a = {1, 2};

    cr_assert(lw_event_id_same(a, (struct lw_event_id){1, 2}));
    cr_assert_not(lw_event_id_same(a, (struct lw_event_id){1, 3}));
    cr_assert_not(lw_event_id_same(a, (struct lw_event_id){2, 2}));
}
