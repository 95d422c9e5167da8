/* `lipwalk rehearse`: a simulated boat in wind with a noisy receiver, as NMEA 0183 or in a closed
 * loop. */
#include <errno.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include "closed_loop.h"
#include "helm.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/plan/file.h"
#include "outlet.h"

#define NAME        "rehearse"
#define CRAWL_MPS   (0.8 * LW_MPH_MPS) /* of 0.3 to 1.2 mph; common practice, no source */
#define GUST_SHARE  0.2                /* of the mean wind */
#define WATER_C     16.0
#define BEHIND_MS   2000 /* later than this the boat skips to the present */
#define LIVE_MS_MAX 1e15

struct rehearsal {
    const char *plan_path, *wind, *pty;
    struct lw_map_args map;
    long seed, rate_hz, tcp_port;
    double speedup, duration_s; /* duration NaN: not given */
    bool closed_loop, json, with_parent;
    struct lw_conf conf;

    struct lw_plan *plan;
    struct lw_chart *chart;
    struct lw_sim_rules sim;
    struct helm_rules rules;
};

/* "10mph", "10mph@250", "4.5 m/s@0". */
static int read_wind(struct rehearsal *r, struct lw_error *err)
{
    if (lw_cmd_wind(r->wind, lw_conf_units(&r->conf), &r->sim.wind_mps, &r->sim.wind_from_deg, err))
        return -1;
    r->sim.gust_mps = GUST_SHARE * r->sim.wind_mps;
    return 0;
}

static int read_call(struct rehearsal *r, int argc, char **argv)
{
    struct lw_arg own[] = {
        {"plan", LW_ARG_TEXT, &r->plan_path, "PLAN.geojson", "the plan that the helm works", 0},
        {"seed", LW_ARG_INT, &r->seed, "N", "same seed, same boat (1)", 0},
        {"wind", LW_ARG_TEXT, &r->wind, "SPEED[@FROM]", "mean wind, from a bearing (10mph@250)", 0},
        {"rate", LW_ARG_INT, &r->rate_hz, "HZ", "fixes a second, 1 to 10 (1)", 0},
        {"speedup", LW_ARG_QUANTITY, &r->speedup, "N",
         "simulated seconds in one; the sentences' time runs ahead (1)", LW_RATIO},
        {"minutes", LW_ARG_QUANTITY, &r->duration_s, "N",
         "of simulated time, then end (closed loop 60, else no end)", LW_DURATION},
        {"cast-time", LW_ARG_SETTING, &r->conf, "TIME", "for one cast beside its retrieve (10s)",
         0},
        {"retrieve", LW_ARG_SETTING, &r->conf, "SPEED", "of the bait (1.5ft/s)", 0},
        {"tolerance", LW_ARG_SETTING, &r->conf, "LENGTH", "still on the hold line (5ft)", 0},
        {"pty", LW_ARG_TEXT, &r->pty, "LINK", "sentences to a new pty; LINK leads to it", 0},
        {"tcp", LW_ARG_INT, &r->tcp_port, "PORT",
         "sentences to all who connect to 127.0.0.1:PORT; 0 picks one and says so", 0},
        {"closed-loop", LW_ARG_FLAG, &r->closed_loop, NULL,
         "no sentences: run at once and print how well the line was held", 0},
        {"with-parent", LW_ARG_FLAG, &r->with_parent, NULL, "end when the caller's process ends",
         0},
        {"json", LW_ARG_FLAG, &r->json, NULL, "closed loop: one JSON object, SI", 0},
    };
    struct lw_call call = {
        .name = NAME,
        .usage = "--plan PLAN.geojson [--pty LINK | --tcp PORT | --closed-loop] [options]",
        .summary = "A simulated boat in gusting wind with a noisy receiver and a helm that follows "
                   "the guidance; NMEA 0183 to stdout unless told otherwise. Without --plan it "
                   "drifts from --at.",
        .arg = {own, r->map.table},
        .args = {sizeof own / sizeof *own, LW_MAP_ARGS},
        .conf = &r->conf,
    };
    struct lw_error err;
    int status = lw_args_read(&call, argc, argv);

    if (status >= 0)
        return status;
    if (lw_map_args_check(&r->map, &r->conf, &err) || (r->wind && read_wind(r, &err)))
        return lw_cmd_usage(NAME, err.text);
    if (r->rate_hz < 1 || r->rate_hz > 10)
        return lw_cmd_usage(NAME, "--rate wants 1 to 10 fixes a second");
    if (r->tcp_port > 65535)
        return lw_cmd_usage(NAME, "--tcp wants a port from 0 to 65535");
    if (!(r->speedup >= 0.01 && r->speedup <= 1000))
        return lw_cmd_usage(NAME, "--speedup wants 0.01 to 1000");
    if (r->duration_s <= 0)
        return lw_cmd_usage(NAME, "--minutes wants more than 0");
    if ((r->pty != NULL) + (r->tcp_port >= 0) + r->closed_loop > 1)
        return lw_cmd_usage(NAME, "give one of --pty, --tcp and --closed-loop");
    if (r->closed_loop && !r->plan_path)
        return lw_cmd_usage(NAME, "--closed-loop needs --plan");
    if (!r->plan_path && !lw_ll_known(r->map.options.at))
        return lw_cmd_usage(NAME,
                            "give --plan PLAN.geojson to work, or --at LAT,LON to drift from");
    return -1;
}

