/* fork, limits, a pipe, and one sentence whatever happens. */
#include "child.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <poll.h>
#include <signal.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"

#define FILE_MAX (2UL << 30)
#define LOOK_MS  100 /* how often the cancel flag and the progress are looked at */

struct header {
    int status;
    struct lw_error err;
};

#if defined __x86_64__
#define OWN_ARCH AUDIT_ARCH_X86_64
#elif defined __aarch64__
#define OWN_ARCH AUDIT_ARCH_AARCH64
#endif

/* A map must not reach the network or start a program, whatever a library makes of its content. */
static void forbid_calls(void)
{
#ifdef OWN_ARCH
#define DENY(call)                                                                                 \
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (call), 0, 1),                                             \
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EACCES)
    struct sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, arch)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, OWN_ARCH, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EACCES),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        DENY(SYS_socket),
        DENY(SYS_connect),
        DENY(SYS_execve),
        DENY(SYS_execveat),
        DENY(SYS_ptrace),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    struct sock_fprog program = {.len = sizeof filter / sizeof *filter, .filter = filter};

    /* A kernel without it: the other limits still hold. */
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0)
        prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program);
#endif
}

static void limit(__rlimit_resource_t what, rlim_t value)
{
    struct rlimit limits = {value, value};

    setrlimit(what, &limits);
}

/* What the process maps already counts toward RLIMIT_AS, so the limit is laid on top of it. */
static void limit_memory(long memory_mb)
{
#ifndef __SANITIZE_ADDRESS__ /* its shadow alone is terabytes */
    unsigned long pages = 0;
    FILE *statm = fopen("/proc/self/statm", "r");

    if (statm) {
        if (fscanf(statm, "%lu", &pages) != 1)
            pages = 0;
        fclose(statm);
    }
    limit(RLIMIT_AS, ((rlim_t)memory_mb << 20) + (rlim_t)pages * (rlim_t)sysconf(_SC_PAGESIZE));
#else
    (void)memory_mb;
#endif
}

static rlim_t processors(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);

    return n > 1 ? (rlim_t)n : 1;
}

static void enter(const struct lw_child *child, int out)
{
    int nowhere;
    sigset_t none;

    out = fcntl(out, F_DUPFD, 16); /* a parent without stdin may have made the pipe there */
    nowhere = open("/dev/null", O_RDWR);
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    for (int number = 1; number < NSIG; number++)
        signal(number, SIG_DFL);
    signal(SIGPIPE, SIG_IGN);
    signal(SIGINT, SIG_IGN); /* a terminal sends these to both: the parent acts on them */
    signal(SIGTERM, SIG_IGN);
    signal(SIGHUP, SIG_IGN);
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    for (int fd = 0; fd < 3; fd++)
        dup2(nowhere, fd);
    dup2(out, 3);
    syscall(SYS_close_range, 4u, ~0u, 0u);
    limit(RLIMIT_CORE, 0);
    limit(RLIMIT_CPU, (rlim_t)child->timeout_s * processors() + 1); /* of all threads together */
    limit(RLIMIT_FSIZE, FILE_MAX);
    limit_memory(child->memory_mb);
    forbid_calls();
}

static _Noreturn void run(const struct lw_child *child, int out)
{
    struct header header = {0};
    void *reply = calloc(1, child->reply_size);

    enter(child, out);
    if (reply)
        header.status = child->work(child->task, reply, &header.err);
    else
        header.status = lw_fail(&header.err, "out of memory for %s", child->what);
    if (lw_write_all(3, &header, sizeof header) == 0 && header.status == 0)
        lw_write_all(3, reply, child->reply_size);
    _exit(0);
}

enum outcome { WHOLE, CUT, LATE, CANCELLED };

static bool cancelled(const struct lw_child *child)
{
    return child->cancel && atomic_load(child->cancel);
}

/* Reads `n` bytes, unless the child ends, the deadline passes or the work is cancelled. */
static enum outcome read_all(const struct lw_child *child, int fd, void *to, size_t n,
                             int64_t deadline_ms)
{
    size_t done = 0;
    int64_t looked_ms = lw_clock_mono_ms();

    while (done < n) {
        int64_t left = deadline_ms - lw_clock_mono_ms();
        struct pollfd wait = {.fd = fd, .events = POLLIN};
        ssize_t got;

        if (cancelled(child))
            return CANCELLED;
        if (left <= 0)
            return LATE;
        if (child->look && lw_clock_mono_ms() - looked_ms >= LOOK_MS) {
            looked_ms = lw_clock_mono_ms();
            child->look(child->look_context);
        }
        if (poll(&wait, 1, left > LOOK_MS ? LOOK_MS : (int)left) <= 0)
            continue;
        got = read(fd, (char *)to + done, n - done);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return CUT;
        done += (size_t)got;
    }
    return WHOLE;
}

static int say_death(const struct lw_child *child, int how, struct lw_error *err)
{
    if (WIFSIGNALED(how) && WTERMSIG(how) == SIGXCPU)
        return lw_fail(err, "%s was stopped after %d s: the map is too large or damaged",
                       child->what, child->timeout_s);
    if (WIFSIGNALED(how))
        return lw_fail(err,
                       "%s failed inside the map library (%s): the file is damaged, or needs more "
                       "than %ld MB of memory",
                       child->what, strsignal(WTERMSIG(how)), child->memory_mb);
    return lw_fail(err,
                   "%s ended without an answer: the file is damaged, or needs more than %ld MB "
                   "of memory",
                   child->what, child->memory_mb);
}

int lw_child_run(struct lw_child *child, struct lw_error *err)
{
    int64_t deadline_ms = lw_clock_mono_ms() + child->timeout_s * (int64_t)1000;
    struct header header;
    enum outcome outcome;
    int pipes[2], how = 0;

    if (pipe2(pipes, O_CLOEXEC))
        return lw_fail(err, "%s could not start: %s", child->what, strerror(errno));
    child->pid = fork();
    if (child->pid < 0) {
        close(pipes[0]);
        close(pipes[1]);
        return lw_fail(err, "%s could not start: %s", child->what, strerror(errno));
    }
    if (child->pid == 0)
        run(child, pipes[1]);
    close(pipes[1]);
    outcome = read_all(child, pipes[0], &header, sizeof header, deadline_ms);
    if (outcome == WHOLE && header.status == 0)
        outcome = read_all(child, pipes[0], child->reply, child->reply_size, deadline_ms);
    close(pipes[0]);
    kill(child->pid, SIGKILL); /* it has said all it will; one that hangs on must not hold us */
    while (waitpid(child->pid, &how, 0) < 0 && errno == EINTR)
        ;
    if (outcome == CANCELLED)
        return lw_fail(err, "%s was cancelled", child->what);
    if (outcome == LATE)
        return lw_fail(err, "%s was stopped after %d s: the map is too large or damaged",
                       child->what, child->timeout_s);
    if (outcome == CUT)
        return say_death(child, how, err);
    header.err.text[sizeof header.err.text - 1] = '\0';
    if (header.status) {
        char clean[sizeof header.err.text];

        lw_text_clean(clean, sizeof clean, header.err.text);
        return lw_fail(err, "%s", clean);
    }
    return 0;
}
