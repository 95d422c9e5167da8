/* Returns: made, ripe, due, late; done, snoozed, dropped; called once each. */
#include "day.h"

/* A day with one dwell at HERE that ended by key at 7:00: the return's target is 9:30. */
static struct day rested(struct lw_event_id *place)
{
    struct day day = day_begin(&day_rules);

    *place = day_mark(&day, HMS(6, 50, 0), LW_MARK_BITE, HERE);
    day_do(&day, lw_event_new(LW_EV_DWELL_END, HMS(7, 0, 0)));
    return day;
}

static struct lw_return the_return(const struct day *day, int64_t at)
{
    struct lw_trip_now now = day_now(day, at);

    cr_assert_eq(now.returns, 1);
    return now.ret[0];
}

static int calls_at(const struct day *day, int64_t at, struct lw_ll boat, struct lw_ev_call *calls)
{
    return lw_trip_calls(day->trip, at, boat, calls, 8);
}

static void answer(struct day *day, int64_t at, struct lw_ev_call call)
{
    struct lw_event event = lw_event_new(LW_EV_CALL, at);

    event.u.call = call;
    day_do(day, event);
}

#define NOWHERE ((struct lw_ll){NAN, NAN})

Test(return, is_resting_ripe_due_and_late_by_the_clock_alone)
{
    struct lw_event_id place;
    struct day day = rested(&place);

    cr_assert_eq(the_return(&day, HMS(7, 0, 0)).target_utc_ms, HMS(9, 30, 0));
    cr_assert_eq(the_return(&day, HMS(9, 14, 59)).state, LW_RET_RESTING);
    cr_assert_eq(the_return(&day, HMS(9, 15, 0)).state, LW_RET_RIPE);
    cr_assert_eq(the_return(&day, HMS(9, 29, 59)).state, LW_RET_RIPE);
    cr_assert_eq(the_return(&day, HMS(9, 30, 0)).state, LW_RET_DUE);
    cr_assert_eq(the_return(&day, HMS(9, 59, 59)).state, LW_RET_DUE);
    cr_assert_eq(the_return(&day, HMS(10, 0, 0)).state, LW_RET_LATE);
    cr_assert_eq(the_return(&day, HMS(30, 0, 0)).state, LW_RET_LATE, "past midnight still");
    lw_trip_free(day.trip);
}

Test(return, done_and_drop_close_it)
{
    for (int act = 0; act < 2; act++) {
        struct lw_event_id place;
        struct day day = rested(&place);

        day_return(&day, HMS(9, 31, 0), place, act ? LW_RETURN_DROP : LW_RETURN_DONE, NAN);
        cr_assert_eq(day_now(&day, HMS(9, 31, 0)).returns, 0);
        lw_trip_free(day.trip);
    }
}

Test(return, snooze_moves_the_target_from_the_later_of_now_and_target)
{
    struct lw_event_id place;
    struct day day = rested(&place);

    day_return(&day, HMS(9, 20, 0), place, LW_RETURN_SNOOZE, 1800);
    cr_assert_eq(the_return(&day, HMS(9, 20, 0)).target_utc_ms, HMS(10, 0, 0));
    day_return(&day, HMS(10, 10, 0), place, LW_RETURN_SNOOZE, 1800);
    cr_assert_eq(the_return(&day, HMS(10, 10, 0)).target_utc_ms, HMS(10, 40, 0));
    cr_assert_eq(the_return(&day, HMS(10, 10, 0)).state, LW_RET_RESTING);
    lw_trip_free(day.trip);
}

Test(return, a_clock_step_moves_it_along)
{
    for (int sign = -1; sign <= 1; sign += 2) {
        int64_t step_ms = sign * INT64_C(3600000);
        struct lw_event_id place;
        struct day day = rested(&place);

        day_clock(&day, HMS(7, 30, 0) + step_ms, step_ms);
        cr_assert_eq(the_return(&day, HMS(7, 30, 1) + step_ms).target_utc_ms,
                     HMS(9, 30, 0) + step_ms);
        lw_trip_free(day.trip);
    }
}

