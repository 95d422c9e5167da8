/* Recorded days (one event a line) fold to the state written beside them, in whatever way they are
 * folded. The expected texts were worked out by hand from the rules, not printed by the program.
 *
 * day-1: an evening that runs past midnight; the day is set to end at 02:00.
 *   17:33:05 bite founds A (dwell to 17:53:05); 17:40:00 fish, 6 m north, fills it (to 18:00:00).
 *   17:45:00 to 17:49:59 the boat is 108 m off: 4:59 away, so 15 min remain: to 18:04:59.
 *   17:55:00 a bite by mistake, taken back 17:55:04: nothing of it stays. 17:58:00 a follow from
 *   another terminal, read a second late. A: mean of 46, 46.00005, 46.00001 and at last 46.
 *   18:04:59 A's dwell ends, its return aims at 20:34:59; snoozed 20:25:00 by 30 min: 21:04:59;
 *   called ripe, due, near. 19:00 fish founds B; by key ended 19:05, return 21:35:00, dropped.
 *   23:55:00 a bite at A closes A's return and opens a dwell that ends at 00:15:00: at 00:10 300 s
 *   are left. Its return would aim at 02:45, but not later than 02:00 less a dwell: 01:40.
 * day-2: a receiver tells a wrong time for a while, and the laptop sleeps.
 *   22:10:00 bite founds A (to 22:30:00). At 22:15 the clock is set an hour on: to 23:30:00.
 *   23:20:00 bite founds B, 222 m north: A's dwell ends, return 01:50:00; B's dwell to 23:40:00.
 *   23:22:00 away with 18 min left; at 23:24 the clock is set an hour back: away since 22:22:00,
 *   A's return 00:50:00, and B's bite was at 22:20:00 (A's, on and back, at 22:10:00). 22:26:59
 * back after 4:59. Then it sleeps: B's dwell ends 22:26:59 + 18:00 = 22:44:59, return 01:14:59.
 * 00:30 awake, 555 and 334 m off: both armed. 00:36 A called ripe. At 01:30 A is late (from 01:20),
 * B due. */
#include "lipwalk/journal/journal.h"

#include "day.h"

#define EVENTS_MAX 100

struct recorded {
    struct lw_event event[EVENTS_MAX];
    size_t n;
};

static void read_day(const char *name, struct recorded *day)
{
    FILE *from = fopen(name, "r");
    struct lw_error err = {""};
    char line[4096];

    cr_assert_not_null(from, "%s: run the tests from the checkout's top", name);
    day->n = 0;
    while (fgets(line, sizeof line, from)) {
        line[strcspn(line, "\n")] = '\0';
        cr_assert_lt(day->n, EVENTS_MAX);
        cr_assert_eq(lw_event_from_json(line, &day->event[day->n++], &err), 0, "%s: %s", name,
                     err.text);
    }
    fclose(from);
    cr_assert_gt(day->n, 10);
}

static char *read_text(const char *name)
{
    FILE *from = fopen(name, "r");
    char *text = calloc(1, 100000);

    cr_assert_not_null(from, "%s", name);
    cr_assert_gt(fread(text, 1, 99999, from), 0);
    fclose(from);
    return text;
}

static struct lw_trip *blank(void)
{
    struct lw_trip_rules none = {.day_end_utc_ms = INT64_MAX}; /* the day's settings bring them */

    return lw_trip_new(&none);
}

static void expect_text(const struct lw_trip *trip, int64_t at, const char *wanted)
{
    char *text = lw_trip_text(trip, at);

    cr_assert_str_eq(text, wanted);
    free(text);
}

static void fold_in_one_go(const struct recorded *day, int64_t at, const char *wanted)
{
    struct lw_trip *trip = blank();

    for (size_t i = 0; i < day->n; i++)
        lw_trip_apply(trip, &day->event[i]);
    expect_text(trip, at, wanted);
    lw_trip_free(trip);
}

static void fold_with_questions_between(const struct recorded *day, int64_t at, const char *wanted)
{
    struct lw_trip *trip = blank();
    struct lw_trip_now now;
    struct lw_ev_call calls[8];

    for (size_t i = 0; i < day->n; i++) {
        lw_trip_apply(trip, &day->event[i]);
        lw_trip_at(trip, day->event[i].at_utc_ms, &now);
        lw_trip_at(trip, day->event[i].at_utc_ms + 36000000, &now);
        lw_trip_calls(trip, day->event[i].at_utc_ms, HERE, calls, 8);
    }
    expect_text(trip, at, wanted);
    lw_trip_free(trip);
}

static int fold_one(void *trip, const struct lw_event *event)
{
    lw_trip_apply(trip, event);
    return 0;
}

