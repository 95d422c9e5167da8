/* The loop: one thread waits on the terminal, the position source, the journal and the worker, and
 * each wake-up goes input -> events -> fold -> draw. */
#include "water.h"

#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/signalfd.h>

#include "lipwalk/base/text.h"

#define CATCH_UP_MS 250  /* how often other processes' events are looked for */
#define TRACK_MS    1000 /* how often the boat's place is journalled, by the receiver's time too */
#define CALL_MS     1000 /* how often returns are looked at */
#define DRAW_BURST  3.0
#define EPOCHS_MAX  50 /* at one wake-up; a backlog is worked off over several */

static void set_clock(struct water *w, const struct lw_fix *fix, int64_t mono_ms)
{
    int64_t step_ms = lw_clock_discipline(&w->clock, &w->vote, fix->at_utc_ms, fix->seen_mono_ms);
    struct lw_event event = lw_event_new(LW_EV_CLOCK, water_now(w, mono_ms));

    if (!step_ms)
        return;
    event.u.clock.step_ms = step_ms;
    water_happen(w, &event);
    water_say(w, LW_ROLE_TEXT, "clock set by the receiver, by %.0f s", (double)step_ms / 1000);
}

/* Of epochs that waited together (the program was stopped for 10 s) only the newest may set the
 * clock: the others arrived late, and late alike. */
static void take_fixes(struct water *w, int64_t mono_ms)
{
    struct lw_fix newest = {.mode = 0};

    for (int epochs = 0; epochs < EPOCHS_MAX; epochs++) {
        if (!lw_feed_step(w->feed, mono_ms)) {
            if (newest.mode >= 2 && newest.at_utc_ms)
                set_clock(w, &newest, mono_ms);
            return;
        }
        newest = *lw_feed_fix(w->feed);
        w->dirty = true;
    }
}

static void guide(struct water *w, int64_t mono_ms)
{
    const double *number = w->conf.number;
    enum lw_fix_state state = w->guidance.estimate.state;
    struct lw_guide_in in = {
        .plan = w->plan,
        .chart = w->chart,
        .trip = w->trip,
        .estimate = lw_feed_estimate(w->feed, mono_ms),
        .readings = lw_feed_readings(w->feed),
        .now_utc_ms = water_now(w, mono_ms),
        .mono_ms = mono_ms,
        .tolerance_m = number[LW_SET_TOLERANCE],
        .forward_m = number[LW_SET_FORWARD],
        .starboard_m = number[LW_SET_STARBOARD],
        .shift = water_shift(w),
        .level_m = water_level(w),
        .typed_wind_mps = lw_trip_setting(w->trip, "wind_mps"),
        .typed_wind_from_deg = lw_trip_setting(w->trip, "wind_from_deg"),
        .typed_water_c = lw_trip_setting(w->trip, "water_c"),
    };

    lw_guide_step(&in, &w->memory, &w->guidance);
    if (w->guidance.estimate.state != state)
        w->dirty = true; /* a fix lost or grown stale is shown at once, not at the next second */
}

/* The emergency key without a fix: the first one that comes is what to say over the radio. */
static void freeze_late(struct water *w, int64_t mono_ms)
{
    struct lw_where where;
    struct lw_event event;

    if (!w->guidance.ok || !lw_trip_frozen(w->trip, &where, NULL) || lw_ll_known(where.at))
        return;
    event = lw_event_new(LW_EV_FREEZE, water_now(w, mono_ms));
    event.u.freeze.on = true;
    event.u.freeze.where = water_where(w, mono_ms);
    water_record(w, &event, "position frozen at the first fix");
}

static void track(struct water *w, int64_t mono_ms)
{
    const struct lw_guidance *g = &w->guidance;
    struct lw_event event;

    if (!g->ok ||
        (mono_ms < w->track_at_ms + TRACK_MS &&
         g->estimate.at_utc_ms < w->track_fix_ms + TRACK_MS) ||
        g->estimate.seen_mono_ms == w->fix_seen_ms || !lw_journal_lease(w->journal))
        return;
    w->track_at_ms = mono_ms;
    w->track_fix_ms = g->estimate.at_utc_ms;
    w->fix_seen_ms = g->estimate.seen_mono_ms;
    event = lw_event_new(LW_EV_TRACK, water_now(w, mono_ms));
    event.u.track.where = water_where(w, mono_ms);
    event.u.track.sog_mps = g->sog_mps;
    event.u.track.cog_deg = g->cog_deg;
    event.u.track.heading_deg = g->heading_deg;
    event.u.track.depth_m = g->depth_sensor ? g->depth_m : NAN;
    event.u.track.water_c = g->water_c;
    event.u.track.wind_mps = g->wind_mps;
    event.u.track.wind_from_deg = g->wind_from_deg;
    water_happen(w, &event);
}

