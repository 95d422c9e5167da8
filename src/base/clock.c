#include "lipwalk/base/clock.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define AGREES_MS     2000 /* receiver and clock may differ by this much before it counts */
#define VOTES         3
#define MS_PER_DAY    86400000LL
#define LONGEST_CIVIL 200 /* of a strftime result */

static int64_t read_ms(clockid_t id)
{
    struct timespec t;

    if (clock_gettime(id, &t) != 0)
        return 0;
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t lw_clock_mono_ms(void)
{
    return read_ms(CLOCK_BOOTTIME);
}

int64_t lw_clock_system_utc_ms(void)
{
    return read_ms(CLOCK_REALTIME);
}

void lw_clock_start(struct lw_clock *clock)
{
    clock->offset_ms = lw_clock_system_utc_ms() - lw_clock_mono_ms();
    clock->from_gnss = false;
}

int64_t lw_clock_utc_ms(const struct lw_clock *clock, int64_t mono_ms)
{
    return mono_ms + clock->offset_ms;
}

int64_t lw_clock_discipline(struct lw_clock *clock, struct lw_clock_vote *vote, int64_t gnss_utc_ms,
                            int64_t mono_ms)
{
    int64_t seen = gnss_utc_ms - mono_ms;
    int64_t step = seen - clock->offset_ms;

    if (llabs(step) <= AGREES_MS) {
        clock->from_gnss = true;
        vote->count = 0;
        return 0;
    }
    /* A vote goes on only while the sentences agree with each other. */
    if (vote->count > 0 && llabs(seen - vote->offset_ms) <= AGREES_MS) {
        vote->count++;
    } else {
        vote->offset_ms = seen;
        vote->count = 1;
    }
    if (vote->count < VOTES)
        return 0;
    clock->offset_ms = seen;
    clock->from_gnss = true;
    vote->count = 0;
    return step;
}

/* Whole units toward minus infinity, for times before 1970. */
static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b != 0 && (a < 0) != (b < 0));
}

static bool local_tm(int64_t utc_ms, struct tm *tm)
{
    time_t s = (time_t)floor_div(utc_ms, 1000);

    tzset(); /* localtime_r need not do so itself (POSIX) */
    return localtime_r(&s, tm) != NULL;
}

void lw_clock_local(char *to, size_t size, int64_t utc_ms, const char *strftime_format)
{
    char buf[LONGEST_CIVIL];
    struct tm tm;

    if (size == 0)
        return;
    if (!local_tm(utc_ms, &tm) || strftime(buf, sizeof buf, strftime_format, &tm) == 0)
        buf[0] = '\0';
    snprintf(to, size, "%s", buf);
}

int lw_clock_utc_offset_s(int64_t utc_ms)
{
    struct tm tm;

    return local_tm(utc_ms, &tm) ? (int)tm.tm_gmtoff : 0;
}

/* Days since 1970-01-01 of a date of the Gregorian calendar, by counting from 1 March so that the
 * leap day comes last in its year. */
static int64_t days_of(int64_t year, int month, int day)
{
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t m = (month + 9) % 12; /* March 0 ... February 11 */

    return 365 * y + floor_div(y, 4) - floor_div(y, 100) + floor_div(y, 400) + (153 * m + 2) / 5 +
           day - 1 - 719468;
}

static void date_of(int64_t days, int *year, int *month, int *day)
{
    int y = (int)(1969 + floor_div(days * 400, 146097)); /* early by at most two years */
    int m = 1;

    while (days_of(y + 1, 1, 1) <= days)
        y++;
    while (m < 12 && days_of(y, m + 1, 1) <= days)
        m++;
    *year = y;
    *month = m;
    *day = (int)(days - days_of(y, m, 1)) + 1;
}

int64_t lw_clock_from_civil(int year, int month, int day, int hour, int minute, double second)
{
    return days_of(year, month, day) * MS_PER_DAY + (hour * 60LL + minute) * 60000LL +
           llround(second * 1000.0);
}

void lw_clock_iso(char *to, size_t size, int64_t utc_ms)
{
    int64_t days = floor_div(utc_ms, MS_PER_DAY);
    int ms = (int)(utc_ms - days * MS_PER_DAY);
    int year, month, day;
    char fraction[8] = "";

    date_of(days, &year, &month, &day);
    if (ms % 1000)
        snprintf(fraction, sizeof fraction, ".%03d", ms % 1000);
    snprintf(to, size, "%04d-%02d-%02dT%02d:%02d:%02d%sZ", year, month, day, ms / 3600000,
             ms / 60000 % 60, ms / 1000 % 60, fraction);
}

/* Exactly `count` digits at *s, moving it on. */
static bool digits(const char **s, int count, int *out)
{
    *out = 0;
    for (int i = 0; i < count; i++, (*s)++) {
        if (**s < '0' || **s > '9')
            return false;
        *out = *out * 10 + (**s - '0');
    }
    return true;
}

static bool character(const char **s, char wanted)
{
    if (**s != wanted)
        return false;
    (*s)++;
    return true;
}

static int days_in(int year, int month)
{
    return month == 12 ? 31 : (int)(days_of(year, month + 1, 1) - days_of(year, month, 1));
}

bool lw_clock_from_iso(const char *text, int64_t *out_utc_ms)
{
    const char *s = text;
    int year, month, day, hour, minute, second;
    double fraction = 0, unit = 0.1;

    if (!text || !digits(&s, 4, &year) || !character(&s, '-') || !digits(&s, 2, &month) ||
        !character(&s, '-') || !digits(&s, 2, &day) || !character(&s, 'T') ||
        !digits(&s, 2, &hour) || !character(&s, ':') || !digits(&s, 2, &minute) ||
        !character(&s, ':') || !digits(&s, 2, &second))
        return false;
    if (*s == '.') {
        s++;
        if (*s < '0' || *s > '9')
            return false;
        for (; *s >= '0' && *s <= '9'; s++, unit /= 10)
            fraction += (*s - '0') * unit;
    }
    if (!character(&s, 'Z') || *s)
        return false;
    /* 60: a leap second counts as the second after it. */
    if (month < 1 || month > 12 || day < 1 || day > days_in(year, month) || hour > 23 ||
        minute > 59 || second > 60)
        return false;
    *out_utc_ms = lw_clock_from_civil(year, month, day, hour, minute, second + fraction);
    return true;
}