/* The day through a journal; the program is started again after each `part` events. The journal
 * gives the events new ids, so those that name one (an undo, a call) are told the new one. */
static void fold_through_a_journal(const struct recorded *day, size_t part, int64_t at)
{
    char folder[512], path[600], *wanted, *text;
    struct lw_error err = {""};
    struct lw_event_id now_is[EVENTS_MAX];
    struct lw_trip *straight = blank(), *read = NULL;
    struct lw_journal *journal = NULL;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/day.db", folder);
    for (size_t i = 0; i < day->n; i++) {
        struct lw_event event = day->event[i];
        struct lw_event_id *target = event.kind == LW_EV_UNDO     ? &event.u.undo.target
                                     : event.kind == LW_EV_WORDS  ? &event.u.words.target
                                     : event.kind == LW_EV_CALL   ? &event.u.call.place
                                     : event.kind == LW_EV_RETURN ? &event.u.ret.place
                                                                  : NULL;

        for (size_t k = 0; target && k < i; k++)
            if (lw_event_id_same(day->event[k].id, *target)) {
                *target = now_is[k];
                break;
            }
        if (i % part == 0) {
            int64_t after = 0;

            cr_assert_eq(lw_journal_close(journal, &err), 0, "%s", err.text);
            lw_trip_free(read);
            read = blank();
            cr_assert_eq(lw_journal_open(path, &journal, &err), 0, "%s", err.text);
            cr_assert_eq(lw_journal_read(journal, day->event[0].trip, false, &after, fold_one, read,
                                         NULL, &err),
                         0, "%s", err.text);
        }
        cr_assert_eq(lw_journal_append(journal, &event, &err), 0, "%s", err.text);
        now_is[i] = event.id;
        lw_trip_apply(straight, &event);
        lw_trip_apply(read, &event);
    }
    wanted = lw_trip_text(straight, at);
    text = lw_trip_text(read, at);
    cr_assert_str_eq(text, wanted);
    cr_assert_gt(strlen(text), 1000);
    free(wanted);
    free(text);
    cr_assert_eq(lw_journal_close(journal, &err), 0, "%s", err.text);
    lw_trip_free(straight);
    lw_trip_free(read);
}

static void replay(const char *events, const char *expected, int64_t at)
{
    static struct recorded day;
    char *wanted = read_text(expected);

    read_day(events, &day);
    fold_in_one_go(&day, at, wanted);
    fold_with_questions_between(&day, at, wanted);
    for (size_t part = 7; part < day.n; part += 9)
        fold_through_a_journal(&day, part, at);
    free(wanted);
}

Test(replay, an_evening_past_midnight)
{
    replay("tests/trip/day-1.ndjson", "tests/trip/day-1.txt", HMS(24, 10, 0));
}

Test(replay, a_day_of_wrong_clocks)
{
    replay("tests/trip/day-2.ndjson", "tests/trip/day-2.txt", HMS(25, 30, 0));
}

/* day-1 later that night: the dwell has run out, and the day's end brought its return forward. */
Test(replay, the_evening_as_it_goes_on)
{
    static struct recorded day;
    struct lw_trip *trip = blank();
    struct lw_trip_now now;

    read_day("tests/trip/day-1.ndjson", &day);
    for (size_t i = 0; i < day.n; i++)
        lw_trip_apply(trip, &day.event[i]);
    lw_trip_at(trip, HMS(24, 15, 0), &now);
    cr_assert(!now.dwell.open);
    cr_assert_eq(now.returns, 1);
    cr_assert_eq(now.ret[0].place, 0);
    cr_assert_eq(now.ret[0].target_utc_ms, HMS(25, 40, 0));
    cr_assert_eq(now.ret[0].state, LW_RET_RESTING);
    lw_trip_at(trip, HMS(25, 45, 0), &now);
    cr_assert_eq(now.ret[0].state, LW_RET_DUE);
    lw_trip_free(trip);
}

/* Each line of a recorded day read and written again says the same. */
Test(replay, a_recorded_line_is_read_and_written_alike)
{
    static struct recorded day;
    char line[4096], again[4096];
    struct lw_event back;

    read_day("tests/trip/day-1.ndjson", &day);
    for (size_t i = 0; i < day.n; i++) {
        cr_assert_eq(lw_event_to_json(&day.event[i], line, sizeof line, NULL), 0);
        cr_assert_eq(lw_event_from_json(line, &back, NULL), 0);
        cr_assert_eq(lw_event_to_json(&back, again, sizeof again, NULL), 0);
        cr_assert_str_eq(line, again);
    }
}
