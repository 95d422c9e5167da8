/* The rest of the trip's state: casts, settings, the crew's last act, order and repeats of events.
 */
#include "day.h"

static struct lw_event_id cast(struct day *day, int64_t at, int station, int order)
{
    struct lw_event event = lw_event_new(LW_EV_CAST, at);

    event.u.cast.station = station;
    event.u.cast.cast = order;
    return day_do(day, event);
}

static void set(struct day *day, int64_t at, const char *name, double value)
{
    struct lw_event event = lw_event_new(LW_EV_SETTING, at);

    snprintf(event.u.setting.name, sizeof event.u.setting.name, "%s", name);
    event.u.setting.value = value;
    day_do(day, event);
}

static void plan(struct day *day, int64_t at, const char *path)
{
    struct lw_event event = lw_event_new(LW_EV_PLAN, at);

    snprintf(event.u.plan.path, sizeof event.u.plan.path, "%s", path);
    day_do(day, event);
}

Test(trip, casts_count_for_the_plan_now_worked)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id second;

    plan(&day, HMS(7, 0, 0), "one.geojson");
    cast(&day, HMS(7, 1, 0), 1, 1);
    second = cast(&day, HMS(7, 2, 0), 1, 2);
    cast(&day, HMS(7, 3, 0), 0, 0); /* not of the plan */
    cr_assert(lw_trip_cast_done(day.trip, 1, 1));
    cr_assert(lw_trip_cast_done(day.trip, 1, 2));
    cr_assert(!lw_trip_cast_done(day.trip, 2, 1));
    cr_assert(!lw_trip_cast_done(day.trip, 0, 0));
    cr_assert_eq(lw_trip_count_casts(day.trip), 3);
    day_undo(&day, HMS(7, 3, 0), second);
    cr_assert(!lw_trip_cast_done(day.trip, 1, 2));
    cr_assert_eq(lw_trip_count_casts(day.trip), 2);
    plan(&day, HMS(7, 4, 0), "one.geojson"); /* a restart names it again */
    cr_assert(lw_trip_cast_done(day.trip, 1, 1));
    plan(&day, HMS(7, 5, 0), "two.geojson");
    cr_assert(!lw_trip_cast_done(day.trip, 1, 1));
    cr_assert_eq(lw_trip_count_casts(day.trip), 2, "the day's count goes on");
    cr_assert_str_eq(lw_trip_plan_path(day.trip), "two.geojson");
    lw_trip_free(day.trip);
}

Test(trip, the_last_act_is_the_one_to_take_back)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id id, bite, fish;
    struct lw_event event;
    char what[64];

    setenv("TZ", "UTC0", 1);
    cr_assert(!lw_trip_last(day.trip, -1, &id, NULL, 0));
    bite = day_mark(&day, HMS(14, 24, 0), LW_MARK_BITE, HERE);
    event = day_mark_event(HMS(14, 25, 0), LW_MARK_FISH, HERE);
    event.u.mark.who = 1;
    snprintf(event.u.mark.who_name, sizeof event.u.mark.who_name, "Jo");
    fish = day_do(&day, event);
    day_track(&day, HMS(14, 26, 0), HERE);
    cr_assert(lw_trip_last(day.trip, -1, &id, what, sizeof what));
    cr_assert(lw_event_id_same(id, fish));
    cr_assert_str_eq(what, "fish, Jo, 14:25");
    cr_assert(lw_trip_last(day.trip, 0, &id, what, sizeof what));
    cr_assert(lw_event_id_same(id, bite));
    cr_assert_str_eq(what, "bite, Rae, 14:24");
    day_undo(&day, HMS(14, 27, 0), fish);
    cr_assert(lw_trip_last(day.trip, -1, &id, what, sizeof what));
    cr_assert(lw_event_id_same(id, bite));
    cr_assert(!lw_trip_last(day.trip, 1, &id, what, sizeof what));
    id = cast(&day, HMS(14, 28, 0), 1, 1);
    cr_assert(lw_trip_last(day.trip, -1, &bite, what, sizeof what));
    cr_assert(lw_event_id_same(id, bite));
    cr_assert_str_eq(what, "cast, 14:28");
    lw_trip_free(day.trip);
}

