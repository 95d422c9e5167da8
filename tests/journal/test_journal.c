/* The journal's file: what is kept, what is refused. */
#include <math.h>
#include <poll.h>
#include <sqlite3.h>
#include <sys/stat.h>

#include "journal_test.h"
#include "lipwalk/base/clock.h"

Test(journal, keeps_what_is_appended)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct lw_event event, back;
    struct lw_error err = {""};
    int64_t after = 0;

    path_in(path, folder);
    j = opened(path);
    cr_assert_eq(append(j, LW_EV_TRIP, 1000), 1);
    event = event_of(LW_EV_MARK, 2000);
    event.u.mark.kind = LW_MARK_FISH;
    event.u.mark.where.at = (struct lw_ll){46.0088123456789, -89.6997};
    snprintf(event.u.mark.note, sizeof event.u.mark.note, "21\" walleye \xC3\xA5");
    cr_assert_eq(lw_journal_append(j, &event, &err), 0);
    cr_assert_eq(event.id.seq, 2);
    closed(j);

    j = opened(path);
    cr_assert_eq(lw_journal_durable(j), 0, "a new origin has written nothing yet");
    cr_assert_eq(read_all(j, TRIP, false, &after, &back), 2);
    cr_assert_eq(after, 2);
    cr_assert(lw_event_id_same(back.id, event.id));
    cr_assert_eq(back.u.mark.where.at.lat_deg, event.u.mark.where.at.lat_deg);
    cr_assert(isnan(back.u.mark.depth_m));
    cr_assert_str_eq(back.u.mark.note, event.u.mark.note);
    cr_assert_eq(read_all(j, TRIP, false, &after, NULL), 0);
    after = 0;
    cr_assert_eq(read_all(j, "another", false, &after, NULL), 0);
    closed(j);
}

Test(journal, syncs_fully_in_wal_mode_and_is_private)
{
    static const char *const end[] = {"", "-wal", "-shm"};
    char folder[512], path[600], name[620];
    struct lw_journal *j;
    struct stat is;

    umask(0); /* the mode must not come from the umask */
    path_in(path, folder);
    j = opened(path);
    append(j, LW_EV_TRIP, 1000);
    flushed(j);
    cr_assert_eq(lw_store_pragma(j->writer, "synchronous"), 2); /* 2 is FULL: sqlite.org/pragma */
    for (int i = 0; i < 3; i++) {
        snprintf(name, sizeof name, "%s%s", path, end[i]);
        cr_assert_eq(stat(name, &is), 0, "%s", name);
        cr_assert_eq(is.st_mode & 0777, 0600, "%s", name);
    }
    closed(j);
    chmod(path, 0644); /* copied in from elsewhere */
    closed(opened(path));
    cr_assert_eq(stat(path, &is), 0);
    cr_assert_eq(is.st_mode & 0777, 0600);
}

Test(journal, is_only_appended_to)
{
    char folder[512], path[600];
    struct lw_journal *j;
    sqlite3 *db;

    path_in(path, folder);
    j = opened(path);
    append(j, LW_EV_TRIP, 1000);
    closed(j);
    cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(db, "UPDATE event SET body = ''", NULL, NULL, NULL),
                 SQLITE_CONSTRAINT);
    cr_assert_eq(sqlite3_exec(db, "DELETE FROM event", NULL, NULL, NULL), SQLITE_CONSTRAINT);
    sqlite3_close(db);
}

static void expect_refused(const char *path, const char *words)
{
    struct lw_journal *j = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_journal_open(path, &j, &err), -1);
    cr_assert_null(j);
    cr_assert(strstr(err.text, words), "\"%s\" lacks \"%s\"", err.text, words);
    cr_assert(strstr(err.text, path), "\"%s\" names no file", err.text);
}

/* All bytes of a file, and its size. */
static size_t bytes_of(const char *path, char *to, size_t size)
{
    FILE *from = fopen(path, "rb");
    size_t n;

    cr_assert_not_null(from);
    n = fread(to, 1, size, from);
    fclose(from);
    return n;
}

