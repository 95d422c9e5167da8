/* Random days, 300 of them: however a day is folded, it ends in the same state.
 *
 * The texts that are compared are lw_trip_text's: equal text, equal state. */
#include "day.h"
#include "lipwalk/journal/journal.h"

#define DAYS       300
#define EVENTS_MAX 400
#define START      HMS(12, 0, 0)

struct random_day {
    struct lw_event event[EVENTS_MAX];
    int n;
    int64_t end_utc_ms; /* its last event's time, or later */
};

static uint64_t dice;
static int roll(int sides) /* 0 to sides - 1; a 64-bit LCG (Knuth, TAOCP 2, from memory) */
{
    dice = dice * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int)((dice >> 33) % (uint64_t)sides);
}

static struct lw_event_id any_of(const struct random_day *day, enum lw_event_kind kind)
{
    for (int tries = 0; day->n && tries < 50; tries++) {
        const struct lw_event *event = &day->event[roll(day->n)];

        if (event->kind == kind)
            return event->id;
    }
    return (struct lw_event_id){0, 0};
}

static struct lw_event random_event(const struct random_day *day, int64_t at, bool undos)
{
    static const enum lw_event_kind kinds[] = {
        LW_EV_TRACK,  LW_EV_TRACK,     LW_EV_TRACK,   LW_EV_TRACK, LW_EV_TRACK,   LW_EV_MARK,
        LW_EV_MARK,   LW_EV_MARK,      LW_EV_UNDO,    LW_EV_CAST,  LW_EV_CAST,    LW_EV_WORDS,
        LW_EV_RETURN, LW_EV_DWELL_END, LW_EV_CALL,    LW_EV_PLAN,  LW_EV_SETTING, LW_EV_DRIVE,
        LW_EV_FREEZE, LW_EV_TRIP,      LW_EV_TRIP_END};
    static const char *const rules[] = {"dwell", "away", "return-after", "near"};
    enum lw_event_kind kind = kinds[roll(sizeof kinds / sizeof *kinds)];
    struct lw_event event = lw_event_new(kind, at);
    struct lw_ll place = north(roll(6) * 15 + roll(5) * 100);

    if (!undos && (kind == LW_EV_UNDO || kind == LW_EV_WORDS))
        return lw_event_new(LW_EV_DWELL_END, at);
    switch (kind) {
    case LW_EV_TRACK:
        event.u.track.where.at = place;
        event.u.track.where.age_s = roll(8);
        break;
    case LW_EV_MARK:
        event = day_mark_event(at, (enum lw_mark_kind)roll(LW_MARK_KINDS),
                               roll(8) ? place : (struct lw_ll){NAN, NAN});
        break;
    case LW_EV_UNDO:
        event.u.undo.target = any_of(day, roll(4) ? LW_EV_MARK : LW_EV_CAST);
        break;
    case LW_EV_CAST:
        event.u.cast.station = roll(4);
        event.u.cast.cast = roll(4);
        event.u.cast.where.at = place;
        break;
    case LW_EV_WORDS:
        event.u.words.target = any_of(day, LW_EV_MARK);
        snprintf(event.u.words.text, sizeof event.u.words.text, "words %d", roll(1000));
        break;
    case LW_EV_RETURN:
        event.u.ret.place = any_of(day, LW_EV_MARK);
        event.u.ret.act = (enum lw_return_act)roll(3);
        event.u.ret.snooze_s = 60 * roll(60);
        break;
    case LW_EV_CALL:
        event.u.call.place = any_of(day, LW_EV_MARK);
        event.u.call.step = (enum lw_call_step)roll(4);
        event.u.call.target_utc_ms = at + 60000 * (roll(60) - 30);
        break;
    case LW_EV_PLAN:
        snprintf(event.u.plan.path, sizeof event.u.plan.path, "plan-%d", roll(2));
        break;
    case LW_EV_SETTING:
        snprintf(event.u.setting.name, sizeof event.u.setting.name, "%s", rules[roll(4)]);
        event.u.setting.value = 60 * (1 + roll(40));
        break;
    case LW_EV_DRIVE:
        event.u.drive.start = roll(2);
        break;
    case LW_EV_FREEZE:
        event.u.freeze.on = roll(2);
        event.u.freeze.where.at = place;
        break;
    default:
        break;
    }
    return event;
}