Test(trip, settings_keep_their_last_value)
{
    struct day day = day_begin(&day_rules);

    cr_assert(isnan(lw_trip_setting(day.trip, "wind_mps")));
    set(&day, HMS(7, 0, 0), "wind_mps", 4.5);
    set(&day, HMS(7, 1, 0), "water_c", 12);
    set(&day, HMS(7, 2, 0), "wind_mps", 6);
    cr_assert_float_eq(lw_trip_setting(day.trip, "wind_mps"), 6, 0);
    cr_assert_float_eq(lw_trip_setting(day.trip, "water_c"), 12, 0);
    set(&day, HMS(7, 3, 0), "wind_mps", NAN); /* cleared */
    cr_assert(isnan(lw_trip_setting(day.trip, "wind_mps")));
    lw_trip_free(day.trip);
}

/* A trip made without rules has them from its settings: the day replays with the rules it had. */
Test(trip, rules_come_from_settings_too)
{
    struct lw_trip_rules none = {.day_end_utc_ms = INT64_MAX};
    static const char *const names[] = {"dwell",       "away",       "place-radius", "return-after",
                                        "ripe-before", "late-after", "near"};
    struct day day = day_begin(&none);
    const struct lw_trip_rules *rules;

    for (int i = 0; i < 7; i++)
        set(&day, HMS(6, 0, 0), names[i], 100 + i);
    set(&day, HMS(6, 0, 0), "day_end_utc_ms", (double)HMS(19, 0, 0));
    rules = lw_trip_rules(day.trip);
    cr_assert_float_eq(rules->dwell_s, 100, 0);
    cr_assert_float_eq(rules->away_s, 101, 0);
    cr_assert_float_eq(rules->place_radius_m, 102, 0);
    cr_assert_float_eq(rules->return_after_s, 103, 0);
    cr_assert_float_eq(rules->ripe_before_s, 104, 0);
    cr_assert_float_eq(rules->late_after_s, 105, 0);
    cr_assert_float_eq(rules->near_m, 106, 0);
    cr_assert_eq(rules->day_end_utc_ms, HMS(19, 0, 0));
    set(&day, HMS(6, 0, 1), "day_end_utc_ms", NAN);
    cr_assert_eq(lw_trip_rules(day.trip)->day_end_utc_ms, INT64_MAX);
    lw_trip_free(day.trip);
}

Test(trip, changed_rules_leave_the_past_as_it_was)
{
    struct day day = day_begin(&day_rules);
    struct lw_event rule = lw_event_new(LW_EV_SETTING, HMS(7, 10, 0));
    struct lw_event_id second;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_do(&day, lw_event_new(LW_EV_DWELL_END, HMS(7, 10, 0)));
    strcpy(rule.u.setting.name, "return-after");
    rule.u.setting.value = 3600;
    day_do(&day, rule);
    second = day_mark(&day, HMS(7, 20, 0), LW_MARK_BITE, FAR_OFF);
    day_undo(&day, HMS(7, 21, 0), second); /* folds the day anew */
    day_mark(&day, HMS(7, 22, 0), LW_MARK_BITE, FAR_OFF);
    day_do(&day, lw_event_new(LW_EV_DWELL_END, HMS(7, 30, 0)));
    struct lw_trip_now now = day_now(&day, HMS(7, 30, 0));
    cr_assert_eq(now.returns, 2);
    cr_assert_eq(now.ret[0].target_utc_ms, HMS(8, 30, 0)); /* by the new rule */
    cr_assert_eq(now.ret[1].target_utc_ms, HMS(9, 40, 0)); /* by the old one */
    lw_trip_free(day.trip);
}