static void make(const char *path, const char *sql)
{
    sqlite3 *db;

    cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

Test(journal, refuses_what_is_no_journal_and_leaves_it_alone)
{
    static char before[400000], after[400000];
    char folder[512], path[600], wal[620];
    size_t n;
    FILE *to;

    path_in(path, folder);
    to = fopen(path, "wb");
    for (int i = 0; i < 200; i++)
        fputs("a lake diary in plain words\n", to);
    fclose(to);
    n = bytes_of(path, before, sizeof before);
    expect_refused(path, "no lipwalk journal");
    cr_assert_eq(bytes_of(path, after, sizeof after), n);
    cr_assert_eq(memcmp(before, after, n), 0);

    unlink(path);
    fclose(fopen(path, "wb"));
    expect_refused(path, "no lipwalk journal");

    unlink(path);
    make(path, "PRAGMA journal_mode=WAL; CREATE TABLE note(words)");
    n = bytes_of(path, before, sizeof before);
    expect_refused(path, "another program");
    cr_assert_eq(bytes_of(path, after, sizeof after), n);
    cr_assert_eq(memcmp(before, after, n), 0);
    snprintf(wal, sizeof wal, "%s-wal", path);
    cr_assert_neq(access(wal, F_OK), 0, "nothing may be left beside it");

    unlink(path);
    closed(opened(path));
    make(path, "PRAGMA user_version=2");
    n = bytes_of(path, before, sizeof before);
    expect_refused(path, "version 2");
    cr_assert_eq(bytes_of(path, after, sizeof after), n);
    cr_assert_eq(memcmp(before, after, n), 0);
}

Test(journal, refuses_a_damaged_one_and_leaves_it_alone)
{
    static char before[4000000], after[4000000];
    char folder[512], path[600];
    struct lw_journal *j;
    size_t n;
    FILE *to;

    path_in(path, folder);
    j = opened(path);
    for (int i = 0; i < 400; i++)
        append(j, LW_EV_MARK, i);
    closed(j);
    n = bytes_of(path, before, sizeof before);
    cr_assert_gt(n, 40000);
    for (size_t i = 3 * 4096; i < 6 * 4096; i++) /* three pages lost */
        before[i] = (char)0xA5;
    to = fopen(path, "wb");
    fwrite(before, 1, n, to);
    fclose(to);
    expect_refused(path, "damaged");
    cr_assert_eq(bytes_of(path, after, sizeof after), n);
    cr_assert_eq(memcmp(before, after, n), 0);

    to = fopen(path, "wb"); /* cut in the middle */
    fwrite(before, 1, n / 2 + 100, to);
    fclose(to);
    expect_refused(path, "damaged");
}

Test(journal, says_when_the_folder_is_missing)
{
    expect_refused("/nonexistent-folder/day.db", "--journal");
}

Test(journal, lies_in_the_data_folder_by_default)
{
    char folder[512], path[600];

    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_DATA_HOME", folder, 1);
    closed(opened(NULL));
    snprintf(path, sizeof path, "%s/lipwalk/lipwalk.db", folder);
    cr_assert_eq(access(path, F_OK), 0);
}

Test(journal, knows_the_newest_trip)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct lw_journal_trip trip;
    struct lw_error err = {""};

    path_in(path, folder);
    j = opened(path);
    cr_assert_eq(lw_journal_last_trip(j, &trip, &err), 0);
    append(j, LW_EV_TRIP, 5000);
    append(j, LW_EV_TRACK, 9000);
    append(j, LW_EV_CLOCK, 3000); /* stepped back: the newest event counts, not the latest time */
    append(j, LW_EV_TRACK, 4000);
    flushed(j);
    cr_assert_eq(lw_journal_last_trip(j, &trip, &err), 1);
    cr_assert_str_eq(trip.id, TRIP);
    cr_assert_eq(trip.began_utc_ms, 5000);
    cr_assert_eq(trip.last_utc_ms, 4000);
    cr_assert(!trip.ended);
    append(j, LW_EV_TRIP_END, 6000);
    flushed(j);
    cr_assert_eq(lw_journal_last_trip(j, &trip, &err), 1);
    cr_assert(trip.ended);
    append(j, LW_EV_TRIP, 7000); /* taken up again */
    flushed(j);
    cr_assert_eq(lw_journal_last_trip(j, &trip, &err), 1);
    cr_assert(!trip.ended);
    cr_assert_eq(trip.began_utc_ms, 5000);
    closed(j);
}

