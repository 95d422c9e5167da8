/* Places: clusters of marks, their labels, and marks taken back. */
#include "day.h"

static const struct lw_place *place_of(const struct day *day, size_t index)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(day->trip, &n);

    cr_assert_lt(index, n);
    return &place[index];
}

static size_t places(const struct day *day)
{
    size_t n;

    lw_trip_places(day->trip, &n);
    return n;
}

static const struct lw_mark *mark_of(const struct day *day, size_t index)
{
    size_t n;
    const struct lw_mark *mark = lw_trip_marks(day->trip, &n);

    cr_assert_lt(index, n);
    return &mark[index];
}

Test(place, marks_within_the_radius_are_one)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, north(0));
    day_mark(&day, HMS(7, 1, 0), LW_MARK_FISH, north(18));   /* mean: 9 m north */
    day_mark(&day, HMS(7, 2, 0), LW_MARK_FOLLOW, north(27)); /* 18 m from it; mean: 15 m */
    day_mark(&day, HMS(7, 3, 0), LW_MARK_BITE, north(36));   /* 21 m from it: another */
    cr_assert_eq(places(&day), 2);
    cr_assert_eq(place_of(&day, 0)->marks, 3);
    cr_assert_eq(place_of(&day, 0)->bites, 1);
    cr_assert_eq(place_of(&day, 0)->fish, 1);
    cr_assert_eq(place_of(&day, 0)->last_utc_ms, HMS(7, 1, 0), "of the last productive mark");
    cr_assert_float_eq(place_of(&day, 0)->at.lat_deg, north(15).lat_deg, 1e-9);
    cr_assert_eq(place_of(&day, 1)->marks, 1);
    cr_assert_eq(mark_of(&day, 2)->place, 0);
    cr_assert_eq(mark_of(&day, 3)->place, 1);
    lw_trip_free(day.trip);
}

Test(place, joins_the_nearest_of_two)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, north(0));
    day_mark(&day, HMS(7, 1, 0), LW_MARK_BITE, north(30));
    day_mark(&day, HMS(7, 2, 0), LW_MARK_BITE, north(16)); /* 16 and 14 m */
    cr_assert_eq(mark_of(&day, 2)->place, 1);
    lw_trip_free(day.trip);
}

Test(place, snags_and_notes_make_none)
{
    struct day day = day_begin(&day_rules);

    day_mark(&day, HMS(7, 0, 0), LW_MARK_SNAG, HERE);
    day_mark(&day, HMS(7, 0, 1), LW_MARK_NOTE, HERE);
    cr_assert_eq(places(&day), 0);
    cr_assert_eq(mark_of(&day, 0)->place, -1);
    day_mark(&day, HMS(7, 0, 2), LW_MARK_FOLLOW, HERE); /* a place, but no dwell */
    cr_assert_eq(places(&day), 1);
    cr_assert_eq(place_of(&day, 0)->last_utc_ms, 0);
    lw_trip_free(day.trip);
}

Test(place, labels_run_from_a_to_z_and_on)
{
    struct day day = day_begin(&day_rules);

    for (int i = 0; i < 704; i++)
        day_mark(&day, HMS(7, 0, i), LW_MARK_FOLLOW, north(100 * i));
    cr_assert_str_eq(place_of(&day, 0)->label, "A");
    cr_assert_str_eq(place_of(&day, 25)->label, "Z");
    cr_assert_str_eq(place_of(&day, 26)->label, "AA");
    cr_assert_str_eq(place_of(&day, 51)->label, "AZ");
    cr_assert_str_eq(place_of(&day, 52)->label, "BA");
    cr_assert_str_eq(place_of(&day, 701)->label, "ZZ");
    cr_assert_str_eq(place_of(&day, 702)->label, "AAA");
    lw_trip_free(day.trip);
}

Test(place, a_mark_without_position_belongs_to_the_running_dwell)
{
    struct day day = day_begin(&day_rules);
    struct lw_ll nowhere = {NAN, NAN};
    struct lw_event stale;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, nowhere); /* no dwell runs: no place */
    cr_assert_eq(places(&day), 0);
    cr_assert(!day_now(&day, HMS(7, 0, 0)).dwell.open);
    cr_assert_eq(lw_trip_count_marks(day.trip, LW_MARK_BITE), 1, "the mark is kept");

    day_mark(&day, HMS(7, 5, 0), LW_MARK_BITE, HERE);
    day_mark(&day, HMS(7, 10, 0), LW_MARK_FISH, nowhere);
    cr_assert_eq(mark_of(&day, 2)->place, 0);
    cr_assert_float_eq(day_now(&day, HMS(7, 10, 0)).dwell.left_s, 1200, 1e-9);
    stale = day_mark_event(HMS(7, 12, 0), LW_MARK_BITE, FAR_OFF); /* where it was 2 min ago */
    stale.u.mark.where.age_s = 120;
    day_do(&day, stale);
    cr_assert_eq(places(&day), 1);
    cr_assert_eq(place_of(&day, 0)->bites, 2);
    cr_assert_eq(place_of(&day, 0)->fish, 1);
    cr_assert_float_eq(place_of(&day, 0)->at.lat_deg, HERE.lat_deg, 1e-12, "it did not move");
    lw_trip_free(day.trip);
}

