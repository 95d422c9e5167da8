/* Whether two segments meet. */
#include <math.h>

#include "lipwalk/geo/line.h"

/* Twice the area of a, b, c; positive when c lies left of a..b. */
static double turn(struct lw_en a, struct lw_en b, struct lw_en c)
{
    return (b.e_m - a.e_m) * (c.n_m - a.n_m) - (b.n_m - a.n_m) * (c.e_m - a.e_m);
}

bool lw_segments_meet(struct lw_en a, struct lw_en b, struct lw_en p, struct lw_en q, double *share)
{
    double from = turn(p, q, a), to = turn(p, q, b);

    if (turn(a, b, p) * turn(a, b, q) > 0 || from * to > 0 ||
        fmax(a.e_m, b.e_m) < fmin(p.e_m, q.e_m) || fmax(p.e_m, q.e_m) < fmin(a.e_m, b.e_m) ||
        fmax(a.n_m, b.n_m) < fmin(p.n_m, q.n_m) || fmax(p.n_m, q.n_m) < fmin(a.n_m, b.n_m))
        return false;
    if (share)
        *share = from != to ? from / (from - to) : 0; /* both 0: they lie on one line */
    return true;
}
