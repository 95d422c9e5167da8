/* Reading the journal: events in the order of their rows, what others added, the newest trip. */
#include <string.h>

#include "inside.h"
#include "lipwalk/base/text.h"

bool lw_journal_changed(struct lw_journal *j)
{
    int64_t version = lw_store_pragma(j->reader, "data_version");
    bool changed = version != j->data_version;

    j->data_version = version;
    return changed;
}

int lw_journal_read(struct lw_journal *j, const char *trip, bool skip_own, int64_t *after,
                    lw_journal_take take, void *context, int *bad, struct lw_error *err)
{
    static const char sql[] = "SELECT rowid, body, origin FROM event WHERE rowid > ?1"
                              " AND (?2 IS NULL OR trip = ?2) ORDER BY rowid";
    sqlite3_stmt *ask = NULL;
    int step, stop = 0;

    if (sqlite3_prepare_v2(j->reader, sql, -1, &ask, NULL) || sqlite3_bind_int64(ask, 1, *after) ||
        (trip && sqlite3_bind_text(ask, 2, trip, -1, SQLITE_STATIC))) {
        lw_store_fail(j->reader, j->path, err);
        sqlite3_finalize(ask);
        return -1;
    }
    while (!stop && (step = sqlite3_step(ask)) == SQLITE_ROW) {
        const char *body = (const char *)sqlite3_column_text(ask, 1);
        struct lw_event event;

        /* past our own too: a day's tracks must not be stepped over again at each commit */
        *after = sqlite3_column_int64(ask, 0);
        if (skip_own && (uint64_t)sqlite3_column_int64(ask, 2) == j->origin)
            continue;
        if (body && lw_event_from_json(body, &event, NULL) == 0)
            stop = take(context, &event);
        else if (bad)
            ++*bad;
    }
    if (!stop && step != SQLITE_DONE)
        stop = lw_store_fail(j->reader, j->path, err);
    sqlite3_finalize(ask);
    return stop;
}

int lw_journal_last_trip(struct lw_journal *j, struct lw_journal_trip *trip, struct lw_error *err)
{
    /* A trip taken up again may have a second head: it began with its first event. The last event
     * is the one that was written last: after a step of the clock it need not be the one with the
     * latest time. */
    static const char sql[] =
        "SELECT b.trip,"
        " (SELECT at_utc_ms FROM event WHERE trip = b.trip ORDER BY rowid LIMIT 1),"
        " (SELECT at_utc_ms FROM event WHERE trip = b.trip ORDER BY rowid DESC LIMIT 1),"
        " (SELECT max(rowid) FROM event WHERE trip = b.trip AND kind = ?2),"
        " (SELECT max(rowid) FROM event WHERE trip = b.trip AND kind = ?1)"
        " FROM event AS b WHERE b.kind = ?1 ORDER BY b.rowid DESC LIMIT 1";
    sqlite3_stmt *ask = NULL;
    int step, result = -1;

    memset(trip, 0, sizeof *trip);
    if (sqlite3_prepare_v2(j->reader, sql, -1, &ask, NULL) == SQLITE_OK &&
        sqlite3_bind_text(ask, 1, lw_event_kind_name(LW_EV_TRIP), -1, SQLITE_STATIC) == SQLITE_OK &&
        sqlite3_bind_text(ask, 2, lw_event_kind_name(LW_EV_TRIP_END), -1, SQLITE_STATIC) ==
            SQLITE_OK &&
        ((step = sqlite3_step(ask)) == SQLITE_ROW || step == SQLITE_DONE)) {
        result = step == SQLITE_ROW;
        if (result) {
            lw_text_copy(trip->id, sizeof trip->id, (const char *)sqlite3_column_text(ask, 0));
            trip->began_utc_ms = sqlite3_column_int64(ask, 1);
            trip->last_utc_ms = sqlite3_column_int64(ask, 2);
            trip->ended = sqlite3_column_int64(ask, 3) > sqlite3_column_int64(ask, 4);
        }
    } else {
        lw_store_fail(j->reader, j->path, err);
    }
    sqlite3_finalize(ask);
    return result;
}
