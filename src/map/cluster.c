/* Clusters by squares: places in neighbouring squares hang together. */
#include "cluster.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/geo/span.h"

#define LINK_TIMES 30.0
#define LINK_M     100.0
#define SAMPLES    100
#define FEW        0.05   /* of the largest cluster's places: less is a slip */
#define FAR_M      1000.0 /* and no farther than its own size is near, as with waters of one name */

struct square {
    long x, y;
    size_t places, root;
    struct lw_span span;
};
struct squares {
    struct square *s;
    size_t n;
};

static int by_place(const void *a, const void *b)
{
    const struct square *p = a, *q = b;

    if (p->x != q->x)
        return p->x > q->x ? 1 : -1;
    return (p->y > q->y) - (p->y < q->y);
}

/* The median distance of some places to their nearest neighbour. */
static double usual_distance(const struct lw_en *p, size_t n)
{
    double dist[SAMPLES];
    size_t k = 0;

    for (size_t i = 0; i < n && k < SAMPLES; i += n / SAMPLES + 1) {
        double least = INFINITY;

        for (size_t j = 0; j < n; j++)
            if (j != i)
                least = fmin(least, lw_en_distance(p[i], p[j]));
        dist[k++] = least;
    }
    if (k == 0)
        return 0;
    qsort(dist, k, sizeof *dist, lw_number_order);
    return dist[k / 2];
}

static void add_place(struct lw_span *span, struct lw_en at)
{
    struct lw_line one = {.p = &at, .n = 1};

    lw_span_add(span, &one);
}

static struct square square_of(struct lw_en at, double link_m)
{
    struct square s = {.x = (long)floor(at.e_m / link_m), .y = (long)floor(at.n_m / link_m)};

    s.places = 1;
    s.span = lw_span_of_nothing();
    add_place(&s.span, at);
    return s;
}

static void join_span(struct lw_span *to, const struct lw_span *from)
{
    to->e_min = fmin(to->e_min, from->e_min);
    to->e_max = fmax(to->e_max, from->e_max);
    to->n_min = fmin(to->n_min, from->n_min);
    to->n_max = fmax(to->n_max, from->n_max);
}

/* One square for all places in it. */
static void merge(struct squares *all)
{
    size_t kept = 0;

    qsort(all->s, all->n, sizeof *all->s, by_place);
    for (size_t i = 0; i < all->n; i++) {
        if (kept && by_place(&all->s[kept - 1], &all->s[i]) == 0) {
            all->s[kept - 1].places++;
            join_span(&all->s[kept - 1].span, &all->s[i].span);
        } else {
            all->s[kept++] = all->s[i];
        }
    }
    all->n = kept;
    for (size_t i = 0; i < kept; i++)
        all->s[i].root = i;
}

static size_t root_of(struct squares *all, size_t i)
{
    while (all->s[i].root != i) {
        all->s[i].root = all->s[all->s[i].root].root;
        i = all->s[i].root;
    }
    return i;
}

static void link_neighbours(struct squares *all)
{
    for (size_t i = 0; i < all->n; i++)
        for (int k = 0; k < 4; k++) { /* the other four come from the other side */
            static const int dx[] = {0, 1, 1, 1}, dy[] = {1, -1, 0, 1};
            struct square key = {.x = all->s[i].x + dx[k], .y = all->s[i].y + dy[k]};
            struct square *other = bsearch(&key, all->s, all->n, sizeof *all->s, by_place);
            size_t a, b;

            if (!other)
                continue;
            a = root_of(all, i);
            b = root_of(all, (size_t)(other - all->s));
            if (a != b)
                all->s[b].root = a;
        }
    for (size_t i = 0; i < all->n; i++) {
        size_t r = root_of(all, i);

        if (r != i) {
            all->s[r].places += all->s[i].places;
            join_span(&all->s[r].span, &all->s[i].span);
        }
    }
}

static double gap(const struct lw_span *a, const struct lw_span *b)
{
    return hypot(fmax(fmax(a->e_min - b->e_max, b->e_min - a->e_max), 0),
                 fmax(fmax(a->n_min - b->n_max, b->n_min - a->n_max), 0));
}

/* The cluster meant: the one with the place nearest to `at`, else the largest. */
static size_t find_own(const struct squares *all, const struct lw_en *p, size_t n, struct lw_en at,
                       double link_m)
{
    size_t own = 0, nearest = 0;
    struct square key;

    if (isnan(at.e_m)) {
        for (size_t i = 0; i < all->n; i++)
            if (all->s[i].root == i &&
                (all->s[own].root != own || all->s[i].places > all->s[own].places))
                own = i;
        return own;
    }
    for (size_t i = 1; i < n; i++)
        if (lw_en_distance(p[i], at) < lw_en_distance(p[nearest], at))
            nearest = i;
    key = square_of(p[nearest], link_m);
    return ((struct square *)bsearch(&key, all->s, all->n, sizeof *all->s, by_place))->root;
}

int lw_cluster_choose(const struct lw_en *p, size_t n, struct lw_en at, bool *keep,
                      struct lw_cluster *out)
{
    double link_m = fmax(LINK_M, LINK_TIMES * usual_distance(p, n)), near_m;
    struct squares all = {.s = malloc((n + 1) * sizeof *all.s), .n = n};
    size_t own;

    *out = (struct lw_cluster){0};
    if (!all.s)
        return -1;
    for (size_t i = 0; i < n; i++)
        all.s[i] = square_of(p[i], link_m);
    merge(&all);
    link_neighbours(&all);
    for (size_t i = 0; i < all.n; i++)
        all.s[i].root = root_of(&all, i);
    own = n ? find_own(&all, p, n, at, link_m) : 0;
    near_m = n ? fmax(FAR_M, fmax(all.s[own].span.e_max - all.s[own].span.e_min,
                                  all.s[own].span.n_max - all.s[own].span.n_min))
               : 0;
    for (size_t i = 0; i < all.n; i++)
        if (all.s[i].root == i && isnan(at.e_m) && gap(&all.s[i].span, &all.s[own].span) > near_m &&
            (double)all.s[i].places >= FEW * (double)all.s[own].places)
            out->others++;
    for (size_t i = 0; i < n; i++) {
        struct square key = square_of(p[i], link_m);
        struct square *s = bsearch(&key, all.s, all.n, sizeof *all.s, by_place);
        size_t root = s->root;

        keep[i] = root == own || gap(&all.s[root].span, &all.s[own].span) <= near_m;
        if (!isnan(at.e_m)) /* beside a place, another water is another water */
            keep[i] = root == own || gap(&all.s[root].span, &all.s[own].span) <= link_m;
        out->kept += keep[i];
        out->left += !keep[i];
    }
    free(all.s);
    return 0;
}