Test(return, comes_no_later_than_a_dwell_before_the_day_ends)
{
    struct lw_trip_rules rules = day_rules;
    struct day day;

    rules.day_end_utc_ms = HMS(20, 0, 0); /* last useful target 19:40 */
    day = day_begin(&rules);
    day_mark(&day, HMS(18, 0, 0), LW_MARK_BITE, HERE);
    cr_assert_eq(the_return(&day, HMS(18, 30, 0)).target_utc_ms, HMS(19, 40, 0));
    lw_trip_free(day.trip);

    day = day_begin(&rules); /* 16:50 + 0:20 + 2:30 = 19:40: not touched by the limit */
    day_mark(&day, HMS(16, 50, 0), LW_MARK_BITE, HERE);
    cr_assert_eq(the_return(&day, HMS(18, 0, 0)).target_utc_ms, HMS(19, 40, 0));
    lw_trip_free(day.trip);

    day = day_begin(&rules); /* ends 19:25, 15 min before 19:40: just enough rest */
    day_mark(&day, HMS(19, 5, 0), LW_MARK_BITE, HERE);
    cr_assert_eq(the_return(&day, HMS(19, 30, 0)).target_utc_ms, HMS(19, 40, 0));
    lw_trip_free(day.trip);

    day = day_begin(&rules); /* ends 19:25:01: no return today */
    day_mark(&day, HMS(19, 5, 1), LW_MARK_BITE, HERE);
    cr_assert_eq(day_now(&day, HMS(19, 30, 0)).returns, 0);
    lw_trip_free(day.trip);
}

Test(return, a_second_bite_there_closes_it_and_makes_a_new_one)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_trip_now now;

    day_mark(&day, HMS(9, 20, 0), LW_MARK_FISH, north(3));
    now = day_now(&day, HMS(9, 20, 0));
    cr_assert_eq(now.returns, 0);
    cr_assert(now.dwell.open && now.dwell.place == 0);
    cr_assert_eq(the_return(&day, HMS(10, 0, 0)).target_utc_ms, HMS(12, 10, 0)); /* 9:40 + 2:30 */
    lw_trip_free(day.trip);
}

Test(return, are_listed_by_target)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id first = day_mark(&day, HMS(6, 0, 0), LW_MARK_BITE, HERE);
    struct lw_trip_now now;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, north(100));
    day_mark(&day, HMS(8, 0, 0), LW_MARK_BITE, north(200));
    day_return(&day, HMS(8, 10, 0), first, LW_RETURN_SNOOZE, 2.5 * 3600);
    now = day_now(&day, HMS(9, 0, 0));
    cr_assert_eq(now.returns, 3);
    cr_assert_eq(now.ret[0].place, 1); /* 7:20 + 2:30 = 9:50 */
    cr_assert_eq(now.ret[1].place, 2); /* 8:20 + 2:30 = 10:50 */
    cr_assert_eq(now.ret[2].place, 0); /* 6:20 + 2:30 + 2:30 = 11:20 */
    lw_trip_free(day.trip);
}

