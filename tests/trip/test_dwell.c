/* The dwell: a bite fills it, being away pauses and ends it, no clock step touches it. */
#include "day.h"

/* What must hold: open with so many seconds left at `at`. */
static void expect_left(const struct day *day, int64_t at, double left_s)
{
    struct lw_trip_now now = day_now(day, at);

    cr_assert(now.dwell.open);
    cr_assert_float_eq(now.dwell.left_s, left_s, 1e-9, "%g s left, not %g", now.dwell.left_s,
                       left_s);
}

/* What must hold: closed at `at`, having ended at `ended` (its return tells: 150 min later). */
static void expect_ended(const struct day *day, int64_t at, int64_t ended)
{
    struct lw_trip_now now = day_now(day, at);

    cr_assert(!now.dwell.open);
    cr_assert_eq(now.returns, 1);
    cr_assert_eq(now.ret[0].target_utc_ms - 150 * 60000, ended, "ended %+lld ms off",
                 (long long)(now.ret[0].target_utc_ms - 150 * 60000 - ended));
}

Test(dwell, a_bite_opens_it_and_it_runs_out)
{
    struct day day = day_begin(&day_rules);

    cr_assert(!day_now(&day, HMS(7, 0, 0)).dwell.open);
    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    expect_left(&day, HMS(7, 0, 0), 1200);
    expect_left(&day, HMS(7, 12, 30), 450);
    expect_left(&day, HMS(7, 19, 59), 1);
    expect_ended(&day, HMS(7, 20, 0), HMS(7, 20, 0));
    expect_ended(&day, HMS(9, 0, 0), HMS(7, 20, 0));
    expect_left(&day, HMS(7, 5, 0), 900); /* asking changes nothing */
    lw_trip_free(day.trip);
}

Test(dwell, a_bite_during_it_makes_it_the_full_target_again)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_mark(&day, HMS(7, 15, 0), LW_MARK_FISH, north(5));
    expect_left(&day, HMS(7, 15, 0), 1200);
    cr_assert_eq(day_now(&day, HMS(7, 16, 0)).dwell.began_utc_ms, HMS(7, 0, 0));
    expect_ended(&day, HMS(8, 0, 0), HMS(7, 35, 0));
    lw_trip_free(day.trip);
}

Test(dwell, only_bite_and_fish_open_or_renew_it)
{
    struct day day = day_begin(&day_rules);

    for (int kind = LW_MARK_FOLLOW; kind < LW_MARK_KINDS; kind++)
        day_mark(&day, HMS(7, 0, 0), (enum lw_mark_kind)kind, HERE);
    cr_assert(!day_now(&day, HMS(7, 0, 0)).dwell.open);
    day_mark(&day, HMS(7, 1, 0), LW_MARK_BITE, HERE);
    for (int kind = LW_MARK_FOLLOW; kind < LW_MARK_KINDS; kind++)
        day_mark(&day, HMS(7, 2, 0), (enum lw_mark_kind)kind, HERE);
    expect_left(&day, HMS(7, 2, 0), 1140);
    lw_trip_free(day.trip);
}

Test(dwell, away_pauses_it_and_4_59_is_not_the_end)
{
    struct day day = day_begin(&day_rules);
    struct lw_trip_now now;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_stay(&day, HMS(7, 0, 1), HMS(7, 3, 59), HERE);
    day_stay(&day, HMS(7, 4, 0), HMS(7, 6, 0), north(25)); /* away from 7:04:00 on */
    now = day_now(&day, HMS(7, 6, 0));
    cr_assert(now.dwell.open && now.dwell.away);
    cr_assert_float_eq(now.dwell.away_s, 120, 1e-9);
    cr_assert_float_eq(now.dwell.left_s, 960, 1e-9, "what remains keeps");
    day_stay(&day, HMS(7, 6, 1), HMS(7, 8, 58), north(25));
    day_track(&day, HMS(7, 8, 59), north(15)); /* back after 4:59 */
    now = day_now(&day, HMS(7, 8, 59));
    cr_assert(now.dwell.open && !now.dwell.away);
    expect_left(&day, HMS(7, 8, 59), 960);
    expect_ended(&day, HMS(8, 0, 0), HMS(7, 24, 59));
    lw_trip_free(day.trip);
}

Test(dwell, five_minutes_away_end_it_at_that_moment)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_stay(&day, HMS(7, 0, 1), HMS(7, 3, 59), HERE);
    day_track(&day, HMS(7, 4, 0), north(25));
    day_track(&day, HMS(7, 9, 1), north(15)); /* back after 5:01: too late */
    expect_ended(&day, HMS(7, 9, 1), HMS(7, 9, 0));
    lw_trip_free(day.trip);
}

