#include "lipwalk/geo/offset.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "buffer.h"
#include "lipwalk/base/array.h"

#define EXACT_M       1e-4  /* how well a vertex keeps the distance */
#define CHORD_M       0.012 /* and what lies between two vertices, where it can be had */
#define SAGITTA_M     0.01  /* what a step may cut off from an arc round a vertex of the edge */
#define LONGEST_STEP  1.0
#define SHORTEST_STEP 0.05
#define SHORTEST_PART 1.0
#define MOST_MOVES    300
#define MOST_HALVINGS 7
#define BACK_M        2.0 /* a step back along the edge by more than this is a jump, not noise */
#define GAP_STEPS     3   /* so many steps between neighbours are a gap */

/* A place at the distance and the foot it has on the edge. */
struct spot {
    struct lw_en at;
    double along_m;
    bool starts; /* the piece before it has ended */
};
struct spots {
    struct spot *s; /* s[n], owned */
    size_t n, cap;
};
/* What all steps of one offset need. */
struct job {
    const struct lw_line *edge;
    struct lw_line_index *index;
    double length_m, dist_m, step_m;
    bool left;
};

static int add_spot(struct spots *spots, struct spot spot)
{
    if (lw_array_room(&spots->s, spots->n, &spots->cap))
        return -1;
    spots->s[spots->n++] = spot;
    return 0;
}

static void free_spots(struct spots *spots)
{
    free(spots->s);
    *spots = (struct spots){0};
}

enum outcome {
    KEPT,
    ELSEWHERE, /* on the other side, or round an end */
    LOST       /* the distance could not be reached */
};

/* Moves a place away from its nearest point (or toward it) until it is at the distance from the
 * whole edge. In the corner over a tight bend the nearest point changes sides at each move; the
 * moves get shorter then, and where they do not the place is lost. */
static enum outcome settle(const struct job *job, struct lw_en at, struct spot *out)
{
    struct lw_near near = lw_line_index_nearest(job->index, at);

    if (near.past_end || (near.left_m > 0) != job->left)
        return ELSEWHERE;
    for (int i = 0; i < MOST_MOVES; i++) {
        double scale;

        if (fabs(near.dist_m - job->dist_m) < EXACT_M) {
            if (near.past_end || (near.left_m > 0) != job->left)
                return ELSEWHERE;
            *out = (struct spot){at, near.along_m, false};
            return KEPT;
        }
        if (near.dist_m < EXACT_M)
            return LOST;
        scale = job->dist_m / near.dist_m;
        at.e_m = near.at.e_m + (at.e_m - near.at.e_m) * scale;
        at.n_m = near.at.n_m + (at.n_m - near.at.n_m) * scale;
        near = lw_line_index_nearest(job->index, at);
    }
    return LOST;
}

/* Adds places between a and b until the straight line between neighbours keeps the distance too:
 * corners, which the distance curve has wherever the edge bends tighter than the distance, would
 * else be cut off by up to half a step. b itself is not added. */
static int add_between(const struct job *job, struct spots *to, struct spot a, struct spot b,
                       int halvings)
{
    struct lw_en worst = {0, 0};
    struct spot spot;
    double worst_m = 0;

    for (int i = 1; i <= 3; i++) {
        struct lw_en at = {a.at.e_m + (b.at.e_m - a.at.e_m) * i / 4,
                           a.at.n_m + (b.at.n_m - a.at.n_m) * i / 4};
        double error_m = fabs(lw_line_index_nearest(job->index, at).dist_m - job->dist_m);

        if (error_m > worst_m) {
            worst_m = error_m;
            worst = at;
        }
    }
    if (halvings == 0 || worst_m < CHORD_M || settle(job, worst, &spot) != KEPT)
        return 0;
    /* A place that moved further than the two are apart belongs to another piece. */
    if (lw_en_distance(spot.at, worst) > lw_en_distance(a.at, b.at))
        return 0;
    if (add_between(job, to, a, spot, halvings - 1) != 0 || add_spot(to, spot) != 0)
        return -1;
    return add_between(job, to, spot, b, halvings - 1);
}

/* Refines a whole ring of spots (the first is not repeated), except over the ends of pieces. */
static int refine(const struct job *job, struct spots *ring)
{
    struct spots fine = {0};

    for (size_t i = 0; i < ring->n; i++) {
        struct spot a = ring->s[i], b = ring->s[(i + 1) % ring->n];

        if (add_spot(&fine, a) != 0 ||
            (!b.starts && add_between(job, &fine, a, b, MOST_HALVINGS) != 0)) {
            free_spots(&fine);
            return -1;
        }
    }
    free_spots(ring);
    *ring = fine;
    return 0;
}

