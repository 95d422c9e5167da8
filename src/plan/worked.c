#include "lipwalk/plan/worked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cells.h"
#include "steps.h"

#define CELL_M     0.5
#define MOST_CELLS 4e6 /* a longer belt is counted in coarser cells */
#define RUNS       4096
#define HALF       0.5

struct lw_worked {
    struct belt_cells cells;
    uint8_t *worked;      /* of each cell */
    uint32_t *piece;      /* the stretch of along that each cell lies in */
    uint32_t *all, *done; /* cells of each stretch, and those of them that are worked */
    size_t pieces;
    double piece_m;
    size_t count;
};

static void place_cells(struct lw_worked *w, const struct lw_plan *plan)
{
    const struct belt_cells *cells = &w->cells;

    for (size_t row = 0; row < cells->rows; row++)
        for (size_t i = cells->row[row]; i < cells->row[row + 1]; i++)
            for (int32_t col = cells->span[i].col0; col < cells->span[i].col1; col++) {
                uint32_t cell = cells->span[i].first + (uint32_t)(col - cells->span[i].col0);
                double along_m = lw_plan_offset(plan, cells_middle(cells, row, col)).along_m;
                double piece = fmin(fmax(0, floor(along_m / w->piece_m)), (double)w->pieces - 1);

                w->piece[cell] = (uint32_t)piece;
                w->all[w->piece[cell]]++;
            }
}

struct lw_worked *lw_worked_new(const struct lw_plan *plan)
{
    struct lw_worked *w = calloc(1, sizeof *w);
    double beat_m = lw_plan_beat_length(plan), area_m2;

    if (!w)
        return NULL;
    area_m2 = beat_m * (plan->params.up_m + plan->params.past_m);
    w->pieces = (size_t)fmax(1, floor(beat_m / plan->params.swath_m));
    w->piece_m = beat_m / (double)w->pieces;
    if (cells_open(&w->cells, &plan->belt, fmax(CELL_M, sqrt(area_m2 / MOST_CELLS))))
        goto fail;
    w->worked = calloc(w->cells.n + 1, 1);
    w->piece = calloc(w->cells.n + 1, sizeof *w->piece);
    w->all = calloc(w->pieces, sizeof *w->all);
    w->done = calloc(w->pieces, sizeof *w->done);
    if (!w->worked || !w->piece || !w->all || !w->done)
        goto fail;
    place_cells(w, plan);
    lw_worked_count(w, plan, NULL);
    return w;
fail:
    lw_worked_free(w);
    return NULL;
}

void lw_worked_free(struct lw_worked *w)
{
    if (!w)
        return;
    cells_close(&w->cells);
    free(w->worked);
    free(w->piece);
    free(w->all);
    free(w->done);
    free(w);
}

static void work(struct lw_worked *w, struct lw_en from, struct lw_en to, double swath_m)
{
    struct cell_run run[RUNS];
    size_t n = cells_near(&w->cells, from, to, swath_m / 2, run, RUNS);

    for (size_t i = 0; i < n && i < RUNS; i++)
        for (uint32_t cell = run[i].first; cell < run[i].first + run[i].n; cell++)
            if (!w->worked[cell]) {
                w->worked[cell] = 1;
                w->done[w->piece[cell]]++;
                w->count++;
            }
}

void lw_worked_count(struct lw_worked *w, const struct lw_plan *plan, const bool *done)
{
    memset(w->worked, 0, w->cells.n);
    memset(w->done, 0, w->pieces * sizeof *w->done);
    w->count = 0;
    for (size_t i = 0; i < plan->mades; i++)
        work(w, plan->made[i].from, plan->made[i].to, plan->made[i].swath_m);
    for (size_t i = 0; done && i < plan->casts; i++)
        if (done[i])
            work(w, plan->cast[i].from, plan->cast[i].to, plan->params.swath_m);
}

double lw_worked_share(const struct lw_worked *w)
{
    return w->cells.n ? (double)w->count / (double)w->cells.n : NAN;
}

static bool is_worked(const struct lw_worked *w, size_t piece)
{
    return (double)w->done[piece] >= HALF * (double)w->all[piece];
}

size_t lw_worked_holes(const struct lw_worked *w, struct lw_hole *hole, size_t most)
{
    size_t n = 0, last = w->pieces; /* the last worked piece */

    for (size_t i = 0; i < w->pieces; i++) {
        if (!is_worked(w, i))
            continue;
        if (last < i && i - last > 1) {
            if (n < most)
                hole[n] = (struct lw_hole){(double)(last + 1) * w->piece_m, (double)i * w->piece_m};
            n++;
        }
        last = i;
    }
    return n;
}
