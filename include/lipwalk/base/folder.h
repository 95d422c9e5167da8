/* Where lipwalk's own files lie: the XDG folders, after the XDG Base Directory Specification 0.8.
 */
#ifndef LIPWALK_BASE_FOLDER_H
#define LIPWALK_BASE_FOLDER_H

#include <stddef.h>

#include "lipwalk/base/error.h"

/* lipwalk's folder under $XDG_CONFIG_HOME ('c'), $XDG_DATA_HOME ('d') or $XDG_CACHE_HOME ('h')
 * where the variable holds an absolute path (a relative one is to be ignored), else under $HOME;
 * made or not. */
int lw_folder_path(char kind, char *to, size_t size, struct lw_error *err);
/* The same, and makes it with the folders above it, mode 0700; those that are there are left as
 * they are. */
int lw_folder(char kind, char *to, size_t size, struct lw_error *err);

#endif