/* One process and another terminal, each with sequences of its own; times run on, by up to five
 * minutes a step. Clock steps, and undos and words for marks, where wanted. */
static void make_day(struct random_day *day, bool steps, bool undos)
{
    uint64_t seq[2] = {0, 0};
    int64_t at = START;

    day->n = 0;
    for (int wanted = 50 + roll(EVENTS_MAX - 50); day->n < wanted;) {
        struct lw_event event = random_event(day, at, undos);
        int who = event.kind == LW_EV_MARK && roll(4) == 0;

        if (steps && roll(60) == 0) {
            int64_t step_ms = 60000 * (roll(240) - 120);

            at += step_ms;
            event = lw_event_new(LW_EV_CLOCK, at);
            event.u.clock.step_ms = step_ms;
            who = 0;
        }
        snprintf(event.trip, sizeof event.trip, "day");
        event.id = (struct lw_event_id){(uint64_t)who + 7, ++seq[who]};
        day->event[day->n++] = event;
        at += roll(3) ? 1000 * roll(20) : 1000 * roll(300);
    }
    day->end_utc_ms = at + 60000 * roll(300);
}

static struct lw_trip *folded(const struct random_day *day)
{
    struct lw_trip *trip = lw_trip_new(&day_rules);

    cr_assert_not_null(trip);
    for (int i = 0; i < day->n; i++)
        cr_assert(lw_trip_apply(trip, &day->event[i]));
    return trip;
}

/* Compares and frees both. */
static void expect_same(struct lw_trip *a, struct lw_trip *b, int64_t at, const char *what, int n)
{
    char *x = lw_trip_text(a, at), *y = lw_trip_text(b, at);

    cr_assert_str_eq(x, y, "day %d, %s:\n%s\n---\n%s", n, what, x, y);
    free(x);
    free(y);
    lw_trip_free(a);
    lw_trip_free(b);
}

Test(property, asking_on_the_way_changes_nothing)
{
    static struct random_day day;

    for (int n = 0; n < DAYS; n++) {
        struct lw_trip *asked = lw_trip_new(&day_rules);
        struct lw_ev_call calls[8];
        struct lw_trip_now now;

        dice = (uint64_t)n;
        make_day(&day, n % 2, true);
        for (int i = 0; i < day.n; i++) {
            lw_trip_apply(asked, &day.event[i]);
            if (roll(3))
                continue;
            lw_trip_at(asked, day.event[i].at_utc_ms + 1000 * roll(7200), &now);
            lw_trip_calls(asked, day.event[i].at_utc_ms + 1000 * roll(7200), HERE, calls, 8);
            cr_assert(!lw_trip_apply(asked, &day.event[roll(i + 1)]), "seen before");
        }
        expect_same(folded(&day), asked, day.end_utc_ms, "asked on the way", n);
    }
}

static int apply(void *context, const struct lw_event *event)
{
    lw_trip_apply(context, event);
    return 0;
}

