/* Pieces timed against a peer in the same run: ratios, for absolute times move with the machine. */
#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "lipwalk/event/event.h"
#include "lipwalk/feed/filter.h"
#include "lipwalk/geo/line.h"
#include "lipwalk/journal/journal.h"
#include "lipwalk/trip/trip.h"

static double now_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Nearest point: the index against looking at every segment. */
static void nearest(void)
{
    struct lw_line line = {0};
    struct lw_line_index *index;
    double t0, t1, t2, sum = 0;

    for (int i = 0; i < 3000; i++)
        lw_line_add(&line, (struct lw_en){i, 40 * sin(i / 60.0) + 5 * sin(i / 3.0)});
    index = lw_line_index_new(&line, 12);
    t0 = now_s();
    for (int i = 0; i < 3000; i++)
        sum += lw_line_index_nearest(index, (struct lw_en){i, 50 * cos(i / 60.0)}).left_m;
    t1 = now_s();
    for (int i = 0; i < 3000; i++)
        sum -= lw_line_nearest(&line, (struct lw_en){i, 50 * cos(i / 60.0)}).left_m;
    t2 = now_s();
    printf("nearest point, 3000 vertices   lipwalk %.2f us   every segment %.2f us   ratio %.3f   "
           "(difference %.1g)\n",
           (t1 - t0) / 3000 * 1e6, (t2 - t1) / 3000 * 1e6, (t1 - t0) / (t2 - t1), sum);
    lw_line_index_free(index);
    lw_line_free(&line);
}

/* A day of 8 hours, once a second: marks, and tracks between them. */
#define DAY_EVENTS (8 * 3600)
static struct lw_event day_event(int i)
{
    struct lw_event event = lw_event_new(i % 300 ? LW_EV_TRACK : LW_EV_MARK,
                                         1778521530000 + i * 1000LL);
    struct lw_where *where = i % 300 ? &event.u.track.where : &event.u.mark.where;

    event.id = (struct lw_event_id){1, (uint64_t)i + 1};
    where->at = (struct lw_ll){46.2 + i * 1e-7, -93.6};
    where->age_s = 0;
    return event;
}

static int count(void *context, const struct lw_event *event)
{
    (void)event;
    ++*(int *)context;
    return 0;
}

/* Folding a day against reading its events from the journal, both of which a restart does. */
static void fold(struct lw_journal *j)
{
    struct lw_trip_rules rules = {1200, 300, 20, 9000, 900, 1800, 60, INT64_MAX};
    struct lw_trip *trip = lw_trip_new(&rules);
    struct lw_trip_now now;
    struct lw_error err;
    double t0, t1, t2;
    int64_t after = 0;
    int n = 0;

    for (int i = 0; i < DAY_EVENTS; i++) {
        struct lw_event event = day_event(i);

        if (lw_journal_append(j, &event, &err))
            printf("journal: %s\n", err.text);
    }
    if (lw_journal_flush(j, 60000, &err))
        printf("journal: %s\n", err.text);
    t0 = now_s();
    for (int i = 0; i < DAY_EVENTS; i++) {
        struct lw_event event = day_event(i);

        lw_trip_apply(trip, &event);
    }
    lw_trip_at(trip, 1778521530000 + DAY_EVENTS * 1000LL, &now); /* it folds when asked */
    t1 = now_s();
    lw_journal_read(j, "", false, &after, count, &n, NULL, &err);
    t2 = now_s();
    printf("fold of a day, %d events    lipwalk %.3f s   reading them %.3f s   ratio %.2f\n", n,
           t1 - t0, t2 - t1, (t1 - t0) / (t2 - t1));
    lw_trip_free(trip);
}

