/* Where the journal lies. */
#ifndef LW_JOURNAL_PATH_H
#define LW_JOURNAL_PATH_H

#include <stddef.h>

#include "lipwalk/base/error.h"

/* The path given, or for NULL lipwalk.db in $XDG_DATA_HOME/lipwalk, whose folders are made where
 * missing (mode 0700; XDG Base Directory Specification). */
int lw_journal_path(const char *given, char *to, size_t size, struct lw_error *err);

#endif
