/* The sounder against the map: today's level and a shift of the map, measured along the trip's own
 * track and proposed; nothing is applied without a key. */
#include "water.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"

/* When the level is proposed without being asked for. Common practice, no source. */
#define WATCH_MS     60000
#define WATCH_GROWTH 60     /* soundings since the last look */
#define OFFER_MS     600000 /* one line in ten minutes */
#define OFFER_PLACES 200
#define OFFER_M      0.15
#define SAME_M       0.05   /* less than the sounder's own error: not worth a question */
#define QUARTILE     0.6745 /* half the middle half of a normal distribution, in sigmas */
#define MOVE_MAX_M   300.0  /* on a bottom so flat the figure says nothing */

double water_level(const struct water *w)
{
    double level_m = lw_trip_setting(w->trip, "stage_m");

    return isnan(level_m) ? 0 : level_m;
}

void water_keep_stage(struct water *w, double chart_stage_m)
{
    double before_m = lw_trip_setting(w->trip, "chart_stage_m");
    int64_t now = water_now(w, lw_clock_mono_ms());

    if ((isnan(before_m) ? 0 : before_m) == chart_stage_m)
        return;
    water_set(w, "chart_stage_m", chart_stage_m, now);
    if (water_level(w) == 0)
        return;
    water_set(w, "stage_m", NAN, now);
    water_say(w, LW_ROLE_WARN,
              "the level is now that of --stage; the one taken before is given up");
}

void water_sounded(struct water *w, const struct lw_event *event)
{
    const struct lw_ev_track *track = &event->u.track;

    if (event->kind != LW_EV_TRACK || isnan(track->depth_m) || !lw_ll_known(track->where.at))
        return;
    /* without memory for one more the comparison does with those there are */
    lw_track_add(&w->sounded,
                 (struct lw_track_sounding){track->where.at, event->at_utc_ms, track->depth_m});
}

/* The worker's inputs: a copy of the track, and what brings it onto the map. */
static int start_fit(struct water *w, bool quiet, struct lw_error *err)
{
    struct water_job *job = quiet ? &w->watch : &w->job;

    lw_track_free(&job->track);
    job->track = (struct lw_track){.stage_m = NAN};
    job->track.p = malloc((w->sounded.n + 1) * sizeof *job->track.p);
    if (!job->track.p)
        return lw_fail(err, "no memory to compare the sounder with the map");
    memcpy(job->track.p, w->sounded.p, w->sounded.n * sizeof *job->track.p);
    job->track.n = w->sounded.n;
    job->track.cap = w->sounded.n + 1;
    job->chart = w->chart;
    job->add = water_shift(w);
    job->quiet = quiet;
    return water_job_start(job, WATER_JOB_FIT, err);
}

void water_compare(struct water *w)
{
    struct lw_error err;

    if (!w->chart) {
        water_say(w, LW_ROLE_WARN,
                  w->map.running ? "the map is still being read: nothing to compare with yet"
                                 : "no map is open: nothing to compare the sounder with");
        return;
    }
    if (w->sounded.n == 0) {
        water_say(w, LW_ROLE_WARN, "no depths from a sounder yet: nothing to compare with the map");
        return;
    }
    if (!water_busy(w) && start_fit(w, false, &err))
        water_say(w, LW_ROLE_WARN, "%s", err.text);
}

void water_watch_level(struct water *w, int64_t mono_ms)
{
    if (!w->chart || w->watch.kind != WATER_JOB_NONE || mono_ms < w->watched_ms + WATCH_MS ||
        w->sounded.n < w->watched_n + WATCH_GROWTH)
        return;
    w->watched_ms = mono_ms;
    w->watched_n = w->sounded.n;
    start_fit(w, true, &(struct lw_error){""}); /* the next look may do better */
}

static void depth_words(const struct water *w, char *to, size_t size, double m)
{
    enum lw_units units = water_units(w);

    lw_units_print(to, size, fabs(m), LW_DEPTH, units, units == LW_METRIC ? 2 : 1);
}

static bool agree(const struct lw_stage_fit *fit, double delta_m)
{
    return fabs(delta_m) < fmax(SAME_M, 2 * fit->error_m);
}

/* One line for a clear difference that the crew has not said no to. */
static void offer_quietly(struct water *w, const struct lw_stage_fit *fit)
{
    double delta_m = fit->stage_m - water_level(w);
    int64_t mono_ms = lw_clock_mono_ms();
    char by[24];

    if (fit->places < OFFER_PLACES || agree(fit, delta_m) || fabs(delta_m) <= OFFER_M ||
        fabs(fit->stage_m - w->refused_m) < OFFER_M || /* false while none was refused: NaN */
        (w->offered_ms && mono_ms < w->offered_ms + OFFER_MS))
        return;
    w->offered_ms = mono_ms;
    depth_words(w, by, sizeof by, delta_m);
    water_say(w, LW_ROLE_TEXT, "the sounder reads %s %s than the map: u compares", by,
              delta_m > 0 ? "deeper" : "shallower");
}

static void ask_shift(struct water *w)
{
    const struct lw_shift_fit *fit = &w->shift_fit;
    double dist_m = hypot(fit->shift.e_m, fit->shift.n_m);
    char move[24], sigma[24], sentence[200];

    lw_units_print(move, sizeof move, dist_m, LW_LENGTH, water_units(w), 0);
    lw_units_print(sigma, sizeof sigma, fit->sigma_m, LW_LENGTH, water_units(w), 0);
    w->shift_offered = fit->shift;
    snprintf(sentence, sizeof sentence,
             "The track fits the map best %s toward %03.0f, sure to %s: shift the map? y yes, n no",
             move, lw_en_bearing((struct lw_en){0, 0}, fit->shift), sigma);
    water_ask(w, LW_ASK_YES_NO, LW_ACT_LIP_HERE, sentence);
}

