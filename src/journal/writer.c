/* The writer thread: takes what is queued to the disk, in order, again and again until it is there.
 */
#include <poll.h>
#include <string.h>
#include <unistd.h>

#include "inside.h"
#include "lipwalk/base/clock.h"

/* Tracks wait to share a commit: at most this much of them is lost with the power. */
#define TRACK_WAIT_MS 4000
#define RETRY_MS      1000
/* So that a long queue after a mended disk is confirmed piece by piece. */
#define BATCH_MAX 1000
/* Attempts made before closing gives up. */
#define LAST_ATTEMPTS 3

void lw_journal_ring(int fd)
{
    uint64_t one = 1;
    ssize_t written = write(fd, &one, sizeof one);

    (void)written; /* fails only when the counter is at its top: then it is readable anyway */
}

static void wait_for_work(const struct lw_journal *j, int timeout_ms)
{
    struct pollfd wait = {j->wake_fd, POLLIN, 0};
    uint64_t count;

    if (poll(&wait, 1, timeout_ms) > 0 && read(j->wake_fd, &count, sizeof count) < 0)
        return;
}

/* Writing on into a file that was moved away or deleted would confirm what nobody finds again. */
static int check_file(const struct lw_journal *j, struct lw_error *err)
{
    struct stat now;

    if (stat(j->path, &now) == 0 && now.st_dev == j->file.st_dev && now.st_ino == j->file.st_ino)
        return 0;
    return lw_fail(err,
                   "the journal %s was moved or deleted while in use: put it back, or copy down "
                   "what you need and start lipwalk again",
                   j->path);
}

static int insert(struct lw_journal *j, const struct lw_queued *item)
{
    sqlite3_stmt *s = j->insert;

    sqlite3_reset(s);
    if (sqlite3_bind_int64(s, 1, (int64_t)j->origin) ||
        sqlite3_bind_int64(s, 2, (int64_t)item->seq) ||
        sqlite3_bind_text(s, 3, item->trip, -1, SQLITE_STATIC) ||
        sqlite3_bind_int64(s, 4, item->at_utc_ms) ||
        sqlite3_bind_text(s, 5, lw_event_kind_name(item->kind), -1, SQLITE_STATIC) ||
        sqlite3_bind_text(s, 6, item->body, -1, SQLITE_STATIC))
        return -1;
    return sqlite3_step(s) == SQLITE_DONE ? 0 : -1;
}

/* One transaction with the first n events. Nothing of it counts unless COMMIT came back well. */
static int write_batch(struct lw_journal *j, const struct lw_queued *first, size_t n,
                       struct lw_error *err)
{
    if (check_file(j, err))
        return -1;
    if (sqlite3_exec(j->writer, "BEGIN IMMEDIATE", NULL, NULL, NULL))
        return lw_store_fail(j->writer, j->path, err);
    while (n--) {
        if (insert(j, first))
            goto fail;
        if (n) /* the last one's `next` is the owner's to set */
            first = first->next;
    }
    sqlite3_reset(j->insert);
    if (sqlite3_exec(j->writer, "COMMIT", NULL, NULL, NULL) == SQLITE_OK)
        return 0;
fail:
    lw_store_fail(j->writer, j->path, err);
    sqlite3_reset(j->insert);
    sqlite3_exec(j->writer, "ROLLBACK", NULL, NULL, NULL);
    return -1;
}

/* Writes a batch and tells how it went. True when it is on the disk. */
static bool attempt(struct lw_journal *j)
{
    struct lw_queued *first;
    struct lw_error err = {""};
    uint64_t last = 0;
    size_t n;
    int failed;

    pthread_mutex_lock(&j->lock);
    first = j->queue.head;
    n = j->queue.n < BATCH_MAX ? j->queue.n : BATCH_MAX;
    pthread_mutex_unlock(&j->lock);

    failed = write_batch(j, first, n, &err);

    pthread_mutex_lock(&j->lock);
    if (!failed) {
        for (size_t i = 0; i < n; i++, first = first->next)
            last = first->seq;
        lw_queue_drop(&j->queue, n);
        atomic_store(&j->durable, last);
    }
    j->trouble = err;
    j->attempts++;
    pthread_mutex_unlock(&j->lock);
    lw_journal_ring(j->told_fd);
    lw_journal_ring(j->done_fd);
    return !failed;
}

void *lw_journal_writer(void *context)
{
    struct lw_journal *j = context;
    int64_t tracks_since_ms = -1; /* when the writer first saw the tracks that wait */
    int failures_at_end = 0;

    for (;;) {
        bool stop, only_tracks, hurry;
        size_t waiting;

        pthread_mutex_lock(&j->lock);
        waiting = j->queue.n;
        only_tracks = waiting == j->queue.tracks;
        stop = j->stop;
        hurry = j->flush || stop;
        if (!waiting)
            j->flush = false;
        pthread_mutex_unlock(&j->lock);

        if (!waiting && stop)
            return NULL;
        if (!waiting) {
            tracks_since_ms = -1;
            wait_for_work(j, -1);
            continue;
        }
        if (only_tracks && !hurry) {
            int64_t now_ms = lw_clock_mono_ms();

            if (tracks_since_ms < 0)
                tracks_since_ms = now_ms;
            if (now_ms - tracks_since_ms < TRACK_WAIT_MS) {
                wait_for_work(j, (int)(TRACK_WAIT_MS - (now_ms - tracks_since_ms)));
                continue;
            }
        }
        if (attempt(j)) {
            tracks_since_ms = -1;
            failures_at_end = 0;
            continue;
        }
        if (stop && ++failures_at_end >= LAST_ATTEMPTS)
            return NULL;
        wait_for_work(j, stop ? RETRY_MS / 4 : RETRY_MS);
    }
}
