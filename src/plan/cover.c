/* How much of the belt the casts work, planned and made: counted in cells of a quarter metre. */
#include <math.h>
#include <stdlib.h>

#include "cells.h"
#include "steps.h"

#define CELL_M     0.25
#define MOST_CELLS 40e6 /* a longer belt is counted in coarser cells */

static int work(const struct belt_cells *cells, struct lw_en a, struct lw_en b, double half_m,
                uint8_t *worked, struct cell_run **run, size_t *room)
{
    size_t n = cells_near(cells, a, b, half_m, *run, *room);

    if (n > *room) {
        struct cell_run *more = realloc(*run, n * sizeof *more);

        if (!more)
            return -1;
        *run = more;
        *room = n;
        n = cells_near(cells, a, b, half_m, *run, *room);
    }
    for (size_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < (*run)[i].n; k++)
            worked[(*run)[i].first + k] = 1;
    return 0;
}

static double belt_area(const struct lw_plan *plan)
{
    double area_m2 = 0;

    for (size_t i = 0; i < plan->belt.n; i++) /* holes run clockwise: they take off */
        area_m2 += lw_line_area(&plan->belt.line[i]);
    return area_m2;
}

/* Sets coverage, and where the time is given the share by worth. */
static void count(struct lw_plan *plan, const struct belt_cells *cells, const uint8_t *worked)
{
    double all = 0, sum = 0;
    size_t n = 0;

    for (size_t i = 0; i < cells->n; i++)
        n += worked[i];
    plan->coverage = (double)n / (double)cells->n;
    plan->worth = NAN;
    if (isnan(plan->params.minutes))
        return;
    for (size_t row = 0; row < cells->rows; row++)
        for (size_t i = cells->row[row]; i < cells->row[row + 1]; i++)
            for (int32_t col = cells->span[i].col0; col < cells->span[i].col1; col++) {
                double worth = lw_belt_worth(plan, cells_middle(cells, row, col));

                all += worth;
                sum += worked[cells->span[i].first + (uint32_t)(col - cells->span[i].col0)] * worth;
            }
    plan->worth = sum / all;
}

int lw_belt_cover(struct lw_plan *plan, struct lw_error *err)
{
    struct belt_cells cells = {0};
    struct cell_run *run = NULL;
    uint8_t *worked = NULL;
    size_t room = 0;
    int rc = -1;

    plan->coverage = plan->worth = NAN;
    if (cells_open(&cells, &plan->belt, fmax(CELL_M, sqrt(belt_area(plan) / MOST_CELLS))))
        goto memory;
    if (cells.n == 0) {
        rc = 0;
        goto done;
    }
    worked = calloc(cells.n, 1);
    if (!worked)
        goto memory;
    for (size_t i = 0; i < plan->casts; i++)
        if (work(&cells, plan->cast[i].from, plan->cast[i].to, plan->params.swath_m / 2, worked,
                 &run, &room))
            goto memory;
    for (size_t i = 0; i < plan->mades; i++)
        if (work(&cells, plan->made[i].from, plan->made[i].to, plan->made[i].swath_m / 2, worked,
                 &run, &room))
            goto memory;
    count(plan, &cells, worked);
    rc = 0;
    goto done;
memory:
    lw_fail(err, "memory ran out while measuring the belt");
done:
    cells_close(&cells);
    free(run);
    free(worked);
    return rc;
}
