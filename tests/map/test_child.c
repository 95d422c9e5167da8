/* Whatever the child does, the parent gets one sentence. */
#include "lw_test.h"

#include <errno.h>
#include <netinet/in.h>
#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <sys/socket.h>
#include <sys/wait.h>

#include "../../src/map/child.h"
#include "../../src/map/told.h"
#include "lipwalk/base/clock.h"

struct answer {
    int number;
    char text[100000]; /* more than a pipe holds at once */
};

static int run(int (*work)(const void *, void *, struct lw_error *), struct answer *answer,
               struct lw_error *err)
{
    struct lw_child child = {.work = work,
                             .task = "task",
                             .reply = answer,
                             .reply_size = sizeof *answer,
                             .what = "reading x.shp",
                             .timeout_s = 2,
                             .memory_mb = 200};
    int status;

    err->text[0] = '\0';
    status = lw_child_run(&child, err);
    cr_assert_eq(waitpid(child.pid, NULL, WNOHANG), -1, "no zombie is left");
    if (status)
        cr_assert_neq(err->text[0], '\0');
    return status;
}

static int good(const void *task, void *reply, struct lw_error *err)
{
    struct answer *answer = reply;

    (void)err;
    cr_assert_str_eq(task, "task");
    answer->number = 42;
    memset(answer->text, 'x', sizeof answer->text - 1);
    return 0;
}

static int refuses(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    return lw_fail(err, "no contours in it");
}

static int crashes(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    (void)err;
    signal(SIGSEGV, SIG_DFL);
    raise(SIGSEGV);
    return 0;
}

static int aborts(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    (void)err;
    abort();
}

static int leaves(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    (void)err;
    _exit(0);
}

static int hangs(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    (void)err;
    while (pause())
        ;
    return 0;
}

static int spins(const void *task, void *reply, struct lw_error *err)
{
    volatile int x = 0;

    (void)task;
    (void)reply;
    (void)err;
    while (x >= 0)
        x = x < 1000000 ? x + 1 : 0;
    return 0;
}

static int grows(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    for (int k = 0; k < 400; k++) {
        char *p = malloc(1 << 20);

        if (!p)
            return lw_fail(err, "refused after %d MB", k);
        memset(p, 1, 1 << 20);
    }
    return 0;
}

static int talks(const void *task, void *reply, struct lw_error *err)
{
    (void)task;
    (void)reply;
    (void)err;
    printf("must not be seen\n");
    fprintf(stderr, "must not be seen\n");
    fflush(NULL);
    return 0;
}

static int calls_out(const void *task, void *reply, struct lw_error *err)
{
    struct answer *answer = reply;
    char *const argv[] = {(char[]){"true"}, NULL};

    (void)task;
    (void)err;
    answer->number = socket(AF_INET, SOCK_STREAM, 0) < 0 && errno == EACCES;
    execv("/bin/true", argv);
    answer->number += errno == EACCES;
    return 0;
}

static struct answer answer;
static struct lw_error err;

static void *cancel_soon(void *flag)
{
    usleep(300000);
    atomic_store((atomic_bool *)flag, true);
    return NULL;
}

Test(child, cancelled_from_another_thread)
{
    static atomic_bool flag;
    struct lw_child child = {.work = hangs,
                             .reply = &answer,
                             .reply_size = sizeof answer,
                             .what = "reading x.shp",
                             .timeout_s = 60,
                             .memory_mb = 200,
                             .cancel = &flag};
    int64_t before = lw_clock_mono_ms();
    pthread_t thread;

    cr_assert_eq(pthread_create(&thread, NULL, cancel_soon, &flag), 0);
    cr_assert_eq(lw_child_run(&child, &err), -1);
    cr_assert_str_eq(err.text, "reading x.shp was cancelled");
    cr_assert_lt(lw_clock_mono_ms() - before, 3000);
    pthread_join(thread, NULL);
}

/* Ctrl-C reaches the whole foreground group: the parent decides. */
static int interrupted(const void *task, void *reply, struct lw_error *e)
{
    struct answer *to = reply;

    (void)task;
    (void)e;
    raise(SIGINT);
    raise(SIGTERM);
    raise(SIGHUP);
    to->number = 7;
    return 0;
}

Test(child, leaves_interrupts_to_the_parent)
{
    cr_assert_eq(run(interrupted, &answer, &err), 0, "%s", err.text);
    cr_assert_eq(answer.number, 7);
}

