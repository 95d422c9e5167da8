/* Work that may crash, run away or be cancelled, in a process of its own.
 *
 * The child has limits on memory and time, no network, no way to start programs, and its output
 * goes nowhere; it ends when the parent does, and it leaves Ctrl-C, which a terminal sends to both,
 * to the parent, which has to clean up. What it has to say comes back as one plain struct. */
#ifndef LIPWALK_SRC_MAP_CHILD_H
#define LIPWALK_SRC_MAP_CHILD_H

#include <stdatomic.h>
#include <stddef.h>
#include <sys/types.h>

#include "lipwalk/base/error.h"

struct lw_child {
    int (*work)(const void *task, void *reply, struct lw_error *err); /* as any function of ours */
    const void *task;
    void *reply; /* reply_size bytes, filled in the parent on success; treat texts as foreign */
    size_t reply_size;
    const char *what; /* for sentences: "reading lake.shp" */
    int timeout_s;
    long memory_mb;
    void (*look)(void *context); /* NULL, or called in the parent about ten times a second */
    void *look_context;
    const atomic_bool *cancel; /* NULL, or set by a signal or another thread to end it */
    pid_t pid;                 /* out: of the child that ran */
};
int lw_child_run(struct lw_child *child, struct lw_error *err);

#endif