Test(trip, an_event_counts_once)
{
    struct day day = day_begin(&day_rules);
    struct lw_event event = day_mark_event(HMS(7, 0, 0), LW_MARK_BITE, HERE);

    event.id = (struct lw_event_id){5, 1};
    cr_assert(lw_trip_apply(day.trip, &event));
    cr_assert(!lw_trip_apply(day.trip, &event));
    cr_assert_eq(lw_trip_count_marks(day.trip, LW_MARK_BITE), 1);
    lw_trip_free(day.trip);
}

Test(trip, words_come_to_the_mark_and_an_edge_is_driven)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id note = day_mark(&day, HMS(7, 0, 0), LW_MARK_NOTE, HERE);
    struct lw_event words = lw_event_new(LW_EV_WORDS, HMS(7, 0, 20));
    struct lw_event drive = lw_event_new(LW_EV_DRIVE, HMS(7, 1, 0));
    const struct lw_mark *mark;
    const struct lw_ll *driven;
    size_t n;
    bool recording;

    words.u.words.target = note;
    snprintf(words.u.words.text, sizeof words.u.words.text, "sand here");
    day_do(&day, words);
    mark = lw_trip_marks(day.trip, &n);
    cr_assert_str_eq(mark[0].m.note, "sand here");

    cr_assert_null(lw_trip_driven(day.trip, &n, &recording));
    drive.u.drive.start = true;
    day_do(&day, drive);
    day_track(&day, HMS(7, 1, 1), north(0));
    day_track(&day, HMS(7, 1, 2), north(0)); /* stood still: no second vertex */
    day_track(&day, HMS(7, 1, 3), north(2));
    driven = lw_trip_driven(day.trip, &n, &recording);
    cr_assert_eq(n, 2);
    cr_assert(recording);
    cr_assert_eq(driven[1].lat_deg, north(2).lat_deg);
    drive.u.drive.start = false;
    drive.at_utc_ms = HMS(7, 1, 4);
    day_do(&day, drive);
    day_track(&day, HMS(7, 1, 5), north(9));
    lw_trip_driven(day.trip, &n, &recording);
    cr_assert_eq(n, 2);
    cr_assert(!recording);
    lw_trip_free(day.trip);
}

Test(trip, keeps_the_frozen_place_and_the_boats)
{
    struct day day = day_begin(&day_rules);
    struct lw_event freeze = lw_event_new(LW_EV_FREEZE, HMS(7, 5, 0));
    struct lw_where where;
    struct lw_ll boat;
    int64_t at;

    boat = lw_trip_boat(day.trip, &at);
    cr_assert(!lw_ll_known(boat));
    day_track(&day, HMS(7, 4, 59), HERE); /* seen 0.2 s before */
    boat = lw_trip_boat(day.trip, &at);
    cr_assert_eq(boat.lat_deg, HERE.lat_deg);
    cr_assert_eq(at, HMS(7, 4, 59) - 200);
    cr_assert(!lw_trip_frozen(day.trip, &where, &at));
    freeze.u.freeze.on = true;
    freeze.u.freeze.where.at = FAR_OFF;
    day_do(&day, freeze);
    cr_assert(lw_trip_frozen(day.trip, &where, &at));
    cr_assert_eq(at, HMS(7, 5, 0));
    cr_assert_eq(where.at.lat_deg, FAR_OFF.lat_deg);
    cr_assert(lw_trip_frozen(day.trip, NULL, NULL));
    freeze.u.freeze.on = false;
    freeze.at_utc_ms = HMS(7, 6, 0);
    day_do(&day, freeze);
    cr_assert(!lw_trip_frozen(day.trip, &where, &at));
    lw_trip_free(day.trip);
}

/* A mark from another terminal is read a second late; the boat was away meanwhile, or not yet. The
 * state is that of the order by time, which is how a restart will find it. */
