/* Reading a journal that is not opened to write: of another day, or one that this process already
 * has open. */
#include <stdio.h>
#include <string.h>

#include "lipwalk/journal/journal.h"
#include "store.h"

#define BUSY_MS 2000

/* The usual way of SQLite, not a look at the bare file: closing a descriptor of it would drop the
 * locks that an open journal of this process holds, and then another process could take away the
 * log under it. */
static int open_shared(const char *path, sqlite3 **db)
{
    int code = sqlite3_open_v2(path, db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL);

    sqlite3_busy_timeout(*db, BUSY_MS);
    return code ? code : sqlite3_exec(*db, "PRAGMA application_id", NULL, NULL, NULL);
}

/* On a medium that cannot be written SQLite makes no shared memory: nobody writes there, so the
 * file may be read as it lies. */
static int open_as_it_lies(const char *path, sqlite3 **db)
{
    char uri[3 * LW_STORE_PATH_MAX + 32] = "file:";
    size_t n = strlen(uri);

    for (const unsigned char *c = (const unsigned char *)path; *c; c++) {
        if (n + 4 + sizeof "?immutable=1" > sizeof uri)
            return SQLITE_CANTOPEN;
        n += (size_t)snprintf(uri + n, 4, strchr("%?#", *c) ? "%%%02X" : "%c", *c);
    }
    memcpy(uri + n, "?immutable=1", sizeof "?immutable=1");
    return sqlite3_open_v2(uri, db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_URI,
                           NULL);
}

static int check(sqlite3 *db, const char *path, struct lw_error *err)
{
    int64_t application = lw_store_pragma(db, "application_id");
    int64_t version = lw_store_pragma(db, "user_version");

    if (sqlite3_errcode(db) == SQLITE_NOTADB)
        return lw_fail(err, "%s is no lipwalk journal (not an SQLite file)", path);
    if ((sqlite3_errcode(db) & 0xFF) == SQLITE_CANTOPEN)
        return lw_fail(err, "the journal %s cannot be read: %s", path, sqlite3_errmsg(db));
    if (application < 0)
        return lw_store_fail(db, path, err);
    if (application != LW_STORE_APPLICATION)
        return lw_fail(err, "%s is no lipwalk journal (empty, or another program's file)", path);
    if (version != LW_STORE_VERSION)
        return lw_fail(err,
                       "the journal %s is of version %lld, this lipwalk knows version %d: use the "
                       "newer lipwalk",
                       path, (long long)version, LW_STORE_VERSION);
    return 0;
}

/* " AND kind IN ('mark', ...)"; the names are ours and hold no quotes. */
static void kinds_words(char *to, size_t size, const enum lw_event_kind *kind, size_t kinds)
{
    size_t n = 0;

    to[0] = '\0';
    for (size_t i = 0; i < kinds && n < size; i++)
        n += (size_t)snprintf(to + n, size - n, "%s'%s'", i ? ", " : " WHERE kind IN (",
                              lw_event_kind_name(kind[i]));
    if (kinds && n < size)
        snprintf(to + n, size - n, ")");
}

static int read_events(sqlite3 *db, const char *path, const char *sql, lw_journal_take take,
                       void *context, int *bad, struct lw_error *err)
{
    sqlite3_stmt *ask = NULL;
    int step = SQLITE_ROW, stop = 0;

    if (sqlite3_prepare_v2(db, sql, -1, &ask, NULL))
        return lw_store_fail(db, path, err);
    while (!stop && (step = sqlite3_step(ask)) == SQLITE_ROW) {
        const char *body = (const char *)sqlite3_column_text(ask, 0);
        struct lw_event event;

        if (body && lw_event_from_json(body, &event, NULL) == 0)
            stop = take(context, &event);
        else if (bad)
            ++*bad;
    }
    if (!stop && step != SQLITE_DONE)
        stop = lw_store_fail(db, path, err);
    sqlite3_finalize(ask);
    return stop;
}

int lw_journal_scan(const char *path, const enum lw_event_kind *kind, size_t kinds,
                    lw_journal_take take, void *context, int *bad, struct lw_error *err)
{
    sqlite3 *db = NULL;
    char words[32 * LW_EV_KINDS], sql[sizeof words + 64];
    int code, status = -1;

    code = open_shared(path, &db) & 0xFF;
    if (code == SQLITE_CANTOPEN || code == SQLITE_READONLY) {
        sqlite3_close(db);
        open_as_it_lies(path, &db);
    }
    kinds_words(words, sizeof words, kind, kinds);
    snprintf(sql, sizeof sql, "SELECT body FROM event%s ORDER BY rowid", words);
    if (check(db, path, err) == 0)
        status = read_events(db, path, sql, take, context, bad, err);
    sqlite3_close(db);
    return status;
}
