/* A grid over the segments of a line: each cell lists the segments that touch it. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/geo/span.h"
#include "nearest.h"

/* Many more cells than segments only make empty ones to search. */
#define FEWEST_CELLS      10000.0
#define CELLS_PER_SEGMENT 16.0

struct lw_line_index {
    const struct lw_line *line;
    double *before_m; /* before_m[n]: along of each vertex */
    struct lw_en low; /* south-west corner of the grid */
    double cell_m;
    long columns, rows;
    size_t *start;   /* start[columns * rows + 1]: where each cell's list begins in `segment` */
    size_t *segment; /* the lists, one after the other */
};

static long cell_of(double at_m, double low_m, double cell_m)
{
    return (long)floor((at_m - low_m) / cell_m);
}

static long limit(long i, long count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

/* Calls for each cell that the segment may touch: row by row, the columns it spans there. With
 * `lists` false it counts into start[cell + 1], else it fills the lists. */
static void put_segment(struct lw_line_index *index, size_t i, size_t *filled)
{
    struct lw_en a = index->line->p[i], b = index->line->p[i + 1];
    double slack_m = index->cell_m * 1e-6; /* rounding must not lose a touched cell */
    double south = fmin(a.n_m, b.n_m), north = fmax(a.n_m, b.n_m);
    long first = limit(cell_of(south - slack_m, index->low.n_m, index->cell_m), index->rows);
    long last = limit(cell_of(north + slack_m, index->low.n_m, index->cell_m), index->rows);

    for (long row = first; row <= last; row++) {
        double from = fmax(south, index->low.n_m + (double)row * index->cell_m - slack_m);
        double to = fmin(north, index->low.n_m + (double)(row + 1) * index->cell_m + slack_m);
        double e0 = fmin(a.e_m, b.e_m), e1 = fmax(a.e_m, b.e_m);

        if (north - south > slack_m) {
            double slope = (b.e_m - a.e_m) / (b.n_m - a.n_m);
            double x0 = a.e_m + (from - a.n_m) * slope, x1 = a.e_m + (to - a.n_m) * slope;

            e0 = fmax(e0, fmin(x0, x1));
            e1 = fmin(e1, fmax(x0, x1));
        }
        long west = limit(cell_of(e0 - slack_m, index->low.e_m, index->cell_m), index->columns);
        long east = limit(cell_of(e1 + slack_m, index->low.e_m, index->cell_m), index->columns);

        for (long column = west; column <= east; column++) {
            size_t cell = (size_t)(row * index->columns + column);

            if (filled)
                index->segment[index->start[cell] + filled[cell]++] = i;
            else
                index->start[cell + 1]++;
        }
    }
}

struct lw_line_index *lw_line_index_new(const struct lw_line *line, double cell_m)
{
    struct lw_line_index *index;
    struct lw_span span;
    size_t cells, *filled = NULL;
    double most = FEWEST_CELLS + CELLS_PER_SEGMENT * (double)line->n;

    if (line->n < 2 || !(cell_m > 0))
        return NULL;
    for (size_t i = 0; i < line->n; i++)
        if (!isfinite(line->p[i].e_m) || !isfinite(line->p[i].n_m))
            return NULL;
    span = lw_span_of(line);
    while (((span.e_max - span.e_min) / cell_m + 1) * ((span.n_max - span.n_min) / cell_m + 1) >
           most)
        cell_m *= 2;
    index = calloc(1, sizeof *index);
    if (!index)
        return NULL;
    *index = (struct lw_line_index){
        .line = line, .low = {span.e_min, span.n_min}, .cell_m = cell_m};
    index->columns = 1 + cell_of(span.e_max, span.e_min, cell_m);
    index->rows = 1 + cell_of(span.n_max, span.n_min, cell_m);
    cells = (size_t)(index->columns * index->rows);
    index->before_m = calloc(line->n, sizeof *index->before_m);
    index->start = calloc(cells + 1, sizeof *index->start);
    filled = calloc(cells, sizeof *filled);
    if (!index->before_m || !index->start || !filled)
        goto fail;
    for (size_t i = 0; i + 1 < line->n; i++) {
        index->before_m[i + 1] = index->before_m[i] + lw_en_distance(line->p[i], line->p[i + 1]);
        put_segment(index, i, NULL);
    }
    for (size_t c = 0; c < cells; c++)
        index->start[c + 1] += index->start[c];
    index->segment = calloc(index->start[cells], sizeof *index->segment);
    if (!index->segment)
        goto fail;
    for (size_t i = 0; i + 1 < line->n; i++)
        put_segment(index, i, filled);
    free(filled);
    return index;

fail:
    free(filled);
    lw_line_index_free(index);
    return NULL;
}

void lw_line_index_free(struct lw_line_index *index)
{
    if (!index)
        return;
    free(index->before_m);
    free(index->start);
    free(index->segment);
    free(index);
}

struct best {
    double dist2;
    size_t segment;
};

static void search_cells(const struct lw_line_index *index, struct lw_en at, long row, long west,
                         long east, struct best *best)
{
    if (east < 0 || west >= index->columns)
        return;
    west = limit(west, index->columns);
    east = limit(east, index->columns);
    size_t from = index->start[row * index->columns + west];
    size_t to = index->start[row * index->columns + east + 1];

    for (size_t k = from; k < to; k++) {
        size_t i = index->segment[k];
        const struct lw_en *p = &index->line->p[i];
        double dist2 = lw_segment_dist2(p[0], p[1], at);

        /* Of equally near ones the first, as when all are asked in turn. */
        if (dist2 < best->dist2 || (dist2 == best->dist2 && i < best->segment))
            *best = (struct best){dist2, i};
    }
}

static long larger(long a, long b)
{
    return a > b ? a : b;
}

/* How many squares about a place outside the grid can be left out because none reaches it. */
static long squares_between(const struct lw_line_index *index, long column, long row)
{
    long across = larger(-column, column - index->columns + 1);
    long up = larger(-row, row - index->rows + 1);

    return larger(0, larger(across, up));
}

struct lw_near lw_line_index_nearest(const struct lw_line_index *index, struct lw_en at)
{
    struct best best = {INFINITY, 0};
    double across = (at.e_m - index->low.e_m) / index->cell_m;
    double up = (at.n_m - index->low.n_m) / index->cell_m;
    double far = (double)(index->columns + index->rows);

    /* From far outside (or NaN) squares of cells are of no use. */
    if (!(fabs(across) < 2 * far && fabs(up) < 2 * far))
        return lw_line_nearest(index->line, at);
    long column = (long)floor(across), row = (long)floor(up);
    double margin = fmin(fmin(across - (double)column, (double)(column + 1) - across),
                         fmin(up - (double)row, (double)(row + 1) - up));

    /* Squares of cells about the place; what lies outside of square r is further than that. */
    for (long r = squares_between(index, column, row);; r++) {
        double reach_m = ((double)r + margin) * index->cell_m;

        for (long k = larger(-r, -row); k <= r && row + k < index->rows; k++) {
            if (k == -r || k == r) {
                search_cells(index, at, row + k, column - r, column + r, &best);
            } else {
                search_cells(index, at, row + k, column - r, column - r, &best);
                search_cells(index, at, row + k, column + r, column + r, &best);
            }
        }
        if (best.dist2 < reach_m * reach_m * (1 - 1e-9))
            break;
    }
    return lw_segment_near(index->line, best.segment, index->before_m[best.segment], at);
}
