/* The only place that reads a clock. Everything else takes time as an argument.
 *
 * `mono_ms` comes from CLOCK_BOOTTIME: it never steps and counts through suspend. `utc_ms` is
 * milliseconds since 1970-01-01T00:00:00Z. A struct lw_clock maps the one to the other by an
 * offset that is set once from the system clock and then only from the receiver's time, so that a
 * step of the system clock does not touch a running trip. */
#ifndef LIPWALK_BASE_CLOCK_H
#define LIPWALK_BASE_CLOCK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct lw_clock {
    int64_t offset_ms; /* utc - mono */
    bool from_gnss;    /* the offset was set from a receiver's time */
};

int64_t lw_clock_mono_ms(void);       /* CLOCK_BOOTTIME, ms */
int64_t lw_clock_system_utc_ms(void); /* CLOCK_REALTIME, ms */

/* Takes the system clock for now; the receiver sets it right later. */
void lw_clock_start(struct lw_clock *clock);
/* The trip's time at that moment: mono_ms plus the offset. */
int64_t lw_clock_utc_ms(const struct lw_clock *clock, int64_t mono_ms);

/* Tells the clock a receiver's time for an epoch that was seen at mono_ms. Returns by how many ms
 * the offset stepped (0 when it agreed within 2 s; then nothing changes). Later differences must
 * be seen three times in a row before they count, so that one bad sentence cannot move the day. */
struct lw_clock_vote {
    int64_t offset_ms;
    int count;
};
int64_t lw_clock_discipline(struct lw_clock *clock, struct lw_clock_vote *vote, int64_t gnss_utc_ms,
                            int64_t mono_ms);

/* Local civil time of utc_ms by the TZ rules of the system, printf'd by a strftime format. */
void lw_clock_local(char *to, size_t size, int64_t utc_ms, const char *strftime_format);
/* Seconds east of UTC that local civil time has at utc_ms. */
int lw_clock_utc_offset_s(int64_t utc_ms);
/* "2026-05-11T17:45:30.250Z" (milliseconds shown when not 0) and back. */
void lw_clock_iso(char *to, size_t size, int64_t utc_ms);
bool lw_clock_from_iso(const char *text, int64_t *out_utc_ms);
/* UTC ms of a UTC calendar date and time; month 1..12. */
int64_t lw_clock_from_civil(int year, int month, int day, int hour, int minute, double second);

#endif
