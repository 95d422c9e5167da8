/* Keys to events: what the crew does. Nothing here draws. */
#include "water.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"

static const char *who_name(const struct water *w, int who)
{
    return w->conf.text[who == 1 ? LW_SET_COANGLER : LW_SET_ANGLER];
}

static void words_at(const struct water *w, char *to, size_t size, const struct lw_event *event,
                     const char *what, int who, double depth_m)
{
    char clock[16], depth[24];

    lw_clock_local(clock, sizeof clock, event->at_utc_ms, "%H:%M:%S");
    to[0] = '\0';
    lw_text_add(to, size, "%s %s", clock, what);
    if (who >= 0)
        lw_text_add(to, size, ", %s", who_name(w, who));
    if (!isnan(depth_m)) {
        lw_units_print(depth, sizeof depth, depth_m, LW_DEPTH, water_units(w), 0);
        lw_text_add(to, size, ", %s", depth);
    }
}

static void mark(struct water *w, const struct lw_key *key, int64_t now, int64_t mono_ms)
{
    const struct lw_guidance *g = &w->guidance;
    const struct lw_mark_info *info = lw_mark_info(key->kind);
    struct lw_event event = lw_event_new(LW_EV_MARK, now);
    struct lw_ev_mark *m = &event.u.mark;
    char words[160];

    m->kind = key->kind;
    m->who = key->who;
    lw_text_copy(m->who_name, sizeof m->who_name, who_name(w, key->who));
    m->where = water_where(w, mono_ms);
    m->bait = lw_guide_bait(w->plan, g, &m->bait_from_cast);
    m->station = m->bait_from_cast ? g->station : 0;
    m->cast = m->bait_from_cast ? g->cast : 0;
    m->depth_m = g->depth_sensor ? g->depth_m : NAN;
    if (w->chart && lw_ll_known(m->bait)) {
        struct lw_en at = lw_frame_to_en(&w->chart->frame, m->bait);

        at.e_m += g->shift.e_m;
        at.n_m += g->shift.n_m;
        m->map_depth_m = lw_chart_depth(w->chart, at) + g->level_m;
    }
    m->water_c = g->water_c;
    m->wind_mps = g->wind_mps;
    m->wind_from_deg = g->wind_from_deg;
    words_at(w, words, sizeof words, &event, info->name, key->who,
             isnan(m->depth_m) ? m->map_depth_m : m->depth_m);
    if (isnan(m->where.age_s))
        lw_text_add(words, sizeof words, ", no position");
    else if (!g->ok || m->where.age_s > 5)
        lw_text_add(words, sizeof words, ", position %.0f s old", m->where.age_s);
    water_record(w, &event, words);
    if (key->kind == LW_MARK_NOTE && w->view.last_saved != LW_SAVED_FAILED)
        water_ask(w, LW_ASK_TEXT, LW_ACT_MARK, "The note is kept. Words for it:");
}

void water_cast_made(struct water *w, bool assumed, int64_t now, int64_t mono_ms)
{
    const struct lw_guidance *g = &w->guidance;
    struct lw_event event = lw_event_new(LW_EV_CAST, now);
    char what[64], words[160];
    bool from_cast = false;

    event.u.cast.landing = lw_guide_bait(w->plan, g, &from_cast);
    event.u.cast.station = from_cast ? g->station : 0;
    event.u.cast.cast = from_cast ? g->cast : 0;
    event.u.cast.who = -1;
    event.u.cast.assumed = assumed;
    event.u.cast.where = water_where(w, mono_ms);
    if (from_cast)
        snprintf(what, sizeof what, "cast %d of station %d %smade", g->cast, g->station,
                 assumed ? "taken as " : "");
    else
        snprintf(what, sizeof what, "cast made");
    words_at(w, words, sizeof words, &event, what, -1, NAN);
    water_record(w, &event, words);
}

/* A fan's last cast moves on to the next station; taken back, it is to be made where it was. */
static void back_to_cast(struct water *w, struct lw_event_id target)
{
    size_t n;
    const struct lw_cast_made *cast = lw_trip_casts(w->trip, &n);

    while (n-- > 0)
        if (lw_event_id_same(cast[n].id, target) && cast[n].station > 0)
            w->memory.station = cast[n].station;
}

static void undo(struct water *w, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_UNDO, now);
    char what[120], words[160];

    if (!lw_trip_last(w->trip, -1, &event.u.undo.target, what, sizeof what)) {
        water_say(w, LW_ROLE_TEXT, "nothing to take back");
        return;
    }
    back_to_cast(w, event.u.undo.target);
    snprintf(words, sizeof words, "taken back: %s", what);
    water_record(w, &event, words);
}

