/* Reading the maps given on the command line while the screen goes on: marks, dwell and a plan made
 * before work without a map, and a large one takes a minute the first time. */
#include "water.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "lipwalk/base/text.h"

#define GRACE_MS  300  /* a cached lake is there before the first screen */
#define TIMEOUT_S 1800 /* the crew sees how far it is and can stop it */

static void tell(void *context, double part, const char *step)
{
    struct water_map *m = context;

    atomic_store(&m->step, step);
    atomic_store(&m->percent, (int)(100 * part));
}

static void *work(void *context)
{
    struct water_map *m = context;
    uint64_t one = 1;

    m->status = lw_map_args_open(m->args, &m->chart, &m->report, &m->err);
    while (write(m->done_fd, &one, sizeof one) < 0 && errno == EINTR)
        ;
    return NULL;
}

static int start(struct water_map *m, struct lw_error *err)
{
    int failed;

    m->status = 0;
    m->err.text[0] = m->why_none[0] = '\0';
    atomic_store(&m->cancel, false);
    atomic_store(&m->percent, 0);
    atomic_store(&m->step, NULL);
    m->args->options.progress = (struct lw_progress){tell, m};
    m->args->options.cancel = &m->cancel;
    m->args->options.timeout_s = TIMEOUT_S;
    failed = pthread_create(&m->thread, NULL, work, m);
    if (failed)
        return lw_fail(err, "the map cannot be read: no thread for it: %s", strerror(failed));
    m->running = true;
    return 0;
}

/* The name without its folders, and how many more there are. */
static void file_words(const struct water_map *m, char *to, size_t size)
{
    lw_text_clean(to, size, lw_text_file_name(m->args->map.text[0]));
    if (m->args->map.n > 1)
        lw_text_add(to, size, " and %d more", m->args->map.n - 1);
}

/* What a narrow screen cuts off comes last. */
void water_map_words(const struct water_map *m, char *to, size_t size)
{
    const char *step = atomic_load(&m->step);
    int percent = atomic_load(&m->percent);
    char file[64];

    file_words(m, file, sizeof file);
    if (atomic_load(&m->cancel)) {
        snprintf(to, size, "stops reading %s", file);
        return;
    }
    snprintf(to, size, "reading");
    if (percent > 0)
        lw_text_add(to, size, " %d %%", percent);
    lw_text_add(to, size, ", Esc stops it: %s", file);
    if (step && strncmp(step, "reading", 7) != 0)
        lw_text_add(to, size, ", %s", step);
}

/* What the map's reader has to say; the whole of it is printed by `lipwalk chart`. */
static void say_report(struct water *w, bool late)
{
    const struct lw_import_report *report = &w->map.report;

    if (report->warnings > 1)
        water_say(w, LW_ROLE_WARN, "%.180s (%d more: lipwalk chart prints them)",
                  report->warning[0], report->warnings - 1);
    else if (report->warnings == 1)
        water_say(w, LW_ROLE_WARN, "%s", report->warning[0]);
    else if (late)
        water_say(w, LW_ROLE_TEXT, "%s", report->summary);
}

/* The maps' names without their folders: at 80 columns these would cut off what to do. */
static void drop_folders(const struct water_map *m, char *sentence)
{
    for (int i = 0; i < m->args->map.n; i++) {
        const char *path = m->args->map.text[i];
        size_t folder = (size_t)(lw_text_file_name(path) - path);

        for (char *at = sentence; folder && (at = strstr(at, path));)
            memmove(at, at + folder, strlen(at + folder) + 1);
    }
}

static void keep_why(struct water *w)
{
    struct water_map *m = &w->map;
    char file[64];

    m->why_none[0] = '\0';
    lw_text_add(m->why_none, sizeof m->why_none, "no map (Esc reads it again): ");
    if (atomic_load(&m->cancel)) {
        file_words(m, file, sizeof file);
        lw_text_add(m->why_none, sizeof m->why_none, "reading %s was stopped", file);
        return;
    }
    drop_folders(m, m->err.text);
    lw_text_add(m->why_none, sizeof m->why_none, "%s", m->err.text);
}

