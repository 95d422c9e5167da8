/* The journal: one SQLite file that events are only ever appended to.
 *
 * A writer thread owns the writing: a mark is one transaction with synchronous=FULL; tracks are
 * batched (at most 5 s may be lost). `append` returns at once with the event's id; the event counts
 * as confirmed only when lw_journal_durable says so. Other processes' events come in through
 * lw_journal_read when PRAGMA data_version changes. WAL mode, file mode 0600. */
#ifndef LIPWALK_JOURNAL_JOURNAL_H
#define LIPWALK_JOURNAL_JOURNAL_H

#include <stdbool.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/event/event.h"

struct lw_journal;

/* Opens or makes the file (path NULL: lipwalk.db in the XDG data folder). Refuses, with a sentence,
 * a file that is no journal, is damaged, or is of a newer version; never changes such a file. Pages
 * are looked through up to 64 MB (some days); damage in a larger file shows when it is read. */
int lw_journal_open(const char *path, struct lw_journal **out, struct lw_error *err);
/* Writes what is queued, then ends the writer. -1 when something could not be saved. */
int lw_journal_close(struct lw_journal *journal, struct lw_error *err);

/* Queues the event and sets event->id. Never blocks on the disk. 0, or -1 when the queue is full or
 * the writer has failed for good (the sentence says why). */
int lw_journal_append(struct lw_journal *journal, struct lw_event *event, struct lw_error *err);
/* All own events with seq <= the returned one are on disk. */
uint64_t lw_journal_durable(const struct lw_journal *journal);
/* The writer's last failure ("" when the last write went well); it keeps trying. */
void lw_journal_trouble(struct lw_journal *journal, struct lw_error *err);
/* Becomes readable when durable or trouble changed; lw_journal_seen empties it. */
int lw_journal_fd(const struct lw_journal *journal);
void lw_journal_seen(struct lw_journal *journal);
/* Waits until all that was appended so far is durable. -1 after timeout_ms or on trouble. */
int lw_journal_flush(struct lw_journal *journal, int timeout_ms, struct lw_error *err);

/* The origin that this process's events carry. */
uint64_t lw_journal_origin(const struct lw_journal *journal);

/* Calls `take` for each event with rowid > *after in order of rowid, of the given trip (NULL: all),
 * and moves *after on. Own events are included unless skip_own. An event that cannot be read is
 * skipped and counted in *bad (may be NULL). Ends early when `take` returns other than 0, with that
 * value. */
typedef int (*lw_journal_take)(void *context, const struct lw_event *event);
int lw_journal_read(struct lw_journal *journal, const char *trip, bool skip_own, int64_t *after,
                    lw_journal_take take, void *context, int *bad, struct lw_error *err);
/* Reads a journal that need not be open, in order, only events of those kinds (kinds 0: all): one
 * of another day or, safely, one that this process has open already (which lw_journal_open must not
 * do a second time). Changes nothing. `take` and `bad` as above. */
int lw_journal_scan(const char *path, const enum lw_event_kind *kind, size_t kinds,
                    lw_journal_take take, void *context, int *bad, struct lw_error *err);
/* True when another connection changed the file since the last call (PRAGMA data_version). */
bool lw_journal_changed(struct lw_journal *journal);

/* The newest trip: its id, when it began and when its last event was, and whether it was ended.
 * Returns 1 when there is one, 0 when none, -1 on failure. */
struct lw_journal_trip {
    char id[24];
    int64_t began_utc_ms, last_utc_ms;
    bool ended;
};
int lw_journal_last_trip(struct lw_journal *journal, struct lw_journal_trip *trip,
                         struct lw_error *err);

/* The lease to log tracks: one process at a time. True when held (taken or still ours). It falls
 * free by itself when its process dies. */
bool lw_journal_lease(struct lw_journal *journal);

#endif
