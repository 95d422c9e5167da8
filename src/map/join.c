/* Matching line ends, nearest pairs first. */
#include "join.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define CANDIDATES_MAX 16 /* a hostile map may end a million lines at one place */

struct end { /* number 2 * line for the first vertex, + 1 for the last */
    struct lw_en at;
    size_t number;
};
struct pair {
    double dist_m;
    size_t a, b; /* end numbers */
};

static int by_east(const void *a, const void *b)
{
    double x = ((const struct end *)a)->at.e_m, y = ((const struct end *)b)->at.e_m;

    return (x > y) - (x < y);
}

static int by_distance(const void *a, const void *b)
{
    const struct pair *x = a, *y = b;

    if (x->dist_m != y->dist_m)
        return x->dist_m > y->dist_m ? 1 : -1;
    return (x->a > y->a) - (x->a < y->a);
}

static size_t find_pairs(const struct end *end, size_t ends, double gap_m, struct pair *pair)
{
    size_t pairs = 0;

    for (size_t i = 0; i < ends; i++) {
        int found = 0;

        for (size_t k = i + 1;
             k < ends && end[k].at.e_m - end[i].at.e_m <= gap_m && found < CANDIDATES_MAX; k++) {
            double d = lw_en_distance(end[i].at, end[k].at);

            if (d > gap_m)
                continue;
            pair[pairs++] = (struct pair){d, end[i].number, end[k].number};
            found++;
        }
    }
    qsort(pair, pairs, sizeof *pair, by_distance);
    return pairs;
}

static int append(struct lw_line *to, const struct lw_line *piece, bool reversed)
{
    for (size_t k = 0; k < piece->n; k++)
        if (lw_line_add(to, piece->p[reversed ? piece->n - 1 - k : k]))
            return -1;
    return 0;
}

/* Follows mates from an end of a line, and adds the pieces passed to `out`. */
static int chain(const struct lw_lines *lines, const size_t *mate, bool *used, size_t from,
                 struct lw_lines *out)
{
    struct lw_line whole = {0};
    size_t enter = from, leave = SIZE_MAX;

    while (enter != SIZE_MAX && !used[enter / 2]) {
        used[enter / 2] = true;
        if (append(&whole, &lines->line[enter / 2], enter % 2))
            goto failed;
        leave = enter ^ 1;
        enter = mate[leave];
    }
    if (enter == from && whole.n >= 3) { /* back at the start */
        if (lw_en_distance(whole.p[0], whole.p[whole.n - 1]) > 0 && lw_line_add(&whole, whole.p[0]))
            goto failed;
        whole.closed = true;
    }
    if (lw_lines_take(out, &whole))
        goto failed;
    return 0;
failed:
    lw_line_free(&whole);
    return -1;
}

int lw_join_lines(struct lw_lines *lines, double gap_m, struct lw_error *err)
{
    size_t n = lines->n, ends = 0, pairs;
    struct end *end = calloc(2 * n + 1, sizeof *end);
    struct pair *pair = calloc(2 * n * CANDIDATES_MAX + 1, sizeof *pair);
    size_t *mate = malloc((2 * n + 1) * sizeof *mate);
    bool *used = calloc(n + 1, sizeof *used);
    struct lw_lines out = {0};
    int status = -1;

    if (!end || !pair || !mate || !used)
        goto done;
    for (size_t i = 0; i < 2 * n; i++) {
        const struct lw_line *line = &lines->line[i / 2];

        mate[i] = SIZE_MAX;
        if (!line->closed && line->n >= 2)
            end[ends++] = (struct end){line->p[i % 2 ? line->n - 1 : 0], i};
    }
    qsort(end, ends, sizeof *end, by_east);
    pairs = find_pairs(end, ends, gap_m, pair);
    for (size_t k = 0; k < pairs; k++) {
        size_t a = pair[k].a, b = pair[k].b;

        if (mate[a] != SIZE_MAX || mate[b] != SIZE_MAX)
            continue;
        if (a / 2 == b / 2 && lw_line_length(&lines->line[a / 2]) < 4 * gap_m)
            continue; /* a short stroke is no ring */
        mate[a] = b;
        mate[b] = a;
    }
    for (size_t i = 0; i < n; i++)
        if (lines->line[i].closed) {
            used[i] = true;
            if (lw_lines_take(&out, &lines->line[i]))
                goto done;
        }
    for (size_t i = 0; i < 2 * n; i++) /* chains with an open end, from it */
        if (!used[i / 2] && mate[i] == SIZE_MAX && chain(lines, mate, used, i, &out))
            goto done;
    for (size_t i = 0; i < 2 * n; i++) /* what is left runs in circles */
        if (!used[i / 2] && chain(lines, mate, used, i, &out))
            goto done;
    status = 0;
done:
    if (status == 0) {
        lw_lines_free(lines);
        *lines = out;
    } else {
        lw_lines_free(&out);
        lw_fail(err, "out of memory while joining %zu lines", n);
    }
    free(end);
    free(pair);
    free(mate);
    free(used);
    return status;
}
