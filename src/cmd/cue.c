/* `lipwalk cue`: the guidance without a screen, one JSON line for each epoch.
 *
 * A replay runs on a clock of its own that jumps from one deadline to the next, so that a gap in a
 * recording goes stale as it did on the water, however fast it is played. */
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>

#include "cue_line.h"
#include "json_out.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/feed/feed.h"
#include "lipwalk/plan/file.h"

#define NAME         "cue"
#define COUNT(array) (sizeof(array) / sizeof *(array))

#define LOOK_MS  100 /* how often a source that says nothing is looked at for going stale */
#define GRACE_MS 300 /* a source that was just opened gets so long before it is called absent */

struct cue {
    struct lw_conf conf;
    struct lw_map_args map_args;
    const char *gpsd, *replay, *plan_path;
    double speedup; /* NaN: as fast as possible */
    long epochs;    /* 0: no end */
    bool json;      /* changes nothing */
    struct lw_plan *plan;
    struct lw_chart *chart;
    struct lw_feed *feed;
    struct lw_guide_memory memory;
    int64_t began_mono_ms, mono_ms; /* the feed's clock */
    int shown;                      /* the state of the last line; -1 none */
    int64_t since_mono_ms;          /* when the present state was first seen */
    int seen;                       /* the present state */
};

/* 0, or the exit status of a wrong call. */
static int check(struct cue *c)
{
    struct lw_error err = {""};

    if (c->gpsd && c->replay)
        return lw_cmd_usage(NAME, "give --gpsd or --replay, not both");
    if (!c->replay && !isnan(c->speedup))
        return lw_cmd_usage(NAME, "--speedup goes with --replay FILE");
    if (c->speedup <= 0)
        return lw_cmd_usage(NAME, "--speedup wants a number above 0");
    if (lw_map_args_check(&c->map_args, &c->conf, &err))
        return lw_cmd_usage(NAME, err.text);
    return 0;
}

static int open_feed(struct cue *c, struct lw_error *err)
{
    struct lw_feed_options options = {c->conf.number[LW_SET_VARIATION]};
    char host[128], port[16];

    if (c->replay)
        return lw_feed_open_replay(c->replay, 1.0, &options, &c->feed, err);
    if (lw_conf_host_port(c->gpsd ? c->gpsd : c->conf.text[LW_SET_GPSD], host, port, err) != 0)
        return -1;
    return lw_feed_open_gpsd(host, port, &options, &c->feed, err);
}

static int open_all(struct cue *c, struct lw_error *err)
{
    struct lw_import_report report = {.warnings = 0};

    if (c->plan_path && lw_plan_read(c->plan_path, &c->plan, err) != 0)
        return -1;
    if (c->map_args.map.n &&
        lw_map_args_open_shown(&c->map_args, NAME, &c->chart, &report, err) != 0)
        return -1;
    return open_feed(c, err);
}

/* The time that a line is for: the epoch's, or how it has gone on since. */
static int64_t line_utc_ms(const struct cue *c)
{
    const struct lw_fix *fix = lw_feed_fix(c->feed);

    if (fix->at_utc_ms != 0)
        return fix->at_utc_ms + (c->mono_ms - fix->seen_mono_ms);
    return c->replay ? 0 : lw_clock_system_utc_ms();
}

/* True when it could be written. */
static bool print_line(struct cue *c, int64_t utc_ms)
{
    const double *number = c->conf.number;
    struct lw_guidance guidance;
    struct lw_guide_in in = {
        .plan = c->plan,
        .chart = c->chart,
        .estimate = lw_feed_estimate(c->feed, c->mono_ms),
        .readings = lw_feed_readings(c->feed),
        .now_utc_ms = utc_ms,
        .mono_ms = c->mono_ms,
        .tolerance_m = number[LW_SET_TOLERANCE],
        .forward_m = number[LW_SET_FORWARD],
        .starboard_m = number[LW_SET_STARBOARD],
        .typed_wind_mps = NAN,
        .typed_wind_from_deg = NAN,
        .typed_water_c = NAN,
    };

    lw_guide_step(&in, &c->memory, &guidance);
    return json_out_print(lw_cue_line(c->plan, &guidance, utc_ms),
                          JSON_COMPACT | JSON_REAL_PRECISION(15)) == 0 &&
           fflush(stdout) == 0 && !ferror(stdout);
}

/* A line for a source that is gone, has no fix or falls silent: once, and for one that was only
 * just opened not at once. Diagnostics say it in words. */