/* The worker has ended: its chart is the program's. -1 when it has none. */
static int take(struct water *w)
{
    struct water_map *m = &w->map;
    uint64_t count;

    if (!m->running || read(m->done_fd, &count, sizeof count) < 0)
        return 0;
    pthread_join(m->thread, NULL);
    m->running = false;
    w->dirty = true;
    if (m->status)
        return -1;
    w->chart = m->chart;
    m->chart = NULL;
    return 0;
}

int water_map_open(struct water *w, struct lw_map_args *args, struct lw_error *err)
{
    struct water_map *m = &w->map;
    struct pollfd done = {.events = POLLIN};

    m->done_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    if (m->done_fd < 0)
        return lw_fail(err, "no event descriptor for the map: %s", strerror(errno));
    if (!args->map.n)
        return 0;
    m->args = args;
    if (start(m, err))
        return -1;
    done.fd = m->done_fd;
    poll(&done, 1, GRACE_MS);
    if (take(w)) { /* nothing has begun yet: better said ashore */
        *err = m->err;
        return -1;
    }
    if (w->chart)
        say_report(w, false);
    return 0;
}

void water_map_finish(struct water *w)
{
    bool read_on = w->map.running;

    if (take(w)) {
        keep_why(w);
        water_say(w, LW_ROLE_WARN, "%s", w->map.why_none);
        return;
    }
    if (!read_on || w->map.running)
        return;
    water_write_head(w, w->map.report.cache_path);
    say_report(w, true);
    water_keep_stage(w, w->map.args->options.stage_m); /* a level given up must be seen */
    if (w->edges_wanted && w->ui.screen == LW_SCREEN_EDGE)
        water_list_beats(w);
    w->edges_wanted = false;
}

void water_map_key(struct water *w)
{
    struct lw_error err;

    if (w->map.running) {
        atomic_store(&w->map.cancel, true);
        return;
    }
    if (!w->map.args || w->chart)
        return;
    w->view.notice[0] = '\0'; /* why there was none no longer holds */
    if (start(&w->map, &err))
        water_say(w, LW_ROLE_WARN, "%s", err.text);
}

void water_map_close(struct water *w)
{
    struct water_map *m = &w->map;

    if (m->running) {
        atomic_store(&m->cancel, true);
        pthread_join(m->thread, NULL);
    }
    lw_chart_free(m->chart);
    if (m->done_fd >= 0)
        close(m->done_fd);
}

void water_write_head(struct water *w, const char *cache_path)
{
    const struct lw_ev_trip *head = lw_trip_head(w->trip);
    struct lw_event event = lw_event_new(LW_EV_TRIP, water_now(w, lw_clock_mono_ms()));

    if (!cache_path)
        cache_path = head ? head->map : "";
    if (head && strcmp(head->map, cache_path) == 0 &&
        strcmp(head->crew[0], w->conf.text[LW_SET_ANGLER]) == 0 &&
        strcmp(head->crew[1], w->conf.text[LW_SET_COANGLER]) == 0)
        return;
    if (w->chart)
        lw_text_clean(event.u.trip.name, sizeof event.u.trip.name, w->chart->lake);
    else if (head)
        lw_text_copy(event.u.trip.name, sizeof event.u.trip.name, head->name);
    lw_text_copy(event.u.trip.map, sizeof event.u.trip.map, cache_path);
    lw_text_copy(event.u.trip.crew[0], LW_NAME_MAX, w->conf.text[LW_SET_ANGLER]);
    lw_text_copy(event.u.trip.crew[1], LW_NAME_MAX, w->conf.text[LW_SET_COANGLER]);
    water_happen(w, &event);
}
