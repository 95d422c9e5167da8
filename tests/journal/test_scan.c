/* Reading a journal without opening it. */
#include <sqlite3.h>
#include <sys/stat.h>

#include "journal_test.h"

TestSuite(scan, .timeout = 30);

static int scan(const char *path, const enum lw_event_kind *kind, size_t kinds, struct taken *taken,
                struct lw_error *err)
{
    int bad = 0, status;

    *taken = (struct taken){0};
    status = lw_journal_scan(path, kind, kinds, take, taken, &bad, err);
    cr_assert_eq(bad, 0);
    return status;
}

Test(scan, gives_the_kinds_asked_for)
{
    static const enum lw_event_kind kinds[] = {LW_EV_MARK, LW_EV_UNDO};
    char folder[512], path[600];
    struct lw_error err = {""};
    struct taken taken;
    struct lw_journal *j;

    path_in(path, folder);
    j = opened(path);
    append(j, LW_EV_TRIP, 1000);
    append(j, LW_EV_TRACK, 2000);
    append(j, LW_EV_MARK, 3000);
    append(j, LW_EV_TRACK, 4000);
    append(j, LW_EV_UNDO, 5000);
    flushed(j);
    cr_assert_eq(scan(path, NULL, 0, &taken, &err), 0, "%s", err.text);
    cr_assert_eq(taken.n, 5, "while it is open");
    closed(j);
    cr_assert_eq(scan(path, kinds, 2, &taken, &err), 0, "%s", err.text);
    cr_assert_eq(taken.n, 2);
    cr_assert_eq(taken.last.at_utc_ms, 5000);
}

Test(scan, reads_where_nothing_can_be_written)
{
    char folder[512], path[600];
    struct lw_error err = {""};
    struct taken taken;
    struct lw_journal *j;
    int status;

    path_in(path, folder);
    j = opened(path);
    append(j, LW_EV_MARK, 3000);
    closed(j);
    cr_assert_eq(chmod(path, 0444), 0);
    cr_assert_eq(chmod(folder, 0555), 0);
    status = scan(path, NULL, 0, &taken, &err);
    cr_assert_eq(chmod(folder, 0755), 0);
    cr_assert_eq(status, 0, "%s", err.text);
    cr_assert_eq(taken.n, 1);
}

static void refused(const char *path, const char *why)
{
    struct lw_error err = {""};
    struct taken taken;

    cr_assert_eq(scan(path, NULL, 0, &taken, &err), -1);
    cr_assert_not_null(strstr(err.text, why), "%s", err.text);
    cr_assert_eq(taken.n, 0);
}

Test(scan, refuses_what_is_none)
{
    char folder[512], path[600], other[600];
    struct lw_journal *j;
    sqlite3 *db;
    FILE *file;

    path_in(path, folder);
    refused(path, "cannot be read");
    cr_assert_neq(access(path, F_OK), 0, "and makes none");
    refused(folder, "cannot be read");
    snprintf(other, sizeof other, "%s/other", folder);
    file = fopen(other, "w");
    for (int i = 0; i < 200; i++)
        fputs("no database at all\n", file);
    fclose(file);
    refused(other, "not an SQLite file");
    cr_assert_eq(truncate(other, 0), 0);
    refused(other, "no lipwalk journal");
    closed(j = opened(path));
    cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(db, "PRAGMA user_version=99", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    refused(path, "version 99");
}
