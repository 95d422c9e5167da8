/* A judge of lines at a distance that shares no code with them: a grid of its own over plain
 * segments, asked for the nearest one by brute force among the nine cells about a place. */
#ifndef LW_TEST_HOLD_JUDGE_H
#define LW_TEST_HOLD_JUDGE_H

#include <math.h>
#include <stdlib.h>

#include "lipwalk/geo/line.h"

#define JUDGE_STEP_M 0.25 /* between places looked at on a part */
#define JUDGE_WALK_M 1.0  /* between places looked at along the edge */
#define JUDGE_FREE_M 1e-3 /* a place is free of the edge when no nearer to it than this much less  \
                           */
#define JUDGE_TIE_M 1e-6  /* and on the line itself, not on one that overlaps it in a shallow bend \
                           */
#define JUDGE_LOST_M    0.05 /* and lost when no part passes as near */
#define JUDGE_BACK_M    0.05 /* feet going back by more are no noise */
#define JUDGE_CELLS_MAX 4e6

/* One or more lines cut into cells. */
struct judge_grid {
    const struct lw_line *const *line; /* line[lines] */
    size_t lines, *start, *entry;      /* entry: number of the line << 32 | segment */
    double **before_m;                 /* before_m[line][vertex] */
    double cell_m, west_m, south_m;
    long columns, rows;
};
struct judge_near {
    double dist_m, along_m; /* INFINITY beyond a cell's width; along of the foot */
    bool left;
};
struct judge_score {
    size_t parts, vertices, crossings, backward, unordered, wrong_side, lost, walked;
    double vertex_m, between_m; /* worst deviation from the distance */
    double back_m;              /* worst step back of a foot */
    double length_m;            /* of all parts */
    double free_m;              /* of what should be there, by the walk */
    double lost_m;
    struct lw_en where; /* of the last loss */
};

static inline long judge_cell(double at, double low, double size)
{
    return (long)floor((at - low) / size);
}

/* Puts (or, before that, counts) each segment into all cells of its bounding box. */
static inline void judge_fill(struct judge_grid *g, size_t *filled)
{
    for (size_t k = 0; k < g->lines; k++)
        for (size_t i = 0; i + 1 < g->line[k]->n; i++) {
            struct lw_en a = g->line[k]->p[i], b = g->line[k]->p[i + 1];
            long c1 = judge_cell(fmax(a.e_m, b.e_m), g->west_m, g->cell_m);
            long r1 = judge_cell(fmax(a.n_m, b.n_m), g->south_m, g->cell_m);

            for (long c = judge_cell(fmin(a.e_m, b.e_m), g->west_m, g->cell_m); c <= c1; c++)
                for (long r = judge_cell(fmin(a.n_m, b.n_m), g->south_m, g->cell_m); r <= r1; r++) {
                    size_t cell = (size_t)(r * g->columns + c);

                    if (filled)
                        g->entry[g->start[cell] + filled[cell]++] = k << 32 | i;
                    else
                        g->start[cell + 1]++;
                }
        }
}

static inline void judge_open(struct judge_grid *g, const struct lw_line *const *line, size_t lines,
                              double cell_m)
{
    double east_m = -INFINITY, north_m = -INFINITY;
    size_t cells, *filled;

    *g = (struct judge_grid){line, lines, .cell_m = cell_m, .west_m = INFINITY,
                             .south_m = INFINITY};
    g->before_m = calloc(lines + 1, sizeof *g->before_m);
    for (size_t k = 0; k < lines; k++) {
        g->before_m[k] = calloc(line[k]->n + 1, sizeof **g->before_m);
        for (size_t i = 0; i < line[k]->n; i++) {
            struct lw_en p = line[k]->p[i];

            g->west_m = fmin(g->west_m, p.e_m);
            g->south_m = fmin(g->south_m, p.n_m);
            east_m = fmax(east_m, p.e_m);
            north_m = fmax(north_m, p.n_m);
            if (i > 0)
                g->before_m[k][i] = g->before_m[k][i - 1] + hypot(p.e_m - line[k]->p[i - 1].e_m,
                                                                  p.n_m - line[k]->p[i - 1].n_m);
        }
    }
    if (lines == 0)
        return;
    while ((east_m - g->west_m) * (north_m - g->south_m) / g->cell_m / g->cell_m > JUDGE_CELLS_MAX)
        g->cell_m *= 2;
    g->columns = judge_cell(east_m, g->west_m, g->cell_m) + 1;
    g->rows = judge_cell(north_m, g->south_m, g->cell_m) + 1;
    cells = (size_t)(g->columns * g->rows);
    g->start = calloc(cells + 2, sizeof *g->start);
    filled = calloc(cells + 1, sizeof *filled);
    judge_fill(g, NULL);
    for (size_t c = 0; c < cells; c++)
        g->start[c + 1] += g->start[c];
    g->entry = calloc(g->start[cells] + 1, sizeof *g->entry);
    judge_fill(g, filled);
    free(filled);
}

