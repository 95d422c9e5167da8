/* Events as JSON: every member of every kind comes back to the bit. The list of members here is
 * written apart from the one in src/event, so that a member forgotten there is missed here. */
#include "lw_test.h"

#include <inttypes.h>
#include <math.h>
#include <stdint.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/event/event.h"

/* D(ouble), I(nt), B(ool), T(ext), M(illiseconds), W(hen), X (an id), E(num, count) */
#define WHERE(D, w) D(w.at.lat_deg) D(w.at.lon_deg) D(w.age_s) D(w.sigma_m) D(w.along_m) D(w.off_m)
#define MEMBERS(KIND, D, I, B, T, M, W, X, E)                                                      \
    KIND(LW_EV_TRIP,                                                                               \
         T(u.trip.name) T(u.trip.map) T(u.trip.plan) T(u.trip.crew[0]) T(u.trip.crew[1]))          \
    KIND(LW_EV_TRIP_END, )                                                                         \
    KIND(LW_EV_TRACK,                                                                              \
         WHERE(D, u.track.where) D(u.track.sog_mps) D(u.track.cog_deg) D(u.track.heading_deg)      \
             D(u.track.depth_m) D(u.track.water_c) D(u.track.wind_mps) D(u.track.wind_from_deg))   \
    KIND(LW_EV_MARK,                                                                               \
         E(u.mark.kind, LW_MARK_KINDS) I(u.mark.who) T(u.mark.who_name) WHERE(D, u.mark.where)     \
             D(u.mark.bait.lat_deg) D(u.mark.bait.lon_deg) B(u.mark.bait_from_cast)                \
                 I(u.mark.station) I(u.mark.cast) D(u.mark.depth_m) D(u.mark.map_depth_m)          \
                     D(u.mark.water_c) D(u.mark.wind_mps) D(u.mark.wind_from_deg) T(u.mark.note))  \
    KIND(LW_EV_WORDS, X(u.words.target) T(u.words.text))                                           \
    KIND(LW_EV_UNDO, X(u.undo.target))                                                             \
    KIND(LW_EV_CAST, I(u.cast.station) I(u.cast.cast) I(u.cast.who) WHERE(D, u.cast.where)         \
                         D(u.cast.landing.lat_deg) D(u.cast.landing.lon_deg))                      \
    KIND(LW_EV_DWELL_END, )                                                                        \
    KIND(LW_EV_RETURN, X(u.ret.place) E(u.ret.act, LW_RETURN_DROP + 1) D(u.ret.snooze_s))          \
    KIND(LW_EV_CALL, X(u.call.place) E(u.call.step, LW_CALL_NEAR + 1) W(u.call.target_utc_ms))     \
    KIND(LW_EV_SETTING, T(u.setting.name) D(u.setting.value) T(u.setting.text))                    \
    KIND(LW_EV_PLAN, T(u.plan.path))                                                               \
    KIND(LW_EV_DRIVE, B(u.drive.start))                                                            \
    KIND(LW_EV_FREEZE, B(u.freeze.on) WHERE(D, u.freeze.where))                                    \
    KIND(LW_EV_CLOCK, M(u.clock.step_ms))

static uint64_t dice; /* xorshift64*, seeded by each test */

static uint64_t roll(void)
{
    dice ^= dice >> 12;
    dice ^= dice << 25;
    dice ^= dice >> 27;
    return dice * UINT64_C(2685821657736338717);
}

static double any_double(void)
{
    static const double odd[] = {0.0,    -0.0,     1.0,  -93.65, 0.1,  1e22, 5e-324, -2.5e-310,
                                 1e-300, 1.7e+308, 1e17, 1e15,   46.2, NAN,  NAN};
    union {
        uint64_t bits;
        double value;
    } any;

    if (roll() % 3 == 0)
        return odd[roll() % (sizeof odd / sizeof *odd)];
    do
        any.bits = roll();
    while (!isfinite(any.value));
    return any.value;
}

