#include "lipwalk/geo/span.h"

#include <math.h>

struct lw_span lw_span_of_nothing(void)
{
    return (struct lw_span){INFINITY, -INFINITY, INFINITY, -INFINITY};
}

void lw_span_add(struct lw_span *span, const struct lw_line *line)
{
    for (size_t k = 0; k < line->n; k++) {
        span->e_min = fmin(span->e_min, line->p[k].e_m);
        span->e_max = fmax(span->e_max, line->p[k].e_m);
        span->n_min = fmin(span->n_min, line->p[k].n_m);
        span->n_max = fmax(span->n_max, line->p[k].n_m);
    }
}

struct lw_span lw_span_of(const struct lw_line *line)
{
    struct lw_span span = lw_span_of_nothing();

    lw_span_add(&span, line);
    return span;
}
