#include "lipwalk/journal/journal.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/random.h>
#include <unistd.h>

#include "inside.h"
#include "lipwalk/base/clock.h"
#include "path.h"

/* A random number from 1 up that fits SQLite's signed integers. */
static int draw_origin(uint64_t *origin, struct lw_error *err)
{
    do {
        if (getrandom(origin, sizeof *origin, 0) != sizeof *origin)
            return lw_fail(err, "no random numbers from the system: %s", strerror(errno));
        *origin &= INT64_MAX;
    } while (*origin == 0);
    return 0;
}

static int start(struct lw_journal *j, struct lw_error *err)
{
    static const char sql[] =
        "INSERT INTO event(origin, seq, trip, at_utc_ms, kind, body) VALUES(?, ?, ?, ?, ?, ?)";
    int failed;

    if (sqlite3_prepare_v3(j->writer, sql, -1, SQLITE_PREPARE_PERSISTENT, &j->insert, NULL))
        return lw_store_fail(j->writer, j->path, err);
    if (stat(j->path, &j->file))
        return lw_fail(err, "the journal %s is gone: %s", j->path, strerror(errno));
    j->told_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    j->wake_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    j->done_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    if (j->told_fd < 0 || j->wake_fd < 0 || j->done_fd < 0)
        return lw_fail(err, "no descriptors for the journal: %s", strerror(errno));
    failed = pthread_create(&j->thread, NULL, lw_journal_writer, j);
    if (failed)
        return lw_fail(err, "no thread for the journal: %s", strerror(failed));
    return 0;
}

static void close_fd(int fd)
{
    if (fd >= 0)
        close(fd);
}

/* The reader goes first: the last connection to close folds the -wal file in, and must be able to
 * write for that. */
static void dismantle(struct lw_journal *j)
{
    sqlite3_close(j->reader);
    sqlite3_finalize(j->insert);
    sqlite3_close(j->writer);
    lw_queue_free(&j->queue);
    close_fd(j->told_fd);
    close_fd(j->wake_fd);
    close_fd(j->done_fd);
    close_fd(j->lease_fd);
    pthread_mutex_destroy(&j->lock);
    free(j);
}

int lw_journal_open(const char *path, struct lw_journal **out, struct lw_error *err)
{
    struct lw_journal *j = calloc(1, sizeof *j);

    *out = NULL;
    if (!j)
        return lw_fail(err, "no memory for the journal");
    j->told_fd = j->wake_fd = j->done_fd = j->lease_fd = -1;
    lw_queue_init(&j->queue);
    pthread_mutex_init(&j->lock, NULL);
    if (lw_journal_path(path, j->path, sizeof j->path, err) || draw_origin(&j->origin, err) ||
        (access(j->path, F_OK) && lw_store_make(j->path, err)) || lw_store_check(j->path, err) ||
        lw_store_open(j->path, true, &j->writer, err) ||
        lw_store_open(j->path, false, &j->reader, err) || start(j, err)) {
        dismantle(j);
        return -1;
    }
    j->data_version = lw_store_pragma(j->reader, "data_version");
    *out = j;
    return 0;
}

int lw_journal_close(struct lw_journal *j, struct lw_error *err)
{
    int result = 0;

    if (!j)
        return 0;
    pthread_mutex_lock(&j->lock);
    j->stop = true;
    pthread_mutex_unlock(&j->lock);
    lw_journal_ring(j->wake_fd);
    pthread_join(j->thread, NULL);
    if (j->queue.n)
        result = lw_fail(err, "%zu events could not be saved: %.900s", j->queue.n, j->trouble.text);
    dismantle(j);
    return result;
}

int lw_journal_append(struct lw_journal *j, struct lw_event *event, struct lw_error *err)
{
    struct lw_event_id id = {j->origin, j->seq + 1}, before = event->id;
    struct lw_queued *item = NULL;
    int result;

    event->id = id;
    item = lw_queued_new(event, err);
    if (!item) {
        event->id = before;
        return -1;
    }
    pthread_mutex_lock(&j->lock);
    result = lw_queue_room(&j->queue, item->kind, err);
    if (result == 0)
        lw_queue_push(&j->queue, item);
    pthread_mutex_unlock(&j->lock);
    if (result) {
        free(item);
        event->id = before;
        return -1;
    }
    j->seq++;
    lw_journal_ring(j->wake_fd);
    return 0;
}

uint64_t lw_journal_durable(const struct lw_journal *j)
{
    return atomic_load(&j->durable);
}

void lw_journal_trouble(struct lw_journal *j, struct lw_error *err)
{
    pthread_mutex_lock(&j->lock);
    *err = j->trouble;
    pthread_mutex_unlock(&j->lock);
}

int lw_journal_fd(const struct lw_journal *j)
{
    return j->told_fd;
}

void lw_journal_seen(struct lw_journal *j)
{
    uint64_t count;

    if (read(j->told_fd, &count, sizeof count) < 0)
        return; /* was empty */
}

int lw_journal_flush(struct lw_journal *j, int timeout_ms, struct lw_error *err)
{
    int64_t until_ms = lw_clock_mono_ms() + timeout_ms;
    unsigned attempts;
    uint64_t count;

    pthread_mutex_lock(&j->lock);
    j->flush = true;
    attempts = j->attempts;
    pthread_mutex_unlock(&j->lock);
    lw_journal_ring(j->wake_fd);
    while (lw_journal_durable(j) < j->seq) {
        struct pollfd wait = {j->done_fd, POLLIN, 0};
        int64_t left_ms = until_ms - lw_clock_mono_ms();
        struct lw_error trouble;
        bool tried;

        pthread_mutex_lock(&j->lock);
        trouble = j->trouble;
        /* an attempt that was under way when we came may have failed for what is mended now */
        tried = j->attempts - attempts >= 2;
        pthread_mutex_unlock(&j->lock);
        if (trouble.text[0] && tried) {
            if (err)
                *err = trouble;
            return -1;
        }
        if (left_ms <= 0)
            return lw_fail(err, "%llu events are not on the disk yet%s%.800s",
                           (unsigned long long)(j->seq - lw_journal_durable(j)),
                           trouble.text[0] ? ": " : "; the disk is slow", trouble.text);
        if (poll(&wait, 1, (int)left_ms) > 0 && read(j->done_fd, &count, sizeof count) < 0)
            continue;
    }
    return 0;
}

uint64_t lw_journal_origin(const struct lw_journal *j)
{
    return j->origin;
}

bool lw_journal_lease(struct lw_journal *j)
{
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    char name[LW_STORE_PATH_MAX + 8];

    if (j->leased)
        return true;
    if (j->lease_fd < 0) {
        snprintf(name, sizeof name, "%s.lease", j->path);
        j->lease_fd = open(name, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    }
    j->leased = j->lease_fd >= 0 && fcntl(j->lease_fd, F_OFD_SETLK, &whole) == 0;
    return j->leased;
}