/* Everything of the two texts is the same but for lines that begin with one of the words. */
static void expect_same_but(const struct day *a, const struct day *b, int64_t at, const char *but)
{
    char *x = lw_trip_text(a->trip, at), *y = lw_trip_text(b->trip, at), *save_x, *save_y;
    char *line_x = strtok_r(x, "\n", &save_x), *line_y = strtok_r(y, "\n", &save_y);

    while (line_x || line_y) {
        if (line_x && strstr(line_x, but))
            line_x = strtok_r(NULL, "\n", &save_x);
        else if (line_y && strstr(line_y, but))
            line_y = strtok_r(NULL, "\n", &save_y);
        else {
            cr_assert(line_x && line_y && strcmp(line_x, line_y) == 0, "\"%s\" is not \"%s\"",
                      line_x ? line_x : "", line_y ? line_y : "");
            line_x = strtok_r(NULL, "\n", &save_x);
            line_y = strtok_r(NULL, "\n", &save_y);
        }
    }
    free(x);
    free(y);
}

Test(place, a_bite_taken_back_was_never_there)
{
    struct day with = day_begin(&day_rules), without = day_begin(&day_rules);
    struct lw_event_id wrong;

    for (int i = 0; i < 2; i++) {
        struct day *day = i ? &without : &with;

        day_mark(day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
        day_stay(day, HMS(7, 0, 1), HMS(7, 12, 0), HERE);
        if (i == 0)
            wrong = day_mark(day, HMS(7, 12, 1), LW_MARK_FISH, north(4));
        else
            day->seq++;
        day_stay(day, HMS(7, 12, 2), HMS(7, 12, 30), HERE);
    }
    cr_assert_float_eq(day_now(&with, HMS(7, 12, 30)).dwell.left_s, 1171, 1e-9);
    day_undo(&with, HMS(7, 12, 31), wrong);
    cr_assert_float_eq(day_now(&with, HMS(7, 13, 0)).dwell.left_s, 420, 1e-9);
    cr_assert_eq(lw_trip_count_marks(with.trip, LW_MARK_FISH), 0);
    expect_same_but(&with, &without, HMS(7, 13, 0), " undone");
    expect_same_but(&with, &without, HMS(10, 0, 0), " undone");
    lw_trip_free(with.trip);
    lw_trip_free(without.trip);
}

Test(place, undo_brings_back_the_return_that_the_bite_had_closed)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id wrong;
    struct lw_trip_now now;

    day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);
    day_track(&day, HMS(8, 0, 0), FAR_OFF);
    wrong = day_mark(&day, HMS(8, 30, 0), LW_MARK_BITE, HERE);
    cr_assert_eq(day_now(&day, HMS(8, 30, 0)).returns, 0);
    day_undo(&day, HMS(8, 30, 10), wrong);
    now = day_now(&day, HMS(8, 31, 0));
    cr_assert(!now.dwell.open);
    cr_assert_eq(now.returns, 1);
    cr_assert_eq(now.ret[0].target_utc_ms, HMS(9, 50, 0)); /* 7:20 + 2:30 */
    lw_trip_free(day.trip);
}

Test(place, labels_stay_when_a_founding_mark_is_taken_back)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id a = day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, HERE);

    day_mark(&day, HMS(7, 1, 0), LW_MARK_BITE, FAR_OFF);
    day_undo(&day, HMS(7, 1, 30), a);
    cr_assert(place_of(&day, 0)->gone);
    cr_assert_eq(place_of(&day, 0)->marks, 0);
    cr_assert_eq(mark_of(&day, 0)->place, -1);
    cr_assert_str_eq(place_of(&day, 1)->label, "B");
    cr_assert_eq(day_now(&day, HMS(7, 2, 0)).returns, 0, "A's dwell never was");
    day_mark(&day, HMS(7, 5, 0), LW_MARK_FISH, north(12)); /* the key that was meant */
    cr_assert_eq(places(&day), 2);
    cr_assert(!place_of(&day, 0)->gone);
    cr_assert_eq(place_of(&day, 0)->fish, 1);
    cr_assert_float_eq(place_of(&day, 0)->at.lat_deg, north(12).lat_deg, 1e-12,
                       "the mark taken back no longer pulls");
    lw_trip_free(day.trip);
}

Test(place, a_mark_joins_a_place_with_marks_before_one_that_is_gone)
{
    struct day day = day_begin(&day_rules);
    struct lw_event_id gone = day_mark(&day, HMS(7, 0, 0), LW_MARK_BITE, north(0));

    day_undo(&day, HMS(7, 0, 10), gone);
    day_mark(&day, HMS(7, 1, 0), LW_MARK_BITE, north(25));
    day_mark(&day, HMS(7, 2, 0), LW_MARK_BITE, north(8)); /* 8 m from the one, 17 from the other */
    cr_assert_eq(mark_of(&day, 2)->place, 1);
    cr_assert(place_of(&day, 0)->gone);
    lw_trip_free(day.trip);
}

Test(place, undo_may_come_before_its_target)
{
    struct day day = day_begin(&day_rules);
    struct lw_event late = day_mark_event(HMS(7, 0, 0), LW_MARK_BITE, HERE);

    late.id = (struct lw_event_id){0xB2, 1};
    day_undo(&day, HMS(7, 0, 1), late.id);
    cr_assert(lw_trip_apply(day.trip, &late));
    cr_assert(mark_of(&day, 0)->undone);
    cr_assert(!day_now(&day, HMS(7, 0, 2)).dwell.open);
    lw_trip_free(day.trip);
}
