/* Drawing a way taut. The shortest way of its kind bends only where it rounds a closed cell, a
 * KEEP off its middle: such places near the way, sorted along it, are joined by a shortest path in
 * which only near ones look at each other; then whatever sees farther skips what lies between. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "water_parts.h"

#define BESIDE_CELLS 2   /* corners so far beside the way are looked at */
#define AHEAD        48  /* so many of them ahead */
#define MOST         512 /* bends of a way between which all are tried */

struct corner {
    struct lw_en at;
    double along; /* of the way given */
    size_t next;  /* a vertex of the way itself: the number of the next one; else 0 */
    double g;
    size_t from;
};
struct band {
    const struct lw_water *w;
    struct corner *c;
    size_t n, cap;
    uint8_t *seen; /* seen[nx * ny]: its corners are in */
};

static int add(struct band *b, struct lw_en at, double along, bool vertex)
{
    if (lw_array_room(&b->c, b->n, &b->cap))
        return -1;
    b->c[b->n++] = (struct corner){at, along, vertex, INFINITY, 0};
    return 0;
}

/* The places at which a line may round a closed cell: where the wall does not go straight on. */
static int add_corners(struct band *b, long column, long row, double along)
{
    static const int dx[4] = {1, 0, -1, 0}, dy[4] = {0, 1, 0, -1};
    struct lw_en middle = {b->w->e0_m + (double)column * b->w->cell_m,
                           b->w->n0_m + (double)row * b->w->cell_m};
    double keep_m = LW_WATER_KEEP * b->w->cell_m;

    for (int k = 0; k < 4; k++) {
        int x = dx[k], y = dy[k]; /* outward; the wall runs along (y, x) */
        bool straight = !water_is_open(b->w, column + y, row + x) &&
                        !water_is_open(b->w, column - y, row - x);

        if (!water_is_open(b->w, column + x, row + y) || straight)
            continue;
        if (add(b, (struct lw_en){middle.e_m + keep_m * x, middle.n_m + keep_m * y}, along, false))
            return -1;
    }
    return 0;
}

static int gather_about(struct band *b, struct lw_en at, double along)
{
    long column = lround((at.e_m - b->w->e0_m) / b->w->cell_m);
    long row = lround((at.n_m - b->w->n0_m) / b->w->cell_m);

    for (long r = row - BESIDE_CELLS; r <= row + BESIDE_CELLS; r++)
        for (long c = column - BESIDE_CELLS; c <= column + BESIDE_CELLS; c++) {
            size_t i = (size_t)r * (size_t)b->w->nx + (size_t)c;

            if (r < 0 || c < 0 || r >= b->w->ny || c >= b->w->nx || b->w->open[i] || b->seen[i])
                continue;
            b->seen[i] = 1;
            if (add_corners(b, c, r, along))
                return -1;
        }
    return 0;
}

static int gather(struct band *b, const struct lw_line *way)
{
    double along = 0;

    for (size_t i = 0; i + 1 < way->n; i++) {
        double run_m = lw_en_distance(way->p[i], way->p[i + 1]);
        size_t steps = (size_t)ceil(run_m / b->w->cell_m);

        if (add(b, way->p[i], i ? along : -1, true)) /* the start comes first */
            return -1;
        for (size_t k = 0; k <= steps; k++) {
            double t = steps ? (double)k / (double)steps : 0;

            if (gather_about(b, lw_en_between(way->p[i], way->p[i + 1], t), along + t * run_m))
                return -1;
        }
        along += run_m;
    }
    return add(b, way->p[way->n - 1], along + 1, true); /* and the end last */
}

static int by_along(const void *a, const void *b)
{
    const struct corner *x = a, *y = b;

    if (x->along != y->along)
        return x->along < y->along ? -1 : 1;
    if (x->at.e_m != y->at.e_m)
        return x->at.e_m < y->at.e_m ? -1 : 1;
    return (x->at.n_m > y->at.n_m) - (x->at.n_m < y->at.n_m);
}

static void relax(struct band *b, size_t i, size_t j)
{
    double g = b->c[i].g + lw_en_distance(b->c[i].at, b->c[j].at);

    if (g < b->c[j].g - 1e-9 && lw_water_sees(b->w, b->c[i].at, b->c[j].at)) {
        b->c[j].g = g;
        b->c[j].from = i;
    }
}

/* Shortest over the corners in their order: each looks at the next `ahead`, and a vertex of the old
 * way at the next vertex, which it saw. */
static void join(struct band *b, size_t ahead)
{
    size_t last = b->n;

    for (size_t i = b->n; i-- > 0;) {
        size_t next = last;

        if (b->c[i].next) {
            last = i;
            b->c[i].next = next < b->n ? next : 0;
        }
    }
    b->c[0].g = 0;
    for (size_t i = 0; i < b->n; i++) {
        if (isinf(b->c[i].g))
            continue;
        for (size_t j = i + 1; j < b->n && j <= i + ahead; j++)
            relax(b, i, j);
        if (b->c[i].next)
            relax(b, i, b->c[i].next);
    }
}

/* The joined way, from its end back, in the place of the old one. */
static int take(const struct band *b, struct lw_line *way)
{
    struct lw_line anew = {0};

    for (size_t i = b->n - 1;; i = b->c[i].from) {
        if (lw_line_add(&anew, b->c[i].at)) {
            lw_line_free(&anew);
            return -1;
        }
        if (i == 0)
            break;
    }
    lw_line_reverse(&anew);
    lw_line_free(way);
    *way = anew;
    return 0;
}

/* Once more among the bends alone, each looking at all. */
static int skip(const struct lw_water *w, struct lw_line *way)
{
    struct band b = {.w = w};
    int rc = 0;

    for (size_t i = 0; i < way->n && rc == 0; i++)
        rc = add(&b, way->p[i], (double)i, true);
    if (rc == 0) {
        join(&b, MOST);
        rc = take(&b, way);
    }
    free(b.c);
    return rc;
}

int water_tighten(const struct lw_water *w, struct lw_line *way)
{
    int rc = 0;

    for (int pass = 0; pass < 2 && rc == 0; pass++) {
        struct band b = {.w = w, .seen = calloc((size_t)w->nx * (size_t)w->ny, 1)};

        rc = b.seen ? gather(&b, way) : -1;
        if (rc == 0) {
            qsort(b.c, b.n, sizeof *b.c, by_along);
            join(&b, AHEAD);
            rc = take(&b, way);
        }
        free(b.c);
        free(b.seen);
        if (rc == 0)
            rc = skip(w, way);
    }
    return rc;
}
