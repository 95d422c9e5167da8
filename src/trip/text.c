/* The whole state as text: equal text, equal state. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/trip/trip.h"
#include "state.h"

/* The shortest of 15 to 17 digits that reads back as the same number; "-" for unknown. */
static void put_number(FILE *to, const char *name, double value)
{
    char text[40] = "-";
    double back;

    if (name[0])
        fprintf(to, " %s", name);
    for (int digits = 15; digits <= 17 && isfinite(value); digits++) {
        lw_text_number(text, sizeof text, value, digits);
        if (lw_text_to_number(text, &back) && back == value)
            break;
    }
    fprintf(to, " %s", text);
}

static void put_time(FILE *to, const char *name, int64_t utc_ms)
{
    char text[40];

    lw_clock_iso(text, sizeof text, utc_ms);
    fprintf(to, " %s %s", name, text);
}

static void put_string(FILE *to, const char *name, const char *text)
{
    fprintf(to, " %s%s\"", name, name[0] ? " " : "");
    for (const unsigned char *c = (const unsigned char *)text; *c; c++) {
        if (*c < 0x20 || *c == '"' || *c == '\\' || *c == 0x7F)
            fprintf(to, "\\x%02x", *c);
        else
            putc(*c, to);
    }
    putc('"', to);
}

static void put_id(FILE *to, struct lw_event_id id)
{
    fprintf(to, " %llx:%llu", (unsigned long long)id.origin, (unsigned long long)id.seq);
}

static void put_ll(FILE *to, const char *name, struct lw_ll at)
{
    put_number(to, name, at.lat_deg);
    put_number(to, "", at.lon_deg);
}

static void put_where(FILE *to, const struct lw_where *where)
{
    put_ll(to, "at", where->at);
    put_number(to, "age_s", where->age_s);
    put_number(to, "sigma_m", where->sigma_m);
    put_number(to, "along_m", where->along_m);
    put_number(to, "off_m", where->off_m);
}

static void put_head(FILE *to, const struct lw_fold *fold)
{
    const struct lw_trip_rules *r = &fold->rules;

    fputs("rules", to);
    put_number(to, "dwell_s", r->dwell_s);
    put_number(to, "away_s", r->away_s);
    put_number(to, "place_radius_m", r->place_radius_m);
    put_number(to, "return_after_s", r->return_after_s);
    put_number(to, "ripe_before_s", r->ripe_before_s);
    put_number(to, "late_after_s", r->late_after_s);
    put_number(to, "near_m", r->near_m);
    if (r->day_end_utc_ms == INT64_MAX)
        fputs(" day_end -", to);
    else
        put_time(to, "day_end", r->day_end_utc_ms);
    if (fold->begun) {
        fputs("\ntrip", to);
        put_string(to, "name", fold->head.name);
        put_string(to, "map", fold->head.map);
        put_string(to, "plan", fold->head.plan);
        put_string(to, "crew", fold->head.crew[0]);
        put_string(to, "", fold->head.crew[1]);
        fputs(fold->ended ? " ended" : " running", to);
    }
    fputs("\nplan", to);
    put_string(to, "path", fold->plan);
    fprintf(to, " from_cast %zu\nboat", fold->plan_cast);
    put_ll(to, "at", fold->boat);
    if (lw_ll_known(fold->boat))
        put_time(to, "seen", fold->boat_utc_ms);
    putc('\n', to);
}

static void put_mark(FILE *to, const struct lw_fold *fold, const struct lw_mark *mark)
{
    const struct lw_ev_mark *m = &mark->m;

    fputs("mark", to);
    put_id(to, mark->id);
    put_time(to, lw_mark_info(m->kind)->name, mark->at_utc_ms);
    fprintf(to, " place %s%s who %d", mark->place >= 0 ? fold->place[mark->place].label : "-",
            mark->undone ? " undone" : "", m->who);
    put_string(to, "name", m->who_name);
    put_where(to, &m->where);
    put_ll(to, m->bait_from_cast ? "bait_cast" : "bait", m->bait);
    fprintf(to, " station %d cast %d", m->station, m->cast);
    put_number(to, "depth_m", m->depth_m);
    put_number(to, "map_depth_m", m->map_depth_m);
    put_number(to, "water_c", m->water_c);
    put_number(to, "wind_mps", m->wind_mps);
    put_number(to, "wind_from_deg", m->wind_from_deg);
    put_string(to, "note", m->note);
    putc('\n', to);
}

