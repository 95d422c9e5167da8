/* The surface on the page: bands of one hue between round depths. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "picture_parts.h"

#define SQUARE_MM 0.2  /* finer is not seen */
#define BORDER    3    /* squares of land about the small grid */
#define LAND_M    -1e4 /* shallower than any level: bands close along the land */

/* The mean of the block's cells; *share is how many of them are water. NaN: none. */
static double block_mean(const struct lw_grid *grid, int block, int bi, int bj, double *share)
{
    double sum = 0;
    int water = 0;

    for (int i = bi * block; i < (bi + 1) * block; i++)
        for (int j = bj * block; j < (bj + 1) * block; j++) {
            float z = NAN;

            if (i >= 0 && j >= 0 && i < grid->ny && j < grid->nx)
                z = grid->depth_m[cell_of(grid, i, j)];
            if (isnan(z))
                continue;
            sum += (double)z;
            water++;
        }
    *share = (double)water / block / block;
    return water ? sum / water : NAN;
}

/* Fills sheet->small and `water`, alike, with the share of water. */
static int shrink(struct sheet *sheet, struct lw_grid *water)
{
    const struct lw_grid *grid = &sheet->chart->grid;
    double cell_mm = grid->cell_m * sheet->page.mm_per_m;
    int block = (int)fmax(1, floor(SQUARE_MM / cell_mm));
    double middle = (block - 1) / 2.0 - BORDER * block;
    struct lw_grid *small = &sheet->small;

    small->nx = (grid->nx + block - 1) / block + 2 * BORDER;
    small->ny = (grid->ny + block - 1) / block + 2 * BORDER;
    small->cell_m = block * cell_mm * PER_MM;
    small->e0_m = (grid->e0_m + middle * grid->cell_m - sheet->page.middle.e_m) *
                  sheet->page.mm_per_m * PER_MM;
    small->n0_m = (grid->n0_m + middle * grid->cell_m - sheet->page.middle.n_m) *
                  sheet->page.mm_per_m * PER_MM;
    if (grid_like(small, small) || grid_like(small, water))
        return -1;
    for (int i = 0; i < small->ny; i++)
        for (int j = 0; j < small->nx; j++) {
            double share;

            small->depth_m[cell_of(small, i, j)] = (float)block_mean(grid, block, i - BORDER,
                                                                     j - BORDER, &share);
            water->depth_m[cell_of(small, i, j)] = (float)share;
        }
    return 0;
}

/* The bottom drawn on by one square over the land, for the bands to be cut at the shore. */
static int draw_on(struct lw_grid *small)
{
    struct lw_grid was;

    if (grid_like(small, &was))
        return -1;
    memcpy(was.depth_m, small->depth_m,
           (size_t)small->nx * (size_t)small->ny * sizeof *was.depth_m);
    for (int i = 1; i + 1 < small->ny; i++)
        for (int j = 1; j + 1 < small->nx; j++) {
            double sum = 0;
            int n = 0;

            if (!isnan(was.depth_m[cell_of(small, i, j)]))
                continue;
            for (int k = 0; k < 9; k++) {
                float z = was.depth_m[cell_of(small, i + k / 3 - 1, j + k % 3 - 1)];

                if (!isnan(z)) {
                    sum += (double)z;
                    n++;
                }
            }
            if (n)
                small->depth_m[cell_of(small, i, j)] = (float)(sum / n);
        }
    free(was.depth_m);
    return 0;
}

/* 1, 2, 5, 10 ... of the crew's unit, so that few enough bands reach the deepest. */
static void choose_bands(struct sheet *sheet)
{
    double one_m = sheet->picture->units == LW_US ? LW_FT_M : 1, tenth = 0.01;
    const double of[] = {1, 2, 5};

    for (int k = 0;; k++) {
        sheet->band_m = of[k % 3] * tenth * one_m;
        if (sheet->deepest_m <= sheet->band_m * BANDS_MAX || k > 30)
            break;
        if (k % 3 == 2)
            tenth *= 10;
    }
    sheet->bands = (int)fmax(1, ceil(sheet->deepest_m / sheet->band_m - 1e-6));
    if (sheet->bands > BANDS_MAX)
        sheet->bands = BANDS_MAX;
}

void tint_colour(const struct sheet *sheet, int k, char to[8])
{
    const int light[3] = {0xf4, 0xf9, 0xfc}, dark[3] = {0x78, 0xa3, 0xc4};
    double t = sheet->bands > 1 ? (double)k / (sheet->bands - 1) : 0.3;

    snprintf(to, 8, "#%02x%02x%02x", (unsigned)lround(light[0] + t * (dark[0] - light[0])) & 255u,
             (unsigned)lround(light[1] + t * (dark[1] - light[1])) & 255u,
             (unsigned)lround(light[2] + t * (dark[2] - light[2])) & 255u);
}

static int put_bands(struct sheet *sheet, struct lw_error *err)
{
    struct lw_grid land;
    int rc = -1;

    if (grid_like(&sheet->small, &land))
        return lw_fail(err, "memory ran out for the picture's tint");
    for (size_t k = 0; k < (size_t)land.nx * (size_t)land.ny; k++)
        land.depth_m[k] = isnan(sheet->small.depth_m[k]) ? (float)LAND_M : sheet->small.depth_m[k];
    for (int k = 1; k < sheet->bands; k++) {
        struct lw_lines lines;
        char colour[8];

        if (lw_chart_trace(&land, k * sheet->band_m, &lines, err))
            goto done;
        tint_colour(sheet, k, colour);
        svg_add(&sheet->tint, "<path fill=\"%s\" d=\"", colour);
        for (size_t i = 0; i < lines.n; i++)
            small_path(sheet, &sheet->tint, &lines.line[i]);
        svg_add(&sheet->tint, "\"/>\n");
        lw_lines_free(&lines);
    }
    rc = 0;
done:
    free(land.depth_m);
    return rc;
}

static double deepest(const struct lw_grid *grid)
{
    float most = 0;

    for (size_t k = 0; k < (size_t)grid->nx * (size_t)grid->ny; k++)
        if (isfinite(grid->depth_m[k]) && grid->depth_m[k] > most)
            most = grid->depth_m[k];
    return (double)most;
}

int sheet_surface(struct sheet *sheet, struct lw_error *err)
{
    struct lw_grid water = {0};
    struct svg shore = {0};
    char colour[8];
    int rc = -1;

    sheet->deepest_m = deepest(&sheet->chart->grid);
    choose_bands(sheet);
    if (shrink(sheet, &water) || draw_on(&sheet->small)) {
        lw_fail(err, "memory ran out for the picture's surface");
        goto done;
    }
    if (sheet_rim(sheet, &water, &shore, err))
        goto done;
    tint_colour(sheet, 0, colour);
    svg_add(&sheet->tint, "<defs><clipPath id=\"water\"><path clip-rule=\"evenodd\" d=\"");
    svg_copy(&sheet->tint, &shore);
    svg_add(&sheet->tint,
            "\"/></clipPath></defs>\n<g id=\"tint\" fill-rule=\"evenodd\" "
            "clip-path=\"url(#water)\">\n<path fill=\"%s\" d=\"",
            colour);
    svg_copy(&sheet->tint, &shore);
    svg_add(&sheet->tint, "\"/>\n");
    if (put_bands(sheet, err))
        goto done;
    svg_add(&sheet->tint, "</g>\n");
    rc = 0;
done:
    svg_free(&shore);
    free(water.depth_m);
    return rc;
}
