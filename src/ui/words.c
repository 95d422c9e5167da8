#include "words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"

#define HAZARD_HERE_M 2.0 /* nearer than this a direction is noise */

enum lw_units ui_units(const struct lw_view *view)
{
    return lw_conf_units(view->conf);
}

static int length_decimals(double m, enum lw_units units)
{
    return units == LW_METRIC && fabs(m) < 99.95 ? 1 : 0;
}

void ui_words_length(char *to, size_t size, double m, enum lw_units units)
{
    lw_units_print(to, size, m, LW_LENGTH, units, length_decimals(m, units));
}

void ui_words_length_bare(char *to, size_t size, double m, enum lw_units units)
{
    snprintf(to, size, "%.*f", length_decimals(m, units), lw_units_from_si(m, LW_LENGTH, units));
    if (to[0] == '-' && to[strspn(to, "-0.")] == '\0')
        memmove(to, to + 1, strlen(to)); /* there is no minus zero on a screen */
}

bool ui_words_is_zero(const char *length)
{
    return length[strspn(length, "0.")] == ' ';
}

void ui_words_way(char *to, size_t size, double m, enum lw_units units)
{
    if (units == LW_METRIC && m >= 999.5)
        snprintf(to, size, "%.1f km", m / 1000);
    else if (units == LW_US && m / LW_FT_M >= 999.5)
        snprintf(to, size, "%.1f mi", m / 1609.344);
    else
        lw_units_print(to, size, m, LW_LENGTH, units, 0);
}

void ui_words_span(char *to, size_t size, double s)
{
    long whole = isfinite(s) && s > 0 ? lround(floor(s)) : 0;

    if (whole >= 3600)
        snprintf(to, size, "%ld h %02ld", whole / 3600, whole / 60 % 60);
    else
        snprintf(to, size, "%ld:%02ld", whole / 60, whole % 60);
}

void ui_words_about(char *to, size_t size, double s)
{
    long whole = isfinite(s) && s > 0 ? lround(floor(s)) : 0;

    if (whole >= 3600)
        snprintf(to, size, "%ld h %02ld", whole / 3600, whole / 60 % 60);
    else if (whole >= 60)
        snprintf(to, size, "%ld min", whole / 60);
    else
        snprintf(to, size, "%ld s", whole);
}

const char *ui_words_compass(double bearing_deg)
{
    static const char *const name[] = {"N", "NE", "E", "SE", "S", "SW", "W", "NW"};

    if (!isfinite(bearing_deg))
        return "";
    return name[(int)floor(lw_bearing_wrap(bearing_deg) / 45 + 0.5) % 8];
}

void ui_words_toward(char *to, size_t size, int clock, double bearing_deg)
{
    if (clock >= 1 && clock <= 12)
        snprintf(to, size, "%d o'clock", clock);
    else if (isfinite(bearing_deg))
        snprintf(to, size, "bearing %03d", (int)lround(lw_bearing_wrap(bearing_deg)) % 360);
    else
        snprintf(to, size, "--");
}

bool ui_words_stays(const struct lw_guidance *g)
{
    return g->side == LW_SIDE_ON && g->at_station && g->cast > 0;
}

bool ui_words_straight(const struct lw_guidance *g)
{
    return g->side == LW_SIDE_ON && g->steer_clock == 12;
}

void ui_words_steer(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;

    to[0] = '\0';
    if (ui_words_stays(g))
        snprintf(to, size, "stay here, cast");
    else if (ui_words_straight(g))
        snprintf(to, size, "straight on");
    else if (isfinite(g->steer_deg) && g->steer_clock > 0)
        snprintf(to, size, "steer %d o'clock", g->steer_clock);
    else if (isfinite(g->steer_deg))
        snprintf(to, size, "steer %03d %s", (int)lround(lw_bearing_wrap(g->steer_deg)) % 360,
                 ui_words_compass(g->steer_deg));
}

static double fix_age_s(const struct lw_view *view)
{
    return (double)(view->mono_ms - view->guidance->estimate.seen_mono_ms) / 1000;
}

void ui_words_no_guidance(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    char age[32];

    to[0] = '\0';
    switch (g->estimate.state) {
    case LW_FIX_LOST:
        lw_text_add(to, size, "no receiver: %s",
                    view->source_words[0] ? view->source_words : "gpsd does not answer");
        return;
    case LW_FIX_NONE:
        lw_text_add(to, size, "no fix: %s",
                    view->source_words[0] ? view->source_words
                                          : "the receiver sees too few satellites");
        return;
    case LW_FIX_STALE:
        ui_words_about(age, sizeof age, fix_age_s(view));
        lw_text_add(to, size, "position is %s old: not used", age);
        return;
    case LW_FIX_2D:
    case LW_FIX_3D:
        if (!g->ok)
            lw_text_add(to, size, "waiting for a fresh position");
    }
}