Test(trip, events_that_crossed_are_folded_by_time)
{
    struct day live = day_begin(&day_rules), read = day_begin(&day_rules);
    struct lw_event other = day_mark_event(HMS(7, 0, 10), LW_MARK_BITE, HERE);
    char *a, *b;

    other.id = (struct lw_event_id){0x7, 1};
    day_stay(&live, HMS(7, 0, 0), HMS(7, 0, 12), HERE);
    lw_trip_at(live.trip, HMS(7, 0, 12), &(struct lw_trip_now){0}); /* folded already */
    cr_assert(lw_trip_apply(live.trip, &other));

    cr_assert(lw_trip_apply(read.trip, &other)); /* its row was before the batch of tracks */
    day_stay(&read, HMS(7, 0, 0), HMS(7, 0, 12), HERE);

    a = lw_trip_text(live.trip, HMS(7, 1, 0));
    b = lw_trip_text(read.trip, HMS(7, 1, 0));
    cr_assert_str_eq(a, b);
    cr_assert_float_eq(day_now(&live, HMS(7, 0, 12)).dwell.left_s, 1198, 1e-9);
    free(a);
    free(b);
    lw_trip_free(live.trip);
    lw_trip_free(read.trip);
}

Test(trip, an_id_says_when_it_began)
{
    char id[24];

    setenv("TZ", "UTC0", 1);
    lw_trip_id(id, HMS(7, 40, 12), 0x123456789ABC3F9C);
    cr_assert_str_eq(id, "20260511-074012-3f9c");
}

/* A day of ten hours, tracked once a second: taking back a mark folds it anew. */
Test(trip, undo_after_a_long_day_is_quick)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id last = {0, 0};
    int64_t began_ms, took_ms;

    for (int s = 0; s < 36000; s++) {
        if (s % 600 == 0)
            last = day_mark(&day, HMS(6, 0, s), LW_MARK_BITE, north(s % 7000));
        if (s % 25 == 0)
            cast(&day, HMS(6, 0, s), s / 1000 + 1, s % 7 + 1);
        day_track(&day, HMS(6, 0, s), north(s % 7000));
    }
    day_now(&day, HMS(16, 0, 0));
    day_undo(&day, HMS(16, 0, 1), last);
    began_ms = lw_clock_mono_ms();
    day_now(&day, HMS(16, 0, 1));
    took_ms = lw_clock_mono_ms() - began_ms;
    cr_log_info("folding 37,500 events anew: %lld ms", (long long)took_ms);
    cr_assert_lt(took_ms, 500, "even on a slow machine that also runs other tests");
    lw_trip_free(day.trip);
}

/* A clock that began in 1970: marks get their true time, and the day's end the right day. */
Test(trip, a_step_of_the_clock_sets_earlier_times_right)
{
    const int64_t step_ms = HMS(7, 0, 0) - 3600000; /* at 07:00:00 the clock says 1970, 01:00:00 */
    struct day day = day_begin(&day_rules);
    struct lw_event other = day_mark_event(HMS(7, 2, 0) - step_ms, LW_MARK_NOTE, HERE);
    const struct lw_mark *mark;
    size_t n;

    set(&day, HMS(7, 0, 30) - step_ms, "day_end_utc_ms", (double)(20 * 3600000)); /* 20:00 */
    day_mark(&day, HMS(7, 1, 0) - step_ms, LW_MARK_BITE, HERE);
    other.id = (struct lw_event_id){0xB, 1}; /* from another terminal, by the same clock */
    cr_assert(lw_trip_apply(day.trip, &other));
    day_clock(&day, HMS(7, 3, 0), step_ms);
    mark = lw_trip_marks(day.trip, &n);
    cr_assert_eq(n, 2);
    cr_assert_eq(mark[0].at_utc_ms, HMS(7, 1, 0));
    cr_assert_eq(mark[1].at_utc_ms, HMS(7, 2, 0));
    cr_assert_float_eq(day_now(&day, HMS(7, 3, 0)).dwell.left_s, 1080, 1e-9);
    cr_assert_eq(lw_trip_rules(day.trip)->day_end_utc_ms, HMS(20, 0, 0));
    lw_trip_free(day.trip);
}
