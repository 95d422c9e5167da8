/* What the tests of the journal share: opening, appending, reading back. */
#ifndef LW_JOURNAL_TEST_H
#define LW_JOURNAL_TEST_H

#include "../../src/journal/inside.h"
#include "lw_test.h"

#define TRIP "20260511-060000-0001"

static inline void path_in(char to[600], char folder[512])
{
    lw_test_scratch(folder, 512);
    snprintf(to, 600, "%s/day.db", folder);
}

static inline struct lw_journal *opened(const char *path)
{
    struct lw_journal *j = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_journal_open(path, &j, &err), 0, "%s", err.text);
    return j;
}

static inline void closed(struct lw_journal *j)
{
    struct lw_error err = {""};

    cr_assert_eq(lw_journal_close(j, &err), 0, "%s", err.text);
}

static inline void flushed(struct lw_journal *j)
{
    struct lw_error err = {""};

    cr_assert_eq(lw_journal_flush(j, 10000, &err), 0, "%s", err.text);
}

static inline struct lw_event event_of(enum lw_event_kind kind, int64_t at_utc_ms)
{
    struct lw_event event = lw_event_new(kind, at_utc_ms);

    snprintf(event.trip, sizeof event.trip, TRIP);
    return event;
}

static inline uint64_t append(struct lw_journal *j, enum lw_event_kind kind, int64_t at_utc_ms)
{
    struct lw_event event = event_of(kind, at_utc_ms);
    struct lw_error err = {""};

    cr_assert_eq(lw_journal_append(j, &event, &err), 0, "%s", err.text);
    cr_assert_eq(event.id.origin, lw_journal_origin(j));
    return event.id.seq;
}

struct taken {
    int n;
    struct lw_event last;
};
static inline int take(void *context, const struct lw_event *event)
{
    struct taken *taken = context;

    taken->n++;
    taken->last = *event;
    return 0;
}

static inline int read_all(struct lw_journal *j, const char *trip, bool skip_own, int64_t *after,
                           struct lw_event *last)
{
    struct taken taken = {0};
    struct lw_error err = {""};
    int bad = 0;

    cr_assert_eq(lw_journal_read(j, trip, skip_own, after, take, &taken, &bad, &err), 0, "%s",
                 err.text);
    cr_assert_eq(bad, 0);
    if (last)
        *last = taken.last;
    return taken.n;
}

#endif