static bool print_change(struct cue *c)
{
    int state = (int)lw_feed_estimate(c->feed, c->mono_ms).state;
    char words[200];

    if (state != c->seen) {
        c->seen = state;
        c->since_mono_ms = c->mono_ms;
    }
    if (state >= LW_FIX_2D || state == c->shown ||
        (state != LW_FIX_STALE && c->mono_ms - c->since_mono_ms < GRACE_MS))
        return true;
    c->shown = state;
    lw_feed_words(c->feed, c->mono_ms, words, sizeof words);
    fprintf(stderr, "lipwalk %s: %s\n", NAME, words);
    return print_line(c, line_utc_ms(c));
}

/* Waits for the source, or, in a replay, lets its clock go on to what comes next. */
static void wait_next(struct cue *c)
{
    int64_t until = lw_feed_deadline_ms(c->feed);
    struct pollfd on = {lw_feed_fd(c->feed), POLLIN, 0};
    double pause_ms;

    if (until > c->mono_ms + LOOK_MS)
        until = c->mono_ms + LOOK_MS;
    if (!c->replay) {
        poll(&on, 1, until > c->mono_ms ? (int)(until - c->mono_ms) : 0);
        c->mono_ms = lw_clock_mono_ms();
        return;
    }
    if (!isnan(c->speedup)) {
        pause_ms = (double)(until - c->began_mono_ms) / c->speedup -
                   (double)(lw_clock_mono_ms() - c->began_mono_ms);
        if (pause_ms >= 1)
            poll(NULL, 0, (int)fmin(pause_ms, 1e6));
    }
    if (until > c->mono_ms)
        c->mono_ms = until;
}

static void follow(struct cue *c)
{
    long left = c->epochs;

    c->mono_ms = c->began_mono_ms = c->since_mono_ms = lw_clock_mono_ms();
    c->shown = c->seen = -1;
    while (!lw_feed_ended(c->feed)) {
        while (lw_feed_step(c->feed, c->mono_ms)) {
            c->shown = (int)lw_feed_estimate(c->feed, c->mono_ms).state;
            if (!print_line(c, lw_feed_fix(c->feed)->at_utc_ms) || --left == 0)
                return;
        }
        if (lw_feed_ended(c->feed))
            break;
        if (!print_change(c))
            return;
        wait_next(c);
    }
}

static int run(struct cue *c)
{
    struct lw_error err = {""};
    int rc;

    if (open_all(c, &err) != 0) {
        rc = lw_cmd_fail(NAME, &err);
    } else {
        follow(c);
        rc = lw_cmd_done(NAME);
    }
    lw_feed_close(c->feed);
    lw_plan_free(c->plan);
    lw_chart_free(c->chart);
    return rc;
}

int lw_cmd_cue(int argc, char **argv)
{
    struct cue c = {.speedup = NAN};
    const struct lw_arg table[] = {
        {"gpsd", LW_ARG_TEXT, &c.gpsd, "HOST:PORT", "where gpsd listens (the setting gpsd)", 0},
        {"replay", LW_ARG_TEXT, &c.replay, "FILE", "a recorded NMEA 0183 file instead", 0},
        {"speedup", LW_ARG_QUANTITY, &c.speedup, "N",
         "play N times as fast as recorded; else as fast as possible", LW_RATIO},
        {"plan", LW_ARG_TEXT, &c.plan_path, "FILE", "a plan made by `lipwalk plan --out`", 0},
        {"json", LW_ARG_FLAG, &c.json, NULL, "as it is anyway: for scripts that always ask for it",
         0},
        {"epochs", LW_ARG_INT, &c.epochs, "N", "end after so many epochs; 0: no end (0)", 0},
    };
    const enum lw_setting_number settings[] = {LW_SET_TOLERANCE, LW_SET_FORWARD, LW_SET_STARBOARD,
                                               LW_SET_VARIATION};
    struct lw_arg overrides[COUNT(settings)];
    struct lw_call call = {.name = NAME,
                           .usage = "[--gpsd HOST:PORT | --replay FILE] [options]",
                           .summary = "Prints the guidance without a screen: one JSON object a "
                                      "line for each epoch, in SI units, unknown is null.",
                           .arg = {table, overrides, c.map_args.table},
                           .args = {COUNT(table), COUNT(settings), LW_MAP_ARGS},
                           .conf = &c.conf};
    int status;

    lw_cmd_conf(&c.conf, NULL);
    lw_map_args_init(&c.map_args);
    lw_args_of_settings(overrides, settings, COUNT(settings), &c.conf);
    status = lw_args_read(&call, argc, argv);
    if (status >= 0)
        return status;
    status = check(&c);
    return status ? status : run(&c);
}
