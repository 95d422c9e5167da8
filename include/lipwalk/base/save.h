/* Putting a finished file in its place. */
#ifndef LIPWALK_BASE_SAVE_H
#define LIPWALK_BASE_SAVE_H

#include <stddef.h>
#include <sys/types.h>

#include "lipwalk/base/error.h"

/* Writes size bytes to a new file beside `path` (permissions `mode`, less the umask), syncs it and
 * renames it over `path`, so that a full disk or a power cut leaves the old file. Follows a
 * symbolic link; what is no regular file (/dev/stdout, a pipe) is written to directly. The sentence
 * names the path and the reason. */
int lw_file_save(const char *path, mode_t mode, const void *bytes, size_t size,
                 struct lw_error *err);

/* The name that process `pid` writes to before it renames: what a killed one may leave. */
void lw_file_draft(char *to, size_t size, const char *path, pid_t pid);

/* Writes all of it, over interruptions and in parts. 0, or -1 with errno. */
int lw_write_all(int fd, const void *bytes, size_t size);

#endif