Test(dwell, coming_back_makes_the_time_away_whole_again)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 1, 0), FAR_OFF);
    day_track(&day, HMS(7, 5, 0), HERE); /* 4 min away */
    day_track(&day, HMS(7, 6, 0), FAR_OFF);
    expect_left(&day, HMS(7, 10, 0), 1200 - 60 - 60);
    expect_ended(&day, HMS(7, 11, 0), HMS(7, 11, 0));
    lw_trip_free(day.trip);
}

Test(dwell, an_unknown_or_old_position_is_neither_near_nor_away)
{
    struct day day = day_begin(&day_rules);
    struct lw_event event = lw_event_new(LW_EV_TRACK, HMS(7, 1, 0));

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_do(&day, event); /* nowhere */
    event.u.track.where.at = FAR_OFF;
    event.u.track.where.age_s = 5.1;
    event.at_utc_ms = HMS(7, 2, 0);
    day_do(&day, event);
    cr_assert(!day_now(&day, HMS(7, 3, 0)).dwell.away);
    event.u.track.where.age_s = 5;
    event.at_utc_ms = HMS(7, 3, 0);
    day_do(&day, event);
    cr_assert(day_now(&day, HMS(7, 3, 0)).dwell.away);
    event.u.track.where.at = HERE;
    event.u.track.where.age_s = 60;
    event.at_utc_ms = HMS(7, 4, 0);
    day_do(&day, event);
    cr_assert(day_now(&day, HMS(7, 4, 0)).dwell.away);
    lw_trip_free(day.trip);
}

/* A laptop that sleeps for two hours with the boat last seen near: the dwell runs on meanwhile. */
Test(dwell, suspend_lets_it_run_out_at_its_own_time)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 2, 0), HERE);
    day_track(&day, HMS(9, 2, 0), FAR_OFF);
    expect_ended(&day, HMS(9, 2, 0), HMS(7, 20, 0));
    lw_trip_free(day.trip);
}

Test(dwell, suspend_while_away_ends_it_after_five_minutes)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 2, 0), FAR_OFF);
    day_track(&day, HMS(9, 2, 0), HERE);
    expect_ended(&day, HMS(9, 2, 0), HMS(7, 7, 0));
    lw_trip_free(day.trip);
}

Test(dwell, midnight_is_a_minute_like_any_other)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(23, 50, 0), LW_MARK_BITE, HERE);
    expect_left(&day, HMS(24, 0, 0), 600);
    expect_ended(&day, HMS(24, 30, 0), HMS(24, 10, 0));
    lw_trip_free(day.trip);
}

/* The clock is set an hour forward at 7:05:00 (then 8:05:00), or back (6:05:00). */
static void step_clock_by(int64_t step_ms)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 4, 59), HERE);
    day_clock(&day, HMS(7, 5, 0) + step_ms, step_ms);
    day_track(&day, HMS(7, 5, 1) + step_ms, HERE);
    expect_left(&day, HMS(7, 5, 1) + step_ms, 899);
    cr_assert_eq(day_now(&day, HMS(7, 6, 0) + step_ms).dwell.began_utc_ms, HMS(7, 0, 0) + step_ms);
    expect_left(&day, HMS(7, 10, 0) + step_ms, 600);
    expect_ended(&day, HMS(7, 30, 0) + step_ms, HMS(7, 20, 0) + step_ms);
    lw_trip_free(day.trip);
}

Test(dwell, a_clock_step_neither_ends_nor_prolongs_it)
{
    step_clock_by(3600000);
    step_clock_by(-3600000);
}

Test(dwell, a_clock_step_neither_ends_nor_prolongs_being_away)
{
    for (int sign = -1; sign <= 1; sign += 2) {
        int64_t step_ms = sign * INT64_C(3600000);
        struct day day = day_begin(&day_rules);

        day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
        day_track(&day, HMS(7, 1, 0), FAR_OFF);
        day_track(&day, HMS(7, 2, 0), FAR_OFF);
        day_clock(&day, HMS(7, 3, 0) + step_ms, step_ms);
        day_track(&day, HMS(7, 4, 0) + step_ms, FAR_OFF);
        cr_assert_float_eq(day_now(&day, HMS(7, 4, 0) + step_ms).dwell.away_s, 180, 1e-9);
        expect_ended(&day, HMS(7, 6, 0) + step_ms, HMS(7, 6, 0) + step_ms);
        lw_trip_free(day.trip);
    }
}

Test(dwell, ends_by_key_and_makes_its_return)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_do(&day, lw_event_new(LW_EV_DWELL_END, HMS(7, 8, 0)));
    expect_ended(&day, HMS(7, 8, 0), HMS(7, 8, 0));
    day_do(&day, lw_event_new(LW_EV_DWELL_END, HMS(7, 9, 0))); /* none is open: nothing */
    expect_ended(&day, HMS(7, 9, 0), HMS(7, 8, 0));
    lw_trip_free(day.trip);
}