static int any_int(void)
{
    return roll() % 2 ? (int)(roll() % 9) : (int)(uint32_t)roll();
}

/* Text that stays as it is: UTF-8 without control characters, some that JSON must escape. */
static void any_text(char *to, size_t size)
{
    static const char *const bits[] = {"a", " ", "\"", "\\", "/", "å", "湖", "🐟", "{", "'", "\\u"};
    size_t used = 0, want = roll() % size;

    while (used < want) {
        const char *bit = bits[roll() % (sizeof bits / sizeof *bits)];

        if (used + strlen(bit) >= size)
            break;
        memcpy(to + used, bit, strlen(bit));
        used += strlen(bit);
    }
    memset(to + used, 0, size - used);
}

static int64_t any_time(void)
{
    return (int64_t)(roll() % UINT64_C(4000000000000)); /* 1970 to 2096 */
}

static struct lw_event any_event(enum lw_event_kind kind)
{
    struct lw_event e = lw_event_new(kind, any_time());

    e.id.origin = roll();
    e.id.seq = roll() >> (roll() % 64);
    any_text(e.trip, sizeof e.trip);
    switch (kind) {
#define FILL_D(m)    e.m = any_double();
#define FILL_I(m)    e.m = any_int();
#define FILL_B(m)    e.m = roll() % 2;
#define FILL_T(m)    any_text(e.m, sizeof e.m);
#define FILL_M(m)    e.m = (int64_t)roll();
#define FILL_W(m)    e.m = any_time();
#define FILL_X(m)    e.m = (struct lw_event_id){roll(), roll() % 100};
#define FILL_E(m, n) e.m = (int)(roll() % (n));
#define FILL(k, members)                                                                           \
    case k:                                                                                        \
        members break;
        MEMBERS(FILL, FILL_D, FILL_I, FILL_B, FILL_T, FILL_M, FILL_W, FILL_X, FILL_E)
    case LW_EV_KINDS:
        break;
    }
    return e;
}

static bool same_double(double a, double b)
{
    return (isnan(a) && isnan(b)) || memcmp(&a, &b, sizeof a) == 0;
}

/* The first member that differs, or NULL. */
static const char *difference(struct lw_event a, struct lw_event b)
{
    if (a.kind != b.kind)
        return "kind";
    if (!lw_event_id_same(a.id, b.id))
        return "id";
    if (a.at_utc_ms != b.at_utc_ms)
        return "at_utc_ms";
    if (strcmp(a.trip, b.trip) != 0)
        return "trip";
    switch (a.kind) {
#define DIFF(m, same)                                                                              \
    if (!(same))                                                                                   \
        return #m;
#define DIFF_D(m)    DIFF(m, same_double(a.m, b.m))
#define DIFF_I(m)    DIFF(m, a.m == b.m)
#define DIFF_T(m)    DIFF(m, strcmp(a.m, b.m) == 0)
#define DIFF_X(m)    DIFF(m, lw_event_id_same(a.m, b.m))
#define DIFF_E(m, n) DIFF(m, a.m == b.m)
        MEMBERS(FILL, DIFF_D, DIFF_I, DIFF_I, DIFF_T, DIFF_I, DIFF_I, DIFF_X, DIFF_E)
    case LW_EV_KINDS:
        break;
    }
    return NULL;
}

Test(json, round_trips_every_member_to_the_bit)
{
    dice = 20261125;
    for (int kind = 0; kind < LW_EV_KINDS; kind++)
        for (int round = 0; round < 400; round++) {
            struct lw_event made = any_event((enum lw_event_kind)kind), back;
            struct lw_error err = {""};
            char line[4096], again[4096];
            const char *member;

            cr_assert_eq(lw_event_to_json(&made, line, sizeof line, &err), 0, "%s", err.text);
            cr_assert_null(strpbrk(line, "\n\r"));
            cr_assert_eq(lw_event_from_json(line, &back, &err), 0, "%s in %s", err.text, line);
            member = difference(made, back);
            cr_assert_null(member, "%s differs after %s", member, line);
            cr_assert_eq(lw_event_to_json(&back, again, sizeof again, &err), 0, "%s", err.text);
            cr_assert_str_eq(line, again);
        }
}