static void call_returns(struct water *w, int64_t mono_ms)
{
    static const char *const steps[] = {"is ripe", "is due", "is late", "is near and ripe"};
    struct lw_ev_call calls[8];
    const struct lw_place *place;
    size_t places;
    int n = lw_trip_calls(w->trip, water_now(w, mono_ms),
                          w->guidance.ok ? w->guidance.caster : (struct lw_ll){NAN, NAN}, calls, 8);

    place = lw_trip_places(w->trip, &places);
    for (int i = 0; i < n; i++) {
        struct lw_event event = lw_event_new(LW_EV_CALL, water_now(w, mono_ms));

        event.u.call = calls[i];
        water_happen(w, &event);
        for (size_t p = 0; p < places; p++)
            if (lw_event_id_same(place[p].id, calls[i].place))
                water_say(w, LW_ROLE_STRONG, "back to %s: the return %s", place[p].label,
                          steps[calls[i].step]);
        if (strcmp(w->conf.text[LW_SET_BELL], "off") != 0)
            lw_term_bell(w->term);
    }
}

static void show_saved(struct water *w)
{
    struct lw_error trouble = {""};

    lw_journal_seen(w->journal);
    lw_journal_trouble(w->journal, &trouble);
    if (trouble.text[0])
        snprintf(w->view.trouble, sizeof w->view.trouble, "NOT SAVED: %.200s", trouble.text);
    else
        w->view.trouble[0] = '\0';
    if (w->view.last_saved == LW_SAVED_PENDING && lw_journal_durable(w->journal) >= w->last.seq)
        w->view.last_saved = LW_SAVED_CONFIRMED;
    w->dirty = true;
}

/* What is short hides what is long: it is over in a moment. */
static void fill_busy(const struct water *w, struct lw_view *v)
{
    static const char *const words[] = {
        [WATER_JOB_BEATS] = "looking for edges ...",
        [WATER_JOB_PLAN] = "planning ...",
        [WATER_JOB_DRIVEN] = "planning ...",
        [WATER_JOB_ANEW] = "planning anew ...",
        [WATER_JOB_FIT] = "comparing the sounder with the map ...",
    };
    bool job = w->job.kind != WATER_JOB_NONE;

    v->busy = job || w->map.running;
    if (job)
        lw_text_copy(v->busy_words, sizeof v->busy_words, words[w->job.kind]);
    else if (v->busy)
        water_map_words(&w->map, v->busy_words, sizeof v->busy_words);
    lw_text_copy(v->no_map, sizeof v->no_map, w->map.why_none);
}

static void fill_view(struct water *w, int64_t mono_ms)
{
    struct lw_view *v = &w->view;
    struct lw_ll at = {NAN, NAN};

    v->mono_ms = mono_ms;
    v->now_utc_ms = water_now(w, mono_ms);
    v->conf = &w->conf;
    v->guidance = &w->guidance;
    v->plan = w->plan;
    v->worked = w->worked;
    v->chart = w->chart;
    v->trip = w->trip;
    lw_trip_at(w->trip, v->now_utc_ms, &w->day);
    v->day = &w->day;
    if (w->plan)
        at = w->plan->frame.origin;
    else if (w->chart)
        at = w->chart->frame.origin;
    else
        at = w->guidance.estimate.at;
    if (lw_ll_known(at))
        v->sun = lw_sun_day_of(at, v->now_utc_ms);
    else
        v->sun = (struct lw_sun_day){LW_NO_TIME, LW_NO_TIME, LW_NO_TIME, LW_NO_TIME,
                                     LW_NO_TIME, NAN,        NAN};
    v->day_end_utc_ms = w->day_end_utc_ms;
    lw_feed_words(w->feed, mono_ms, v->source_words, sizeof v->source_words);
    fill_busy(w, v);
    lw_trip_driven(w->trip, &(size_t){0}, &v->driving);
    v->frozen = lw_trip_frozen(w->trip, &v->frozen_where, &v->frozen_utc_ms);
    v->beat = w->beat;
    v->beats = w->beats;
    v->beats_depth_m = w->beats_depth_m;
    if (mono_ms >= w->notice_until_ms)
        v->notice[0] = '\0';
    if (w->ui.return_chosen >= w->day.returns)
        w->ui.return_chosen = w->day.returns ? w->day.returns - 1 : 0;
}

