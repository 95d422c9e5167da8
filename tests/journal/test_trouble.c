/* Two processes on one journal, and a disk that fails. */
#include <poll.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include "journal_test.h"
#include "lipwalk/base/clock.h"

/* Another process. It is forked while this one has no journal open, for SQLite's connections must
 * not be carried into a child, and waits for the word to go. */
struct other {
    pid_t pid;
    int go, from; /* our ends of its pipes */
};

static struct other start(int (*child)(const char *path, int to), const char *path)
{
    struct other other;
    int go[2], from[2];
    char word;

    cr_assert_eq(pipe(go), 0);
    cr_assert_eq(pipe(from), 0);
    other.pid = fork();
    cr_assert_geq(other.pid, 0);
    if (other.pid == 0) {
        close(go[1]);
        close(from[0]);
        _exit(read(go[0], &word, 1) == 1 ? child(path, from[1]) : 1);
    }
    close(go[0]);
    close(from[1]);
    other.go = go[1];
    other.from = from[0];
    return other;
}

static void let_go(const struct other *other)
{
    cr_assert_eq(write(other->go, "g", 1), 1);
}

static int mark_for_a_while(const char *path, int to)
{
    struct lw_journal *j;
    struct lw_event event;

    (void)to;
    if (lw_journal_open(path, &j, NULL))
        return 1;
    for (int i = 0; i < 50; i++) {
        event = event_of(LW_EV_MARK, i);
        if (lw_journal_append(j, &event, NULL) || lw_journal_flush(j, 10000, NULL))
            return 1;
    }
    return lw_journal_close(j, NULL) ? 1 : 0;
}

Test(trouble, two_processes_write_at_once)
{
    char folder[512], path[600];
    struct lw_journal *j;
    int64_t after = 0, others = 0;
    int status, n = 0;
    struct other other;

    path_in(path, folder);
    other = start(mark_for_a_while, path);
    j = opened(path);
    let_go(&other);
    for (int i = 0; i < 50; i++) {
        append(j, LW_EV_MARK, i);
        flushed(j);
    }
    cr_assert_eq(waitpid(other.pid, &status, 0), other.pid);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    n = read_all(j, TRIP, false, &after, NULL);
    cr_assert_eq(n, 100);
    cr_assert_eq(read_all(j, TRIP, true, &others, NULL), 50);
    closed(j);
}

static int mark_once(const char *path, int to)
{
    struct lw_journal *j;
    struct lw_event event = event_of(LW_EV_MARK, 7);
    int64_t done_ms;

    if (lw_journal_open(path, &j, NULL) || lw_journal_append(j, &event, NULL) ||
        lw_journal_flush(j, 10000, NULL))
        return 1;
    done_ms = lw_clock_mono_ms();
    return write(to, &done_ms, sizeof done_ms) == sizeof done_ms ? 0 : 1;
}

Test(trouble, sees_another_process_within_a_second)
{
    char folder[512], path[600];
    struct lw_journal *j;
    int64_t after = 0, done_ms, seen_ms = 0;
    struct other other;

    path_in(path, folder);
    other = start(mark_once, path);
    j = opened(path);
    append(j, LW_EV_TRIP, 1);
    flushed(j);
    lw_journal_changed(j);
    read_all(j, TRIP, false, &after, NULL);
    cr_assert(!lw_journal_changed(j), "nothing happened since");
    let_go(&other);
    for (int i = 0; i < 200 && !seen_ms; i++) {
        usleep(50000);
        if (lw_journal_changed(j) && read_all(j, TRIP, true, &after, NULL) == 1)
            seen_ms = lw_clock_mono_ms();
    }
    cr_assert_eq(read(other.from, &done_ms, sizeof done_ms), sizeof done_ms);
    cr_assert(seen_ms, "never seen");
    cr_assert_lt(seen_ms - done_ms, 1000);
    waitpid(other.pid, NULL, 0);
    closed(j);
}

static int hold_lease(const char *path, int to)
{
    struct lw_journal *j;

    if (lw_journal_open(path, &j, NULL))
        return 1;
    if (write(to, lw_journal_lease(j) ? "y" : "n", 1) != 1)
        return 1;
    pause();
    return 0;
}

