/* Each top in its own box: how far its cells are from the rim, the rim's slope, the dome. */
#include "dome.h"

#include <math.h>
#include <stdlib.h>

#define RIM_M     3.0 /* the slope is taken so near to the contour ... */
#define RIM_CELLS 1.5 /* ... and on two rows of cells at least */

struct top {
    int x0, x1, y0, y1; /* the columns and rows that hold it */
    bool open;          /* nothing is known of it */
};
/* A top's cells with a rim of one cell about them: off[high * wide], the cells from each cell's
 * middle to the nearest one outside the band. */
struct sheet {
    const struct top *top;
    int wide, high;
    float *off;
};

static struct top *find_tops(const struct lw_surface_in *in, const struct lw_bands *bands,
                             const struct lw_grid *grid)
{
    struct top *top = calloc(bands->bands + 1, sizeof *top);

    if (!top)
        return NULL;
    for (size_t k = 0; k < bands->bands; k++)
        top[k] = (struct top){grid->nx, -1, grid->ny, -1,
                              bands->band[k].lo_guessed && !bands->band[k].land};
    for (int y = 0; y < grid->ny; y++)
        for (int x = 0; x < grid->nx; x++) {
            int32_t label = bands->label[(size_t)y * (size_t)grid->nx + (size_t)x];
            struct top *here = &top[label < 0 ? 0 : label];

            if (label < 0 || !here->open)
                continue;
            here->x0 = x < here->x0 ? x : here->x0;
            here->x1 = x > here->x1 ? x : here->x1;
            here->y0 = y < here->y0 ? y : here->y0;
            here->y1 = y;
        }
    for (size_t k = 0; k < in->soundings; k++) {
        int x, y;

        if (lw_grid_cell(grid, in->sounding[k].at, &x, &y)) {
            int32_t label = bands->label[(size_t)y * (size_t)grid->nx + (size_t)x];

            if (label >= 0)
                top[label].open = false;
        }
    }
    return top;
}

static void nearer(float *least, float other)
{
    if (other < *least)
        *least = other;
}

/* Distances by two passes (chamfer 1, sqrt 2: Borgefors 1986, from memory). */
static void measure(const struct sheet *sheet, const struct lw_bands *bands, int32_t label,
                    const struct lw_grid *grid)
{
    int wide = sheet->wide, high = sheet->high;

    for (int i = 0; i < high; i++)
        for (int j = 0; j < wide; j++) {
            int x = sheet->top->x0 + j - 1, y = sheet->top->y0 + i - 1;
            bool inside = x >= 0 && y >= 0 && x < grid->nx && y < grid->ny &&
                          bands->label[(size_t)y * (size_t)grid->nx + (size_t)x] == label;

            sheet->off[(size_t)i * (size_t)wide + (size_t)j] = inside ? 1e9f : 0;
        }
    for (int pass = 0; pass < 2; pass++) {
        int way = pass ? -1 : 1;

        for (int ii = 1; ii < high - 1; ii++)
            for (int jj = 1; jj < wide - 1; jj++) {
                int i = pass ? high - 1 - ii : ii, j = pass ? wide - 1 - jj : jj;
                float *at = sheet->off + (size_t)i * (size_t)wide + (size_t)j;
                const float *row = at - (ptrdiff_t)way * wide;

                nearer(at, at[-way] + 1);
                nearer(at, row[0] + 1);
                nearer(at, row[-1] + 1.41421f);
                nearer(at, row[1] + 1.41421f);
            }
    }
}

/* One row's cells of the sheet, as they lie in the grid. */
static float *depths_of(const struct sheet *sheet, struct lw_grid *grid, int i)
{
    return grid->depth_m + (size_t)(sheet->top->y0 + i - 1) * (size_t)grid->nx + sheet->top->x0 - 1;
}

/* The mean slope near the rim, a metre down for each cell across; NaN where none can be taken. */
static double rim_slope(const struct sheet *sheet, struct lw_grid *grid)
{
    double near = fmax(RIM_CELLS, RIM_M / grid->cell_m), sum = 0;
    size_t n = 0;

    for (int i = 1; i < sheet->high - 1; i++) {
        const float *off = sheet->off + (size_t)i * (size_t)sheet->wide;
        const float *z = depths_of(sheet, grid, i);
        int y = sheet->top->y0 + i - 1;

        if (y < 1 || y > grid->ny - 2)
            continue;
        for (int j = 1; j < sheet->wide - 1; j++) {
            int x = sheet->top->x0 + j - 1;

            if (!(off[j] > 0 && off[j] <= near) || x < 1 || x > grid->nx - 2)
                continue;
            sum += hypot(z[j + 1] - z[j - 1], z[j + grid->nx] - z[j - grid->nx]) / 2;
            n++;
        }
    }
    return n ? sum / (double)n : NAN;
}

static void round_off(const struct sheet *sheet, double rim_m, struct lw_grid *grid)
{
    double slope = rim_slope(sheet, grid), middle = 0;

    if (isnan(slope))
        return;
    for (size_t k = 0; k < (size_t)sheet->wide * (size_t)sheet->high; k++)
        middle = fmax(middle, sheet->off[k]);
    for (int i = 1; i < sheet->high - 1; i++) {
        const float *off = sheet->off + (size_t)i * (size_t)sheet->wide;
        float *z = depths_of(sheet, grid, i);

        for (int j = 1; j < sheet->wide - 1; j++) {
            double d = off[j] - 0.5; /* the contour runs half-way between the cells' middles */

            if (off[j] > 0)
                z[j] = (float)fmax(z[j], rim_m - slope * (d - d * d / (2 * middle)));
        }
    }
}

int lw_domes_keep(const struct lw_surface_in *in, const struct lw_bands *bands,
                  struct lw_grid *grid)
{
    struct top *top = find_tops(in, bands, grid);

    if (!top)
        return -1;
    for (size_t k = 0; k < bands->bands; k++) {
        struct sheet sheet = {&top[k], top[k].x1 - top[k].x0 + 3, top[k].y1 - top[k].y0 + 3, NULL};

        if (!top[k].open || top[k].x1 < 0)
            continue;
        sheet.off = malloc((size_t)sheet.wide * (size_t)sheet.high * sizeof *sheet.off);
        if (!sheet.off) {
            free(top);
            return -1;
        }
        measure(&sheet, bands, (int32_t)k, grid);
        round_off(&sheet, in->contour[bands->band[k].contour].depth_m, grid);
        free(sheet.off);
    }
    free(top);
    return 0;
}