static void emergency(struct water *w, int64_t now, int64_t mono_ms)
{
    struct lw_event event = lw_event_new(LW_EV_FREEZE, now);

    if (lw_trip_frozen(w->trip, NULL, NULL)) {
        water_ask(w, LW_ASK_YES_NO, LW_ACT_EMERGENCY, "Release the frozen position? y yes, n no");
        return;
    }
    event.u.freeze.on = true;
    event.u.freeze.where = water_where(w, mono_ms);
    water_record(w, &event,
                 lw_ll_known(event.u.freeze.where.at) ? "position frozen"
                                                      : "emergency, no position to freeze yet");
}

static void release(struct water *w, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_FREEZE, now);

    event.u.freeze.on = false;
    water_record(w, &event, "frozen position released");
}

static void end_dwell(struct water *w, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_DWELL_END, now);

    if (!w->day.dwell.open) {
        water_say(w, LW_ROLE_TEXT, "no dwell is running");
        return;
    }
    water_record(w, &event, "dwell ended");
}

static void act_on_return(struct water *w, enum lw_return_act act, int64_t now)
{
    static const char *const said[] = {"done", "snoozed", "dropped"};
    struct lw_event event = lw_event_new(LW_EV_RETURN, now);
    const struct lw_place *place;
    size_t places;
    int chosen = w->ui.screen == LW_SCREEN_PLACES ? w->ui.return_chosen : 0;
    char words[160];

    if (chosen < 0 || chosen >= w->day.returns) {
        water_say(w, LW_ROLE_TEXT, "no return is open");
        return;
    }
    place = lw_trip_places(w->trip, &places) + w->day.ret[chosen].place;
    event.u.ret.place = place->id;
    event.u.ret.act = act;
    event.u.ret.snooze_s = act == LW_RETURN_SNOOZE ? w->conf.number[LW_SET_SNOOZE] : 0;
    snprintf(words, sizeof words, "return to %s %s", place->label, said[act]);
    water_record(w, &event, words);
}

static void step_station(struct water *w, int step)
{
    int station = w->memory.station + step;

    if (!w->plan || !w->plan->stations) {
        water_say(w, LW_ROLE_TEXT, "no plan yet: press e to choose an edge");
        return;
    }
    if (station < 1)
        station = (int)w->plan->stations;
    if (station > (int)w->plan->stations)
        station = 1;
    w->memory.station = station;
    water_say(w, LW_ROLE_TEXT, "station %d of %zu", station, w->plan->stations);
}

static void lip_here(struct water *w)
{
    char move[24], sentence[200];
    double dist_m;

    if (!lw_guide_shift(w->plan, &w->guidance, &w->shift_offered)) {
        water_say(w, LW_ROLE_WARN, "the map can be shifted only with a plan and a fresh fix");
        return;
    }
    dist_m = hypot(w->shift_offered.e_m, w->shift_offered.n_m);
    lw_units_print(move, sizeof move, dist_m, LW_LENGTH, water_units(w), 0);
    snprintf(sentence, sizeof sentence,
             "The lip is under the boat: shift by %s toward %03.0f? y yes, n no", move,
             lw_en_bearing((struct lw_en){0, 0}, w->shift_offered));
    water_ask(w, LW_ASK_YES_NO, LW_ACT_LIP_HERE, sentence);
}

static void apply_shift(struct water *w, int64_t now)
{
    struct lw_en shift = water_shift(w);

    water_set(w, "shift_e_m", shift.e_m + w->shift_offered.e_m, now);
    water_set(w, "shift_n_m", shift.n_m + w->shift_offered.n_m, now);
    memset(&w->memory.point, 0, sizeof w->memory.point);
    w->memory.n = w->memory.next = 0;
    water_say(w, LW_ROLE_TEXT, "map shifted; h or u again corrects it");
}

/* "10mph 250", "10 mph 250" or "10": speed, then where from. */
static void typed_wind(struct water *w, const char *text, int64_t now)
{
    char copy[128], *speed, *from;
    double mps, deg = NAN;
    struct lw_error err;

    lw_text_copy(copy, sizeof copy, text);
    speed = lw_text_trim(copy);
    from = strpbrk(speed, "@") ? strpbrk(speed, "@") : strrchr(speed, ' ');
    if (from && lw_units_parse(from + 1, LW_ANGLE, water_units(w), &deg, &err) == 0) {
        *from = '\0';
        deg = lw_bearing_wrap(deg);
    }
    if (lw_units_parse(lw_text_trim(speed), LW_SPEED, water_units(w), &mps, &err)) {
        water_say(w, LW_ROLE_WARN, "%s", err.text);
        return;
    }
    water_set(w, "wind_mps", mps, now);
    water_set(w, "wind_from_deg", deg, now);
    water_say(w, LW_ROLE_TEXT, "wind kept, used where no sensor gives it");
}

static void typed_water(struct water *w, const char *text, int64_t now)
{
    double water_c;
    struct lw_error err;

    if (lw_units_parse(text, LW_TEMP, water_units(w), &water_c, &err)) {
        water_say(w, LW_ROLE_WARN, "%s", err.text);
        return;
    }
    water_set(w, "water_c", water_c, now);
    water_say(w, LW_ROLE_TEXT, "water temperature kept");
}

