#include "store.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* How long one attempt waits for another process that is writing. */
#define BUSY_MS 2000

#define TEXT_(x) #x
#define TEXT(x)  TEXT_(x)

static const char schema[] = "PRAGMA application_id=" TEXT(
    LW_STORE_APPLICATION) ";"
                          "PRAGMA user_version=" TEXT(
                              LW_STORE_VERSION) ";"
                                                "CREATE TABLE event("
                                                " rowid INTEGER PRIMARY KEY,"
                                                " origin INTEGER NOT NULL,"
                                                " seq INTEGER NOT NULL,"
                                                " trip TEXT NOT NULL,"
                                                " at_utc_ms INTEGER NOT NULL,"
                                                " kind TEXT NOT NULL,"
                                                " body TEXT NOT NULL,"
                                                " UNIQUE(origin, seq));"
                                                "CREATE INDEX event_trip ON event(trip);"
                                                "CREATE TRIGGER event_stays BEFORE UPDATE ON event "
                                                "BEGIN"
                                                " SELECT RAISE(ABORT, 'events are only appended'); "
                                                "END;"
                                                "CREATE TRIGGER event_remains BEFORE DELETE ON "
                                                "event BEGIN"
                                                " SELECT RAISE(ABORT, 'events are only appended'); "
                                                "END;";

int lw_store_fail(sqlite3 *db, const char *path, struct lw_error *err)
{
    int code = sqlite3_errcode(db), cause = sqlite3_system_errno(db);
    const char *system = cause ? strerror(cause) : sqlite3_errmsg(db);

    switch (code & 0xFF) {
    case SQLITE_FULL:
        return lw_fail(err, "the disk that holds the journal %s is full: make room on it", path);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return lw_fail(err, "the journal %s is locked by another program: end what holds it", path);
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
        return lw_fail(err,
                       "the journal %s cannot be written (%s): make the file and its folder "
                       "writable, or give another with --journal",
                       path, system);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return lw_fail(err,
                       "the journal %s is damaged (%s): keep it aside and give another with "
                       "--journal; `sqlite3 FILE .recover` may save its events",
                       path, sqlite3_errmsg(db));
    case SQLITE_IOERR:
        return lw_fail(err, "the journal %s cannot be read or written (%s): check its disk", path,
                       system);
    default:
        return lw_fail(err, "the journal %s failed: %s", path, sqlite3_errmsg(db));
    }
}

int64_t lw_store_pragma(sqlite3 *db, const char *name)
{
    sqlite3_stmt *ask = NULL;
    char sql[64];
    int64_t value = -1;

    snprintf(sql, sizeof sql, "PRAGMA %s", name);
    if (sqlite3_prepare_v2(db, sql, -1, &ask, NULL) == SQLITE_OK && sqlite3_step(ask) == SQLITE_ROW)
        value = sqlite3_column_int64(ask, 0);
    sqlite3_finalize(ask);
    return value;
}

/* Gives the finished file its name unless one is there. Not every file system can rename without
 * replacing; where it cannot, a hard link does the same. */
static int give_name(const char *from, const char *path)
{
    if (renameat2(AT_FDCWD, from, AT_FDCWD, path, RENAME_NOREPLACE) == 0)
        return 0;
    if (errno == EEXIST || errno == ENOENT)
        return -1;
    if (link(from, path))
        return -1;
    unlink(from);
    return 0;
}

static void sync_folder(const char *path)
{
    char folder[LW_STORE_PATH_MAX];
    char *slash;
    int fd;

    snprintf(folder, sizeof folder, "%s", path);
    slash = strrchr(folder, '/');
    if (slash)
        slash[slash == folder] = '\0';
    fd = open(slash ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        fsync(fd);
        close(fd);
    }
}

