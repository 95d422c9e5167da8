/* A boat's own depths: the list, and which of them are spikes. */
#include "lipwalk/chart/track.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

/* The way through the depths. A sounder that loses the bottom shows its second echo (twice the
 * depth), its own ringing (a few decimetres) or nothing, for one reading or for a minute of them.
 * So the track is cut into runs where it jumps, and the largest set of runs is sought that runs on:
 * each depth kept gains 1, each step from one run kept to the next costs the square of the
 * change against what sounder, bottom and way between them make likely, at most STEP_MAX. Common
 * practice, no source, for the numbers; an outside track of a boat under way has such runs of up to
 * 57 readings, a third of all. */
#define NOISE_M     0.15
#define NOISE_SHARE 0.02  /* of the depth */
#define SLOPE       0.5   /* a steep bottom ... */
#define SLOPE_WAY_M 12.0  /* ... that goes on for so much way */
#define JUMP        1.5   /* a change of so many times what is likely cuts */
#define STEP_MAX    150.0 /* so a false stay of a few minutes is left out, a wall in a quarry not */
#define STEP_GAP    2.0   /* at most so much where the sounder was off */
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

struct node {     /* a depth with a place */
    size_t index; /* in the track */
    struct lw_ll at;
    double way_m; /* along the track up to here */
    int64_t at_utc_ms;
    double depth_m;
    size_t stretch; /* counts up where the sounder was off */
};
struct run {                 /* node[begin] up to node[end], without it */
    size_t begin, end, from; /* from: the run kept before; itself: none */
    double gain;
};

static bool has_depth(const struct lw_track_sounding *s)
{
    return lw_ll_known(s->at) && isfinite(s->depth_m) && s->depth_m > 0;
}

/* The change between two depths, in what is likely. */
static double jump(const struct node *a, const struct node *b)
{
    double way_m = fmin(b->way_m - a->way_m, SLOPE_WAY_M);
    double likely = NOISE_M + NOISE_SHARE * fmin(a->depth_m, b->depth_m) + SLOPE * way_m;

    return fabs(b->depth_m - a->depth_m) / likely;
}

static double step_cost(const struct node *a, const struct node *b)
{
    double r = jump(a, b);

    return fmin(r * r, a->stretch != b->stretch ? STEP_GAP : STEP_MAX);
}

static size_t cut(const struct node *node, size_t n, struct run *run)
{
    size_t runs = 0;

    for (size_t i = 0; i < n; i++) {
        if (i == 0 || node[i].stretch != node[i - 1].stretch || jump(&node[i - 1], &node[i]) > JUMP)
            run[runs++] = (struct run){.begin = i};
        run[runs - 1].end = i + 1;
    }
    return runs;
}

/* Marks the best way through node[n] in keep; returns how many are on it. */
static size_t best_way(const struct node *node, size_t n, struct run *run, bool *keep)
{
    size_t runs = cut(node, n, run), best = 0, kept = 0;

    for (size_t i = 0; i < runs; i++) {
        double own = (double)(run[i].end - run[i].begin);

        run[i].gain = own;
        run[i].from = i;
        for (size_t k = 1; k <= LOOK_BACK && k <= i; k++) {
            const struct run *before = &run[i - k];
            double gain = before->gain + own -
                          step_cost(&node[before->end - 1], &node[run[i].begin]);

            if (gain > run[i].gain) {
                run[i].gain = gain;
                run[i].from = i - k;
            }
        }
        if (run[i].gain > run[best].gain)
            best = i;
    }
    for (size_t i = best; runs; i = run[i].from) {
        for (size_t k = run[i].begin; k < run[i].end; k++, kept++)
            keep[node[k].index] = true;
        if (run[i].from == i)
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

        if (a->stretch != b->stretch)
            break;
        reach_m[pairs] = way_m / 2;
        off[pairs++] = node[i].depth_m - (a->depth_m + t * (b->depth_m - a->depth_m));
    }
    /* on a wall one side agrees */
    if (pairs < PAIRS ||
        (node[i].depth_m - node[i - 1].depth_m) * (node[i].depth_m - node[i + 1].depth_m) <= 0)
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

static struct node node_of(const struct lw_track_sounding *s, size_t index,
                           const struct node *before)
{
    struct node node = {
        .index = index, .at = s->at, .at_utc_ms = s->at_utc_ms, .depth_m = s->depth_m};
    double way_m;

    if (!before)
        return node;
    way_m = lw_ground_m(before->at, s->at);
    node.way_m = before->way_m + way_m;
    node.stretch = before->stretch +
                   (way_m > GAP_M || llabs(s->at_utc_ms - before->at_utc_ms) > GAP_MS ? 1 : 0);
    return node;
}

long lw_track_clean(const struct lw_track *track, bool *keep)
{
    struct node *node = malloc((track->n + 1) * sizeof *node);
    struct run *run = malloc((track->n + 1) * sizeof *run);
    size_t n = 0, kept;
    long result = -1;

    if (!node || !run)
        goto done;
    for (size_t i = 0; i < track->n; i++) {
        keep[i] = false;
        if (has_depth(&track->p[i])) {
            node[n] = node_of(&track->p[i], i, n ? &node[n - 1] : NULL);
            n++;
        }
    }
    kept = best_way(node, n, run, keep);
    kept -= leave_out_single(node, n, keep);
    result = (long)kept;
done:
    free(node);
    free(run);
    return result;
}
