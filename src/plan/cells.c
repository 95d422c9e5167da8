#include "cells.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/geo/span.h"

/* The first row (column) whose middle is not below `d` metres from the corner. */
static int32_t first_cell(double d, double cell_m, int32_t n)
{
    double i = ceil(d / cell_m - 0.5);

    return i <= 0 ? 0 : i >= n ? n : (int32_t)i;
}

struct crossings { /* of the rows' middles with the rings */
    size_t *start; /* start[rows + 1] */
    double *at_m;  /* east of each */
};

static double middle_n(const struct belt_cells *cells, size_t row)
{
    return cells->n0_m + ((double)row + 0.5) * cells->cell_m;
}

/* Counts (at_m NULL) into start[row + 1], or fills: start[row + 1] counts down to the row's start.
 */
static void cross_rows(const struct belt_cells *cells, const struct lw_lines *belt,
                       struct crossings *c)
{
    for (size_t i = 0; i < belt->n; i++)
        for (size_t k = 0; k + 1 < belt->line[i].n; k++) {
            struct lw_en a = belt->line[i].p[k], b = belt->line[i].p[k + 1];
            double low = fmin(a.n_m, b.n_m), high = fmax(a.n_m, b.n_m);
            size_t row = (size_t)first_cell(low - cells->n0_m, cells->cell_m, (int32_t)cells->rows);

            for (; row < cells->rows && middle_n(cells, row) < high; row++) {
                if (c->at_m)
                    c->at_m[--c->start[row + 1]] = a.e_m + (b.e_m - a.e_m) *
                                                               (middle_n(cells, row) - a.n_m) /
                                                               (b.n_m - a.n_m);
                else
                    c->start[row + 1]++;
            }
        }
}

static int find_crossings(const struct belt_cells *cells, const struct lw_lines *belt,
                          struct crossings *c, size_t *total)
{
    *total = 0;
    c->start = calloc(cells->rows + 2, sizeof *c->start);
    if (!c->start)
        return -1;
    cross_rows(cells, belt, c);
    for (size_t row = 0; row < cells->rows; row++)
        c->start[row + 1] = *total += c->start[row + 1];
    c->at_m = calloc(*total + 1, sizeof *c->at_m);
    if (!c->at_m)
        return -1;
    cross_rows(cells, belt, c);
    /* start[row + 1] is now where the row's own begin */
    for (size_t row = 0; row < cells->rows; row++)
        c->start[row] = c->start[row + 1];
    c->start[cells->rows] = *total;
    return 0;
}

static void fill_spans(struct belt_cells *cells, const struct crossings *c, int32_t columns)
{
    size_t spans = 0;

    for (size_t row = 0; row < cells->rows; row++) {
        double *at_m = c->at_m + c->start[row];
        size_t n = c->start[row + 1] - c->start[row];

        cells->row[row] = spans;
        qsort(at_m, n, sizeof *at_m, lw_number_order);
        for (size_t k = 0; k + 1 < n; k += 2) { /* even-odd: rings and their holes alike */
            struct cell_span s = {first_cell(at_m[k] - cells->e0_m, cells->cell_m, columns),
                                  first_cell(at_m[k + 1] - cells->e0_m, cells->cell_m, columns),
                                  (uint32_t)cells->n};

            if (s.col1 <= s.col0)
                continue;
            cells->span[spans++] = s;
            cells->n += (size_t)(s.col1 - s.col0);
        }
    }
    cells->row[cells->rows] = spans;
}

int cells_open(struct belt_cells *cells, const struct lw_lines *belt, double cell_m)
{
    struct lw_span box = lw_span_of_nothing();
    struct crossings c = {0};
    size_t total;
    int rc = -1;

    *cells = (struct belt_cells){.cell_m = cell_m};
    for (size_t i = 0; i < belt->n; i++)
        lw_span_add(&box, &belt->line[i]);
    if (box.e_min <= box.e_max) {
        cells->e0_m = box.e_min;
        cells->n0_m = box.n_min;
        cells->rows = (size_t)ceil((box.n_max - box.n_min) / cell_m) + 1;
    }
    cells->row = calloc(cells->rows + 1, sizeof *cells->row);
    if (!cells->row || find_crossings(cells, belt, &c, &total))
        goto done;
    cells->span = calloc(total / 2 + 1, sizeof *cells->span);
    if (!cells->span)
        goto done;
    if (cells->rows)
        fill_spans(cells, &c, (int32_t)ceil((box.e_max - box.e_min) / cell_m) + 1);
    rc = 0;
done:
    free(c.start);
    free(c.at_m);
    if (rc)
        cells_close(cells);
    return rc;
}

void cells_close(struct belt_cells *cells)
{
    free(cells->row);
    free(cells->span);
    *cells = (struct belt_cells){0};
}

struct lw_en cells_middle(const struct belt_cells *cells, size_t row, int32_t col)
{
    return (struct lw_en){cells->e0_m + (col + 0.5) * cells->cell_m, middle_n(cells, row)};
}

