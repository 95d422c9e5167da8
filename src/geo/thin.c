#include "lipwalk/geo/thin.h"

#include <math.h>
#include <stdlib.h>

struct span {
    size_t a, b;
};

/* The vertex between that lies farthest off the chord, or s.a where none lies off it. */
static size_t farthest(const struct lw_line *line, struct span s, double *dist_m)
{
    size_t far = s.a;
    double most2 = 0;

    for (size_t i = s.a + 1; i < s.b; i++) {
        double dist2 = lw_segment_dist2(line->p[s.a], line->p[s.b], line->p[i]);

        if (dist2 > most2) {
            most2 = dist2;
            far = i;
        }
    }
    *dist_m = sqrt(most2);
    return far;
}

int lw_line_thin(const struct lw_line *line, double tol_m, struct lw_line *out,
                 struct lw_error *err)
{
    /* A span waits on the stack at most once a vertex. */
    struct span *stack = calloc(line->n + 1, sizeof *stack);
    char *keep = calloc(line->n + 1, 1);
    size_t waiting = 0;
    int rc = -1;

    *out = (struct lw_line){.closed = line->closed};
    if (!stack || !keep)
        goto memory;
    if (line->n > 0)
        keep[0] = keep[line->n - 1] = 1;
    if (line->n > 2)
        stack[waiting++] = (struct span){0, line->n - 1};
    while (waiting > 0) {
        struct span s = stack[--waiting];
        double dist_m;
        size_t far = farthest(line, s, &dist_m);
        /* A closed line's first chord is a point: split it anyway, else a small ring vanishes. */
        bool ring = line->closed && s.a == 0 && s.b == line->n - 1;

        if (far == s.a || (dist_m <= tol_m && !ring))
            continue;
        keep[far] = 1;
        if (far - s.a > 1)
            stack[waiting++] = (struct span){s.a, far};
        if (s.b - far > 1)
            stack[waiting++] = (struct span){far, s.b};
    }
    for (size_t i = 0; i < line->n; i++)
        if (keep[i] && lw_line_add(out, line->p[i]))
            goto memory;
    rc = 0;
memory:
    if (rc) {
        lw_line_free(out);
        lw_fail(err, "memory ran out while thinning a line of %zu vertices", line->n);
    }
    free(stack);
    free(keep);
    return rc;
}
