/* From places on a ridge to lines: neighbours joined, gaps bridged, short and weak ones dropped.
 *
 * Every place knows which way the bottom falls, so it knows which way its line runs (deep side to
 * the left): links go from a place to the next one and no line has to be turned. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lip_parts.h"
#include "lipwalk/base/array.h"

#define NEAR_CELLS 2    /* neighbours are looked for so many cells away */
#define NEAR_COS   0.6  /* and no further off the line's direction than this cosine */
#define GAP_COS    0.75 /* across a gap the line may turn less */
#define TAIL       6    /* places that say which way a line's end points */

struct join { /* a possible link, from the end of one to the start of another */
    int from, to;
    double cost;
};
struct joins {
    struct join *p;
    size_t n, cap;
};

static int by_cost(const void *a, const void *b)
{
    const struct join *x = a, *y = b;

    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    if (x->from != y->from)
        return x->from < y->from ? -1 : 1;
    return (x->to > y->to) - (x->to < y->to);
}

/* Each place has one follower and follows one. */
static void join_cheapest_first(struct joins *joins, struct lw_lip_spots *spots)
{
    if (joins->n)
        qsort(joins->p, joins->n, sizeof *joins->p, by_cost);
    for (size_t k = 0; k < joins->n; k++) {
        struct lw_lip_spot *from = &spots->p[joins->p[k].from], *to = &spots->p[joins->p[k].to];

        if (from->next >= 0 || to->back >= 0)
            continue;
        from->next = joins->p[k].to;
        to->back = joins->p[k].from;
    }
}

static int offer(struct joins *joins, int from, int to, double cost)
{
    if (lw_array_room(&joins->p, joins->n, &joins->cap))
        return -1;
    joins->p[joins->n++] = (struct join){from, to, cost};
    return 0;
}

static struct lw_en ahead(const struct lw_lip_spot *spot)
{
    return (struct lw_en){spot->fall_n, -spot->fall_e};
}

/* The cost of going on from one to the other; NAN when they are not of one line. */
static double join_cost(struct lw_en a, struct lw_en along_a, struct lw_en b, struct lw_en along_b,
                        double least_cos)
{
    double e = b.e_m - a.e_m, n = b.n_m - a.n_m, far = hypot(e, n), out, in;

    if (far < 1e-9)
        return NAN;
    out = (along_a.e_m * e + along_a.n_m * n) / far;
    in = (along_b.e_m * e + along_b.n_m * n) / far;
    if (out < least_cos || in < least_cos ||
        along_a.e_m * along_b.e_m + along_a.n_m * along_b.n_m < least_cos)
        return NAN;
    return far * (3 - out - in);
}