/* A straight stretch with all places within r_m of it, asked row by row. */
struct stadium {
    struct lw_en a, b;
    double r_m, length_m, ue, un; /* its direction */
    double per_ue, per_un;        /* 1 / ue, 1 / un; 0 where it runs along or across the rows */
};
struct reach { /* what a row has of it: low > high nothing */
    double low, high;
};

static struct stadium stadium_of(struct lw_en a, struct lw_en b, double r_m)
{
    struct stadium s = {.a = a, .b = b, .r_m = r_m, .length_m = lw_en_distance(a, b)};

    if (s.length_m > 0) {
        s.ue = (b.e_m - a.e_m) / s.length_m;
        s.un = (b.n_m - a.n_m) / s.length_m;
        s.per_ue = fabs(s.ue) > 1e-12 ? 1 / s.ue : 0;
        s.per_un = fabs(s.un) > 1e-12 ? 1 / s.un : 0;
    }
    return s;
}

static void add_disc(struct reach *r, struct lw_en at, double r_m, double n_m)
{
    double dn = n_m - at.n_m, half = r_m * r_m - dn * dn;

    if (half < 0)
        return;
    half = sqrt(half);
    r->low = at.e_m - half < r->low ? at.e_m - half : r->low;
    r->high = at.e_m + half > r->high ? at.e_m + half : r->high;
}

/* Narrows to low <= e <= high, whichever way round they come. */
static void narrow(struct reach *r, double low, double high)
{
    if (low > high) {
        double swap = low;

        low = high;
        high = swap;
    }
    r->low = low > r->low ? low : r->low;
    r->high = high < r->high ? high : r->high;
}

/* Two discs and the strip between them, convex together. */
static struct reach row_of(const struct stadium *s, double n_m)
{
    struct reach r = {INFINITY, -INFINITY}, strip = {-INFINITY, INFINITY};
    double dn = n_m - s->a.n_m;

    add_disc(&r, s->a, s->r_m, n_m);
    add_disc(&r, s->b, s->r_m, n_m);
    if (!(s->length_m > 0))
        return r;
    /* 0 <= (e - a.e) ue + dn un <= length; -r <= dn ue - (e - a.e) un <= r */
    if (s->per_ue != 0)
        narrow(&strip, s->a.e_m - dn * s->un * s->per_ue,
               s->a.e_m + (s->length_m - dn * s->un) * s->per_ue);
    else if (dn * s->un < 0 || dn * s->un > s->length_m)
        return r;
    if (s->per_un != 0)
        narrow(&strip, s->a.e_m + (dn * s->ue - s->r_m) * s->per_un,
               s->a.e_m + (dn * s->ue + s->r_m) * s->per_un);
    else if (fabs(dn) > s->r_m)
        return r;
    if (strip.low <= strip.high) {
        r.low = strip.low < r.low ? strip.low : r.low;
        r.high = strip.high > r.high ? strip.high : r.high;
    }
    return r;
}

/* The first span of a row that ends behind a column: a long beat along the rows has hundreds. */
static size_t first_span(const struct belt_cells *cells, size_t row, int32_t col)
{
    size_t low = cells->row[row], high = cells->row[row + 1];

    while (low < high) {
        size_t middle = (low + high) / 2;

        if (cells->span[middle].col1 <= col)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

size_t cells_near(const struct belt_cells *cells, struct lw_en a, struct lw_en b, double half_m,
                  struct cell_run *run, size_t most)
{
    int32_t rows = (int32_t)cells->rows;
    int32_t row0 = first_cell(fmin(a.n_m, b.n_m) - half_m - cells->n0_m, cells->cell_m, rows);
    int32_t row1 = first_cell(fmax(a.n_m, b.n_m) + half_m - cells->n0_m, cells->cell_m, rows);
    struct stadium stadium = stadium_of(a, b, half_m);
    size_t runs = 0;

    for (int32_t row = row0; row < row1; row++) {
        struct reach r;
        int32_t low, high;

        if (cells->row[row] == cells->row[row + 1])
            continue;
        r = row_of(&stadium, middle_n(cells, (size_t)row));
        if (!(r.low <= r.high))
            continue;
        low = first_cell(r.low - cells->e0_m, cells->cell_m, INT32_MAX);
        high = first_cell(r.high - cells->e0_m, cells->cell_m, INT32_MAX);
        for (size_t i = first_span(cells, (size_t)row, low);
             i < cells->row[row + 1] && cells->span[i].col0 < high; i++) {
            const struct cell_span *s = &cells->span[i];
            int32_t from = low > s->col0 ? low : s->col0, to = high < s->col1 ? high : s->col1;

            if (from >= to)
                continue;
            if (runs < most)
                run[runs] = (struct cell_run){s->first + (uint32_t)(from - s->col0),
                                              (uint32_t)(to - from), (uint32_t)row, from};
            runs++;
        }
    }
    return runs;
}