static inline void judge_close(struct judge_grid *g)
{
    for (size_t k = 0; k < g->lines; k++)
        free(g->before_m[k]);
    free(g->before_m);
    free(g->start);
    free(g->entry);
}

/* Whether `at`, whose nearest place is vertex v, lies left of the line: the sum of the two unit
 * directions there decides (angle-weighted normals, Baerentzen and Aanaes 2005, in the plane). */
static inline bool judge_left_of_vertex(const struct lw_line *line, size_t v, struct lw_en at)
{
    double de = 0, dn = 0;
    size_t last = line->n - 1;

    for (int k = 0; k < 2; k++) {
        size_t i = k ? v : v - 1; /* segments before and after */
        double e, n, length;

        if (k == 0 && v == 0)
            i = last - 1;
        if (k == 1 && v == last)
            i = 0;
        if (!line->closed && ((k == 0 && v == 0) || (k == 1 && v == last)))
            continue;
        e = line->p[i + 1].e_m - line->p[i].e_m;
        n = line->p[i + 1].n_m - line->p[i].n_m;
        length = hypot(e, n);
        de += e / length;
        dn += n / length;
    }
    return de * (at.n_m - line->p[v].n_m) - dn * (at.e_m - line->p[v].e_m) > 0;
}

static inline struct judge_near judge_nearest(const struct judge_grid *g, struct lw_en at)
{
    struct judge_near best = {.dist_m = INFINITY};
    double best2 = INFINITY, best_t = 0;
    size_t entry = 0;
    long column, row;

    if (g->lines == 0)
        return best;
    column = judge_cell(at.e_m, g->west_m, g->cell_m);
    row = judge_cell(at.n_m, g->south_m, g->cell_m);
    for (long r = row - 1; r <= row + 1; r++)
        for (long c = column - 1; c <= column + 1; c++) {
            size_t cell = (size_t)(r * g->columns + c);

            if (r < 0 || c < 0 || r >= g->rows || c >= g->columns)
                continue;
            for (size_t k = g->start[cell]; k < g->start[cell + 1]; k++) {
                const struct lw_en *p = g->line[g->entry[k] >> 32]->p + (g->entry[k] & 0xffffffff);
                double e = p[1].e_m - p[0].e_m, n = p[1].n_m - p[0].n_m;
                double x = at.e_m - p[0].e_m, y = at.n_m - p[0].n_m;
                double t = fmin(1, fmax(0, (x * e + y * n) / (e * e + n * n)));
                double d2 = (x - t * e) * (x - t * e) + (y - t * n) * (y - t * n);

                if (d2 < best2) {
                    best2 = d2;
                    best_t = t;
                    entry = g->entry[k];
                }
            }
        }
    if (best2 < g->cell_m * g->cell_m) {
        const struct lw_line *line = g->line[entry >> 32];
        size_t i = entry & 0xffffffff;
        struct lw_en a = line->p[i], b = line->p[i + 1];
        double e = b.e_m - a.e_m, n = b.n_m - a.n_m;

        best.dist_m = sqrt(best2);
        best.along_m = g->before_m[entry >> 32][i] + best_t * hypot(e, n);
        if (line->closed && g->before_m[entry >> 32][line->n - 1] - best.along_m < 1e-5)
            best.along_m = 0; /* the last vertex is the first */
        best.left = best_t <= 0   ? judge_left_of_vertex(line, i, at)
                    : best_t >= 1 ? judge_left_of_vertex(line, i + 1, at)
                                  : e * (at.n_m - a.n_m) - n * (at.e_m - a.e_m) > 0;
    }
    return best;
}

static inline double judge_side(struct lw_en a, struct lw_en b, struct lw_en c)
{
    return (b.e_m - a.e_m) * (c.n_m - a.n_m) - (b.n_m - a.n_m) * (c.e_m - a.e_m);
}

/* Segments of any two parts, or of one, that cross; those that share a vertex in turn do not count.
 */
static inline size_t judge_crossings(const struct judge_grid *parts)
{
    size_t crossings = 0, cells = (size_t)(parts->columns * parts->rows);

    for (size_t cell = 0; cell < cells; cell++)
        for (size_t x = parts->start[cell]; x < parts->start[cell + 1]; x++)
            for (size_t y = x + 1; y < parts->start[cell + 1]; y++) {
                size_t k = parts->entry[x] >> 32, l = parts->entry[y] >> 32;
                size_t i = parts->entry[x] & 0xffffffff, j = parts->entry[y] & 0xffffffff;
                const struct lw_en *p = parts->line[k]->p + i, *q = parts->line[l]->p + j;

                if (k == l && (i + 1 == j || j + 1 == i))
                    continue;
                if (judge_side(p[0], p[1], q[0]) * judge_side(p[0], p[1], q[1]) < 0 &&
                    judge_side(q[0], q[1], p[0]) * judge_side(q[0], q[1], p[1]) < 0)
                    crossings++; /* a pair that shares cells counts in each */
            }
    return crossings;
}