Test(trouble, the_lease_dies_with_its_process)
{
    char folder[512], path[600], answer = 0;
    struct lw_journal *j;
    struct other other;

    path_in(path, folder);
    other = start(hold_lease, path);
    let_go(&other);
    cr_assert_eq(read(other.from, &answer, 1), 1);
    cr_assert_eq(answer, 'y');
    j = opened(path);
    cr_assert(!lw_journal_lease(j));
    kill(other.pid, SIGKILL);
    waitpid(other.pid, NULL, 0);
    cr_assert(lw_journal_lease(j));
    cr_assert(lw_journal_lease(j), "it stays ours");
    closed(j);
}

/* A limit on the size of files stands in for a full disk: write() fails all the same (EFBIG). */
Test(trouble, keeps_events_while_the_disk_is_full)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct lw_error err = {""};
    struct rlimit limit, full;
    struct pollfd told;
    int64_t after = 0;
    uint64_t durable, last = 0;

    signal(SIGXFSZ, SIG_IGN);
    path_in(path, folder);
    j = opened(path);
    told = (struct pollfd){lw_journal_fd(j), POLLIN, 0};
    append(j, LW_EV_TRIP, 1);
    flushed(j);
    durable = lw_journal_durable(j);
    cr_assert_eq(getrlimit(RLIMIT_FSIZE, &limit), 0);
    full = limit;
    full.rlim_cur = 8192;
    cr_assert_eq(setrlimit(RLIMIT_FSIZE, &full), 0);
    for (int i = 0; i < 30; i++)
        last = append(j, LW_EV_MARK, 2 + i);
    lw_journal_seen(j);
    cr_assert_eq(poll(&told, 1, 10000), 1, "trouble is told");
    cr_assert_eq(lw_journal_flush(j, 5000, &err), -1);
    cr_assert(strstr(err.text, path) && strstr(err.text, "disk"), "%s", err.text);
    lw_journal_trouble(j, &err);
    cr_assert_neq(err.text[0], '\0');
    cr_assert_lt(lw_journal_durable(j), last, "not confirmed");
    cr_assert_geq(lw_journal_durable(j), durable);

    cr_assert_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    flushed(j);
    cr_assert_eq(lw_journal_durable(j), last);
    lw_journal_trouble(j, &err);
    cr_assert_eq(err.text[0], '\0', "the trouble is over: %s", err.text);
    cr_assert_eq(read_all(j, TRIP, false, &after, NULL), 31);
    closed(j);
}

Test(trouble, says_so_when_its_file_is_moved_away)
{
    char folder[512], path[600], aside[620];
    struct lw_journal *j;
    struct lw_error err = {""};
    int64_t after = 0;

    path_in(path, folder);
    snprintf(aside, sizeof aside, "%s.aside", path);
    j = opened(path);
    append(j, LW_EV_TRIP, 1);
    flushed(j);
    cr_assert_eq(rename(path, aside), 0);
    append(j, LW_EV_MARK, 2);
    cr_assert_eq(lw_journal_flush(j, 10000, &err), -1);
    cr_assert(strstr(err.text, "moved or deleted"), "%s", err.text);
    cr_assert_eq(lw_journal_durable(j), 1);
    cr_assert_eq(rename(aside, path), 0);
    flushed(j);
    cr_assert_eq(read_all(j, TRIP, false, &after, NULL), 2);
    closed(j);
}

Test(trouble, a_close_that_could_not_save_says_how_many)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct lw_error err = {""};

    path_in(path, folder);
    j = opened(path);
    cr_assert_eq(unlink(path), 0);
    append(j, LW_EV_MARK, 1);
    append(j, LW_EV_TRACK, 2);
    cr_assert_eq(lw_journal_close(j, &err), -1);
    cr_assert(strstr(err.text, "2 events"), "%s", err.text);
}

Test(trouble, the_queue_is_bounded_and_keeps_room_for_marks)
{
    char folder[512], path[600];
    struct lw_journal *j;
    struct lw_event event = event_of(LW_EV_TRACK, 1);
    struct lw_error err = {""};
    uint64_t seq;
    int n = 0;

    path_in(path, folder);
    j = opened(path);
    cr_assert_eq(unlink(path), 0); /* nothing can be written */
    while (n <= LW_QUEUE_TRACKS && lw_journal_append(j, &event, &err) == 0)
        n++;
    cr_assert_eq(n, LW_QUEUE_TRACKS);
    cr_assert(strstr(err.text, "no room"), "%s", err.text);
    seq = append(j, LW_EV_MARK, 2);
    cr_assert_eq(seq, (uint64_t)n + 1, "a refused event takes no number");
    lw_journal_close(j, NULL);
}