/* The filter against the mean of the last ten fixes, which lags by half of them. */
static void filter(void)
{
    struct lw_filter_rules rules;
    struct lw_filter state;
    struct lw_estimate estimate;
    struct lw_ll last[10] = {{0, 0}};
    volatile double mean; /* so that it is worked out */
    double t0, t1, t2;
    int n = 100000;

    lw_filter_rules_default(&rules);
    lw_filter_clear(&state, &rules);
    t0 = now_s();
    for (int i = 0; i < n; i++) {
        struct lw_fix fix = {
            1778521530000 + i * 100LL, i * 100LL, 3, {46.2 + i * 4e-9, -93.6}, 0.5, 0, 5, 0.9};

        lw_filter_step(&state, &fix, &estimate);
    }
    t1 = now_s();
    for (int i = 0; i < n; i++) {
        double lat = 0, lon = 0;

        last[i % 10] = (struct lw_ll){46.2 + i * 4e-9, -93.6};
        for (int k = 0; k < 10; k++) {
            lat += last[k].lat_deg / 10;
            lon += last[k].lon_deg / 10;
        }
        mean = lat;
        mean = lon;
    }
    t2 = now_s();
    (void)mean;
    printf("one fix through the filter     lipwalk %.3f us   mean of ten %.3f us   ratio %.1f\n",
           (t1 - t0) / n * 1e6, (t2 - t1) / n * 1e6, (t1 - t0) / (t2 - t1));
}

#define MARKS 200
/* Seconds for one row by SQLite alone, synced in full; less than 0 when it does not work. */
static double bare_insert(const char *path)
{
    static const char sql[] = "INSERT INTO event VALUES(NULL, 1, ?, '', 1, 'mark', "
                              "'{\"as long as the body of a mark is, without a position\"}')";
    sqlite3 *db = NULL;
    sqlite3_stmt *insert = NULL;
    double t0, spent = -1;

    if (sqlite3_open(path, &db) ||
        sqlite3_exec(db,
                     "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; "
                     "CREATE TABLE event(rowid INTEGER PRIMARY KEY, origin, seq, trip, at_utc_ms, "
                     "kind, body, UNIQUE(origin, seq)); CREATE INDEX event_trip ON event(trip)",
                     NULL, NULL, NULL) ||
        sqlite3_prepare_v2(db, sql, -1, &insert, NULL))
        goto out;
    t0 = now_s();
    for (int i = 0; i < MARKS; i++) {
        sqlite3_reset(insert);
        if (sqlite3_bind_int(insert, 1, i) || sqlite3_step(insert) != SQLITE_DONE)
            goto out;
    }
    spent = (now_s() - t0) / MARKS;
out:
    sqlite3_finalize(insert);
    sqlite3_close(db);
    return spent;
}

/* A mark from the key to the disk, through the writer's thread. */
static void mark(struct lw_journal *j, const char *folder)
{
    struct lw_error err;
    char peer[600];
    double t0, spent, bare;

    snprintf(peer, sizeof peer, "%s/peer.db", folder);
    t0 = now_s();
    for (int i = 0; i < MARKS; i++) {
        struct lw_event event = lw_event_new(LW_EV_MARK, 1778521530000 + i);

        if (lw_journal_append(j, &event, &err) || lw_journal_flush(j, 5000, &err)) {
            printf("journal: %s\n", err.text);
            return;
        }
    }
    spent = (now_s() - t0) / MARKS;
    bare = bare_insert(peer);
    printf("a mark, synced in full         lipwalk %.3f ms   bare SQLite %.3f ms   ratio %.2f\n",
           spent * 1e3, bare * 1e3, spent / bare);
}

int main(int argc, char **argv)
{
    struct lw_journal *j;
    struct lw_error err;
    char path[600];

    if (argc != 2) {
        fprintf(stderr, "usage: pieces FOLDER\n");
        return 2;
    }
    nearest();
    filter();
    snprintf(path, sizeof path, "%s/bench.db", argv[1]);
    if (lw_journal_open(path, &j, &err)) {
        fprintf(stderr, "%s\n", err.text);
        return 1;
    }
    fold(j);
    mark(j, argv[1]);
    return lw_journal_close(j, &err) ? 1 : 0;
}