/* Distances, sides and feet along one part. */
static inline void judge_part(const struct judge_grid *edge, const struct lw_line *part,
                              double dist_m, bool left, struct judge_score *score)
{
    double before_m = NAN, whole_m = edge->before_m[0][edge->line[0]->n - 1];
    bool wrapped = false;

    for (size_t i = 0; i < part->n; i++) {
        struct lw_en p = part->p[i], next = part->p[i + 1 < part->n ? i + 1 : i];
        struct judge_near near = judge_nearest(edge, p);
        double gap_m = hypot(next.e_m - p.e_m, next.n_m - p.n_m);
        int steps = (int)ceil(gap_m / JUDGE_STEP_M);

        score->vertices++;
        score->length_m += gap_m;
        score->vertex_m = fmax(score->vertex_m, fabs(near.dist_m - dist_m));
        score->wrong_side += near.left != left;
        /* Once round a closed edge the feet begin anew; a ring in a bay closes with a step back. */
        if (near.along_m < before_m - JUDGE_BACK_M) {
            if (edge->line[0]->closed && !wrapped &&
                (part->closed || before_m - near.along_m > whole_m / 2)) {
                wrapped = true;
            } else {
                score->backward++;
                score->back_m = fmax(score->back_m, before_m - near.along_m);
            }
        }
        before_m = near.along_m;
        for (int k = 1; k < steps; k++) {
            struct lw_en at = {p.e_m + (next.e_m - p.e_m) * k / steps,
                               p.n_m + (next.n_m - p.n_m) * k / steps};

            score->between_m = fmax(score->between_m,
                                    fabs(judge_nearest(edge, at).dist_m - dist_m));
        }
    }
}

/* One place that should be on the line if the edge leaves it free. */
static inline void judge_place(const struct judge_grid *edge, const struct judge_grid *parts,
                               struct lw_en at, double dist_m, double share_m,
                               struct judge_score *score)
{
    double edge_m = judge_nearest(edge, at).dist_m;

    score->walked++;
    if (edge_m < dist_m - JUDGE_FREE_M)
        return;
    if (edge_m >= dist_m - JUDGE_TIE_M)
        score->free_m += share_m;
    if (judge_nearest(parts, at).dist_m > JUDGE_LOST_M) {
        score->lost++;
        score->lost_m += share_m;
        score->where = at;
    }
}

/* Walks the edge, stepping square off each stretch and round each corner. */
static inline void judge_walk(const struct judge_grid *edge, const struct judge_grid *parts,
                              double dist_m, bool left, struct judge_score *score)
{
    const struct lw_line *line = edge->line[0];
    double s = left ? dist_m : -dist_m;

    for (size_t i = 0; i + 1 < line->n; i++) {
        struct lw_en a = line->p[i], b = line->p[i + 1];
        struct lw_en c = line->p[i + 2 < line->n ? i + 2 : 1];
        double de = b.e_m - a.e_m, dn = b.n_m - a.n_m, length = hypot(de, dn);
        double was = atan2(dn, de),
               turn = remainder(atan2(c.n_m - b.n_m, c.e_m - b.e_m) - was, 2 * M_PI);
        int steps = (int)ceil(length / JUDGE_WALK_M), arcs;

        for (int k = 0; k < steps; k++) {
            double t = (k + 0.5) / steps;
            struct lw_en at = {a.e_m + t * de - s * dn / length, a.n_m + t * dn + s * de / length};

            judge_place(edge, parts, at, dist_m, length / steps, score);
        }
        if ((i + 2 == line->n && !line->closed) || turn * s > 0) /* an end, or bent to this side */
            continue;
        arcs = (int)ceil(fabs(turn) * dist_m / JUDGE_WALK_M);
        for (int k = 0; k < arcs; k++) {
            double to = was + turn * (k + 0.5) / arcs + M_PI / 2;
            struct lw_en at = {b.e_m + s * cos(to), b.n_m + s * sin(to)};

            judge_place(edge, parts, at, dist_m, fabs(turn) * dist_m / arcs, score);
        }
    }
}

/* Adds to the score (worst of, or sum of). */
static inline void judge(const struct lw_line *edge, const struct lw_lines *out, double dist_m,
                         bool left, struct judge_score *score)
{
    const struct lw_line **line = calloc(out->n + 1, sizeof *line);
    struct judge_grid whole, parts;
    double before_m = -INFINITY;

    judge_open(&whole, &edge, 1, dist_m + 1);
    for (size_t k = 0; k < out->n; k++) {
        double first_m = judge_nearest(&whole, out->line[k].p[0]).along_m;

        line[k] = &out->line[k];
        score->unordered += first_m < before_m - JUDGE_BACK_M;
        before_m = first_m;
        judge_part(&whole, line[k], dist_m, left, score);
    }
    judge_open(&parts, line, out->n, 2);
    score->parts += out->n;
    score->crossings += judge_crossings(&parts);
    judge_walk(&whole, &parts, dist_m, left, score);
    judge_close(&parts);
    judge_close(&whole);
    free(line);
}

#endif
