/* What stands behind struct lw_journal; the tests look at it too. */
#ifndef LW_JOURNAL_INSIDE_H
#define LW_JOURNAL_INSIDE_H

#include <pthread.h>
#include <stdatomic.h>
#include <sys/stat.h>

#include "lipwalk/journal/journal.h"
#include "queue.h"
#include "store.h"

/* Who may touch what: the owner's thread everything but the writer's own; the writer thread its
 * connection and statement; both, under `lock`, the queue and what is below it. The writer reads
 * the first items of the queue without the lock: the owner only ever appends. */
struct lw_journal {
    char path[LW_STORE_PATH_MAX];
    uint64_t origin, seq;
    _Atomic uint64_t durable;
    int told_fd; /* eventfd: durable or trouble changed, for the owner's poll() */
    int wake_fd; /* eventfd: work for the writer */
    int done_fd; /* eventfd: an attempt is over, for flush */
    int lease_fd;
    bool leased;
    sqlite3 *reader;
    int64_t data_version;

    pthread_t thread;
    /* the writer's own */
    sqlite3 *writer;
    sqlite3_stmt *insert;
    struct stat file; /* the file that `writer` has open */

    pthread_mutex_t lock;
    struct lw_queue queue;
    bool stop, flush;
    unsigned attempts;       /* to write, so far */
    struct lw_error trouble; /* of the last attempt */
};

/* The writer thread. */
void *lw_journal_writer(void *journal);
void lw_journal_ring(int fd); /* adds 1 to an eventfd */

#endif
