/* Which station is worked, and which cast is next. */
#include <math.h>

#include "parts.h"

#define AT_STATION_MIN_M 5.0 /* a boat is not held to less */
#define LEFT_BEHIND      1.5 /* of that radius: so far away the boat has left */

const struct lw_station *guide_station(const struct lw_plan *plan, int order)
{
    for (size_t i = 0; i < plan->stations; i++) {
        if (plan->station[i].order == order)
            return &plan->station[i];
    }
    return NULL;
}

const struct lw_cast *guide_cast(const struct lw_plan *plan, int station, int order)
{
    const struct lw_station *s = guide_station(plan, station);

    for (size_t i = 0; s && i < s->casts; i++) {
        if (plan->cast[s->cast0 + i].order == order)
            return &plan->cast[s->cast0 + i];
    }
    return NULL;
}

static bool done(const struct lw_guide_in *in, const struct lw_cast *cast)
{
    return in->trip && lw_trip_cast_done(in->trip, cast->station, cast->order);
}

static int casts_left(const struct lw_guide_in *in, const struct lw_station *s)
{
    int left = 0;

    for (size_t i = 0; i < s->casts; i++)
        left += !done(in, &in->plan->cast[s->cast0 + i]);
    return left;
}

static const struct lw_cast *next_cast(const struct lw_guide_in *in, const struct lw_station *s)
{
    const struct lw_cast *first = NULL;

    for (size_t i = 0; i < s->casts; i++) {
        const struct lw_cast *cast = &in->plan->cast[s->cast0 + i];

        if (!done(in, cast) && (!first || cast->order < first->order))
            first = cast;
    }
    return first;
}

/* The first station with casts left, looking from index `from` through all of them in order. */
static const struct lw_station *with_casts_left(const struct lw_guide_in *in, size_t from)
{
    for (size_t i = 0; i < in->plan->stations; i++) {
        const struct lw_station *s = &in->plan->station[(from + i) % in->plan->stations];

        if (casts_left(in, s) > 0)
            return s;
    }
    return NULL;
}

static size_t nearest_by_along(const struct lw_plan *plan, double along_m)
{
    size_t best = 0;

    for (size_t i = 1; i < plan->stations; i++) {
        if (fabs(plan->station[i].along_m - along_m) < fabs(plan->station[best].along_m - along_m))
            best = i;
    }
    return best;
}

/* Whether the crew has left the station for the next one without a word. Who counts casts is held
 * to them; who counts none here must not be sent back to a station that was fished. */
static bool moved_on(const struct lw_guide_in *in, const struct lw_station *now, struct lw_en boat)
{
    double left_m = lw_en_distance(boat, now->at);

    if (now + 1 >= in->plan->station + in->plan->stations)
        return false;
    if (!in->trip)
        return left_m > LEFT_BEHIND * fmax(2.0 * in->tolerance_m, AT_STATION_MIN_M);
    return casts_left(in, now) == (int)now->casts && casts_left(in, now + 1) > 0 &&
           lw_en_distance(boat, now[1].at) < left_m;
}

static const struct lw_station *choose(const struct lw_guide_in *in, struct lw_guide_memory *m,
                                       const struct lw_guidance *out)
{
    const struct lw_plan *plan = in->plan;
    const struct lw_station *now = guide_station(plan, m->station);
    bool set_outside = m->station != m->station_seen;

    if (set_outside)
        m->reached = false;
    if (!now)
        return with_casts_left(in, nearest_by_along(plan, out->along_m));
    /* Only the last cast moves on: a crew that went back to a finished station wants to be there.
     */
    if (!set_outside && m->left_seen > 0 && casts_left(in, now) == 0)
        return with_casts_left(in, (size_t)(now - plan->station));
    return m->reached && moved_on(in, now, out->caster_en) ? now + 1 : now;
}

static void aim_cast(const struct lw_guide_in *in, const struct lw_station *s,
                     struct lw_guidance *out)
{
    const struct lw_cast *cast = next_cast(in, s);

    out->casts = (int)s->casts;
    if (!cast)
        return;
    out->cast = cast->order;
    out->cast_m = lw_en_distance(out->caster_en, cast->to);
    out->cast_far = out->cast_m > GUIDE_REACH * cast->length_m;
    out->cast_deg = lw_en_bearing(out->caster_en, cast->to);
    out->cast_depth_m = cast->landing_depth_m + in->level_m;
    out->cast_crosses = cast->crosses_edge ? 1.0 : 0.0;
    if (out->heading_source != LW_HEADING_NONE)
        out->cast_clock = lw_bearing_clock(out->heading_deg, out->cast_deg);
}

void guide_work(const struct lw_guide_in *in, struct lw_guide_memory *memory,
                struct lw_guidance *out)
{
    const struct lw_station *s;

    out->stations = (int)in->plan->stations;
    if (in->plan->stations == 0)
        return;
    s = choose(in, memory, out);
    if (!s) { /* every cast of the plan is made */
        memory->station = memory->station_seen = memory->left_seen = 0;
        return;
    }
    if (s->order != memory->station)
        memory->reached = false;
    out->station = s->order;
    out->station_m = lw_en_distance(out->caster_en, s->at);
    out->station_deg = lw_en_bearing(out->caster_en, s->at);
    out->at_station = out->station_m <= fmax(2.0 * in->tolerance_m, AT_STATION_MIN_M);
    memory->station = memory->station_seen = s->order;
    memory->left_seen = casts_left(in, s);
    memory->reached = memory->reached || out->at_station;
    aim_cast(in, s, out);
}