Test(property, a_journal_gives_the_day_back)
{
    static struct random_day day;
    char folder[512], path[600];

    lw_test_scratch(folder, sizeof folder);
    for (int n = 0; n < 20; n++) {
        struct lw_trip *back = lw_trip_new(&day_rules);
        struct lw_journal *j;
        struct lw_error err = {""};
        int64_t after = 0;
        int bad = 0;

        dice = 1000 + (uint64_t)n;
        make_day(&day, n % 2, true);
        snprintf(path, sizeof path, "%s/%d.db", folder, n);
        cr_assert_eq(lw_journal_open(path, &j, &err), 0, "%s", err.text);
        for (int i = 0; i < day.n; i++) { /* one origin writes here: the ids become its own */
            for (int k = i + 1; k < day.n; k++) {
                struct lw_event_id *target[] = {
                    day.event[k].kind == LW_EV_UNDO ? &day.event[k].u.undo.target : NULL,
                    day.event[k].kind == LW_EV_WORDS ? &day.event[k].u.words.target : NULL,
                    day.event[k].kind == LW_EV_RETURN ? &day.event[k].u.ret.place : NULL,
                    day.event[k].kind == LW_EV_CALL ? &day.event[k].u.call.place : NULL};

                for (size_t t = 0; t < sizeof target / sizeof *target; t++)
                    if (target[t] && lw_event_id_same(*target[t], day.event[i].id))
                        *target[t] = (struct lw_event_id){lw_journal_origin(j), (uint64_t)i + 1};
            }
            cr_assert_eq(lw_journal_append(j, &day.event[i], &err), 0, "%s", err.text);
            cr_assert_eq(day.event[i].id.seq, (uint64_t)i + 1);
        }
        cr_assert_eq(lw_journal_close(j, &err), 0, "%s", err.text);
        cr_assert_eq(lw_journal_open(path, &j, &err), 0, "%s", err.text);
        cr_assert_eq(lw_journal_read(j, "day", false, &after, apply, back, &bad, &err), 0);
        cr_assert_eq(bad, 0);
        cr_assert_eq(lw_journal_close(j, &err), 0);
        expect_same(folded(&day), back, day.end_utc_ms, "read back", n);
    }
}

/* Takes out the lines with that in them. */
static void drop_lines(char *text, const char *part)
{
    char *to = text;

    for (char *from = text, *end; *from; from = end) {
        size_t n = strcspn(from, "\n");
        char *found = strstr(from, part);

        end = from + n + (from[n] == '\n');
        if (!found || found >= end) {
            memmove(to, from, (size_t)(end - from));
            to += end - from;
        }
    }
    *to = '\0';
}

static bool founded(const struct lw_trip *trip, struct lw_event_id id)
{
    size_t n;
    const struct lw_place *place = lw_trip_places(trip, &n);

    while (n--)
        if (lw_event_id_same(place[n].id, id))
            return true;
    return false;
}

/* A mark or cast taken back leaves what would be had it never been made, but for its own
 * crossed-out line and the count of casts where a plan began. Marks that founded a place are passed
 * over: the label stays taken. */
Test(property, what_is_taken_back_never_was)
{
    static struct random_day day, without;
    int compared = 0;

    for (int n = 0; n < DAYS; n++) {
        struct lw_trip *a, *b;
        struct lw_event undo = lw_event_new(LW_EV_UNDO, 0);
        char *x, *y;
        int out;

        dice = 5000 + (uint64_t)n;
        make_day(&day, false, false); /* no other undo */
        do
            out = roll(day.n);
        while (day.event[out].kind != LW_EV_CAST && day.event[out].kind != LW_EV_MARK);
        without = day;
        memmove(&without.event[out], &without.event[out + 1],
                (size_t)(day.n - out - 1) * sizeof day.event[0]);
        without.n--;
        undo.at_utc_ms = day.event[day.n - 1].at_utc_ms;
        undo.id = (struct lw_event_id){7, 100000};
        undo.u.undo.target = day.event[out].id;
        a = folded(&day);
        b = folded(&without);
        lw_trip_apply(a, &undo);
        lw_trip_apply(b, &undo);
        x = lw_trip_text(a, day.end_utc_ms);
        y = lw_trip_text(b, day.end_utc_ms);
        drop_lines(x, " undone");
        drop_lines(x, " from_cast ");
        drop_lines(y, " from_cast ");
        compared += !founded(a, day.event[out].id);
        cr_assert(founded(a, day.event[out].id) || strcmp(x, y) == 0,
                  "day %d, without event %d:\n%s\n---\n%s", n, out, x, y);
        free(x);
        free(y);
        lw_trip_free(a);
        lw_trip_free(b);
    }
    cr_assert_gt(compared, DAYS * 3 / 4);
}
