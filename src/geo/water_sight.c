/* Sight over a grid: the line is looked at where it crosses the columns of middles (the rows, where
 * it is steeper). There it must keep off the closed middles above and below it, and between two
 * columns it must not slip through a pair that touches at a corner. */
#include <math.h>

#include "water_parts.h"

struct look {
    const struct lw_water *w;
    bool steep; /* columns and rows change places */
};

static bool open_at(const struct look *l, long u, long v)
{
    return l->steep ? water_is_open(l->w, v, u) : water_is_open(l->w, u, v);
}

/* Whether a crossing at v in column u keeps its distance from closed middles. */
static bool passes(const struct look *l, long u, double v)
{
    long below = (long)floor(v);
    double above = v - (double)below;
    bool low = open_at(l, u, below), high = open_at(l, u, below + 1);

    if (above == 0)
        return low;
    if (!low && !high)
        return false;
    return (low || above >= LW_WATER_KEEP - 1e-9) && (high || 1 - above >= LW_WATER_KEEP - 1e-9);
}

/* Within the columns u and u + 1, from (u0, v0) to (u1, v1): does it cross between two closed
 * middles that touch at a corner? It does when its ends lie on two sides of the line through them.
 */
static bool slips(const struct look *l, long u, double u0, double v0, double u1, double v1)
{
    double low = fmin(v0, v1), high = fmax(v0, v1);

    for (long b = (long)floor(low); (double)b <= high; b++)
        for (int falling = 0; falling < 2; falling++) {
            /* the pair: (u, b) and (u + 1, b + 1), or (u, b + 1) and (u + 1, b) */
            double foot = (double)(b + falling), rise = falling ? -1 : 1;
            double side0 = v0 - foot - rise * (u0 - (double)u);
            double side1 = v1 - foot - rise * (u1 - (double)u);

            if ((side0 > 0) != (side1 > 0) && !open_at(l, u, b + falling) &&
                !open_at(l, u + 1, b + 1 - falling))
                return true;
        }
    return false;
}

bool lw_water_sees(const struct lw_water *w, struct lw_en a, struct lw_en b)
{
    double ax = (a.e_m - w->e0_m) / w->cell_m, ay = (a.n_m - w->n0_m) / w->cell_m;
    double bx = (b.e_m - w->e0_m) / w->cell_m, by = (b.n_m - w->n0_m) / w->cell_m;
    struct look l = {w, fabs(by - ay) > fabs(bx - ax)};
    double u0 = l.steep ? ay : ax, v0 = l.steep ? ax : ay;
    double u1 = l.steep ? by : bx, v1 = l.steep ? bx : by, slope, at, v;

    if (u0 > u1) { /* the same line either way round */
        double u = u0;

        v = v0;
        u0 = u1;
        v0 = v1;
        u1 = u;
        v1 = v;
    }
    slope = u1 > u0 ? (v1 - v0) / (u1 - u0) : 0;
    at = u0;
    v = v0;
    for (long u = (long)ceil(u0 - 1e-9); (double)u <= u1 + 1e-9; u++) {
        double there = v0 + slope * ((double)u - u0);

        if (!passes(&l, u, there) || slips(&l, u - 1, at, v, (double)u, there))
            return false;
        at = (double)u;
        v = there;
    }
    return !(u1 > at + 1e-9 && slips(&l, (long)floor(at + 1e-9), at, v, u1, v1));
}
