/* Limits from rings, shoals and soundings. */
#include "limit.h"

#include <math.h>
#include <stdlib.h>

#include "shoal.h"

#define LOOSE_M  20.0
#define MARGIN_M 0.3 /* the bottom between soundings may be so much beyond the extreme one */
#define SIGMA_M  0.1 /* a sounding's, where it is not known */

static double sigma_of(const struct lw_sounding *sounding)
{
    return sounding->sigma_m > 0 ? sounding->sigma_m : SIGMA_M;
}

/* The band that a sounding lies in, NULL on land and outside. */
static struct lw_band *band_at(const struct lw_sounding *sounding, const struct lw_grid *grid,
                               const struct lw_bands *bands)
{
    int32_t label;
    int x, y;

    if (!lw_grid_cell(grid, sounding->at, &x, &y) || isnan(sounding->depth_m))
        return NULL;
    label = bands->label[(size_t)y * (size_t)grid->nx + (size_t)x];
    return label < 0 || bands->band[label].land ? NULL : &bands->band[label];
}

void lw_limits_widen(const struct lw_surface_in *in, const struct lw_grid *grid,
                     struct lw_bands *bands)
{
    for (size_t k = 0; k < in->soundings; k++) {
        const struct lw_sounding *sounding = &in->sounding[k];
        struct lw_band *band = band_at(sounding, grid, bands);
        double margin = fmax(MARGIN_M, 2 * sigma_of(sounding));

        if (!band)
            continue;
        if (band->hi_guessed)
            band->hi_m = fmax(band->hi_m, sounding->depth_m + margin);
        if (band->lo_guessed)
            band->lo_m = fmin(band->lo_m, fmax(0, sounding->depth_m - margin));
    }
}

/* loose[cell]: how much of 255 of the fitted surface comes back. NULL where no sounding asks. */
static int loosen(const struct lw_surface_in *in, const struct lw_bands *bands,
                  const struct lw_grid *grid, unsigned char **loose)
{
    int reach = (int)ceil(LOOSE_M / grid->cell_m);

    for (size_t k = 0; k < in->soundings; k++) {
        const struct lw_sounding *sounding = &in->sounding[k];
        const struct lw_band *band = band_at(sounding, grid, bands);
        double twice = 2 * sigma_of(sounding);
        int column, row;

        if (!band || !lw_grid_cell(grid, sounding->at, &column, &row) ||
            (sounding->depth_m <= band->hi_m + twice && sounding->depth_m >= band->lo_m - twice))
            continue;
        if (!*loose)
            *loose = calloc((size_t)grid->nx * (size_t)grid->ny, 1);
        if (!*loose)
            return -1;
        for (int i = row - reach; i <= row + reach; i++)
            for (int j = column - reach; j <= column + reach; j++) {
                double off = hypot(i - row, j - column) * grid->cell_m / LOOSE_M;
                unsigned char *at, here;

                if (i < 0 || j < 0 || i >= grid->ny || j >= grid->nx || off >= 1)
                    continue;
                at = *loose + (size_t)i * (size_t)grid->nx + (size_t)j;
                here = (unsigned char)(255 * fmin(1, 1.5 * (1 - off)));
                *at = here > *at ? here : *at;
            }
    }
    return 0;
}

int lw_limits_keep(const struct lw_surface_in *in, const struct lw_bands *bands,
                   struct lw_grid *grid)
{
    struct lw_shoals *shoals = lw_shoals_new(in->contour, bands);
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    unsigned char *loose = NULL;
    int status = shoals && loosen(in, bands, grid, &loose) == 0 ? 0 : -1;

    for (size_t k = 0; k < cells && status == 0; k++) {
        float *z = &grid->depth_m[k];
        const struct lw_band *band;
        double least_m, kept_m;

        if (bands->label[k] < 0 || bands->band[bands->label[k]].land) {
            *z = NAN;
            continue;
        }
        band = &bands->band[bands->label[k]];
        least_m = band->lo_m;
        if (*z < in->contour[band->contour].depth_m) {
            struct lw_en at = {grid->e0_m + (double)(k % (size_t)grid->nx) * grid->cell_m,
                               grid->n0_m + (double)(k / (size_t)grid->nx) * grid->cell_m};

            least_m = lw_shoals_floor(shoals, (size_t)bands->label[k], at);
            status = isnan(least_m) ? -1 : 0;
        }
        kept_m = fmin(fmax(*z, least_m), band->hi_m);
        if (loose && loose[k])
            kept_m = fmax(0, kept_m + (*z - kept_m) * loose[k] / 255);
        *z = (float)kept_m;
    }
    free(loose);
    lw_shoals_free(shoals);
    return status;
}