/* The place square to an end of an open edge, where its line at the distance ends, if the rest of
 * the edge is no nearer there. */
static bool square_to_end(const struct job *job, bool last, struct spot *out)
{
    double bearing_deg;
    struct lw_en end = lw_line_at(job->edge, last ? job->length_m : 0, &bearing_deg);
    struct lw_en at = lw_en_step(end, bearing_deg + (job->left ? -90 : 90), job->dist_m);

    return settle(job, at, out) == KEPT && lw_en_distance(at, out->at) < 2 * EXACT_M;
}

static bool is_near(const struct job *job, struct spot a, struct spot b)
{
    return lw_en_distance(a.at, b.at) <= GAP_STEPS * job->step_m;
}

/* Settles the vertices of one boundary ring into `to`, a ring too, and marks where pieces start.
 * At the ends of an open edge the place square to the end is put in. */
static int settle_ring(const struct job *job, const struct lw_line *ring, struct spots *to)
{
    struct spot first_end, last_end, spot;
    bool has_first = !job->edge->closed && square_to_end(job, false, &first_end);
    bool has_last = !job->edge->closed && square_to_end(job, true, &last_end);
    size_t n = ring->n - 1, begin = 0;
    bool starts = false;

    /* Begin beyond the wanted side where there is such a place, so that no piece is met halfway. */
    while (begin < n && settle(job, ring->p[begin], &spot) != ELSEWHERE)
        begin++;
    for (size_t k = 0; k <= n; k++) {
        enum outcome outcome = settle(job, ring->p[(begin + k) % n], &spot);
        struct spot *before = to->n > 0 ? &to->s[to->n - 1] : NULL;

        if (outcome == KEPT && k < n) {
            spot.starts = starts || (before && !is_near(job, *before, spot));
            if (starts && has_first && is_near(job, first_end, spot)) {
                first_end.starts = true;
                spot.starts = false;
                if (add_spot(to, first_end) != 0)
                    return -1;
            }
            starts = false;
            if (add_spot(to, spot) != 0)
                return -1;
        } else if (outcome == ELSEWHERE) {
            if (!starts && before && has_last && is_near(job, *before, last_end) &&
                add_spot(to, last_end) != 0)
                return -1;
            starts = true;
        }
    }
    if (to->n > 0 && (starts || !is_near(job, to->s[to->n - 1], to->s[0])))
        to->s[0].starts = true;
    return 0;
}

/* Marks further starts where the foot on an open edge jumps back: there the boundary of an enclosed
 * bay comes round. On a closed edge such a boundary stays a ring. */
static void mark_jumps(const struct job *job, struct spots *ring)
{
    for (size_t i = 0; i < ring->n; i++) {
        struct spot *next = &ring->s[(i + 1) % ring->n];

        if (!job->edge->closed && next->along_m < ring->s[i].along_m - BACK_M)
            next->starts = true;
    }
}

struct part {
    struct lw_line line;
    double first_along_m;
};
struct parts {
    struct part *part; /* part[n], owned */
    size_t n;
};

/* Makes a part of `count` spots from `first` on, round the ring's end; closed repeats the first. */
static int add_part(struct parts *parts, const struct spots *ring, size_t first, size_t count,
                    bool closed)
{
    struct part part = {.first_along_m = ring->s[first % ring->n].along_m};
    struct part *more;

    for (size_t i = 0; i < count + closed; i++)
        if (lw_line_add(&part.line, ring->s[(first + i % count) % ring->n].at) != 0)
            goto fail;
    part.line.closed = closed;
    lw_line_clean(&part.line);
    if (part.line.n < 2 || lw_line_length(&part.line) < SHORTEST_PART) {
        lw_line_free(&part.line);
        return 0;
    }
    more = reallocarray(parts->part, parts->n + 1, sizeof *more);
    if (!more)
        goto fail;
    parts->part = more;
    parts->part[parts->n++] = part;
    return 0;

fail:
    lw_line_free(&part.line);
    return -1;
}

/* Splits a ring of spots at its starts; a ring without any is closed and starts where its foot
 * passes the start of the edge. */
