/* The journal's SQLite file: making it, checking it, writing to it, reading from it. */
#ifndef LW_JOURNAL_STORE_H
#define LW_JOURNAL_STORE_H

#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>

#include "lipwalk/base/error.h"

#define LW_STORE_APPLICATION 0x6C697077 /* "lipw" */
#define LW_STORE_VERSION     1
#define LW_STORE_PATH_MAX    4096

/* Makes a journal with no events at `path`, mode 0600: whole or not at all, and never over a file
 * that is there. A file that appeared meanwhile is not an error. */
int lw_store_make(const char *path, struct lw_error *err);
/* Refuses a file that is no journal of ours, is newer than this program, or is damaged (of a file
 * over 64 MB only the header is looked at); reads only. */
int lw_store_check(const char *path, struct lw_error *err);
/* Opens a checked file; 0600 from then on. The writing connection syncs every commit in full. */
int lw_store_open(const char *path, bool writer, sqlite3 **out, struct lw_error *err);
/* The value of a PRAGMA that answers with one number; -1 when it cannot be asked. */
int64_t lw_store_pragma(sqlite3 *db, const char *name);
/* Says why the last call on `db` failed: what happened to the file, and what to do. -1. */
int lw_store_fail(sqlite3 *db, const char *path, struct lw_error *err);

#endif