int lw_store_make(const char *path, struct lw_error *err)
{
    char draft[LW_STORE_PATH_MAX];
    sqlite3 *db = NULL;
    int fd, result = -1;

    if (snprintf(draft, sizeof draft, "%s.new-XXXXXX", path) >= (int)sizeof draft)
        return lw_fail(err, "the path of the journal is too long: %.200s...", path);
    fd = mkostemp(draft, O_CLOEXEC); /* mode 0600; SQLite gives -wal and -shm the same */
    if (fd < 0)
        return lw_fail(err,
                       "the journal %s cannot be made (%s): make its folder writable, or give "
                       "another with --journal",
                       path, strerror(errno));
    close(fd);
    if (sqlite3_open_v2(draft, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) ||
        sqlite3_exec(db, schema, NULL, NULL, NULL) ||
        sqlite3_exec(db, "PRAGMA journal_mode=WAL", NULL, NULL, NULL)) {
        lw_store_fail(db, path, err);
        goto out;
    }
    sqlite3_close(db);
    db = NULL;
    if (give_name(draft, path) && errno != EEXIST) {
        lw_fail(err, "the journal %s cannot be made: %s", path, strerror(errno));
        goto out;
    }
    sync_folder(path);
    result = 0;
out:
    sqlite3_close(db);
    unlink(draft); /* gone already where it got its name */
    return result;
}

/* Looking at every page of many days' events would keep the boat waiting, most of all after a crash
 * and on a slow card (40 MB in a second, say). Damage in a larger file is found by what reads it.
 */
#define CHECK_BYTES_MAX (64 * INT64_C(1048576)) /* three to four days */

static bool is_large(const char *path)
{
    struct stat is;

    return stat(path, &is) == 0 && is.st_size > CHECK_BYTES_MAX;
}

/* PRAGMA quick_check answers "ok", or what is wrong. */
static int check_pages(sqlite3 *db, const char *path, struct lw_error *err)
{
    sqlite3_stmt *ask = NULL;
    const char *answer;
    int result = 0;

    if (sqlite3_prepare_v2(db, "PRAGMA quick_check(1)", -1, &ask, NULL) ||
        sqlite3_step(ask) != SQLITE_ROW) {
        result = lw_store_fail(db, path, err);
    } else {
        answer = (const char *)sqlite3_column_text(ask, 0);
        if (!answer || strcmp(answer, "ok") != 0)
            result = lw_fail(err,
                             "the journal %s is damaged (%.200s): keep it aside and give another "
                             "with --journal; `sqlite3 FILE .recover` may save its events",
                             path, answer ? answer : "no answer");
    }
    sqlite3_finalize(ask);
    return result;
}

/* Opens the file so that nothing beside it is made and no lock is taken: what another program keeps
 * there stays untouched. */
static int open_untouched(const char *path, sqlite3 **db)
{
    static const char hex[] = "0123456789ABCDEF";
    char uri[3 * LW_STORE_PATH_MAX + 32] = "file:";
    size_t n = strlen(uri);

    for (const unsigned char *c = (const unsigned char *)path; *c && n < 3 * LW_STORE_PATH_MAX; c++)
        if (*c == '%' || *c == '?' || *c == '#') {
            uri[n++] = '%';
            uri[n++] = hex[*c >> 4];
            uri[n++] = hex[*c & 15];
        } else {
            uri[n++] = (char)*c;
        }
    strcpy(uri + n, "?immutable=1");
    return sqlite3_open_v2(uri, db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_URI,
                           NULL);
}

/* The first bytes of the file as they lie (SQLite's file format, section 1.3): without its log the
 * rest may be half of a checkpoint that the power cut short, which SQLite itself would call
 * damaged. They are read by SQLite's own descriptor, for closing another would drop its locks. */
#define HEADER_BYTES   100
#define AT_VERSION     60
#define AT_APPLICATION 68