static int load(struct rehearsal *r, struct lw_error *err)
{
    struct lw_import_report report;

    if (r->plan_path && lw_plan_read(r->plan_path, &r->plan, err))
        return -1;
    if (r->plan && r->plan->stations == 0)
        return lw_fail(err, "%s has no station: make it with `lipwalk plan`", r->plan_path);
    if (r->map.map.n && lw_map_args_open_shown(&r->map, NAME, &r->chart, &report, err))
        return -1;
    r->sim.seed = (uint64_t)r->seed;
    r->rules = (struct helm_rules){
        .tolerance_m = r->conf.number[LW_SET_TOLERANCE],
        .crawl_mps = CRAWL_MPS,
        .cast_s = r->conf.number[LW_SET_CAST_TIME],
        .retrieve_mps = r->conf.number[LW_SET_RETRIEVE],
    };
    return 0;
}

/* ---- closed loop ---- */

static void print_json(const struct rehearsal *r, double minutes,
                       const struct closed_loop_score *score)
{
    struct {
        const char *key;
        double value;
        int digits;
    } row[] = {
        {"minutes", minutes, 6},
        {"within_tol_true", score->within_tol_true, 4},
        {"within_tol_est", score->within_tol_est, 4},
        {"off_rmse_m", score->off_rmse_m, 4},
        {"raw_rmse_m", score->raw_rmse_m, 4},
        {"lag_s", score->lag_s, 3},
        {"tolerance_m", r->rules.tolerance_m, 6},
        {"wind_mps", r->sim.wind_mps, 6},
        {"wind_from_deg", r->sim.wind_from_deg, 6},
        {"rate_hz", (double)r->rate_hz, 3},
        {"stations_held", score->stations_held, 6},
    };

    printf("{\"seed\": %ld", r->seed);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char number[40];

        lw_text_number(number, sizeof number, row[i].value, row[i].digits);
        printf(", \"%s\": %s", row[i].key, number);
    }
    printf("}\n");
}

static void print_text(const struct rehearsal *r, double minutes,
                       const struct closed_loop_score *score)
{
    enum lw_units units = lw_conf_units(&r->conf);
    char tolerance[32], wind[32], off[32], raw[32], lag[40];

    lw_units_print(tolerance, sizeof tolerance, r->rules.tolerance_m, LW_LENGTH, units, 0);
    lw_units_print(wind, sizeof wind, r->sim.wind_mps, LW_SPEED, units, 0);
    lw_units_print(off, sizeof off, score->off_rmse_m, LW_LENGTH, units, 1);
    lw_units_print(raw, sizeof raw, score->raw_rmse_m, LW_LENGTH, units, 1);
    lw_text_number(lag, sizeof lag, score->lag_s, 3);
    printf("seed %ld, %.0f min, wind %s from %.0f degrees, fixes at %ld Hz\n", r->seed, minutes,
           wind, r->sim.wind_from_deg, r->rate_hz);
    printf("within %s of the hold line: %.1f %% of the time in truth, %.1f %% as shown\n",
           tolerance, 100 * score->within_tol_true, 100 * score->within_tol_est);
    printf("off shown against true: %s rms (receiver's own fixes: %s)\n", off, raw);
    printf("the shown off lags by %s s\n", isnan(score->lag_s) ? "an unknown number of" : lag);
    printf("stations held: %d\n", score->stations_held);
}

static int run_closed_loop(const struct rehearsal *r)
{
    struct closed_loop_score score;
    double minutes = isnan(r->duration_s) ? 60 : r->duration_s / 60;
    struct closed_loop_in in = {
        .plan = r->plan,
        .chart = r->chart,
        .rules = r->rules,
        .sim = r->sim,
        .minutes = minutes,
        .rate_hz = (int)r->rate_hz,
        .start_utc_ms = lw_clock_from_civil(2026, 7, 20, 12, 0, 0),
    };

    closed_loop_run(&in, &score);
    if (r->json)
        print_json(r, minutes, &score);
    else
        print_text(r, minutes, &score);
    return lw_cmd_done(NAME);
}

/* ---- sentences ---- */