static void note_words(struct water *w, const char *text, int64_t now)
{
    struct lw_event event = lw_event_new(LW_EV_WORDS, now);

    if (!text[0])
        return;
    event.u.words.target = w->last;
    lw_text_copy(event.u.words.text, sizeof event.u.words.text, text);
    water_record(w, &event, "note written");
}

static void answer(struct water *w, int64_t now)
{
    struct lw_ask asked = w->ui.ask;

    w->ui.ask = (struct lw_ask){0};
    if (asked.about == LW_ACT_LEVEL) {
        water_answer_level(w, asked.yes, now);
        return;
    }
    if (!asked.yes)
        return;
    switch (asked.about) {
    case LW_ACT_QUIT:
        w->quit = true;
        break;
    case LW_ACT_EMERGENCY:
        release(w, now);
        break;
    case LW_ACT_DRIVE:
        water_plan_driven(w, asked.text, now);
        break;
    case LW_ACT_LIP_HERE:
        apply_shift(w, now);
        break;
    case LW_ACT_BEAT:
        water_plan_beat(w, now);
        break;
    case LW_ACT_WIND:
        typed_wind(w, asked.text, now);
        break;
    case LW_ACT_WATER:
        typed_water(w, asked.text, now);
        break;
    case LW_ACT_ANEW:
        water_typed_anew(w, asked.text, now);
        break;
    case LW_ACT_MARK:
        note_words(w, asked.text, now);
        break;
    default:
        break;
    }
}

void water_act(struct water *w, struct lw_act act)
{
    int64_t mono_ms = lw_clock_mono_ms(), now = water_now(w, mono_ms);
    bool metric = water_units(w) == LW_METRIC;

    switch (act.action) {
    case LW_ACT_MARK:
        if (act.key)
            mark(w, act.key, now, mono_ms);
        break;
    case LW_ACT_CAST:
        water_cast_made(w, false, now, mono_ms);
        break;
    case LW_ACT_UNDO:
        undo(w, now);
        break;
    case LW_ACT_EMERGENCY:
        emergency(w, now, mono_ms);
        break;
    case LW_ACT_EDGE:
        water_list_beats(w);
        break;
    case LW_ACT_BEAT:
        water_settle_beat(w);
        break;
    case LW_ACT_DRIVE:
        water_drive(w, now);
        break;
    case LW_ACT_LIP_HERE:
        lip_here(w);
        break;
    case LW_ACT_COMPARE:
        water_compare(w);
        break;
    case LW_ACT_MAP:
        water_map_key(w);
        break;
    case LW_ACT_STATION_NEXT:
        step_station(w, 1);
        break;
    case LW_ACT_STATION_BACK:
        step_station(w, -1);
        break;
    case LW_ACT_END_DWELL:
        end_dwell(w, now);
        break;
    case LW_ACT_RETURN_DONE:
        act_on_return(w, LW_RETURN_DONE, now);
        break;
    case LW_ACT_RETURN_SNOOZE:
        act_on_return(w, LW_RETURN_SNOOZE, now);
        break;
    case LW_ACT_RETURN_DROP:
        act_on_return(w, LW_RETURN_DROP, now);
        break;
    case LW_ACT_WIND:
        water_ask(w, LW_ASK_TEXT, act.action,
                  metric ? "Wind, speed and where from (12kmh 250):"
                         : "Wind, speed and where from (10mph 250):");
        break;
    case LW_ACT_WATER:
        water_ask(w, LW_ASK_TEXT, act.action,
                  metric ? "Water temperature (14C):" : "Water temperature (58F):");
        break;
    case LW_ACT_ANEW:
        water_ask(w, LW_ASK_TEXT, act.action,
                  metric
                      ? "Plan anew, Enter for what is left, or: off 9m, depth 3m, cast 20m, side "
                        "shallow, back, 40min"
                      : "Plan anew, Enter for what is left, or: off 30ft, depth 8ft, cast 70ft, "
                        "side shallow, back, 40min");
        break;
    case LW_ACT_QUIT:
        water_ask(w, LW_ASK_YES_NO, act.action,
                  w->view.trouble[0] ? "Leave? What is NOT SAVED yet will be LOST. y yes, n no"
                                     : "Leave? All is kept; the trip goes on when lipwalk is "
                                       "started again. y yes, n no");
        break;
    case LW_ACT_REDRAW:
        lw_term_redraw(w->term);
        break;
    case LW_ACT_ANSWER:
        answer(w, now);
        break;
    case LW_ACT_LEVEL: /* only asked about */
    case LW_ACT_NONE:
    case LW_ACT_NEXT_SCREEN:
    case LW_ACT_HELP:
        break;
    }
    w->dirty = true;
}
