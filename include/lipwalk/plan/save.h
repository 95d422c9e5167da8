/* Putting a finished file in its place. */
#ifndef LIPWALK_PLAN_SAVE_H
#define LIPWALK_PLAN_SAVE_H

#include <stddef.h>

#include "lipwalk/base/error.h"

/* Writes size bytes to a new file beside `path`, syncs it and renames it over `path`, so that a
 * full disk or a power cut leaves the old file. Follows a symbolic link; what is no regular file
 * (/dev/stdout, a pipe) is written to directly. The sentence names the path and the reason. */
int lw_file_save(const char *path, const void *bytes, size_t size, struct lw_error *err);

#endif