/* Ends on SIGINT, SIGTERM, SIGHUP; with --with-parent also when the caller's process ends. */
static int open_signals(bool with_parent, struct lw_error *err)
{
    pid_t parent = getppid();
    sigset_t set;
    int fd;

    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    if (sigprocmask(SIG_BLOCK, &set, NULL) || (fd = signalfd(-1, &set, SFD_CLOEXEC)) < 0)
        return lw_fail(err, "signals could not be watched: %s", strerror(errno));
    if (with_parent) {
        prctl(PR_SET_PDEATHSIG, SIGTERM);
        if (getppid() != parent) /* it ended before prctl */
            raise(SIGTERM);
    }
    return fd;
}

/* Waits until mono time `until_ms`, minding readers. Returns true when a signal came. */
static bool wait_until(struct outlet *outlet, int signals, double until_ms)
{
    for (;;) {
        struct pollfd fd[OUTLET_CLIENTS + 2] = {{.fd = signals, .events = POLLIN}};
        int n = 1 + outlet_polls(outlet, fd + 1);
        double left_ms = until_ms - (double)lw_clock_mono_ms();
        int ready;

        if (left_ms <= 0)
            left_ms = 0;
        ready = poll(fd, (nfds_t)n, (int)fmin(ceil(left_ms), 60000));
        if (ready > 0 && fd[0].revents)
            return true;
        if (ready > 0)
            outlet_attend(outlet);
        if (ready == 0 && left_ms < 60000)
            return false;
        if (ready < 0 && errno != EINTR)
            return true;
    }
}

static int emit(struct helm *helm, struct outlet *outlet, int64_t utc_ms, struct lw_error *err)
{
    char text[1024];
    struct lw_fix fix = helm_fix(helm, utc_ms, utc_ms);
    size_t length = lw_sim_sentences(&helm->sim, &fix, helm_depth(helm), WATER_C, text,
                                     sizeof text);

    return outlet_send(outlet, text, length, err);
}

/* Epochs lie on whole parts of the UTC second, as a receiver's do; simulated time is theirs. */
static int sail(const struct rehearsal *r, struct outlet *outlet, int signals, struct lw_error *err)
{
    struct helm helm;
    struct lw_clock clock;
    int64_t start_ms, start_mono_ms;
    double period_ms = 1000.0 / (double)r->rate_hz;
    double end_ms = isnan(r->duration_s) ? LIVE_MS_MAX : r->duration_s * 1000;
    long epoch = 0;

    lw_clock_start(&clock);
    start_ms = (lw_clock_utc_ms(&clock, lw_clock_mono_ms()) / 1000 + 1) * 1000;
    start_mono_ms = start_ms - clock.offset_ms;
    helm_start(&helm, r->plan, r->chart, &r->rules, &r->sim, r->map.options.at);
    for (;;) {
        double at_ms = (double)epoch * period_ms;
        double due_ms = (double)start_mono_ms + at_ms / r->speedup;

        if (at_ms > end_ms || wait_until(outlet, signals, due_ms))
            return 0;
        if (emit(&helm, outlet, start_ms + llround(at_ms), err))
            return -1;
        helm_pass(&helm, period_ms / 1000);
        epoch++;
        /* After a suspend or a stopped process: the present, not the missed epochs in a burst. */
        due_ms = ((double)lw_clock_mono_ms() - (double)start_mono_ms) * r->speedup;
        if (due_ms - (double)epoch * period_ms > BEHIND_MS * r->speedup)
            epoch = lround(due_ms / period_ms);
    }
}

static int run_live(const struct rehearsal *r, struct lw_error *err)
{
    struct outlet outlet;
    int signals = open_signals(r->with_parent, err), status = -1;

    outlet_stdout(&outlet);
    if (signals < 0)
        return -1;
    if (r->pty && outlet_pty(&outlet, r->pty, err))
        goto out;
    if (r->tcp_port >= 0 && outlet_tcp(&outlet, (int)r->tcp_port, err))
        goto out;
    if (r->tcp_port >= 0)
        fprintf(stderr, "lipwalk " NAME ": sentences on 127.0.0.1:%d\n", outlet.port);
    if (r->pty)
        fprintf(stderr, "lipwalk " NAME ": sentences on %s -> %s\n", r->pty, outlet.slave_path);
    status = sail(r, &outlet, signals, err);
out:
    outlet_close(&outlet);
    close(signals);
    return status;
}

int lw_cmd_rehearse(int argc, char **argv)
{
    struct rehearsal r = {.seed = 1, .rate_hz = 1, .tcp_port = -1, .speedup = 1, .duration_s = NAN};
    struct lw_error err = {""};
    int status;

    lw_cmd_conf(&r.conf, NULL);
    lw_map_args_init(&r.map);
    lw_sim_rules_default(&r.sim);
    status = read_call(&r, argc, argv);
    if (status >= 0)
        return status;
    if (load(&r, &err))
        status = lw_cmd_fail(NAME, &err);
    else if (r.closed_loop)
        status = run_closed_loop(&r);
    else
        status = run_live(&r, &err) ? lw_cmd_fail(NAME, &err) : lw_cmd_done(NAME);
    lw_plan_free(r.plan);
    lw_chart_free(r.chart);
    return status;
}