/* The first place whose cell is not before `cell`. */
static size_t first_from(const struct lw_lip_spots *spots, int cell)
{
    size_t lo = 0, hi = spots->n;

    while (lo < hi) {
        size_t mid = (lo + hi) / 2;

        if (spots->p[mid].cell < cell)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

static int join_neighbours(const struct lw_grid *grid, struct lw_lip_spots *spots)
{
    struct joins joins = {0};
    int status = -1;

    for (size_t a = 0; a < spots->n; a++) {
        const struct lw_lip_spot *spot = &spots->p[a];
        int i = spot->cell / grid->nx, j = spot->cell % grid->nx;

        for (int r = i - NEAR_CELLS; r <= i + NEAR_CELLS; r++) {
            int first = r * grid->nx + (j > NEAR_CELLS ? j - NEAR_CELLS : 0);
            int last = r * grid->nx + (j + NEAR_CELLS < grid->nx ? j + NEAR_CELLS : grid->nx - 1);

            if (r < 0 || r >= grid->ny)
                continue;
            for (size_t b = first_from(spots, first); b < spots->n && spots->p[b].cell <= last;
                 b++) {
                double cost = join_cost(spot->at, ahead(spot), spots->p[b].at, ahead(&spots->p[b]),
                                        NEAR_COS);

                if (!isnan(cost) && offer(&joins, (int)a, (int)b, cost))
                    goto done;
            }
        }
    }
    join_cheapest_first(&joins, spots);
    status = 0;
done:
    free(joins.p);
    return status;
}

struct chain {
    int first, last; /* places; the same way round a ring when last's next is first */
    int n;
    struct lw_en in, out; /* directions of the line at both ends */
};
struct chains {
    struct chain *p;
    size_t n, cap;
};

static struct lw_en end_direction(const struct lw_lip_spots *spots, int from, bool back)
{
    struct lw_en sum = {0, 0};
    double far;
    int k = from;

    for (int steps = 0; k >= 0 && steps < TAIL; steps++) {
        struct lw_en d = ahead(&spots->p[k]);

        sum.e_m += d.e_m;
        sum.n_m += d.n_m;
        k = back ? spots->p[k].back : spots->p[k].next;
    }
    far = hypot(sum.e_m, sum.n_m) + 1e-9;
    return (struct lw_en){sum.e_m / far, sum.n_m / far};
}

/* Rings get no ends: their first is any of theirs. */
static int gather(const struct lw_lip_spots *spots, struct chains *chains)
{
    bool *seen = calloc(spots->n + 1, sizeof *seen);
    int status = -1;

    if (!seen)
        return -1;
    for (int ring = 0; ring < 2; ring++)
        for (size_t a = 0; a < spots->n; a++) {
            struct chain c = {.first = (int)a};

            if (seen[a] || (!ring && spots->p[a].back >= 0))
                continue;
            for (int k = (int)a; k >= 0 && !seen[k]; k = spots->p[k].next) {
                seen[k] = true;
                c.last = k;
                c.n++;
            }
            if (c.n < 3)
                continue;
            c.in = end_direction(spots, c.first, false);
            c.out = end_direction(spots, c.last, true);
            if (lw_array_room(&chains->p, chains->n, &chains->cap))
                goto done;
            chains->p[chains->n++] = c;
        }
    status = 0;
done:
    free(seen);
    return status;
}

struct start {
    double e_m;
    int chain;
};

static int by_east(const void *a, const void *b)
{
    const struct start *x = a, *y = b;

    if (x->e_m != y->e_m)
        return x->e_m < y->e_m ? -1 : 1;
    return (x->chain > y->chain) - (x->chain < y->chain);
}

/* The gap's own depth must stay between those of its ends, or nearly: a lip does not jump. */
static bool level_enough(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                         struct lw_en a, struct lw_en b)
{
    double from_m = lw_lip_depth(field, a), to_m = lw_lip_depth(field, b);
    double far = lw_en_distance(a, b);

    if (fabs(to_m - from_m) > 0.1 * scale->unit + 0.03 * far)
        return false;
    for (double t = 0.25; t < 1; t += 0.25)
        if (!lw_lip_wet(field->grid, lw_en_between(a, b, t)))
            return false;
    return true;
}

static int bridge_gaps(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                       struct lw_lip_spots *spots, struct chains *chains)
{
    struct start *starts = malloc((chains->n + 1) * sizeof *starts);
    struct joins joins = {0};
    size_t n = 0;
    int status = -1;

    if (!starts)
        return -1;
    for (size_t c = 0; c < chains->n; c++)
        if (spots->p[chains->p[c].first].back < 0)
            starts[n++] = (struct start){spots->p[chains->p[c].first].at.e_m, (int)c};
    qsort(starts, n, sizeof *starts, by_east);
    for (size_t c = 0; c < chains->n; c++) {
        const struct chain *from = &chains->p[c];
        struct lw_en at = spots->p[from->last].at;
        size_t lo = 0, hi = n;

        if (spots->p[from->last].next >= 0)
            continue;
        while (lo < hi) {
            size_t mid = (lo + hi) / 2;

            if (starts[mid].e_m < at.e_m - scale->gap_m)
                lo = mid + 1;
            else
                hi = mid;
        }
        for (; lo < n && starts[lo].e_m <= at.e_m + scale->gap_m; lo++) {
            const struct chain *to = &chains->p[starts[lo].chain];
            struct lw_en there = spots->p[to->first].at;
            double cost;

            if (lw_en_distance(at, there) > scale->gap_m || (to == from && to->n < 10))
                continue;
            cost = join_cost(at, from->out, there, to->in, GAP_COS);
            if (!isnan(cost) && level_enough(field, scale, at, there) &&
                offer(&joins, from->last, to->first, cost))
                goto done;
        }
    }
    join_cheapest_first(&joins, spots);
    status = 0;
done:
    free(joins.p);
    free(starts);
    return status;
}

/* A vertex each step_m or so, the ends kept. */
static int walk_evenly(const struct lw_line *raw, double step_m, struct lw_line *out)
{
    double length = lw_line_length(raw), passed = 0;
    size_t steps = (size_t)fmax(2, round(length / step_m)), k = 0;

    for (size_t i = 0; i + 1 < raw->n; i++) {
        double far = lw_en_distance(raw->p[i], raw->p[i + 1]);

        for (; k < steps && length * (double)k / (double)steps <= passed + far; k++)
            if (lw_line_add(out,
                            lw_en_between(
                                raw->p[i], raw->p[i + 1],
                                far > 0 ? (length * (double)k / (double)steps - passed) / far : 0)))
                return -1;
        passed += far;
    }
    return lw_line_add(out, raw->p[raw->n - 1]);
}

int lw_lip_even_out(const struct lw_line *raw, double sigma_m, double step_m, struct lw_line *out)
{
    struct lw_line even = {0};
    int reach, last, status = -1;
    double step;

    *out = (struct lw_line){.closed = raw->closed};
    if (walk_evenly(raw, step_m, &even))
        goto done;
    last = (int)even.n - 1;
    step = lw_line_length(raw) / last;
    reach = (int)ceil(3 * sigma_m / step);
    if (raw->closed && reach > last / 2)
        reach = last / 2;
    for (int k = 0; k <= last; k++) {
        struct lw_en mean = {0, 0};
        double sum = 0;
        int side = reach;

        if (!raw->closed) { /* alike on both sides, so that ends stay where they are */
            side = k < side ? k : side;
            side = last - k < side ? last - k : side;
        }
        for (int d = -side; d <= side; d++) {
            struct lw_en p = even.p[raw->closed ? (k + d + last) % last : k + d];
            double w = exp(-0.5 * d * d * step * step / (sigma_m * sigma_m));

            mean.e_m += w * p.e_m;
            mean.n_m += w * p.n_m;
            sum += w;
        }
        mean.e_m /= sum;
        mean.n_m /= sum;
        if (lw_line_add(out, mean))
            goto done;
    }
    if (out->closed)
        out->p[last] = out->p[0];
    status = 0;
done:
    lw_line_free(&even);
    return status;
}

/* One line from the place on; marks its places as used. `strong` gets the share of it that is. */
static int follow(const struct lw_lip_spots *spots, const struct lw_lip_scale *scale, int first,
                  bool *used, struct lw_line *out, double *strong)
{
    double best = 0, n = 0;
    int k = first;

    *out = (struct lw_line){0};
    for (; k >= 0 && !used[k]; k = spots->p[k].next, n++) {
        used[k] = true;
        best += (double)spots->p[k].bend >= scale->strong;
        if (lw_line_add(out, spots->p[k].at))
            return -1;
    }
    if (k == first && out->n > 8) {
        out->closed = true;
        if (lw_line_add(out, out->p[0]))
            return -1;
    }
    *strong = best / n;
    return 0;
}

static int longest_first(const void *a, const void *b)
{
    double x = lw_line_length(a), y = lw_line_length(b);
    const struct lw_line *p = a, *q = b;

    if (x != y)
        return x > y ? -1 : 1;
    return (p->p[0].e_m > q->p[0].e_m) - (p->p[0].e_m < q->p[0].e_m);
}

int lw_lip_link(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                struct lw_lip_spots *spots, struct lw_lines *out, struct lw_error *err)
{
    struct chains chains = {0};
    bool *used = calloc(spots->n + 1, sizeof *used);
    struct lw_line raw = {0}, line = {0};
    int status = -1;

    *out = (struct lw_lines){0};
    if (!used || join_neighbours(field->grid, spots) || gather(spots, &chains) ||
        bridge_gaps(field, scale, spots, &chains))
        goto done;
    for (int ring = 0; ring < 2; ring++)
        for (size_t c = 0; c < chains.n; c++) {
            int first = chains.p[c].first;
            double strong;

            if (used[first] || (!ring && spots->p[first].back >= 0))
                continue;
            if (follow(spots, scale, first, used, &raw, &strong))
                goto done;
            if (strong >= 0.3 && lw_line_length(&raw) >= scale->shortest_m) {
                if (lw_lip_even_out(&raw, 0.75 * scale->smooth_m, scale->step_m, &line) ||
                    lw_lines_take(out, &line))
                    goto done;
                line = (struct lw_line){0};
            }
            lw_line_free(&raw);
        }
    if (out->n)
        qsort(out->line, out->n, sizeof *out->line, longest_first);
    status = 0;
done:
    if (status) {
        lw_lines_free(out);
        lw_fail(err, "out of memory for the lips of %d x %d cells", field->grid->nx,
                field->grid->ny);
    }
    lw_line_free(&raw);
    lw_line_free(&line);
    free(chains.p);
    free(used);
    return status;
}
