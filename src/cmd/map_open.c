/* Opening a map at a terminal: how far it has come, and Ctrl-C.
 *
 * The signals are blocked and looked for each time the import tells its progress, so that it can
 * end its child and clean up; no handler and no global flag is needed for that. */
#include <math.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/cmd/map_args.h"

#define QUIET_MS 500 /* an import that takes no longer shows nothing */
#define COLUMNS  80  /* of a terminal that does not say */

struct wait {
    const char *map; /* the first map's own name */
    sigset_t signals;
    int signal; /* that came; 0 none */
    atomic_bool cancel;
    bool terminal;
    int64_t began_mono_ms;
    char shown[200]; /* the line on the terminal; "" none */
};

static int columns(void)
{
    struct winsize size;

    return ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 1 ? size.ws_col : COLUMNS;
}

/* Writes the line over the one that is there. */
static void show(struct wait *w, const char *line)
{
    size_t room = (size_t)columns(); /* the last column stays free: some terminals would wrap */
    char text[sizeof w->shown];

    lw_text_copy(text, room < sizeof text ? room : sizeof text, line);
    if (strcmp(text, w->shown) == 0)
        return;
    fprintf(stderr, "\r%s%*s\r%s", text,
            strlen(w->shown) > strlen(text) ? (int)(strlen(w->shown) - strlen(text)) : 0, "", text);
    if (!*text)
        fputc('\r', stderr);
    fflush(stderr);
    lw_text_copy(w->shown, sizeof w->shown, text);
}

static void tell(void *context, double part, const char *step)
{
    struct wait *w = context;
    char line[400] = "";
    int came = sigtimedwait(&w->signals, NULL, &(struct timespec){0, 0});

    if (came > 0) {
        w->signal = came;
        atomic_store(&w->cancel, true);
    }
    if (!w->terminal || lw_clock_mono_ms() - w->began_mono_ms < QUIET_MS)
        return;
    lw_text_add(line, sizeof line, "reading %s", w->map);
    if (strncmp(step, "reading", 7) != 0)
        lw_text_add(line, sizeof line, ": %s", step);
    lw_text_add(line, sizeof line, " %d %%", (int)floor(100 * part));
    show(w, line);
}

/* Those that are not ignored, as nohup has it. */
static void choose_signals(sigset_t *set)
{
    static const int all[] = {SIGINT, SIGTERM, SIGHUP};
    struct sigaction now;

    sigemptyset(set);
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (sigaction(all[i], NULL, &now) == 0 && now.sa_handler != SIG_IGN)
            sigaddset(set, all[i]);
}

int lw_map_args_open_shown(struct lw_map_args *args, const char *name, struct lw_chart **chart,
                           struct lw_import_report *report, struct lw_error *err)
{
    const char *path = args->options.maps ? args->options.map[0].path : "";
    char map[100];
    struct wait w = {
        .map = map, .terminal = isatty(STDERR_FILENO) == 1, .began_mono_ms = lw_clock_mono_ms()};
    sigset_t before;
    int status;

    lw_text_clean(map, sizeof map, lw_text_file_name(path));
    choose_signals(&w.signals);
    pthread_sigmask(SIG_BLOCK, &w.signals, &before);
    args->options.progress = (struct lw_progress){tell, &w};
    args->options.cancel = &w.cancel;
    status = lw_map_args_open(args, chart, report, err);
    args->options.progress = (struct lw_progress){NULL, NULL};
    args->options.cancel = NULL;
    show(&w, "");
    if (w.signal && status)
        lw_cmd_fail(name, err);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    if (w.signal)
        raise(w.signal);
    return status;
}
