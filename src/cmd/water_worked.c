/* Worked water on the screen, and casts that are taken as made by their time. */
#include <stdlib.h>
#include <string.h>

#include "water.h"

void water_count_worked(struct water *w)
{
    size_t all;
    bool *done;

    lw_trip_casts(w->trip, &all);
    if (!w->worked ||
        (w->counted[0] == all && w->counted[1] == (size_t)lw_trip_count_casts(w->trip)))
        return;
    done = calloc(w->plan->casts + 1, sizeof *done);
    if (!done)
        return; /* shown as it was, and tried again at the next wake-up */
    for (size_t i = 0; i < w->plan->casts; i++)
        done[i] = lw_trip_cast_done(w->trip, w->plan->cast[i].station, w->plan->cast[i].order);
    lw_worked_count(w->worked, w->plan, done);
    free(done);
    w->counted[0] = all;
    w->counted[1] = (size_t)lw_trip_count_casts(w->trip);
    w->dirty = true;
}

void water_assume(struct water *w, int64_t mono_ms)
{
    const struct lw_guidance *g = &w->guidance;
    double takes_s;

    if (strcmp(w->conf.text[LW_SET_ASSUME_CASTS], "on") != 0 || !w->plan)
        return;
    if (!g->ok || !g->at_station || g->cast == 0 || g->cast_far ||
        g->station != w->assumed_station || g->cast != w->assumed_cast) {
        /* the time of a cast runs from when it became the one to make, at its station */
        w->assumed_station = g->ok && g->at_station && !g->cast_far ? g->station : 0;
        w->assumed_cast = w->assumed_station ? g->cast : 0;
        w->assume_from_ms = mono_ms;
        return;
    }
    takes_s = w->plan->params.cast_s + g->cast_m / w->plan->params.retrieve_mps;
    if ((double)(mono_ms - w->assume_from_ms) < 1000 * takes_s)
        return;
    w->assumed_station = 0;
    water_cast_made(w, true, water_now(w, mono_ms), mono_ms);
}
