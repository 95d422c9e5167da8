/* `lipwalk mark KIND`: a mark from another terminal, into the trip that runs. */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "json_out.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/journal/journal.h"
#include "lipwalk/plan/file.h"

#define NAME "mark"
/* A trip that was not ended still runs if something happened in it so lately. */
#define RUNNING_MS (12 * INT64_C(3600000))
#define SAVE_MS    15000
/* The sensors' values of the last track hold so long. */
#define SENSORS_FRESH_S  10.0
#define ANOTHER_TERMINAL 2

struct mark_args {
    struct lw_arg_texts kind;
    const char *note, *who, *journal;
    bool json;
};

/* What the trip's events tell about the boat and about the clock of the process that follows it. */
struct last {
    struct lw_event track;  /* the newest with a position; kind LW_EV_KINDS: none */
    uint64_t origin;        /* of that process */
    int64_t step_ms;        /* its clock against the system's */
    char plan[LW_PATH_MAX]; /* the plan now worked, "" none */
    struct lw_en shift;     /* the map shift in force */
};

static void look_at_setting(struct last *last, const struct lw_ev_setting *setting)
{
    if (isnan(setting->value))
        return;
    if (strcmp(setting->name, "shift_e_m") == 0)
        last->shift.e_m = setting->value;
    else if (strcmp(setting->name, "shift_n_m") == 0)
        last->shift.n_m = setting->value;
}

static int look(void *context, const struct lw_event *event)
{
    struct last *last = context;

    if (event->kind == LW_EV_PLAN)
        lw_text_copy(last->plan, sizeof last->plan, event->u.plan.path);
    else if (event->kind == LW_EV_SETTING)
        look_at_setting(last, &event->u.setting);
    if (event->kind != LW_EV_TRACK && event->kind != LW_EV_CLOCK)
        return 0;
    if (event->id.origin != last->origin) {
        last->origin = event->id.origin;
        last->step_ms = 0;
    }
    if (event->kind == LW_EV_CLOCK) {
        last->step_ms += event->u.clock.step_ms;
        if (last->track.id.origin == last->origin)
            last->track.at_utc_ms += event->u.clock.step_ms;
    } else if (lw_ll_known(event->u.track.where.at)) {
        last->track = *event;
    }
    return 0;
}

static void take_position(struct lw_event *mark, const struct last *last)
{
    const struct lw_ev_track *track = &last->track.u.track;
    struct lw_ev_mark *m = &mark->u.mark;

    if (last->track.kind != LW_EV_TRACK)
        return;
    m->where = track->where;
    m->where.age_s = (double)(mark->at_utc_ms - last->track.at_utc_ms) / 1000;
    if (m->where.age_s < 0)
        m->where.age_s = 0;
    if (m->where.age_s <= SENSORS_FRESH_S) {
        m->depth_m = track->depth_m;
        m->water_c = track->water_c;
        m->wind_mps = track->wind_mps;
        m->wind_from_deg = track->wind_from_deg;
    }
    if (track->where.age_s > 0)
        m->where.age_s += track->where.age_s;
}

/* Another terminal does not know the cast that is out: the bait is taken to be at the edge abeam.
 */
static void take_bait(struct lw_ev_mark *m, const struct last *last)
{
    struct lw_plan *plan;
    struct lw_en at;

    if (!last->plan[0] || !lw_ll_known(m->where.at) || lw_plan_read(last->plan, &plan, NULL))
        return;
    at = lw_frame_to_en(&plan->frame, m->where.at);
    at.e_m += last->shift.e_m;
    at.n_m += last->shift.n_m;
    at = lw_plan_offset(plan, at).foot;
    at.e_m -= last->shift.e_m;
    at.n_m -= last->shift.n_m;
    m->bait = lw_frame_to_ll(&plan->frame, at);
    lw_plan_free(plan);
}

/* Finds the running trip and makes the mark for it. */
static int make_mark(struct lw_journal *journal, const struct mark_args *args, int kind,
                     struct lw_event *mark, struct lw_error *err)
{
    struct last last = {.track = {.kind = LW_EV_KINDS}};
    struct lw_journal_trip trip;
    int64_t after = 0;
    int found = lw_journal_last_trip(journal, &trip, err);

    if (found < 0)
        return -1;
    if (!found || trip.ended)
        return lw_fail(err, "no trip runs: start `lipwalk` first (on the same --journal)");
    if (lw_journal_read(journal, trip.id, false, &after, look, &last, NULL, err))
        return -1;
    *mark = lw_event_new(LW_EV_MARK, lw_clock_system_utc_ms() + last.step_ms);
    if (mark->at_utc_ms - trip.last_utc_ms > RUNNING_MS) {
        char when[64];

        lw_clock_local(when, sizeof when, trip.last_utc_ms, "%A %H:%M");
        return lw_fail(err, "no trip runs: the last one was left on %s; start `lipwalk` first",
                       when);
    }
    lw_text_copy(mark->trip, sizeof mark->trip, trip.id);
    mark->u.mark.kind = (enum lw_mark_kind)kind;
    mark->u.mark.who = ANOTHER_TERMINAL;
    lw_text_clean(mark->u.mark.who_name, sizeof mark->u.mark.who_name, args->who);
    lw_text_clean(mark->u.mark.note, sizeof mark->u.mark.note, args->note);
    take_position(mark, &last);
    take_bait(&mark->u.mark, &last);
    return 0;
}