static int tells(const void *task, void *reply, struct lw_error *e)
{
    struct lw_told *const *told = task;
    struct lw_progress progress = lw_told_progress(*told);

    (void)reply;
    (void)e;
    lw_progress_tell(&progress, 0.25, "depth surface");
    usleep(400000);
    lw_progress_tell(&progress, 7, "what no import does");
    usleep(400000);
    return 0;
}

struct heard {
    struct lw_told *told;
    struct lw_progress progress;
    int times, quarter, whole;
    pthread_t thread;
};

static void hear(void *context, double part, const char *step)
{
    struct heard *heard = context;

    cr_assert(pthread_equal(heard->thread, pthread_self()));
    heard->times++;
    heard->quarter += part == 0.25 && strcmp(step, "depth surface") == 0;
    heard->whole += part == 1 && strcmp(step, "reading the map") == 0;
}

static void look(void *context)
{
    struct heard *heard = context;

    lw_told_pass_on(heard->told, &heard->progress);
}

Test(child, progress_is_passed_on)
{
    struct heard heard = {.told = lw_told_new(), .thread = pthread_self()};
    struct lw_child child = {.work = tells,
                             .task = &heard.told,
                             .reply = &answer,
                             .reply_size = sizeof answer,
                             .what = "reading x.shp",
                             .timeout_s = 60,
                             .memory_mb = 200,
                             .look = look,
                             .look_context = &heard};

    heard.progress = (struct lw_progress){hear, &heard};
    cr_assert_not_null(heard.told);
    cr_assert_eq(lw_child_run(&child, &err), 0, "%s", err.text);
    cr_assert_geq(heard.quarter, 1);
    cr_assert_geq(heard.whole, 1, "parts are kept within 0 to 1, steps among those known");
    cr_assert_leq(heard.times, 12, "ten times a second");
    lw_told_free(heard.told);
}

Test(child, answers)
{
    cr_assert_eq(run(good, &answer, &err), 0, "%s", err.text);
    cr_assert_eq(answer.number, 42);
    cr_assert_eq(strlen(answer.text), sizeof answer.text - 1);
}

Test(child, passes_its_sentence_on)
{
    cr_assert_eq(run(refuses, &answer, &err), -1);
    cr_assert_str_eq(err.text, "no contours in it");
}

Test(child, crash_abort_and_leaving_are_sentences)
{
    cr_assert_eq(run(crashes, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "reading x.shp failed"), "%s", err.text);
    cr_assert_eq(run(aborts, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "damaged"), "%s", err.text);
    cr_assert_eq(run(leaves, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "without an answer"), "%s", err.text);
}

Test(child, hanging_and_spinning_are_stopped, .timeout = 20)
{
    int64_t before = lw_clock_mono_ms();

    cr_assert_eq(run(hangs, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "stopped after 2 s"), "%s", err.text);
    cr_assert_eq(run(spins, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "stopped after 2 s"), "%s", err.text);
    cr_assert_lt(lw_clock_mono_ms() - before, 10000);
}

Test(child, memory_is_limited)
{
#ifdef __SANITIZE_ADDRESS__
    cr_skip_test("AddressSanitizer maps terabytes, so the limit is off under it");
#endif
    cr_assert_eq(run(grows, &answer, &err), -1);
    cr_assert_not_null(strstr(err.text, "refused after"), "%s", err.text);
}

Test(child, its_output_goes_nowhere)
{
    char folder[300], path[320];
    FILE *file;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/out", folder);
    file = fopen(path, "w+");
    cr_assert_not_null(file);
    {
        int out = dup(1), both = dup(2);

        fflush(NULL);
        dup2(fileno(file), 1);
        dup2(fileno(file), 2);
        cr_assert_eq(run(talks, &answer, &err), 0);
        dup2(out, 1);
        dup2(both, 2);
    }
    fseek(file, 0, SEEK_END);
    cr_assert_eq(ftell(file), 0);
    fclose(file);
}

Test(child, no_network_and_no_programs)
{
    cr_assert_eq(run(calls_out, &answer, &err), 0, "%s", err.text);
    cr_assert_eq(answer.number, 2);
}

Test(child, works_where_the_parent_has_no_stdin)
{
    int in = dup(0);

    close(0);
    cr_assert_eq(run(good, &answer, &err), 0, "%s", err.text);
    dup2(in, 0);
    cr_assert_eq(answer.number, 42);
}
