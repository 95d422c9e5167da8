#include "span.h"

#include <math.h>

struct lw_span lw_span_of(const struct lw_line *line)
{
    struct lw_span s = {INFINITY, -INFINITY, INFINITY, -INFINITY};

    for (size_t k = 0; k < line->n; k++) {
        s.e_min = fmin(s.e_min, line->p[k].e_m);
        s.e_max = fmax(s.e_max, line->p[k].e_m);
        s.n_min = fmin(s.n_min, line->p[k].n_m);
        s.n_max = fmax(s.n_max, line->p[k].n_m);
    }
    return s;
}
