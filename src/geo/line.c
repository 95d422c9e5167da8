#include "lipwalk/geo/line.h"

#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

#define SAME_M 1e-3 /* vertices nearer than this are one */

int lw_line_add(struct lw_line *line, struct lw_en at)
{
    if (lw_array_room(&line->p, line->n, &line->cap))
        return -1;
    line->p[line->n++] = at;
    return 0;
}

int lw_line_copy(struct lw_line *to, const struct lw_line *from)
{
    *to = (struct lw_line){.closed = from->closed};
    if (from->n == 0)
        return 0;
    to->p = reallocarray(NULL, from->n, sizeof *to->p);
    if (!to->p)
        return -1;
    memcpy(to->p, from->p, from->n * sizeof *to->p);
    to->n = to->cap = from->n;
    return 0;
}

void lw_line_free(struct lw_line *line)
{
    free(line->p);
    *line = (struct lw_line){0};
}

int lw_lines_take(struct lw_lines *lines, struct lw_line *line)
{
    if (lw_array_room(&lines->line, lines->n, &lines->cap))
        return -1;
    lines->line[lines->n++] = *line;
    *line = (struct lw_line){0};
    return 0;
}

void lw_lines_free(struct lw_lines *lines)
{
    for (size_t i = 0; i < lines->n; i++)
        lw_line_free(&lines->line[i]);
    free(lines->line);
    *lines = (struct lw_lines){0};
}

double lw_line_length(const struct lw_line *line)
{
    double sum = 0;

    for (size_t i = 1; i < line->n; i++)
        sum += lw_en_distance(line->p[i - 1], line->p[i]);
    return sum;
}

double lw_line_area(const struct lw_line *line)
{
    double sum = 0;

    /* Shoelace about the first vertex: small numbers, no digits lost far from the origin. */
    for (size_t i = 2; i < line->n; i++) {
        struct lw_en o = line->p[0], a = line->p[i - 1], b = line->p[i];

        sum += (a.e_m - o.e_m) * (b.n_m - o.n_m) - (b.e_m - o.e_m) * (a.n_m - o.n_m);
    }
    return sum / 2;
}

bool lw_line_contains(const struct lw_line *ring, struct lw_en at)
{
    bool inside = false;

    for (size_t i = 0, j = ring->n - 1; i < ring->n; j = i++) {
        struct lw_en a = ring->p[i], b = ring->p[j];

        if ((a.n_m > at.n_m) != (b.n_m > at.n_m) &&
            at.e_m < a.e_m + (b.e_m - a.e_m) * (at.n_m - a.n_m) / (b.n_m - a.n_m))
            inside = !inside;
    }
    return inside;
}

void lw_line_reverse(struct lw_line *line)
{
    for (size_t i = 0, j = line->n; i + 1 < j; i++) {
        struct lw_en swap = line->p[i];

        line->p[i] = line->p[--j];
        line->p[j] = swap;
    }
}

void lw_line_clean(struct lw_line *line)
{
    size_t kept = 1;
    struct lw_en last;

    if (line->n < 2)
        return;
    last = line->closed ? line->p[0] : line->p[line->n - 1];
    for (size_t i = 1; i + 1 < line->n; i++)
        if (lw_en_distance(line->p[i], line->p[kept - 1]) >= SAME_M)
            line->p[kept++] = line->p[i];
    /* The ends stay where they are; it is the vertex before the end that goes. */
    while (kept > 1 && lw_en_distance(line->p[kept - 1], last) < SAME_M)
        kept--;
    if (kept > 1 || lw_en_distance(line->p[0], last) >= SAME_M)
        line->p[kept++] = last;
    line->n = kept;
}
