/* Places: where marks cluster. */
#include <math.h>
#include <string.h>

#include "fold.h"
#include "lipwalk/base/array.h"

int lw_fold_place_by_id(const struct lw_fold *fold, struct lw_event_id id)
{
    for (size_t i = 0; i < fold->places; i++)
        if (lw_event_id_same(fold->place[i].id, id))
            return (int)i;
    return -1;
}

/* A, B, ... Z, AA, AB, ...: bijective base 26. */
static void label_of(char to[4], size_t index)
{
    char turned[4];
    size_t n = 0, rest = index + 1;

    for (; rest && n < 3; rest = (rest - 1) / 26)
        turned[n++] = (char)('A' + (rest - 1) % 26);
    for (size_t i = 0; i < n; i++)
        to[i] = turned[n - 1 - i];
    to[n] = '\0';
}

static int found(struct lw_fold *fold, const struct lw_mark *mark)
{
    struct lw_place place = {.id = mark->id, .at = mark->m.where.at, .gone = true};
    size_t cap = fold->place_cap; /* both arrays grow alike */

    if (lw_array_room(&fold->located, fold->places, &cap) ||
        lw_array_room(&fold->place, fold->places, &fold->place_cap))
        return -1;
    label_of(place.label, fold->places);
    fold->place[fold->places] = place;
    fold->located[fold->places] = 0;
    return (int)fold->places++;
}

/* The nearest place within the radius; one that has marks comes before one whose marks were all
 * taken back. -1 none. */
static int nearest(const struct lw_fold *fold, struct lw_ll at)
{
    int best = -1;
    double best_m = 0;

    for (size_t i = 0; i < fold->places; i++) {
        double d = lw_ground_m(fold->place[i].at, at);
        bool better = best < 0 || (fold->place[best].gone && !fold->place[i].gone) ||
                      (fold->place[best].gone == fold->place[i].gone && d < best_m);

        if (d <= fold->rules.place_radius_m && better) {
            best = (int)i;
            best_m = d;
        }
    }
    return best;
}

static void count(struct lw_fold *fold, int index, const struct lw_mark *mark)
{
    struct lw_place *place = &fold->place[index];
    struct lw_ll at = mark->m.where.at;

    place->gone = false;
    place->marks++;
    place->bites += mark->m.kind == LW_MARK_BITE;
    place->fish += mark->m.kind == LW_MARK_FISH;
    if (lw_mark_info(mark->m.kind)->productive)
        place->last_utc_ms = mark->at_utc_ms;
    if (lw_ll_known(at)) {
        double n = ++fold->located[index];

        if (n <= 1) { /* of a place come back, the mark taken back no longer counts */
            place->at = at;
        } else {
            place->at.lat_deg += (at.lat_deg - place->at.lat_deg) / n;
            place->at.lon_deg += remainder(at.lon_deg - place->at.lon_deg, 360) / n;
        }
    }
}

int lw_fold_place_mark(struct lw_fold *fold, const struct lw_mark *mark)
{
    struct lw_ll at = mark->m.where.at;
    bool fresh = lw_ll_known(at) && mark->m.where.age_s <= LW_MARK_FRESH_S;
    int place = -1;

    if (!fresh && fold->timing.dwell.open) {
        if (mark->undone)
            return -1;
        place = fold->timing.dwell.place;
        /* an old position says nothing of where the place is */
        struct lw_mark there = *mark;
        there.m.where.at = (struct lw_ll){NAN, NAN};
        count(fold, place, &there);
        return place;
    }
    if (!lw_ll_known(at))
        return -1;
    place = nearest(fold, at);
    if (place < 0)
        place = found(fold, mark);
    if (place < 0 || mark->undone)
        return -1;
    count(fold, place, mark);
    return place;
}
