#include "lipwalk/base/clock.h"

#include <time.h>

#include "lw_test.h"

Test(clock, goes_on)
{
    int64_t a = lw_clock_mono_ms(), b;
    struct lw_clock clock;
    struct timespec nap = {0, 20 * 1000000};

    nanosleep(&nap, NULL);
    b = lw_clock_mono_ms();
    cr_expect_geq(b - a, 19);
    cr_expect_lt(b - a, 5000);
    lw_clock_start(&clock);
    cr_expect_not(clock.from_gnss);
    cr_expect_lt(llabs(lw_clock_utc_ms(&clock, lw_clock_mono_ms()) - lw_clock_system_utc_ms()),
                 100);
    cr_expect_lt(llabs(lw_clock_system_utc_ms() / 1000 - (int64_t)time(NULL)), 2);
}

Test(clock, small_differences_change_nothing)
{
    struct lw_clock clock = {.offset_ms = 1000000};
    struct lw_clock_vote vote = {0};

    for (int i = 0; i < 10; i++)
        cr_expect_eq(lw_clock_discipline(&clock, &vote, 1000000 + i * 1000 + 1900, i * 1000), 0);
    cr_expect_eq(clock.offset_ms, 1000000);
    cr_expect(clock.from_gnss);
}

Test(clock, three_that_agree_step_it)
{
    struct lw_clock clock = {.offset_ms = 1000000};
    struct lw_clock_vote vote = {0};

    cr_expect_eq(lw_clock_discipline(&clock, &vote, 1000000 + 60000, 0), 0);
    cr_expect_eq(lw_clock_discipline(&clock, &vote, 1001000 + 60010, 1000), 0);
    cr_expect_eq(clock.offset_ms, 1000000);
    cr_expect_not(clock.from_gnss);
    cr_expect_eq(lw_clock_discipline(&clock, &vote, 1002000 + 60005, 2000), 60005);
    cr_expect_eq(clock.offset_ms, 1060005);
    cr_expect_eq(lw_clock_utc_ms(&clock, 5000), 1065005);
    cr_expect_eq(lw_clock_discipline(&clock, &vote, 1003000 + 60005, 3000), 0);
}

Test(clock, one_bad_sentence_does_not)
{
    struct lw_clock clock = {.offset_ms = 1000000};
    struct lw_clock_vote vote = {0};

    for (int i = 0; i < 30; i++) { /* two bad ones, then a good one, again and again */
        int64_t wrong = i % 3 == 2 ? 0 : 86400000;

        cr_expect_eq(lw_clock_discipline(&clock, &vote, 1000000 + i * 1000 + wrong, i * 1000), 0);
    }
    for (int i = 30; i < 60; i++) /* wild ones that never agree */
        cr_expect_eq(lw_clock_discipline(&clock, &vote, 1000000 + i * 500000LL, i * 1000), 0);
    cr_expect_eq(clock.offset_ms, 1000000);
}

/* Against libc's timegm over four centuries, every 9 days and a bit. */
Test(clock, civil_dates_agree_with_libc)
{
    for (int64_t s = -6000000000; s < 7000000000; s += 9 * 86400 + 12345) {
        time_t t = (time_t)s;
        struct tm tm;
        char ours[40], libc[40];
        int64_t back;

        cr_assert_not_null(gmtime_r(&t, &tm));
        strftime(libc, sizeof libc, "%Y-%m-%dT%H:%M:%SZ", &tm);
        lw_clock_iso(ours, sizeof ours, s * 1000);
        cr_assert_str_eq(ours, libc);
        cr_assert(lw_clock_from_iso(ours, &back));
        cr_assert_eq(back, s * 1000);
        cr_assert_eq(lw_clock_from_civil(tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday, tm.tm_hour,
                                         tm.tm_min, tm.tm_sec),
                     s * 1000);
    }
}

Test(clock, iso_keeps_milliseconds)
{
    char text[40];
    int64_t ms;

    lw_clock_iso(text, sizeof text, 1778521530250);
    cr_expect_str_eq(text, "2026-05-11T17:45:30.250Z");
    cr_expect(lw_clock_from_iso(text, &ms));
    cr_expect_eq(ms, 1778521530250);
    lw_clock_iso(text, sizeof text, -1);
    cr_expect_str_eq(text, "1969-12-31T23:59:59.999Z");
    cr_expect(lw_clock_from_iso("2026-05-11T17:45:30.0005Z", &ms));
    cr_expect_eq(ms % 1000, 1);                                /* rounded */
    cr_expect(lw_clock_from_iso("2016-12-31T23:59:60Z", &ms)); /* a leap second */
    cr_expect_eq(ms, 1483228800000);
}

Test(clock, iso_refuses_what_is_none)
{
    static const char *bad[] = {"",
                                "2026-05-11",
                                "2026-05-11T17:45:30",
                                "2026-13-11T17:45:30Z",
                                "2026-02-29T17:45:30Z",
                                "2026-05-11T24:00:00Z",
                                "2026-05-11T17:60:30Z",
                                "2026-05-11T17:45:30.Z",
                                "2026-05-11T17:45:30Zx",
                                "2026-05-11 17:45:30Z",
                                "2026-05-11T17:45:30+02:00",
                                "26-05-11T17:45:30Z"};
    int64_t ms;

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_expect_not(lw_clock_from_iso(bad[i], &ms), "\"%s\" was taken", bad[i]);
    cr_expect_not(lw_clock_from_iso(NULL, &ms));
    cr_expect(lw_clock_from_iso("2024-02-29T00:00:00Z", &ms));
}

/* US Central time by POSIX rules: 2026-03-08 02:00 CST becomes 03:00 CDT. */
Test(clock, local_time_follows_the_rules)
{
    char text[40];
    int64_t change = lw_clock_from_civil(2026, 3, 8, 8, 0, 0);

    setenv("TZ", "CST6CDT,M3.2.0,M11.1.0", 1);
    cr_expect_eq(lw_clock_utc_offset_s(change - 1), -6 * 3600);
    cr_expect_eq(lw_clock_utc_offset_s(change), -5 * 3600);
    lw_clock_local(text, sizeof text, change - 1000, "%H:%M:%S");
    cr_expect_str_eq(text, "01:59:59");
    lw_clock_local(text, sizeof text, change, "%H:%M:%S");
    cr_expect_str_eq(text, "03:00:00");
    lw_clock_local(text, 4, change, "%H:%M:%S");
    cr_expect_str_eq(text, "03:");
}
