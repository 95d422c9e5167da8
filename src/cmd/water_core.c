/* What the parts of the on-water program share: its clock, its passing lines, events journalled and
 * folded, where the boat is, the plan in use. */
#include "water.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define NOTICE_MS 8000

int64_t water_now(const struct water *w, int64_t mono_ms)
{
    return lw_clock_utc_ms(&w->clock, mono_ms);
}

void water_say(struct water *w, enum lw_role role, const char *format, ...)
{
    va_list args;
    char text[sizeof w->view.notice];

    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    lw_text_clean(w->view.notice, sizeof w->view.notice, text);
    w->view.notice_role = role;
    w->notice_until_ms = lw_clock_mono_ms() + NOTICE_MS;
    w->dirty = true;
}

int water_happen(struct water *w, struct lw_event *event)
{
    struct lw_error err = {""};

    lw_text_copy(event->trip, sizeof event->trip, w->trip_id);
    if (lw_journal_append(w->journal, event, &err)) {
        snprintf(w->view.trouble, sizeof w->view.trouble, "NOT SAVED: %.200s", err.text);
        return -1;
    }
    if (lw_trip_apply(w->trip, event))
        water_sounded(w, event);
    w->dirty = true;
    return 0;
}

struct lw_en water_shift(const struct water *w)
{
    double e_m = lw_trip_setting(w->trip, "shift_e_m"), n_m = lw_trip_setting(w->trip, "shift_n_m");

    return (struct lw_en){isnan(e_m) ? 0 : e_m, isnan(n_m) ? 0 : n_m};
}

struct lw_where water_where(const struct water *w, int64_t mono_ms)
{
    const struct lw_guidance *g = &w->guidance;
    struct lw_estimate last = lw_feed_estimate(w->feed, mono_ms);
    struct lw_where where = {
        .at = {NAN, NAN}, .age_s = NAN, .sigma_m = NAN, .along_m = NAN, .off_m = NAN};

    if (g->ok) {
        where.at = g->caster;
        where.age_s = (double)(mono_ms - last.seen_mono_ms) / 1000;
        where.sigma_m = last.sigma_m;
        where.along_m = g->along_m;
        where.off_m = g->off_m;
    } else if (lw_ll_known(last.at)) {
        where.at = last.at;
        where.age_s = (double)(mono_ms - last.seen_mono_ms) / 1000;
        where.sigma_m = last.sigma_m;
    }
    return where;
}

static int fold(void *context, const struct lw_event *event)
{
    struct water *w = context;

    if (lw_trip_apply(w->trip, event))
        water_sounded(w, event);
    return 0;
}

int water_catch_up(struct water *w, bool skip_own, struct lw_error *err)
{
    int bad = 0;

    if (lw_journal_read(w->journal, w->trip_id, skip_own, &w->read_after, fold, w, &bad, err))
        return -1;
    if (bad)
        water_say(w, LW_ROLE_WARN,
                  "%d events of the journal could not be read and were passed over", bad);
    w->dirty = true;
    return 0;
}

void water_take_plan(struct water *w, struct lw_plan *plan, const char *path)
{
    struct lw_event event = lw_event_new(LW_EV_PLAN, water_now(w, lw_clock_mono_ms()));

    lw_plan_free(w->plan);
    lw_worked_free(w->worked);
    w->plan = plan;
    w->worked = plan ? lw_worked_new(plan) : NULL;
    w->counted[0] = w->counted[1] = SIZE_MAX;
    memset(&w->memory, 0, sizeof w->memory);
    if (strcmp(lw_trip_plan_path(w->trip), path) == 0)
        return;
    lw_text_copy(event.u.plan.path, sizeof event.u.plan.path, path);
    water_happen(w, &event);
}

enum lw_units water_units(const struct water *w)
{
    return lw_conf_units(&w->conf);
}

void water_record(struct water *w, struct lw_event *event, const char *words)
{
    lw_text_copy(w->view.last_words, sizeof w->view.last_words, words);
    w->view.last_mono_ms = lw_clock_mono_ms();
    w->view.notice[0] = '\0'; /* what is older must not hide whether this is saved */
    if (water_happen(w, event)) {
        w->view.last_saved = LW_SAVED_FAILED;
        return;
    }
    w->last = event->id;
    w->view.last_saved = LW_SAVED_PENDING;
}

void water_ask(struct water *w, enum lw_ask_kind kind, enum lw_action about, const char *sentence)
{
    w->ui.ask = (struct lw_ask){.kind = kind, .about = about};
    lw_text_copy(w->ui.ask.sentence, sizeof w->ui.ask.sentence, sentence);
}

int water_set(struct water *w, const char *name, double value, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_SETTING, now);

    lw_text_copy(event.u.setting.name, sizeof event.u.setting.name, name);
    event.u.setting.value = value;
    return water_happen(w, &event);
}