static void put_lists(FILE *to, const struct lw_fold *fold)
{
    for (size_t i = 0; i < fold->marks; i++)
        put_mark(to, fold, &fold->mark[i]);
    for (size_t i = 0; i < fold->places; i++) {
        const struct lw_place *place = &fold->place[i];

        fprintf(to, "place %s", place->label);
        put_id(to, place->id);
        put_ll(to, "at", place->at);
        fprintf(to, " located %d bites %d fish %d marks %d", fold->located[i], place->bites,
                place->fish, place->marks);
        if (place->last_utc_ms)
            put_time(to, "last", place->last_utc_ms);
        fputs(place->gone ? " gone\n" : "\n", to);
    }
    for (size_t i = 0; i < fold->casts; i++) {
        fputs("cast", to);
        put_id(to, fold->cast[i].id);
        put_time(to, "made", fold->cast[i].at_utc_ms);
        fprintf(to, " station %d cast %d%s\n", fold->cast[i].station, fold->cast[i].cast,
                fold->cast[i].undone ? " undone" : "");
    }
    for (size_t i = 0; i < fold->sets; i++) {
        fputs("setting", to);
        put_string(to, "name", fold->set[i].name);
        put_number(to, "value", fold->set[i].value);
        put_string(to, "text", fold->set[i].text);
        putc('\n', to);
    }
    if (fold->frozen) {
        fputs("frozen", to);
        put_time(to, "since", fold->frozen_utc_ms);
        put_where(to, &fold->frozen_where);
        putc('\n', to);
    }
    if (fold->driving || fold->drivens)
        fprintf(to, "driven %s\n", fold->driving ? "recording" : "done");
    for (size_t i = 0; i < fold->drivens; i++) {
        fputs("point", to);
        put_ll(to, "at", fold->driven[i]);
        putc('\n', to);
    }
}

static bool armed(const struct lw_fold *fold, int place)
{
    for (int i = 0; i < fold->timing.returns; i++)
        if (fold->timing.ret[i].place == place)
            return fold->timing.ret[i].armed;
    return false; /* made since the last event: no track has armed it */
}

static void put_now(FILE *to, const struct lw_fold *fold, const struct lw_trip_now *now)
{
    static const char *const state[] = {"resting", "ripe", "due", "late"};
    static const char *const step[] = {"ripe", "due", "late", "near"};

    if (now->dwell.open) {
        fprintf(to, "dwell %s", fold->place[now->dwell.place].label);
        put_time(to, "began", now->dwell.began_utc_ms);
        put_number(to, "left_s", now->dwell.left_s);
        if (now->dwell.away)
            put_number(to, "away_s", now->dwell.away_s);
        putc('\n', to);
    }
    for (int i = 0; i < now->returns; i++) {
        const struct lw_return *ret = &now->ret[i];

        fprintf(to, "return %s", fold->place[ret->place].label);
        put_time(to, "target", ret->target_utc_ms);
        fprintf(to, " %s", state[ret->state]);
        for (int s = 0; s < 4; s++)
            if (ret->called[s])
                fprintf(to, " called_%s", step[s]);
        fputs(armed(fold, ret->place) ? " armed\n" : "\n", to);
    }
}

char *lw_trip_text(const struct lw_trip *trip, int64_t now_utc_ms)
{
    const struct lw_fold *fold = lw_trip_fold(trip);
    struct lw_trip_now now;
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);

    if (!to)
        return NULL;
    lw_trip_at(trip, now_utc_ms, &now);
    fputs("now", to);
    put_time(to, "at", now_utc_ms);
    putc('\n', to);
    put_head(to, fold);
    put_lists(to, fold);
    put_now(to, fold, &now);
    if (fclose(to)) {
        free(text);
        return NULL;
    }
    return text;
}
