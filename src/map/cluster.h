/* Soundings of one water among those of several, when nothing else tells waters apart. */
#ifndef LIPWALK_SRC_MAP_CLUSTER_H
#define LIPWALK_SRC_MAP_CLUSTER_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/geo/point.h"

struct lw_cluster {
    size_t kept, left; /* how many places are in the water meant, and how many far off */
    size_t others;     /* waters that have so many soundings that none can be preferred; 0 */
};
/* Places hang together when no more than 30 times their usual distance (and 100 m at least) lies
 * between them. keep[i] for those of the cluster at `at` (NaN: the largest) and of those near it.
 * Far clusters of few places are slips of a receiver, or another water that was tried. -1 without
 * memory. */
int lw_cluster_choose(const struct lw_en *p, size_t n, struct lw_en at, bool *keep,
                      struct lw_cluster *out);

#endif
