/* Pieces timed against a peer in the same run: ratios, for absolute times move with the machine. */
#include <math.h>
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
    printf("nearest point, 3000 vertices   index %.2f us   brute force %.2f us   ratio %.3f   "
           "(difference %.1g)\n",
           (t1 - t0) / 3000 * 1e6, (t2 - t1) / 3000 * 1e6, (t1 - t0) / (t2 - t1), sum);
    lw_line_index_free(index);
    lw_line_free(&line);
}

/* Folding a day: 8 hours of tracks and marks; the peer is real time. */
static void fold(void)
{
    struct lw_trip_rules rules = {1200, 300, 20, 9000, 900, 1800, 60, INT64_MAX};
    struct lw_trip *trip = lw_trip_new(&rules);
    double t0 = now_s(), spent;
    int n = 8 * 3600;

    for (int i = 0; i < n; i++) {
        struct lw_event event = lw_event_new(i % 300 ? LW_EV_TRACK : LW_EV_MARK,
                                             1778521530000 + i * 1000LL);
        struct lw_where *where = i % 300 ? &event.u.track.where : &event.u.mark.where;

        event.id = (struct lw_event_id){1, (uint64_t)i + 1};
        where->at = (struct lw_ll){46.2 + i * 1e-7, -93.6};
        where->age_s = 0;
        lw_trip_apply(trip, &event);
    }
    spent = now_s() - t0;
    printf("folding 8 h of a day           %.3f s   real time %d s   ratio %.2g\n", spent, n,
           spent / n);
    lw_trip_free(trip);
}

static void filter(void)
{
    struct lw_filter_rules rules;
    struct lw_filter state;
    struct lw_estimate estimate;
    double t0, spent;
    int n = 100000;

    lw_filter_rules_default(&rules);
    lw_filter_clear(&state, &rules);
    t0 = now_s();
    for (int i = 0; i < n; i++) {
        struct lw_fix fix = {
            1778521530000 + i * 100LL, i * 100LL, 3, {46.2 + i * 4e-9, -93.6}, 0.5, 0, 5, 0.9};

        lw_filter_step(&state, &fix, &estimate);
    }
    spent = (now_s() - t0) / n;
    printf("one fix through the filter     %.2f us   at 10 Hz there are 100000 us   ratio %.2g\n",
           spent * 1e6, spent * 10);
}

static void journal(const char *path)
{
    struct lw_journal *j;
    struct lw_error err;
    double t0, spent;
    int n = 200;

    if (lw_journal_open(path, &j, &err)) {
        printf("journal: %s\n", err.text);
        return;
    }
    t0 = now_s();
    for (int i = 0; i < n; i++) {
        struct lw_event event = lw_event_new(LW_EV_MARK, 1778521530000 + i);

        if (lw_journal_append(j, &event, &err) || lw_journal_flush(j, 5000, &err)) {
            printf("journal: %s\n", err.text);
            break;
        }
    }
    spent = (now_s() - t0) / n;
    printf("a mark, key to disk            %.2f ms   (one transaction, synchronous=FULL)\n",
           spent * 1e3);
    lw_journal_close(j, &err);
}

int main(int argc, char **argv)
{
    nearest();
    filter();
    fold();
    if (argc > 1)
        journal(argv[1]);
    return 0;
}