Test(journal, tracks_wait_and_a_mark_takes_them_along)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct pollfd told;
    uint64_t seq;
    int64_t before_ms;

    path_in(path, folder);
    j = opened(path);
    told = (struct pollfd){lw_journal_fd(j), POLLIN, 0};
    append(j, LW_EV_TRACK, 1);
    append(j, LW_EV_TRACK, 2);
    cr_assert_eq(poll(&told, 1, 500), 0, "tracks are batched");
    cr_assert_eq(lw_journal_durable(j), 0);
    seq = append(j, LW_EV_MARK, 3);
    cr_assert_eq(poll(&told, 1, 5000), 1);
    lw_journal_seen(j);
    cr_assert_eq(lw_journal_durable(j), seq);
    cr_assert_eq(poll(&told, 1, 0), 0, "seen empties it");

    before_ms = lw_clock_mono_ms();
    append(j, LW_EV_TRACK, 4); /* alone: on the disk within 5 s, but not at once */
    cr_assert_eq(poll(&told, 1, 5000), 1);
    cr_assert_geq(lw_clock_mono_ms() - before_ms, 3000);
    cr_assert_eq(lw_journal_durable(j), 4);
    closed(j);
}

/* What another process adds is found behind whatever we added meanwhile, and own events are stepped
 * over once. */
Test(journal, reading_goes_on_behind_its_own_events)
{
    char folder[512], path[600];
    struct lw_journal *j, *other;
    int64_t after = 0;

    path_in(path, folder);
    j = opened(path);
    other = opened(path);
    for (int i = 0; i < 5; i++)
        append(j, LW_EV_MARK, i);
    flushed(j);
    cr_assert_eq(read_all(j, TRIP, true, &after, NULL), 0);
    cr_assert_eq(after, 5);
    append(other, LW_EV_MARK, 6);
    flushed(other);
    append(j, LW_EV_MARK, 7);
    flushed(j);
    cr_assert_eq(read_all(j, TRIP, true, &after, NULL), 1);
    cr_assert_eq(after, 7);
    closed(other);
    closed(j);
}

/* Seasons of events are opened without looking at every page; what lies there is read all the same.
 */
Test(journal, opens_a_large_file_at_once)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct stat is;
    int64_t after = 0, began_ms;

    path_in(path, folder);
    closed(opened(path));
    make(path, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20000)"
               " INSERT INTO event(origin, seq, trip, at_utc_ms, kind, body)"
               " SELECT 7, i, 'old', i, 'track', printf('%.4000c', 'x') FROM n");
    cr_assert_eq(stat(path, &is), 0);
    cr_assert_gt(is.st_size, 64 * 1048576);
    began_ms = lw_clock_mono_ms();
    j = opened(path);
    cr_log_info("%lld MB opened in %lld ms", (long long)is.st_size / 1000000,
                (long long)(lw_clock_mono_ms() - began_ms));
    append(j, LW_EV_MARK, 1);
    flushed(j);
    cr_assert_eq(read_all(j, TRIP, false, &after, NULL), 1);
    closed(j);
    unlink(path);
}

Test(journal, counts_what_it_cannot_read)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct taken taken = {0};
    struct lw_error err = {""};
    int64_t after = 0;
    int bad = 0;

    path_in(path, folder);
    closed(opened(path));
    make(path, "INSERT INTO event(origin, seq, trip, at_utc_ms, kind, body) VALUES"
               "(7, 1, '" TRIP "', 1, 'mark', '{not json')");
    j = opened(path);
    append(j, LW_EV_MARK, 2);
    flushed(j);
    cr_assert_eq(lw_journal_read(j, TRIP, false, &after, take, &taken, &bad, &err), 0);
    cr_assert_eq(bad, 1);
    cr_assert_eq(taken.n, 1);
    closed(j);
}