static int print_json(const struct lw_event *event, struct lw_error *err)
{
    const struct lw_ev_mark *m = &event->u.mark;
    char at[48], id[48];
    json_t *out;

    lw_clock_iso(at, sizeof at, event->at_utc_ms);
    snprintf(id, sizeof id, "%016" PRIx64 "-%" PRIx64, event->id.origin, event->id.seq);
    out = json_pack(
        "{s:s, s:s, s:s, s:s, s:s, s:s, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "mark",
        lw_mark_info(m->kind)->name, "trip", event->trip, "t_utc", at, "id", id, "who", m->who_name,
        "note", m->note, "confirmed", 1, "lat", json_out_number(m->where.at.lat_deg), "lon",
        json_out_number(m->where.at.lon_deg), "age_s", json_out_number(m->where.age_s), "along_m",
        json_out_number(m->where.along_m), "off_m", json_out_number(m->where.off_m), "depth_m",
        json_out_number(m->depth_m), "water_c", json_out_number(m->water_c));
    if (json_out_print(out, JSON_COMPACT | JSON_REAL_PRECISION(12)))
        return lw_fail(err, "the mark is saved, but cannot be printed as JSON");
    return 0;
}

static int print(const struct lw_event *event, bool json, struct lw_error *err)
{
    const struct lw_where *where = &event->u.mark.where;

    if (json)
        return print_json(event, err);
    printf("marked %s, confirmed\n", lw_mark_info(event->u.mark.kind)->name);
    if (!lw_ll_known(where->at))
        printf("without a position: the trip has none yet\n");
    else if (where->age_s > SENSORS_FRESH_S)
        printf("with the last position, %.0f s old\n", where->age_s);
    return 0;
}

/* "bottom change" may come as two words. */
static void join_words(char *to, size_t size, const struct lw_arg_texts *words)
{
    to[0] = '\0';
    for (int i = 0; i < words->n; i++)
        lw_text_add(to, size, "%s%s", i ? " " : "", words->text[i]);
}

static int refuse_kind(const char *name)
{
    char fault[300] = "";

    if (name[0])
        lw_text_add(fault, sizeof fault, "there is no kind \"%.60s\"; ", name);
    lw_text_add(fault, sizeof fault, "say what to mark:");
    for (int kind = 0; kind < LW_MARK_KINDS; kind++)
        lw_text_add(fault, sizeof fault, "%s %s", kind ? "," : "",
                    lw_mark_info((enum lw_mark_kind)kind)->name);
    return lw_cmd_usage(NAME, fault);
}

static int run(const struct mark_args *args, int kind, struct lw_error *err)
{
    struct lw_journal *journal = NULL;
    struct lw_event mark;
    int result = -1;

    if (args->journal && access(args->journal, F_OK))
        return lw_fail(err, "there is no journal %s: start `lipwalk --journal %s` first",
                       args->journal, args->journal);
    if (lw_journal_open(args->journal, &journal, err))
        return -1;
    if (make_mark(journal, args, kind, &mark, err) || lw_journal_append(journal, &mark, err) ||
        lw_journal_flush(journal, SAVE_MS, err))
        goto out;
    result = print(&mark, args->json, err);
out:
    lw_journal_close(journal, result ? NULL : err);
    return result;
}

int lw_cmd_mark(int argc, char **argv)
{
    struct mark_args args = {.note = "", .who = ""};
    struct lw_error err = {""};
    const struct lw_arg own[] = {
        {"note", LW_ARG_TEXT, &args.note, "TEXT", "words to go with it", 0},
        {"who", LW_ARG_TEXT, &args.who, "NAME", "who made it", 0},
        {"journal", LW_ARG_TEXT, &args.journal, "FILE",
         "the journal; else the one in the data folder", 0},
        {"json", LW_ARG_FLAG, &args.json, NULL, "print the mark as one JSON object", 0},
    };
    struct lw_call call = {.name = NAME,
                           .usage = "KIND [options]",
                           .summary = "Adds a mark to the running trip: bite, fish, follow, snag, "
                                      "weed, rock, bottom change, note. Done when it is on the "
                                      "disk.",
                           .arg = {own},
                           .args = {sizeof own / sizeof *own},
                           .positional = &args.kind};
    int ended = lw_args_read(&call, argc, argv);
    char name[64];
    int kind;

    if (ended >= 0)
        return ended;
    join_words(name, sizeof name, &args.kind);
    kind = lw_mark_kind_of(name);
    if (kind < 0)
        return refuse_kind(name);
    if (strlen(args.note) >= LW_TEXT_MAX)
        return lw_cmd_usage(NAME, "the note is too long: 255 bytes at most");
    if (run(&args, kind, &err))
        return lw_cmd_fail(NAME, &err);
    return lw_cmd_done(NAME);
}