static int read_header(sqlite3 *db, unsigned char header[HEADER_BYTES])
{
    sqlite3_file *file = NULL;
    int code = sqlite3_file_control(db, "main", SQLITE_FCNTL_FILE_POINTER, &file);

    if (code == SQLITE_OK)
        code = file->pMethods ? file->pMethods->xRead(file, header, HEADER_BYTES, 0)
                              : SQLITE_CANTOPEN;
    return code == SQLITE_IOERR_SHORT_READ ? SQLITE_OK : code; /* the rest reads as zeros */
}

static int64_t big_endian(const unsigned char *byte)
{
    return (int64_t)byte[0] << 24 | byte[1] << 16 | byte[2] << 8 | byte[3];
}

static int check_header(const char *path, struct lw_error *err)
{
    static const char instead[] = "give the right file with --journal, or a new name";
    static const char magic[16] = "SQLite format 3";
    unsigned char header[HEADER_BYTES] = {0};
    struct stat is;
    sqlite3 *db = NULL;
    bool empty = stat(path, &is) == 0 && is.st_size == 0;
    int result = -1;

    if (open_untouched(path, &db) != SQLITE_OK)
        lw_store_fail(db, path, err);
    else if (read_header(db, header) != SQLITE_OK)
        lw_fail(err, "the journal %s cannot be read: check its disk", path);
    else if (!empty && memcmp(header, magic, sizeof magic) != 0)
        lw_fail(err, "%s is no lipwalk journal (not an SQLite file): %s", path, instead);
    else if (big_endian(header + AT_APPLICATION) != LW_STORE_APPLICATION)
        lw_fail(err, "%s is no lipwalk journal (empty, or another program's file): %s", path,
                instead);
    else if (big_endian(header + AT_VERSION) != LW_STORE_VERSION)
        lw_fail(err,
                "the journal %s is of version %lld, this lipwalk knows version %d: use the newer "
                "lipwalk, or give another with --journal",
                path, (long long)big_endian(header + AT_VERSION), LW_STORE_VERSION);
    else
        result = 0;
    sqlite3_close(db);
    return result;
}

int lw_store_check(const char *path, struct lw_error *err)
{
    sqlite3 *db = NULL;
    int result;

    if (check_header(path, err))
        return -1;
    if (is_large(path))
        return 0;
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL)) {
        result = lw_store_fail(db, path, err);
    } else {
        sqlite3_busy_timeout(db, BUSY_MS);
        result = check_pages(db, path, err);
    }
    sqlite3_close(db);
    return result;
}

/* A journal copied in from elsewhere may be open to others. By name, not by descriptor: closing a
 * descriptor of the file would drop the locks that SQLite holds on it in this process. */
static void make_private(const char *path)
{
    static const char *const end[] = {"", "-wal", "-shm"};
    char name[LW_STORE_PATH_MAX + 8];
    struct stat is;

    for (size_t i = 0; i < sizeof end / sizeof *end; i++) {
        snprintf(name, sizeof name, "%s%s", path, end[i]);
        if (stat(name, &is) == 0 && (is.st_mode & 0177) != 0)
            chmod(name, 0600);
    }
}

int lw_store_open(const char *path, bool writer, sqlite3 **out, struct lw_error *err)
{
    int flags = writer ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY;

    *out = NULL;
    make_private(path);
    if (sqlite3_open_v2(path, out, flags | SQLITE_OPEN_NOMUTEX, NULL))
        goto fail;
    sqlite3_busy_timeout(*out, BUSY_MS);
    if (writer && (sqlite3_exec(*out, "PRAGMA journal_mode=WAL", NULL, NULL, NULL) ||
                   sqlite3_exec(*out, "PRAGMA synchronous=FULL", NULL, NULL, NULL)))
        goto fail;
    if (sqlite3_exec(*out, "SELECT 1 FROM event LIMIT 1", NULL, NULL, NULL))
        goto fail;
    return 0;
fail:
    lw_store_fail(*out, path, err);
    sqlite3_close(*out);
    *out = NULL;
    return -1;
}
