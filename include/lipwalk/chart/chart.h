/* A lake as it is used on the water: frame, mapped contours and depth surface, from the cache.
 *
 * Depth in metres, positive down, NaN on land and outside. Thread-safe to read. */
#ifndef LIPWALK_CHART_CHART_H
#define LIPWALK_CHART_CHART_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/feature.h"
#include "lipwalk/geo/line.h"
#include "lipwalk/geo/point.h"

struct lw_grid {
    double e0_m, n0_m; /* centre of cell (0, 0), the south-west one */
    double cell_m;
    int nx, ny;     /* columns to the east, rows to the north */
    float *depth_m; /* depth_m[row * nx + column], owned */
    float *sigma_m; /* one sigma of depth_m, alike; NaN on land; NULL: not known; owned */
};

/* The cell that a place lies in; false outside the grid. */
static inline bool lw_grid_cell(const struct lw_grid *grid, struct lw_en at, int *column, int *row)
{
    double x = floor((at.e_m - grid->e0_m) / grid->cell_m + 0.5);
    double y = floor((at.n_m - grid->n0_m) / grid->cell_m + 0.5);

    if (!(x >= 0 && y >= 0 && x < grid->nx && y < grid->ny))
        return false;
    *column = (int)x;
    *row = (int)y;
    return true;
}

struct lw_contour { /* one mapped line or ring */
    double depth_m;
    struct lw_line line;
};

struct lw_chart {
    struct lw_frame frame; /* origin: centre of the lake's box */
    struct lw_grid grid;
    struct lw_contour *contour; /* contour[contours], sorted by depth; owned */
    size_t contours;
    struct lw_features features; /* hazards, cover and bottom, closed areas */
    size_t soundings;            /* how many went into the surface, the boat's own among them */
    char lake[64];               /* name or id from the map, "" if none; cleaned */
    char source[512];            /* the map files' paths, separated by ", " */
    char depth_field[64], unit[16], unit_reason[160], crs[128];
    double deepest_m; /* deepest mapped contour */
    double area_m2;   /* water area inside the shore or outermost contour */
};

/* Counts up whenever the cache file's form or the way charts are made changes. */
#define LW_CACHE_VERSION 13

/* Opens a cache file that map/import.h made. Fails with a sentence when it is missing, of another
 * version, cut short or damaged. */
int lw_chart_open(const char *cache_path, struct lw_chart **out, struct lw_error *err);
/* Writes the cache file beside its place and renames it over; -1 when the disk will not have it. */
int lw_chart_save(const struct lw_chart *chart, const char *cache_path, struct lw_error *err);
/* Frees a chart that lw_chart_open gave; NULL is no fault. */
void lw_chart_free(struct lw_chart *chart);

/* Depth by bilinear interpolation; NaN where a needed cell is land or outside. */
double lw_chart_depth(const struct lw_chart *chart, struct lw_en at);
/* The uncertainty of an edge at `depth_m` near `at`, horizontal, one sigma. A mapped contour has
 * the map's own 2 m. Elsewhere the surface's sigma divided by its slope there is how far the line
 * may be off, and the map's own error comes on top. Where the surface has no sigma, the edge lies
 * surely in the band between its mapped neighbours, a and b metres off on either side: a beta
 * distribution over the band with its mean at the drawn line and, in the middle, the spread of the
 * uniform one, (a + b) / sqrt(12), has the variance a b / 3. Never more than 50 m. */
double lw_chart_edge_sigma(const struct lw_chart *chart, struct lw_en at, double depth_m);

/* All lines where the depth is depth_m: the mapped ones where the map has that depth (within 1 mm),
 * else traced on the surface (linear along cell sides). Joined, closed where they close, deep side
 * to the left of increasing along. Lines shorter than 5 m are dropped. */
int lw_chart_contour(const struct lw_chart *chart, double depth_m, struct lw_lines *out,
                     struct lw_error *err);
/* Traced on a grid always, between cells with a depth: what lw_chart_contour does between mapped
 * depths, with the bottom drawn on by one cell behind the shore. */
int lw_chart_trace(const struct lw_grid *grid, double depth_m, struct lw_lines *out,
                   struct lw_error *err);

#endif