Test(dwell, a_bite_elsewhere_ends_it_there_and_opens_one_here)
{
    struct day day = day_begin(&day_rules);
    struct lw_trip_now now;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_mark(&day, HMS(7, 6, 0), LW_MARK_BITE, FAR_OFF);
    now = day_now(&day, HMS(7, 6, 0));
    cr_assert_eq(now.dwell.place, 1);
    cr_assert_eq(now.dwell.began_utc_ms, HMS(7, 6, 0));
    cr_assert_float_eq(now.dwell.left_s, 1200, 1e-9);
    cr_assert_eq(now.returns, 1);
    cr_assert_eq(now.ret[0].place, 0);
    cr_assert_eq(now.ret[0].target_utc_ms, HMS(9, 36, 0)); /* 7:06 + 2:30 */
    lw_trip_free(day.trip);
}

/* A dwell that ran out before the next bite has ended by then, at its own time. */
Test(dwell, a_late_bite_opens_a_new_one)
{
    struct day day = day_begin(&day_rules);
    struct lw_trip_now now;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_mark(&day, HMS(7, 30, 0), LW_MARK_BITE, HERE);
    now = day_now(&day, HMS(7, 30, 0));
    cr_assert_eq(now.dwell.began_utc_ms, HMS(7, 30, 0));
    cr_assert_eq(now.returns, 0, "the return it had made is done by the new bite");
    lw_trip_free(day.trip);
}

Test(dwell, a_changed_target_holds_from_the_next_bite_on)
{
    struct day day = day_begin(&day_rules);
    struct lw_event event = lw_event_new(LW_EV_SETTING, HMS(7, 5, 0));

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    snprintf(event.u.setting.name, sizeof event.u.setting.name, "dwell");
    event.u.setting.value = 1500;
    day_do(&day, event);
    expect_left(&day, HMS(7, 5, 0), 900);
    cr_assert_float_eq(lw_trip_rules(day.trip)->dwell_s, 1500, 0);
    day_mark(&day, HMS(7, 6, 0), LW_MARK_BITE, HERE);
    expect_left(&day, HMS(7, 6, 0), 1500);
    lw_trip_free(day.trip);
}

/* The laptop's clock is an hour slow. The receiver sets it right, a bite opens a dwell, the laptop
 * dies and is started again: slow once more until the receiver sets it right. */
Test(dwell, a_restart_with_the_clock_wrong_again_changes_nothing)
{
    const int64_t hour_ms = 3600000;
    struct day day = day_begin(&day_rules);
    struct lw_trip_now now;

    day_track(&day, HMS(6, 55, 0) - hour_ms, HERE);
    day_clock(&day, HMS(6, 55, 30), hour_ms);
    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_mark(&day, HMS(7, 1, 0), LW_MARK_BITE, north(50));
    day.origin = 0xA2; /* a new process */
    day_track(&day, HMS(7, 4, 0) - hour_ms, north(50));
    day_mark(&day, HMS(7, 4, 30) - hour_ms, LW_MARK_SNAG, north(50));
    day_clock(&day, HMS(7, 5, 0), hour_ms);
    now = day_now(&day, HMS(7, 6, 0));
    cr_assert_eq(now.dwell.began_utc_ms, HMS(7, 1, 0));
    cr_assert_float_eq(now.dwell.left_s, 900, 1e-9);
    cr_assert_eq(now.ret[0].target_utc_ms, HMS(9, 31, 0)); /* 7:01 + 2:30 */
    lw_trip_free(day.trip);
}

/* Made while the boat was last seen away; without a fix it belongs to the dwell: so the boat is
 * there. */
Test(dwell, a_bite_without_position_ends_being_away)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 1, 0), FAR_OFF);
    day_mark(&day, HMS(7, 4, 0), LW_MARK_BITE, (struct lw_ll){NAN, NAN});
    cr_assert(!day_now(&day, HMS(7, 4, 0)).dwell.away);
    expect_ended(&day, HMS(8, 0, 0), HMS(7, 24, 0));
    lw_trip_free(day.trip);
}

Test(dwell, a_shorter_time_away_ends_it_now_and_not_before)
{
    struct day day = day_begin(&day_rules);
    struct lw_event event = lw_event_new(LW_EV_SETTING, HMS(7, 4, 0));

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(7, 1, 0), FAR_OFF);
    snprintf(event.u.setting.name, sizeof event.u.setting.name, "away");
    event.u.setting.value = 60; /* away for 180 s by now */
    day_do(&day, event);
    expect_ended(&day, HMS(7, 5, 0), HMS(7, 4, 0));
    lw_trip_free(day.trip);
}