/* ": the 9 ft edge lies about 40 ft nearer the shore", as far as that can be told. */
static void move_words(const struct water *w, char *to, size_t size, double delta_m, double slope)
{
    double move_m = fabs(delta_m) / slope;
    char edge[24], move[24];

    to[0] = '\0';
    if (!(move_m < MOVE_MAX_M))
        return;
    lw_units_print(move, sizeof move, move_m, LW_LENGTH, water_units(w), 0);
    if (w->plan && !isnan(w->plan->params.depth_m)) {
        lw_units_print_edge(edge, sizeof edge, w->plan->params.depth_m + water_level(w),
                            water_units(w));
        lw_text_add(to, size, ": the %s edge lies about %s ", edge, move);
    } else {
        lw_text_add(to, size, ": edges lie about %s ", move);
    }
    lw_text_add(to, size, delta_m > 0 ? "nearer the shore" : "farther out");
}

static void ask_level(struct water *w, const struct lw_stage_fit *fit, double delta_m)
{
    char by[24], error[24], spread[24], move[96], sentence[256];
    enum lw_units units = water_units(w);

    depth_words(w, by, sizeof by, delta_m);
    snprintf(error, sizeof error, "%.*f", units == LW_METRIC ? 2 : 1,
             lw_units_from_si(fit->error_m, LW_DEPTH, units));
    depth_words(w, spread, sizeof spread, fit->spread_m);
    move_words(w, move, sizeof move, delta_m, fit->slope);
    w->level_offered = fit->stage_m;
    sentence[0] = '\0';
    lw_text_add(
        sentence, sizeof sentence, "The sounder reads %s %s%s %s than the map at %zu places", by,
        w->canvas.ascii ? "+-" : "±", error, delta_m > 0 ? "deeper" : "shallower", fit->places);
    lw_text_add(sentence, sizeof sentence,
                " (half of them within %s of that)%s. Take the level? y yes, n no", spread, move);
    water_ask(w, LW_ASK_YES_NO, LW_ACT_LEVEL, sentence);
}

/* Nothing to take; a level taken before can be given back. */
static void say_agree(struct water *w, const struct lw_stage_fit *fit, double delta_m)
{
    double level_m = water_level(w);
    char within[24], by[24], sentence[256];

    depth_words(w, within, sizeof within, fmax(fabs(delta_m), 2 * fit->error_m));
    if (w->shift_fit.clear) {
        ask_shift(w);
        return;
    }
    if (level_m == 0) {
        water_say(w, LW_ROLE_TEXT, "the sounder and the map agree within %s at %zu places", within,
                  fit->places);
        return;
    }
    depth_words(w, by, sizeof by, level_m);
    w->level_offered = 0;
    snprintf(sentence, sizeof sentence,
             "The sounder and the map agree within %s at %zu places at the level taken, %s %s. Go "
             "back to the map's own level? y yes, n no",
             within, fit->places, by, level_m > 0 ? "up" : "down");
    water_ask(w, LW_ASK_YES_NO, LW_ACT_LEVEL, sentence);
}

void water_compared(struct water *w, const struct water_job *job)
{
    struct lw_stage_fit fit = job->stage;
    double delta_m;

    if (job->quiet) {
        offer_quietly(w, &fit);
        return;
    }
    if (w->ui.ask.kind != LW_ASK_NONE) { /* another question came first; its answer is half typed */
        water_say(w, LW_ROLE_TEXT, "the sounder is compared: u again asks");
        return;
    }
    w->shift_fit = job->shift;
    /* on a slope a map that lies aside makes the water seem higher or lower; the water is the same
     * whether the crew then shifts the map or not */
    if (job->shift.clear) {
        fit.stage_m = job->shift.stage_m;
        fit.spread_m = QUARTILE * job->shift.rms_after_m;
        fit.places = job->shift.places;
    }
    delta_m = fit.stage_m - water_level(w);
    if (agree(&fit, delta_m))
        say_agree(w, &fit, delta_m);
    else
        ask_level(w, &fit, delta_m);
}

/* What the line now worked has become: it stays where it was planned. */
static void say_taken(struct water *w, double before_m)
{
    double level_m = water_level(w);
    char by[24], was[24], is[24];

    depth_words(w, by, sizeof by, level_m);
    if (level_m == 0)
        snprintf(by, sizeof by, "the map's own");
    else
        lw_text_add(by, sizeof by, level_m > 0 ? " up" : " down");
    if (!w->plan || isnan(w->plan->params.depth_m)) {
        water_say(w, LW_ROLE_TEXT, "level taken: %s", by);
        return;
    }
    lw_units_print_edge(was, sizeof was, w->plan->params.depth_m + before_m, water_units(w));
    lw_units_print_edge(is, sizeof is, w->plan->params.depth_m + level_m, water_units(w));
    water_say(w, LW_ROLE_TEXT,
              "level taken: %s. The line stays, over %s today: e plans the %s edge anew", by, is,
              was);
}

void water_answer_level(struct water *w, bool yes, int64_t now)
{
    double before_m = water_level(w);

    if (!yes) {
        if (w->level_offered != 0) /* to give one up is no proposal */
            w->refused_m = w->level_offered;
    } else if (water_set(w, "stage_m", w->level_offered, now) == 0) {
        w->refused_m = NAN;
        w->beats = 0; /* listed at the level before */
        say_taken(w, before_m);
    }
    if (w->shift_fit.clear)
        ask_shift(w);
    w->shift_fit.clear = false;
}
