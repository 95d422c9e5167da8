/* `lipwalk` itself: opens map, plan, journal, source and terminal, runs the loop, closes them. */
#include "water.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include "lipwalk/base/text.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/plan/file.h"

#define RESUME_MS (12 * 3600 * 1000LL) /* a trip goes on when its last event is younger */

static bool same_day(int64_t a_utc_ms, int64_t b_utc_ms)
{
    char a[16], b[16];

    lw_clock_local(a, sizeof a, a_utc_ms, "%F");
    lw_clock_local(b, sizeof b, b_utc_ms, "%F");
    return strcmp(a, b) == 0;
}

/* Takes up the trip that is going on, or begins one. */
static int begin_trip(struct water *w, struct lw_error *err)
{
    struct lw_journal_trip last;
    int64_t now = water_now(w, lw_clock_mono_ms());
    int found = lw_journal_last_trip(w->journal, &last, err);

    if (found < 0)
        return -1;
    if (found && !last.ended &&
        (now - last.last_utc_ms < RESUME_MS || same_day(now, last.began_utc_ms))) {
        lw_text_copy(w->trip_id, sizeof w->trip_id, last.id);
        return water_catch_up(w, false, err);
    }
    lw_trip_id(w->trip_id, now, lw_journal_origin(w->journal));
    return 0;
}

/* A trip taken up again keeps the names of its crew, unless others were given. */
static void keep_crew(struct water *w)
{
    static const enum lw_setting_text names[2] = {LW_SET_ANGLER, LW_SET_COANGLER};
    const struct lw_ev_trip *head = lw_trip_head(w->trip);

    for (int i = 0; head && i < 2; i++) {
        char *name = w->conf.text[names[i]];

        if (head->crew[i][0] && strcmp(name, lw_conf_text_info(names[i])->fallback_text) == 0)
            lw_text_copy(name, sizeof w->conf.text[0], head->crew[i]);
    }
}

static int open_signals(struct lw_error *err)
{
    sigset_t set;
    int fd;

    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    fd = signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK);
    sigaddset(&set, SIGWINCH);              /* let through only while the loop waits */
    pthread_sigmask(SIG_BLOCK, &set, NULL); /* before any thread starts: they inherit it */
    return fd < 0 ? lw_fail(err, "no signal descriptor: %s", strerror(errno)) : fd;
}

static void die(int sig)
{
    lw_term_restore();
    signal(sig, SIG_DFL);
    raise(sig);
}

struct water_args {
    struct lw_map_args map_args;
    const char *plan, *journal;
    struct lw_error conf_trouble; /* "" none */
    char conf_theme[64];          /* as the settings file has it, before the options */
};

/* The map of the trip taken up again, from the cache; or those of the command line, read on behind
 * the screen when that takes longer. */
static int open_map(struct water *w, struct water_args *args, struct lw_error *err)
{
    const struct lw_ev_trip *head = lw_trip_head(w->trip);
    const struct lw_import_report *report = &w->map.report;
    struct lw_error why = {""};

    if (water_map_open(w, &args->map_args, err))
        return -1;
    for (int i = 0; w->chart && i < report->warnings; i++)
        fprintf(stderr, "lipwalk: %s\n", report->warning[i]);
    if (args->map_args.map.n || !head || !head->map[0])
        return 0;
    /* marks, dwell and the plan go on without it: no reason to stay ashore */
    if (lw_chart_open(head->map, &w->chart, &why))
        water_say(w, LW_ROLE_WARN, "no map: start again with --map (%.180s)", why.text);
    return 0;
}

static int open_plan(struct water *w, const struct water_args *args, struct lw_error *err)
{
    const char *path = args->plan ? args->plan : lw_trip_plan_path(w->trip);
    struct lw_plan *plan;
    char whole[PATH_MAX];

    if (!path[0])
        return 0;
    if (lw_plan_read(path, &plan, err)) {
        if (args->plan)
            return -1;
        water_say(w, LW_ROLE_WARN, "the trip's plan is gone: %.200s", err->text);
        return 0;
    }
    water_take_plan(w, plan, realpath(path, whole) ? whole : path);
    return 0;
}

/* A theme that only the settings file names does not keep the crew ashore; one that was asked for
 * on the command line is a fault of the call. */
static int open_theme(struct water *w, const struct water_args *args, struct lw_theme *theme,
                      struct lw_error *err)
{
    const char *name = w->conf.text[LW_SET_THEME];

    if (lw_theme_load(name, theme, err) == 0)
        return 0;
    if (strcmp(name, args->conf_theme) != 0)
        return -1;
    water_say(w, LW_ROLE_WARN, "plain colours: %s", err->text);
    lw_theme_default(theme);
    return 0;
}