void ui_words_no_guidance_big(char *to, size_t size, const struct lw_view *view)
{
    switch (view->guidance->estimate.state) {
    case LW_FIX_LOST:
        lw_text_copy(to, size, "NO GPS");
        return;
    case LW_FIX_STALE:
        lw_text_copy(to, size, "OLD FIX");
        return;
    default:
        lw_text_copy(to, size, "NO FIX");
    }
}

void ui_words_fix(char *to, size_t size, const struct lw_view *view, bool ascii)
{
    const struct lw_estimate *e = &view->guidance->estimate;
    char sigma[32], age[32];

    switch (e->state) {
    case LW_FIX_LOST:
        lw_text_copy(to, size, "NO RECEIVER");
        return;
    case LW_FIX_NONE:
        lw_text_copy(to, size, "NO FIX");
        return;
    case LW_FIX_STALE:
        ui_words_about(age, sizeof age, fix_age_s(view));
        snprintf(to, size, "STALE, %s old", age);
        return;
    case LW_FIX_2D:
    case LW_FIX_3D:
        ui_words_length(sigma, sizeof sigma, e->sigma_m, ui_units(view));
        snprintf(to, size, "%s %s%s  %.1f s", e->state == LW_FIX_2D ? "2D only" : "3D",
                 ascii ? "+-" : "±", sigma, fix_age_s(view));
    }
}

static const char *trend_words(enum lw_trend trend)
{
    switch (trend) {
    case LW_TREND_STEADY:
        return "steady";
    case LW_TREND_COMING_IN:
        return "coming in";
    case LW_TREND_GOING_OUT:
        return "going out";
    case LW_TREND_UNKNOWN:
        break;
    }
    return "";
}

enum lw_role ui_words_side(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    const char *trend = trend_words(g->trend);
    char by[32];

    ui_words_length(by, sizeof by, fabs(g->dev_m), ui_units(view));
    if (g->side != LW_SIDE_ON)
        snprintf(to, size, "%s %s", by, g->side == LW_SIDE_OUT ? "OUT" : "IN");
    else if (ui_words_is_zero(by))
        snprintf(to, size, "ON");
    else
        snprintf(to, size, "ON, %s %s", by, g->dev_m >= 0 ? "out" : "in");
    if (trend[0])
        lw_text_add(to, size, ", %s", trend);
    return g->side == LW_SIDE_ON ? LW_ROLE_GOOD : LW_ROLE_WARN;
}

void ui_words_return(char *to, size_t size, const struct lw_view *view, const struct lw_return *ret)
{
    double to_go_s = (double)(ret->target_utc_ms - view->now_utc_ms) / 1000;
    int64_t ripe = ret->target_utc_ms - (int64_t)(lw_trip_rules(view->trip)->ripe_before_s * 1000);
    char span[32];

    ui_words_about(span, sizeof span, fabs(to_go_s));
    switch (ret->state) {
    case LW_RET_RESTING:
        lw_clock_local(span, sizeof span, ripe, "%H:%M");
        snprintf(to, size, "rests until %s", span);
        return;
    case LW_RET_RIPE:
        snprintf(to, size, "ripe, due in %s", span);
        return;
    case LW_RET_DUE:
        snprintf(to, size, "DUE since %s", span);
        return;
    case LW_RET_LATE:
        snprintf(to, size, "LATE by %s", span);
    }
}

void ui_words_way_to(char *to, size_t size, const struct lw_view *view, struct lw_ll at)
{
    double dist_m, bearing_deg;
    char way[32];

    to[0] = '\0';
    if (!view->guidance->ok || !lw_ll_known(at) || !lw_ll_known(view->guidance->caster))
        return;
    lw_geodesic(view->guidance->caster, at, &dist_m, &bearing_deg);
    ui_words_way(way, sizeof way, dist_m, ui_units(view));
    snprintf(to, size, "%s %s", way, ui_words_compass(bearing_deg));
}

void ui_words_dwell(char *to, size_t size, const struct lw_view *view)
{
    char left[32], target[32];

    ui_words_span(left, sizeof left, view->day->dwell.left_s);
    ui_words_span(target, sizeof target, lw_trip_rules(view->trip)->dwell_s);
    snprintf(to, size, "%s left of %s", left, target);
}

void ui_words_light(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_sun_day *sun = &view->sun;
    char span[32];

    to[0] = '\0';
    if (sun->set_utc_ms == LW_NO_TIME) {
        if (sun->noon_altitude_deg > 0)
            lw_text_copy(to, size, "light all day");
        return;
    }
    if (sun->rise_utc_ms != LW_NO_TIME && view->now_utc_ms < sun->rise_utc_ms) {
        lw_clock_local(span, sizeof span, sun->rise_utc_ms, "%H:%M");
        snprintf(to, size, "sun up at %s", span);
    } else if (view->now_utc_ms < sun->set_utc_ms) {
        ui_words_about(span, sizeof span, (double)(sun->set_utc_ms - view->now_utc_ms) / 1000);
        snprintf(to, size, "light %s", span);
    } else if (sun->civil_dusk_utc_ms != LW_NO_TIME && view->now_utc_ms < sun->civil_dusk_utc_ms) {
        lw_clock_local(span, sizeof span, sun->civil_dusk_utc_ms, "%H:%M");
        snprintf(to, size, "dusk till %s", span);
    } else {
        lw_text_copy(to, size, "dark");
    }
}

