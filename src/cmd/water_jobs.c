#include "water.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "lipwalk/base/units.h"
#include "lipwalk/cmd/plan_params.h"
#include "lipwalk/plan/file.h"

#define ROUNDS_MAX 2500 /* a quarter of a second */

int water_jobs_open(struct water_job *job, struct lw_error *err)
{
    memset(job, 0, sizeof *job);
    job->done_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    if (job->done_fd < 0)
        return lw_fail(err, "no event descriptor for the worker: %s", strerror(errno));
    return 0;
}

void water_jobs_close(struct water_job *job)
{
    if (job->kind != WATER_JOB_NONE)
        pthread_join(job->thread, NULL);
    lw_plan_free(job->plan);
    lw_line_free(&job->driven);
    lw_track_free(&job->track);
    free(job->made);
    if (job->done_fd >= 0)
        close(job->done_fd);
}

/* The shift's fit holds where the level's does; a track along one contour tells no shift. */
static int fit(struct water_job *job)
{
    for (size_t i = 0; (job->add.e_m != 0 || job->add.n_m != 0) && i < job->track.n; i++) {
        struct lw_en at = lw_frame_to_en(&job->chart->frame, job->track.p[i].at);

        at.e_m += job->add.e_m;
        at.n_m += job->add.n_m;
        job->track.p[i].at = lw_frame_to_ll(&job->chart->frame, at);
    }
    job->shift.clear = false;
    if (lw_stage_fit(job->chart, &job->track, &job->stage, &job->err))
        return -1;
    if (!job->quiet && lw_shift_fit(job->chart, &job->track, &job->shift, &(struct lw_error){""}))
        job->shift.clear = false;
    return 0;
}

static int make_plan(struct water_job *job, const struct lw_plan_params *params)
{
    if (job->kind == WATER_JOB_DRIVEN)
        return lw_plan_from_line(job->chart, &job->frame, &job->driven, job->deep_left, params,
                                 &job->plan, &job->err);
    if (job->kind == WATER_JOB_ANEW)
        return lw_plan_remake(job->chart, job->old, params, job->made, job->mades, &job->plan,
                              &job->err);
    return lw_plan_make(job->chart, params, &job->plan, &job->err);
}

/* A crew waits for it: a very long beat is improved less. */
static size_t rounds(const struct lw_plan *plan)
{
    size_t wanted = lw_plan_rounds(plan);

    return wanted < ROUNDS_MAX ? wanted : ROUNDS_MAX;
}

/* The chart's depths and a plan's are those of the map's own level; what is typed and the least
 * depth are today's. */
static int plan(struct water_job *job)
{
    struct lw_plan_params params = job->params;

    params.depth_m -= job->level_m;
    params.min_depth_m = fmax(0, params.min_depth_m - job->level_m);
    params.draft_m = fmax(0, params.draft_m - job->level_m);
    if (make_plan(job, &params) || lw_plan_improve(job->plan, rounds(job->plan), &job->err))
        return -1;
    lw_plan_settle(job->plan); /* the chart need not outlive the job */
    job->plan->params.min_depth_m = job->params.min_depth_m; /* the alarm's */
    job->plan->params.draft_m = job->params.draft_m;
    return lw_plan_write(job->plan, job->path, &job->err);
}

static int make(struct water_job *job)
{
    if (job->kind == WATER_JOB_FIT)
        return fit(job);
    if (job->kind == WATER_JOB_BEATS)
        return lw_plan_beats(job->chart, job->depth_m - job->level_m, job->from, job->beat,
                             WATER_BEATS, &job->beats, &job->err);
    return plan(job);
}

static void *work(void *context)
{
    struct water_job *job = context;
    uint64_t one = 1;

    job->status = make(job);
    while (write(job->done_fd, &one, sizeof one) < 0 && errno == EINTR)
        ;
    return NULL;
}

int water_job_start(struct water_job *job, enum water_job_kind kind, struct lw_error *err)
{
    int failed;

    if (job->kind != WATER_JOB_NONE)
        return lw_fail(err, "still busy with the last one: try again in a moment");
    job->kind = kind;
    job->status = 0;
    job->err.text[0] = '\0';
    job->beats = 0;
    failed = pthread_create(&job->thread, NULL, work, job);
    if (failed) {
        job->kind = WATER_JOB_NONE;
        return lw_fail(err, "the worker could not be started: %s", strerror(failed));
    }
    return 0;
}

static void say_no_edge(struct water *w)
{
    char depth[24], deepest[24];

    lw_units_print_edge(depth, sizeof depth, w->beats_depth_m, water_units(w));
    lw_units_print(deepest, sizeof deepest, w->chart->deepest_m + water_level(w), LW_DEPTH,
                   water_units(w), 0);
    water_say(w, LW_ROLE_WARN, "no edge at %s on this map, whose deepest contour is %s", depth,
              deepest);
}

void water_job_finish(struct water *w, struct water_job *job)
{
    enum water_job_kind kind = job->kind;
    uint64_t count;

    if (read(job->done_fd, &count, sizeof count) < 0 || kind == WATER_JOB_NONE)
        return;
    pthread_join(job->thread, NULL);
    job->kind = WATER_JOB_NONE;
    w->dirty = true;
    if (job->status) {
        if (kind != WATER_JOB_FIT || !job->quiet)
            water_say(w, LW_ROLE_WARN, "%s", job->err.text);
        lw_plan_free(job->plan);
        job->plan = NULL;
        return;
    }
    if (kind == WATER_JOB_FIT) {
        water_compared(w, job);
        return;
    }
    if (kind == WATER_JOB_BEATS) {
        memcpy(w->beat, job->beat, sizeof w->beat);
        w->beats = job->beats;
        w->beats_depth_m = job->depth_m;
        w->ui.beat_chosen = 0;
        if (w->beats)
            w->ui.edge_field = LW_EDGE_LIST;
        else
            say_no_edge(w);
        return;
    }
    water_take_plan(w, job->plan, job->path);
    job->plan = NULL;
    w->ui.screen = LW_SCREEN_STRIP;
    water_say(w, LW_ROLE_TEXT, "planned: %zu station%s, %zu casts, about %.0f min%s%s",
              w->plan->stations, w->plan->stations == 1 ? "" : "s", w->plan->casts,
              w->plan->minutes, w->plan->warnings ? "; " : "",
              w->plan->warnings ? w->plan->warning[0] : "");
}

void water_plan_params(const struct water *w, struct lw_plan_params *params)
{
    double standoff_m = lw_trip_setting(w->trip, "standoff");

    lw_plan_params_from_conf(&w->conf, params);
    if (standoff_m > 0)
        params->standoff_m = standoff_m;
    water_today(w, params);
    params->choose_way = true;
}