/* All that must be there before the first screen is drawn, in the order of what needs what. */
static int open_all(struct water *w, struct water_args *args, struct lw_error *err)
{
    const struct lw_feed_options feed_options = {.variation_deg = w->conf.number[LW_SET_VARIATION]};
    struct lw_theme theme;
    char host[128], port[16];

    if (lw_map_args_check(&args->map_args, &w->conf, err) || open_theme(w, args, &theme, err) ||
        lw_conf_host_port(w->conf.text[LW_SET_GPSD], host, port, err) ||
        lw_journal_open(args->journal, &w->journal, err))
        return -1;
    w->trip = lw_trip_new(&(struct lw_trip_rules){.day_end_utc_ms = INT64_MAX});
    if (!w->trip)
        return lw_fail(err, "no memory for the trip");
    if (begin_trip(w, err) || open_map(w, args, err))
        return -1;
    keep_crew(w);
    water_write_head(w, args->map_args.map.n && w->chart ? w->map.report.cache_path : NULL);
    if (args->map_args.map.n && w->chart)
        water_keep_stage(w, args->map_args.options.stage_m);
    water_keep_rules(w);
    if (open_plan(w, args, err) || lw_feed_open_gpsd(host, port, &feed_options, &w->feed, err))
        return -1;
    return lw_term_open(&theme, w->conf.text[LW_SET_GLYPHS], &w->term, err);
}

/* Gives the terminal back first, so that what is said after it can be read. */
static int close_all(struct water *w, struct lw_error *err)
{
    int status = 0;

    if (w->term)
        lw_term_close(w->term);
    water_map_close(w);
    water_jobs_close(&w->job);
    water_jobs_close(&w->watch);
    lw_feed_close(w->feed);
    if (w->journal)
        status = lw_journal_close(w->journal, err);
    lw_plan_free(w->plan);
    lw_worked_free(w->worked);
    lw_chart_free(w->chart);
    lw_trip_free(w->trip);
    lw_track_free(&w->sounded);
    lw_canvas_free(&w->canvas);
    if (w->signal_fd >= 0)
        close(w->signal_fd);
    return status;
}

static int run(struct water *w, struct water_args *args)
{
    struct lw_error err = {""}, closing = {""};
    int status;

    w->signal_fd = open_signals(&err);
    w->job.done_fd = w->watch.done_fd = w->map.done_fd = -1;
    w->refused_m = NAN;
    w->day_end_utc_ms = INT64_MAX;
    lw_clock_start(&w->clock);
    if (args->conf_trouble.text[0])
        water_say(w, LW_ROLE_WARN, "settings: %s", args->conf_trouble.text);
    lw_ui_clear(&w->ui);
    status = w->signal_fd < 0 || water_jobs_open(&w->job, &err) ||
             water_jobs_open(&w->watch, &err) || open_all(w, args, &err);
    if (!status) {
        signal(SIGSEGV, die);
        signal(SIGABRT, die);
        signal(SIGBUS, die);
        signal(SIGFPE, die);
        w->canvas.ascii = lw_term_ascii(w->term);
        water_loop(w);
    }
    if (close_all(w, &closing) && !status)
        return lw_cmd_fail("", &closing);
    return status ? lw_cmd_fail("", &err) : 0;
}

int lw_cmd_water(int argc, char **argv)
{
    struct water *w = calloc(1, sizeof *w);
    struct water_args args = {0};
    int status;

    if (!w)
        return 1;
    lw_cmd_conf(&w->conf, &args.conf_trouble);
    lw_text_copy(args.conf_theme, sizeof args.conf_theme, w->conf.text[LW_SET_THEME]);
    lw_map_args_init(&args.map_args);
    const struct lw_arg own[] = {
        {"plan", LW_ARG_TEXT, &args.plan, "FILE", "a casting plan (GeoJSON) made before", 0},
        {"journal", LW_ARG_TEXT, &args.journal, "FILE",
         "the journal; else the one in the data folder", 0},
        {"gpsd", LW_ARG_SETTING, &w->conf, "HOST:PORT", "where gpsd listens", 0},
        {"theme", LW_ARG_SETTING, &w->conf, "NAME",
         "colours: plain, bright-sun, night, colour-safe, no-colour", 0},
        {"units", LW_ARG_SETTING, &w->conf, "us|metric",
         "what is shown, and what bare numbers mean", 0},
        {"standoff", LW_ARG_SETTING, &w->conf, "LENGTH", "distance kept off the edge", 0},
        {"angler", LW_ARG_SETTING, &w->conf, "NAME", "who marks with the left hand's keys", 0},
        {"co-angler", LW_ARG_SETTING, &w->conf, "NAME", "who marks with the right hand's keys", 0},
    };
    struct lw_call call = {.name = "",
                           .usage = "[options]",
                           .summary = "The on-water screen; takes up today's trip if there is one. "
                                      "`lipwalk help` lists the other commands.",
                           .arg = {own, args.map_args.table},
                           .args = {sizeof own / sizeof *own, LW_MAP_ARGS},
                           .conf = &w->conf};

    status = lw_args_read(&call, argc, argv);
    if (status < 0)
        status = run(w, &args);
    free(w);
    return status;
}