/* Each key meets the state that the one before it left: two casts in one burst are two casts. */
static void take_keys(struct water *w, int64_t mono_ms)
{
    int code;

    while (!w->quit && (code = lw_term_key(w->term)) >= 0) {
        w->dirty = true;
        if (code == LW_KEY_RESIZE)
            continue;
        water_act(w, lw_ui_key(&w->view, &w->ui, code));
        guide(w, mono_ms);
        fill_view(w, mono_ms);
    }
}

static void draw(struct water *w)
{
    int width, height;

    lw_term_size(w->term, &width, &height);
    if (lw_canvas_size(&w->canvas, width, height))
        return;
    lw_ui_draw(&w->view, &w->ui, &w->canvas);
    lw_term_show(w->term, &w->canvas);
    w->draw_tokens -= 1;
    w->dirty = false;
}

/* How long poll() may sleep: until the feed, the clock's next second, or the next allowed draw. */
static int sleep_ms(const struct water *w, int64_t mono_ms)
{
    int64_t until = mono_ms + 1000 - water_now(w, mono_ms) % 1000;
    int64_t feed = lw_feed_deadline_ms(w->feed);

    if (mono_ms + CATCH_UP_MS < until)
        until = mono_ms + CATCH_UP_MS;
    if (feed < until)
        until = feed;
    if (w->dirty && w->draw_tokens < 1 && mono_ms + 100 < until)
        until = mono_ms + 100;
    return until > mono_ms ? (int)(until - mono_ms) : 0;
}

/* A resize wakes the wait: it is blocked everywhere else, so that no other thread swallows it. */
static void wait_for(struct pollfd *fds, nfds_t n, int ms)
{
    struct timespec timeout = {ms / 1000, ms % 1000 * 1000000L};
    sigset_t mask;

    pthread_sigmask(SIG_SETMASK, NULL, &mask);
    sigdelset(&mask, SIGWINCH);
    ppoll(fds, n, &timeout, &mask);
}

void water_loop(struct water *w)
{
    int64_t caught_up_ms = 0, called_ms = 0, drawn_second = -1;

    w->tokens_at_ms = lw_clock_mono_ms();
    w->draw_tokens = DRAW_BURST;
    w->dirty = true;
    while (!w->quit) {
        int64_t mono_ms = lw_clock_mono_ms();
        struct pollfd fds[] = {
            {lw_term_fd(w->term), POLLIN, 0},
            {lw_feed_fd(w->feed), POLLIN, 0}, /* -1 is passed over by poll */
            {lw_journal_fd(w->journal), POLLIN, 0},
            {w->job.done_fd, POLLIN, 0},
            {w->signal_fd, POLLIN, 0},
            {w->map.done_fd, POLLIN, 0},
            {w->watch.done_fd, POLLIN, 0},
        };
        struct lw_error err = {""};

        wait_for(fds, sizeof fds / sizeof *fds, sleep_ms(w, mono_ms));
        mono_ms = lw_clock_mono_ms();
        if (fds[4].revents || fds[0].revents & (POLLHUP | POLLERR | POLLNVAL)) {
            /* asked to end, or the terminal is gone: what was pressed before counts, and all that
             * is queued is written by the close */
            take_keys(w, mono_ms);
            break;
        }
        take_fixes(w, mono_ms);
        guide(w, mono_ms);
        fill_view(w, mono_ms);
        take_keys(w, mono_ms);
        if (fds[3].revents)
            water_job_finish(w, &w->job);
        if (fds[5].revents)
            water_map_finish(w);
        if (fds[6].revents)
            water_job_finish(w, &w->watch);
        if (fds[2].revents)
            show_saved(w);
        freeze_late(w, mono_ms);
        water_assume(w, mono_ms);
        water_count_worked(w);
        track(w, mono_ms);
        water_watch_level(w, mono_ms);
        if (mono_ms >= caught_up_ms + CATCH_UP_MS) {
            caught_up_ms = mono_ms;
            if (lw_journal_changed(w->journal) && water_catch_up(w, true, &err))
                water_say(w, LW_ROLE_WARN, "%s", err.text);
        }
        if (mono_ms >= called_ms + CALL_MS) {
            called_ms = mono_ms;
            water_day_end(w);
            call_returns(w, mono_ms);
        }
        if (water_now(w, mono_ms) / 1000 != drawn_second)
            w->dirty = true;
        w->draw_tokens = fmin(DRAW_BURST, w->draw_tokens + (double)(mono_ms - w->tokens_at_ms) *
                                                               w->conf.number[LW_SET_DRAW_RATE] /
                                                               1000);
        w->tokens_at_ms = mono_ms;
        if (w->dirty && w->draw_tokens >= 1) {
            guide(w, mono_ms);
            fill_view(w, mono_ms);
            draw(w);
            drawn_second = water_now(w, mono_ms) / 1000;
        }
    }
}