enum lw_role ui_words_hazard(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    char way[32], toward[32];

    to[0] = '\0';
    if (!g->hazard)
        return LW_ROLE_TEXT;
    lw_text_add(to, size, "%s ", lw_hazard_name(g->hazard->kind));
    if (g->hazard_m < HAZARD_HERE_M) {
        lw_text_add(to, size, "under the boat");
    } else {
        ui_words_way(way, sizeof way, g->hazard_m, ui_units(view));
        ui_words_toward(toward, sizeof toward, g->hazard_clock, g->hazard_deg);
        lw_text_add(to, size, "%s, %s", way, toward);
    }
    return g->hazard_depth_m > LW_HAZARD_DEEP_M ? LW_ROLE_TEXT : LW_ROLE_WARN;
}

void ui_words_hazard_depth(char *to, size_t size, const struct lw_view *view)
{
    const struct lw_guidance *g = view->guidance;
    char depth[32];

    to[0] = '\0';
    if (!g->hazard || !isfinite(g->hazard_depth_m))
        return;
    if (g->hazard_depth_m <= 0) {
        lw_text_copy(to, size, "out of the water");
        return;
    }
    ui_words_length(depth, sizeof depth, g->hazard_depth_m, ui_units(view));
    snprintf(to, size, "%s over it", depth);
}

void ui_words_last_bite(char *to, size_t size, const struct lw_view *view)
{
    size_t n;
    const struct lw_mark *mark = lw_trip_marks(view->trip, &n);
    char ago[32];

    to[0] = '\0';
    while (n > 0 && (mark[n - 1].undone || !lw_mark_info(mark[n - 1].m.kind)->productive))
        n--;
    if (n == 0)
        return;
    mark += n - 1;
    ui_words_about(ago, sizeof ago, (double)(view->now_utc_ms - mark->at_utc_ms) / 1000);
    snprintf(to, size, "last %s %s ago", lw_mark_info(mark->m.kind)->name, ago);
    if (mark->m.who_name[0])
        lw_text_add(to, size, " (%s)", mark->m.who_name);
}

void ui_words_tally(char *to, size_t size, const struct lw_view *view)
{
    int casts = lw_trip_count_casts(view->trip);
    int bites = lw_trip_count_marks(view->trip, LW_MARK_BITE);

    snprintf(to, size, "%d cast%s made, %d bite%s, %d fish", casts, casts == 1 ? "" : "s", bites,
             bites == 1 ? "" : "s", lw_trip_count_marks(view->trip, LW_MARK_FISH));
    if (view->worked && lw_worked_share(view->worked) > 0)
        lw_text_add(to, size, ", %.0f %% worked", 100 * lw_worked_share(view->worked));
}

void ui_words_hole(char *to, size_t size, const struct lw_view *view)
{
    struct lw_hole hole[1];
    size_t n = view->worked ? lw_worked_holes(view->worked, hole, 1) : 0;
    char from[24], until[24];

    to[0] = '\0';
    if (n == 0)
        return;
    lw_units_print(from, sizeof from, hole[0].from_m, LW_LENGTH, ui_units(view), 0);
    from[strcspn(from, " ")] = '\0'; /* the unit once */
    lw_units_print(until, sizeof until, hole[0].to_m, LW_LENGTH, ui_units(view), 0);
    if (n == 1)
        snprintf(to, size, "hole %s to %s", from, until);
    else
        snprintf(to, size, "%zu holes, first %s to %s", n, from, until);
}

void ui_words_edge(char *to, size_t size, const struct lw_view *view)
{
    char depth[32] = "driven", length[32];

    if (!view->plan) {
        lw_text_copy(to, size, "no edge yet");
        return;
    }
    if (isfinite(view->plan->params.depth_m))
        lw_units_print_edge(depth, sizeof depth,
                            view->plan->params.depth_m + view->guidance->level_m, ui_units(view));
    lw_units_print(length, sizeof length, lw_plan_beat_length(view->plan), LW_LENGTH,
                   ui_units(view), 0);
    snprintf(to, size, "%s edge, %s", depth, length);
}

const char *ui_words_crew(const struct lw_view *view, int who)
{
    const struct lw_ev_trip *head = lw_trip_head(view->trip);

    if (head && head->crew[who][0])
        return head->crew[who];
    return view->conf->text[who ? LW_SET_COANGLER : LW_SET_ANGLER];
}