Test(json, says_units_unknowns_ids_and_times_plainly)
{
    struct lw_event e = lw_event_new(LW_EV_RETURN, INT64_C(1778521530250));
    struct lw_error err = {""};
    char line[4096];

    e.id = (struct lw_event_id){UINT64_C(0xc0ffee00c0ffee), 26};
    strcpy(e.trip, "20260511-1745");
    e.u.ret.act = LW_RETURN_SNOOZE;
    cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), 0, "%s", err.text);
    cr_assert_str_eq(line, "{\"id\":\"00c0ffee00c0ffee-1a\",\"trip_id\":\"20260511-1745\","
                           "\"at_utc\":\"2026-05-11T17:45:30.250Z\",\"kind\":\"return\","
                           "\"place\":null,\"act\":\"snooze\",\"snooze_s\":null}");
}

Test(json, bytes_that_are_no_utf8_do_not_make_a_mark_unwritable)
{
    struct lw_event e = lw_event_new(LW_EV_MARK, 0), back;
    struct lw_error err = {""};
    char line[4096];

    strcpy(e.u.mark.note, "caf\xe9 \x1b[2J \xff\xfe\xc3");
    strcpy(e.u.mark.who_name, "R\x80\x65");
    cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), 0, "%s", err.text);
    cr_assert_eq(lw_event_from_json(line, &back, &err), 0, "%s", err.text);
    cr_assert_null(strpbrk(back.u.mark.note, "\x1b\xff\xfe\xe9"));
    cr_assert_eq(strncmp(back.u.mark.note, "caf", 3), 0);
    cr_assert_not_null(strstr(back.u.mark.note, "[2J"));
}

Test(json, fits_4096_bytes_at_its_longest)
{
    static const char worst[] = {'"', '\\', '\x01', '\xff', '\n'};

    for (int kind = 0; kind < LW_EV_KINDS; kind++)
        for (size_t i = 0; i < sizeof worst; i++) {
            struct lw_event e;
            struct lw_error err = {""};
            char line[4096];

            dice = 7;
            e = any_event((enum lw_event_kind)kind);
            memset(e.trip, worst[i], sizeof e.trip); /* not even terminated */
            switch (kind) {
#define LONG_D(m) e.m = -2.2250738585072014e-308;
#define LONG_I(m) e.m = -2147483647;
#define LONG_B(m) e.m = false;
#define LONG_T(m) memset(e.m, worst[i], sizeof e.m);
#define LONG_M(m) e.m = INT64_MIN;
#define LONG_X(m) e.m = (struct lw_event_id){UINT64_MAX, UINT64_MAX};
#define KEEP(m)
#define KEEP_E(m, n)
                MEMBERS(FILL, LONG_D, LONG_I, LONG_B, LONG_T, LONG_M, KEEP, LONG_X, KEEP_E)
            default:
                break;
            }
            cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), 0, "%s", err.text);
        }
}

Test(json, too_little_room_is_said)
{
    struct lw_event e = lw_event_new(LW_EV_TRACK, 0);
    struct lw_error err = {""};
    char line[40];

    cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), -1);
    cr_assert_not_null(strstr(err.text, "room for 40"), "%s", err.text);
}

Test(json, what_cannot_be_said_names_its_member)
{
    struct lw_event e = lw_event_new(LW_EV_MARK, 0);
    struct lw_error err = {""};
    char line[4096];

    e.u.mark.kind = (enum lw_mark_kind)99;
    cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), -1);
    cr_assert_not_null(strstr(err.text, "\"mark\""), "%s", err.text);
    e = lw_event_new(LW_EV_DRIVE, INT64_MAX);
    cr_assert_eq(lw_event_to_json(&e, line, sizeof line, &err), -1);
    cr_assert_not_null(strstr(err.text, "\"at_utc\""), "%s", err.text);
}