Test(return, calls_each_step_once)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];

    cr_assert_eq(calls_at(&day, HMS(9, 14, 59), NOWHERE, calls), 0);
    cr_assert_eq(calls_at(&day, HMS(9, 15, 0), NOWHERE, calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_RIPE);
    cr_assert_eq(calls[0].target_utc_ms, HMS(9, 30, 0));
    cr_assert(lw_event_id_same(calls[0].place, place));
    cr_assert_eq(calls_at(&day, HMS(9, 15, 0), NOWHERE, calls), 1, "asking is not calling");
    answer(&day, HMS(9, 15, 0), calls[0]);
    cr_assert_eq(calls_at(&day, HMS(9, 29, 0), NOWHERE, calls), 0);
    cr_assert_eq(calls_at(&day, HMS(9, 30, 0), NOWHERE, calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_DUE);
    answer(&day, HMS(9, 30, 0), calls[0]);
    cr_assert_eq(calls_at(&day, HMS(10, 0, 0), NOWHERE, calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_LATE);
    answer(&day, HMS(10, 0, 0), calls[0]);
    cr_assert_eq(calls_at(&day, HMS(15, 0, 0), NOWHERE, calls), 0);

    day_return(&day, HMS(15, 0, 0), place, LW_RETURN_SNOOZE, 3600); /* calls anew: target 16:00 */
    cr_assert_eq(calls_at(&day, HMS(15, 44, 0), NOWHERE, calls), 0);
    cr_assert_eq(calls_at(&day, HMS(15, 45, 0), NOWHERE, calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_RIPE);
    calls[0].target_utc_ms = HMS(9, 30, 0); /* an answer to the old target is none */
    answer(&day, HMS(15, 45, 0), calls[0]);
    cr_assert_eq(calls_at(&day, HMS(15, 46, 0), NOWHERE, calls), 1);
    lw_trip_free(day.trip);
}

/* The program was off from before ripe until after late: one call, the latest. */
Test(return, calls_only_the_latest_of_steps_missed)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];
    struct lw_return ret;

    cr_assert_eq(calls_at(&day, HMS(10, 5, 0), NOWHERE, calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_LATE);
    answer(&day, HMS(10, 5, 0), calls[0]);
    ret = the_return(&day, HMS(10, 5, 0));
    cr_assert(ret.called[LW_CALL_RIPE] && ret.called[LW_CALL_DUE] && ret.called[LW_CALL_LATE]);
    cr_assert(!ret.called[LW_CALL_NEAR]);
    cr_assert_eq(calls_at(&day, HMS(10, 6, 0), NOWHERE, calls), 0);
    lw_trip_free(day.trip);
}

/* near_m is 60; far enough to call again is 72. */
Test(return, calls_when_the_boat_passes_near_while_ripe)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];

    day_track(&day, HMS(7, 30, 0), HERE);
    answer(&day, HMS(9, 15, 0), (struct lw_ev_call){place, LW_CALL_RIPE, HMS(9, 30, 0)});
    cr_assert_eq(calls_at(&day, HMS(9, 15, 1), north(30), calls), 0, "it never left");
    day_track(&day, HMS(9, 16, 0), north(71));
    cr_assert_eq(calls_at(&day, HMS(9, 16, 30), north(30), calls), 0, "not far enough");
    day_track(&day, HMS(9, 17, 0), north(73));
    cr_assert_eq(calls_at(&day, HMS(9, 18, 0), north(61), calls), 0);
    cr_assert_eq(calls_at(&day, HMS(9, 18, 0), NOWHERE, calls), 0);
    cr_assert_eq(calls_at(&day, HMS(9, 18, 0), north(59), calls), 1);
    cr_assert_eq(calls[0].step, LW_CALL_NEAR);
    answer(&day, HMS(9, 18, 0), calls[0]);
    cr_assert(the_return(&day, HMS(9, 18, 0)).called[LW_CALL_NEAR]);
    cr_assert_eq(calls_at(&day, HMS(9, 18, 1), north(50), calls), 0);
    day_track(&day, HMS(9, 19, 0), north(65));
    cr_assert_eq(calls_at(&day, HMS(9, 19, 1), north(59), calls), 0, "it wavers at the limit");
    day_track(&day, HMS(9, 20, 0), FAR_OFF);
    cr_assert_eq(calls_at(&day, HMS(9, 21, 0), north(59), calls), 1, "it passes a second time");
    lw_trip_free(day.trip);
}

Test(return, a_snoozed_one_calls_near_only_after_leaving)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];

    day_track(&day, HMS(9, 0, 0), FAR_OFF);
    day_track(&day, HMS(9, 30, 0), north(30)); /* it came back, and the crew puts it off */
    day_return(&day, HMS(9, 31, 0), place, LW_RETURN_SNOOZE, 600);
    cr_assert_eq(calls_at(&day, HMS(9, 42, 0), north(30), calls), 1); /* target 9:41 */
    cr_assert_eq(calls[0].step, LW_CALL_DUE);
    lw_trip_free(day.trip);
}

Test(return, resting_does_not_call_near)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];

    day_track(&day, HMS(7, 30, 0), FAR_OFF);
    cr_assert_eq(calls_at(&day, HMS(8, 0, 0), HERE, calls), 0);
    lw_trip_free(day.trip);
}

Test(return, an_ended_trip_calls_nothing)
{
    struct lw_event_id place;
    struct day day = rested(&place);
    struct lw_ev_call calls[8];

    day_do(&day, lw_event_new(LW_EV_TRIP_END, HMS(9, 0, 0)));
    cr_assert(lw_trip_ended(day.trip));
    cr_assert_eq(calls_at(&day, HMS(9, 30, 0), NOWHERE, calls), 0);
    lw_trip_free(day.trip);
}

Test(return, no_more_than_fits_and_no_more_than_asked)
{
    struct day day = day_begin(&day_rules);
    struct lw_ev_call calls[LW_RETURNS_MAX];
    struct lw_trip_now now;

    for (int i = 0; i < LW_RETURNS_MAX + 6; i++)
        day_mark(&day, HMS(6, i, 0), LW_MARK_BITE, north(100 * i));
    now = day_now(&day, HMS(12, 0, 0));
    cr_assert_eq(now.returns, LW_RETURNS_MAX);
    cr_assert_eq(now.ret[0].place, 6, "the longest overdue made room");
    cr_assert_eq(lw_trip_calls(day.trip, HMS(12, 0, 0), NOWHERE, calls, 3), 3);
    cr_assert_eq(lw_trip_calls(day.trip, HMS(12, 0, 0), NOWHERE, calls, LW_RETURNS_MAX),
                 LW_RETURNS_MAX);
    lw_trip_free(day.trip);
}