static int split(struct parts *parts, const struct spots *ring)
{
    size_t first = 0, least = 0;
    double back_m = 0;

    while (first < ring->n && !ring->s[first].starts)
        first++;
    for (size_t i = 0; i < ring->n; i++) {
        size_t next = (i + 1) % ring->n;

        if (ring->s[i].along_m - ring->s[next].along_m > back_m) {
            back_m = ring->s[i].along_m - ring->s[next].along_m;
            least = next;
        }
    }
    if (first == ring->n)
        return add_part(parts, ring, least, ring->n, true);
    for (size_t from = 0, i = 1; i <= ring->n; i++)
        if (ring->s[(first + i) % ring->n].starts) {
            if (add_part(parts, ring, first + from, i - from, false) != 0)
                return -1;
            from = i;
        }
    return 0;
}

static int offset_ring(const struct job *job, struct lw_line *ring, struct parts *parts,
                       struct lw_error *err)
{
    struct lw_line dense = {0};
    struct spots spots = {0};
    int status = -1;

    /* The area lies on the right, as the edge does for its line on the left. */
    if (!job->left)
        lw_line_reverse(ring);
    if (lw_line_densify(ring, job->step_m, &dense, err) != 0)
        return -1;
    if (settle_ring(job, &dense, &spots) != 0)
        goto no_memory;
    if (spots.n > 0) {
        if (refine(job, &spots) != 0)
            goto no_memory;
        mark_jumps(job, &spots);
        if (split(parts, &spots) != 0)
            goto no_memory;
    }
    status = 0;

no_memory:
    if (status != 0)
        lw_fail(err, "memory ran out while offsetting a line; close other programs");
    free_spots(&spots);
    lw_line_free(&dense);
    return status;
}

static int by_first_along(const void *a, const void *b)
{
    double x = ((const struct part *)a)->first_along_m, y = ((const struct part *)b)->first_along_m;

    return (x > y) - (x < y);
}

static int check(const struct lw_line *edge, double dist_m, struct lw_error *err)
{
    if (!(dist_m > 0) || !isfinite(dist_m))
        return lw_fail(err, "a line cannot be offset by %g m: give a distance above 0", dist_m);
    for (size_t i = 0; i < edge->n; i++)
        if (!isfinite(edge->p[i].e_m) || !isfinite(edge->p[i].n_m))
            return lw_fail(err, "vertex %zu of the line to offset has no position: drop it", i);
    return 0;
}

int lw_offset_line(const struct lw_line *edge, double dist_m, bool left, struct lw_lines *out,
                   struct lw_error *err)
{
    struct job job = {
        .edge = edge, .length_m = lw_line_length(edge), .dist_m = dist_m, .left = left};
    struct lw_line clean = {0};
    struct lw_lines rings = {0};
    struct parts parts = {0};
    size_t different, fewest = edge->closed ? 3 : 2;
    int status = -1;

    *out = (struct lw_lines){0};
    if (check(edge, dist_m, err) != 0)
        return -1;
    job.step_m = fmin(LONGEST_STEP, fmax(SHORTEST_STEP, sqrt(8 * dist_m * SAGITTA_M)));
    if (lw_line_copy(&clean, edge) != 0) {
        lw_fail(err, "memory ran out while offsetting a line; close other programs");
        goto done;
    }
    lw_line_clean(&clean);
    different = clean.n - (edge->closed && clean.n > 1);
    if (different < fewest) {
        lw_fail(err, "the line to offset has %zu different vertices: give one with %zu or more",
                different, fewest);
        goto done;
    }
    job.index = lw_line_index_new(edge, fmax(LONGEST_STEP, dist_m / 2));
    if (!job.index) {
        lw_fail(err, "memory ran out while offsetting a line; close other programs");
        goto done;
    }
    if (lw_buffer_rings(&clean, dist_m, &rings, err) != 0)
        goto done;
    for (size_t i = 0; i < rings.n; i++)
        if (offset_ring(&job, &rings.line[i], &parts, err) != 0)
            goto done;
    if (parts.n > 0)
        qsort(parts.part, parts.n, sizeof *parts.part, by_first_along);
    for (size_t i = 0; i < parts.n; i++)
        if (lw_lines_take(out, &parts.part[i].line) != 0) {
            lw_fail(err, "memory ran out while offsetting a line; close other programs");
            goto done;
        }
    status = 0;

done:
    for (size_t i = 0; i < parts.n; i++)
        lw_line_free(&parts.part[i].line);
    free(parts.part);
    if (status != 0)
        lw_lines_free(out);
    lw_lines_free(&rings);
    lw_line_free(&clean);
    lw_line_index_free(job.index);
    return status;
}
