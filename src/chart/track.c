/* A boat's own depths: the list, and which of them are spikes. */
#include "lipwalk/chart/track.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

/* The way through the depths. A sounder that loses the bottom shows its second echo (twice the
 * depth), its own ringing (a few decimetres) or nothing, for one reading or for several in a row.
 * So the largest subset is sought that runs on without jumps: each depth kept gains 1, each step
 * from one kept to the next costs the square of the change against what sounder, bottom and way
 * between them make likely, at most STEP_MAX. Common practice, no source, for the four numbers. */
#define NOISE_M     0.15
#define NOISE_SHARE 0.02 /* of the depth */
#define SLOPE       0.5  /* a steep bottom */
#define STEP_MAX    8.0  /* so a run of fewer than 16 false ones is left out */
#define STEP_GAP    2.0  /* at most so much where the track was interrupted */
#define GAP_M       60.0
#define GAP_MS      60000
#define LOOK_BACK   64

/* What is still left: a single depth off the line through those before and after it. */
#define PAIRS        3
#define OFF_M        0.3
#define OFF_SHARE    0.03
#define BEND         0.25 /* the sharpest change of slope that counts as bottom ... */
#define BEND_REACH_M 8.0  /* ... over at most so much way */

int lw_track_add(struct lw_track *track, struct lw_track_sounding sounding)
{
    if (lw_array_room(&track->p, track->n, &track->cap))
        return -1;
    track->p[track->n++] = sounding;
    return 0;
}

void lw_track_free(struct lw_track *track)
{
    free(track->p);
    track->p = NULL;
    track->n = track->cap = 0;
}

struct node {           /* a depth with a place */
    size_t index, from; /* in the track; in the list, the one kept before (itself: none) */
    struct lw_ll at;
    double way_m; /* along the track up to here */
    int64_t at_utc_ms;
    double depth_m, gain;
};

static bool has_depth(const struct lw_track_sounding *s)
{
    return lw_ll_known(s->at) && isfinite(s->depth_m) && s->depth_m > 0;
}

static bool apart(const struct node *a, const struct node *b, double dist_m)
{
    return dist_m > GAP_M || llabs(b->at_utc_ms - a->at_utc_ms) > GAP_MS;
}

static double step_cost(const struct node *a, const struct node *b)
{
    double dist_m = b->way_m - a->way_m, change = fabs(b->depth_m - a->depth_m);
    double likely = NOISE_M + NOISE_SHARE * fmin(a->depth_m, b->depth_m) + SLOPE * dist_m;
    double cost = 0.5 * (change / likely) * (change / likely);

    return fmin(cost, apart(a, b, dist_m) ? STEP_GAP : STEP_MAX);
}

/* Marks the best way through node[n] in keep; returns how many are on it. */
static size_t best_way(struct node *node, size_t n, bool *keep)
{
    size_t best = 0, kept = 0;

    for (size_t i = 0; i < n; i++) {
        node[i].gain = 1;
        node[i].from = i;
        for (size_t k = 1; k <= LOOK_BACK && k <= i; k++) {
            double gain = node[i - k].gain + 1 - step_cost(&node[i - k], &node[i]);

            if (gain > node[i].gain) {
                node[i].gain = gain;
                node[i].from = i - k;
            }
        }
        if (node[i].gain > node[best].gain)
            best = i;
    }
    for (size_t i = best; n; i = node[i].from) {
        keep[node[i].index] = true;
        kept++;
        if (node[i].from == i)
            break;
    }
    return kept;
}

/* How far node i lies off the lines through pairs of its neighbours (the median), and whether that
 * is more than a bottom can bend. */
static bool stands_out(const struct node *node, size_t n, size_t i)
{
    double off[PAIRS], reach_m[PAIRS];
    size_t pairs = 0;

    for (size_t k = 1; k <= PAIRS && k <= i && i + k < n; k++) {
        const struct node *a = &node[i - k], *b = &node[i + k];
        double way_m = b->way_m - a->way_m;
        double t = way_m > 0 ? (node[i].way_m - a->way_m) / way_m : 0.5;

        if (apart(a, b, way_m / 2))
            break;
        reach_m[pairs] = way_m / 2;
        off[pairs++] = node[i].depth_m - (a->depth_m + t * (b->depth_m - a->depth_m));
    }
    if (pairs < PAIRS)
        return false;
    for (size_t k = 0; k < PAIRS; k++) {
        double most = OFF_M + OFF_SHARE * node[i].depth_m + BEND * fmin(reach_m[k], BEND_REACH_M);

        if (fabs(off[k]) <= most || off[k] * off[0] < 0)
            return false;
    }
    return true;
}

static size_t leave_out_single(struct node *node, size_t n, bool *keep)
{
    size_t on = 0, left = 0;

    for (size_t i = 0; i < n; i++)
        if (keep[node[i].index])
            node[on++] = node[i];
    for (size_t i = 0; i < on; i++)
        if (stands_out(node, on, i)) {
            keep[node[i].index] = false;
            left++;
        }
    return left;
}

long lw_track_clean(const struct lw_track *track, bool *keep)
{
    struct node *node = malloc((track->n + 1) * sizeof *node);
    size_t n = 0, kept;

    if (!node)
        return -1;
    for (size_t i = 0; i < track->n; i++) {
        const struct lw_track_sounding *s = &track->p[i];

        keep[i] = false;
        if (!has_depth(s))
            continue;
        node[n] = (struct node){
            .index = i, .at = s->at, .at_utc_ms = s->at_utc_ms, .depth_m = s->depth_m};
        if (n)
            node[n].way_m = node[n - 1].way_m + lw_ground_m(node[n - 1].at, s->at);
        n++;
    }
    kept = best_way(node, n, keep);
    kept -= leave_out_single(node, n, keep);
    free(node);
    return (long)kept;
}
