/* Grids of depth or bed elevation: GeoTIFF, ASCII grid, netCDF. In the import's child only. */
#ifndef LIPWALK_SRC_MAP_RASTER_H
#define LIPWALK_SRC_MAP_RASTER_H

#include "source.h"

/* By the file's ending: tif, tiff, asc, grd, nc, img, vrt is not (it names other files). */
bool lw_raster_is(const char *map);
/* Opens and understands the grid (unit, sign, land) into out->raster. */
int lw_raster_read(const struct lw_map_file *file, const struct lw_import_options *options,
                   struct lw_source *out, struct lw_error *err);
void lw_raster_free(struct lw_raster *raster);

/* A chart from a grid alone: the water about options->at (else the largest) resampled to cells of
 * half the grid's step (or more, see raster_chart.c) in chart->frame, sigma, its shore as the
 * contour at 0 (the contour half way down where the grid ends before any shore). Fills all of chart
 * but features and soundings; warns into source. */
int lw_raster_chart(struct lw_source *source, const struct lw_import_options *options,
                    struct lw_chart *chart, struct lw_error *err);
/* The grid's water cells inside the box as soundings, no closer than every_m, into source->point.
 */
int lw_raster_points(struct lw_source *source, const struct lw_box *box, double every_m,
                     struct lw_error *err);
/* depth_m[i] = the depth of the very cell that at[i] lies in (NaN: land,
 * or outside; a cell of 0 is 0). */
int lw_raster_cells(const struct lw_source *source, const struct lw_ll *at, size_t n,
                    double *depth_m, struct lw_error *err);

#endif
