#include "nearest.h"

#include <math.h>

/* A foot is computed a few nanometres to either side of where it is. So a place counts as past an
 * end only beyond this, and this near the end of a closed line is its start. */
#define FOOT_M 1e-6

/* Where the foot of `at` lies between a (0) and b (1), clamped. */
static double foot(struct lw_en a, struct lw_en b, struct lw_en at)
{
    double de = b.e_m - a.e_m, dn = b.n_m - a.n_m;
    double len2 = de * de + dn * dn;
    double t = len2 > 0 ? ((at.e_m - a.e_m) * de + (at.n_m - a.n_m) * dn) / len2 : 0;

    return t < 0 ? 0 : t > 1 ? 1 : t;
}

/* The ends themselves are returned unrounded, so that both segments at a vertex tie exactly. */
static struct lw_en between(struct lw_en a, struct lw_en b, double t)
{
    if (t <= 0)
        return a;
    if (t >= 1)
        return b;
    return (struct lw_en){a.e_m + t * (b.e_m - a.e_m), a.n_m + t * (b.n_m - a.n_m)};
}

double lw_segment_dist2(struct lw_en a, struct lw_en b, struct lw_en at)
{
    struct lw_en q = between(a, b, foot(a, b, at));
    double de = at.e_m - q.e_m, dn = at.n_m - q.n_m;

    return de * de + dn * dn;
}

/* Unit direction of the first stretch of some length that ends (back) or starts (not back) at
 * vertex v; false where an open line has none on that side. */
static bool direction(const struct lw_line *line, size_t v, bool back, struct lw_en *unit)
{
    size_t count = line->n - 1; /* segments */
    size_t s = v;

    for (size_t tries = 0; tries < count; tries++) {
        struct lw_en a, b;
        double len;

        if (back) {
            if (s == 0) {
                if (!line->closed)
                    return false;
                s = count;
            }
            s--;
        } else if (s >= count) {
            if (!line->closed)
                return false;
            s = 0;
        }
        a = line->p[s];
        b = line->p[s + 1];
        len = lw_en_distance(a, b);
        if (len > 0) {
            *unit = (struct lw_en){(b.e_m - a.e_m) / len, (b.n_m - a.n_m) / len};
            return true;
        }
        if (!back)
            s++;
    }
    return false;
}

static double cross(struct lw_en a, struct lw_en b)
{
    return a.e_m * b.n_m - a.n_m * b.e_m;
}

/* Sets sign and past_end for a place whose nearest point is vertex v, `w` away from it. The mean of
 * the adjoining directions decides: the place lies within the wedge between their normals, whose
 * middle is square to that mean, so the sign holds for vertices however sharp. */
static void decide_at_vertex(const struct lw_line *line, size_t v, struct lw_en w,
                             struct lw_near *near)
{
    struct lw_en in = {0, 0}, out = {0, 0}, mean;
    bool has_in = direction(line, v, true, &in);
    bool has_out = direction(line, v, false, &out);

    mean = (struct lw_en){in.e_m + out.e_m, in.n_m + out.n_m};
    if (mean.e_m == 0 && mean.n_m == 0) /* doubles back on itself: no side is right */
        mean = in;
    near->left_m = copysign(near->dist_m, cross(mean, w));
    if (!line->closed) {
        if (!has_in && has_out)
            near->past_end = w.e_m * out.e_m + w.n_m * out.n_m < -FOOT_M;
        else if (has_in && !has_out)
            near->past_end = w.e_m * in.e_m + w.n_m * in.n_m > FOOT_M;
    }
}

struct lw_near lw_segment_near(const struct lw_line *line, size_t segment, double before_m,
                               struct lw_en at)
{
    struct lw_en a = line->p[segment], b = line->p[segment + 1];
    double t = foot(a, b, at);
    double length_m = lw_en_distance(a, b);
    struct lw_near near = {.segment = segment, .at = between(a, b, t)};
    struct lw_en w = {at.e_m - near.at.e_m, at.n_m - near.at.n_m};

    near.dist_m = hypot(w.e_m, w.n_m);
    near.along_m = before_m + t * length_m;
    if (t <= 0 || t >= 1)
        decide_at_vertex(line, t <= 0 ? segment : segment + 1, w, &near);
    else
        near.left_m = copysign(near.dist_m, cross((struct lw_en){b.e_m - a.e_m, b.n_m - a.n_m}, w));
    if (line->closed && segment + 2 == line->n && (1 - t) * length_m < FOOT_M) {
        near.along_m = 0;
        near.segment = 0;
    }
    return near;
}

struct lw_near lw_line_nearest(const struct lw_line *line, struct lw_en at)
{
    double best = INFINITY, before_m = 0;
    size_t segment = 0;

    if (line->n < 2 || isnan(at.e_m) || isnan(at.n_m))
        return (struct lw_near){.dist_m = NAN, .left_m = NAN, .along_m = NAN, .at = {NAN, NAN}};
    for (size_t i = 0; i + 1 < line->n; i++) {
        double d2 = lw_segment_dist2(line->p[i], line->p[i + 1], at);

        if (d2 < best) {
            best = d2;
            segment = i;
        }
    }
    for (size_t i = 0; i < segment; i++)
        before_m += lw_en_distance(line->p[i], line->p[i + 1]);
    return lw_segment_near(line, segment, before_m, at);
}