Test(json, unknown_members_are_ignored_and_missing_ones_unknown)
{
    struct lw_event e;
    struct lw_error err = {""};

    cr_assert_eq(lw_event_from_json("{\"kind\":\"mark\",\"at_utc\":\"2026-05-11T17:45:30Z\","
                                    "\"mark\":\"bottom change\",\"colour\":{\"of\":[1,2]},"
                                    "\"depth_m\":3,\"where\":{\"at\":{\"lat\":46}}}",
                                    &e, &err),
                 0, "%s", err.text);
    cr_assert_eq(e.kind, LW_EV_MARK);
    cr_assert_eq(e.u.mark.kind, LW_MARK_BOTTOM);
    cr_assert_eq(e.id.origin, 0);
    cr_assert_str_eq(e.u.mark.note, "");
    cr_assert(e.u.mark.depth_m == 3.0);
    cr_assert(e.u.mark.where.at.lat_deg == 46.0);
    cr_assert(isnan(e.u.mark.where.at.lon_deg));
    cr_assert(isnan(e.u.mark.where.age_s));
    cr_assert(isnan(e.u.mark.water_c));
}

Test(json, bad_lines_name_the_member_and_leave_the_event_alone)
{
#define MARK "{\"kind\":\"mark\",\"at_utc\":\"2026-05-11T17:45:30Z\","
    static const struct {
        const char *line, *names;
    } bad[] = {
        {"", "not JSON"},
        {"{", "not JSON"},
        {"[1]", "one JSON object"},
        {"{\"kind\":\"mark\"}", "at_utc"},
        {"{\"at_utc\":\"2026-05-11T17:45:30Z\"}", "kind"},
        {"{\"kind\":\"dance\",\"at_utc\":\"2026-05-11T17:45:30Z\"}", "dance"},
        {"{\"kind\":\"mark\",\"at_utc\":\"yesterday\"}", "at_utc"},
        {MARK "\"depth_m\":\"deep\"}", "depth_m"},
        {MARK "\"who\":1.5}", "who"},
        {MARK "\"who\":5000000000}", "who"},
        {MARK "\"mark\":\"shark\"}", "shark"},
        {MARK "\"note\":7}", "note"},
        {MARK "\"bait_from_cast\":1}", "bait_from_cast"},
        {MARK "\"where\":[46,-93]}", "where"},
        {MARK "\"where\":{\"at\":{\"lat\":true}}}", "lat"},
        {MARK "\"id\":\"12-3\"}", "id"},
        {MARK "\"id\":\"00c0ffee00c0ffee-\"}", "id"},
        {MARK "\"id\":\"00c0ffee00c0ffee--1\"}", "id"},
        {MARK "\"id\":\"00C0FFEE00c0ffee-1 \"}", "id"},
        {MARK "\"id\":\"00c0ffee00c0ffee-11112222333344445\"}", "id"},
        {MARK "\"note\":\"a\",\"note\":\"b\"}", "not JSON"},
        {MARK "\"note\":\"a\\u0000b\"}", "not JSON"},
    };

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct lw_event e = lw_event_new(LW_EV_UNDO, 5);
        struct lw_error err = {""};

        cr_assert_eq(lw_event_from_json(bad[i].line, &e, &err), -1, "%s was taken", bad[i].line);
        cr_assert_not_null(strstr(err.text, bad[i].names), "%s: %s", bad[i].line, err.text);
        cr_assert_eq(e.kind, LW_EV_UNDO);
        cr_assert_eq(e.at_utc_ms, 5);
    }
}

Test(json, a_text_too_long_is_cut_between_characters)
{
    struct lw_event e;
    struct lw_error err = {""};
    char line[4096] = MARK "\"note\":\"x";

    for (int i = 0; i < 300; i++)
        strcat(line, "å");
    strcat(line, "\"}");
    cr_assert_eq(lw_event_from_json(line, &e, &err), 0, "%s", err.text);
    cr_assert_eq(strlen(e.u.mark.note), 255); /* x and 127 letters of two bytes */
}
