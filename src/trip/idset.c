#include "idset.h"

#include <stdint.h>
#include <stdlib.h>

#define FIRST_CAP 256

/* Sequences run on by one, so the bits must be spread: the finaliser of splitmix64 (Steele, Lea and
 * Flood 2014, from memory). */
static uint64_t mix(struct lw_event_id id)
{
    uint64_t x = id.origin ^ (id.seq * UINT64_C(0x9E3779B97F4A7C15));

    x = (x ^ (x >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    x = (x ^ (x >> 27)) * UINT64_C(0x94D049BB133111EB);
    return x ^ (x >> 31);
}

/* The slot that holds the id, or the free one where it belongs. */
static size_t find(const struct lw_idset *set, struct lw_event_id id)
{
    size_t i = (size_t)mix(id) & (set->cap - 1);

    while (set->slot[i].origin && !lw_event_id_same(set->slot[i], id))
        i = (i + 1) & (set->cap - 1);
    return i;
}

bool lw_idset_has(const struct lw_idset *set, struct lw_event_id id)
{
    return id.origin && set->cap && set->slot[find(set, id)].origin;
}

static bool grow(struct lw_idset *set)
{
    struct lw_idset bigger = {NULL, set->cap ? set->cap * 2 : FIRST_CAP, set->n};

    bigger.slot = calloc(bigger.cap, sizeof *bigger.slot);
    if (!bigger.slot)
        return false;
    for (size_t i = 0; i < set->cap; i++)
        if (set->slot[i].origin)
            bigger.slot[find(&bigger, set->slot[i])] = set->slot[i];
    free(set->slot);
    *set = bigger;
    return true;
}

bool lw_idset_add(struct lw_idset *set, struct lw_event_id id)
{
    size_t i;

    if (!id.origin)
        return false;
    if (set->n * 2 >= set->cap && !grow(set))
        return false;
    i = find(set, id);
    if (!set->slot[i].origin) {
        set->slot[i] = id;
        set->n++;
    }
    return true;
}

void lw_idset_free(struct lw_idset *set)
{
    free(set->slot);
    *set = (struct lw_idset){NULL, 0, 0};
}
