/* Ways over water: the shortest one between two places, and how far everything is from one place.
 *
 * Water is a grid of cells that a boat may be in; whoever makes it has already taken off land, what
 * is too shallow and the boat's clearance. A cell is closed when its middle is, so the true border
 * lies somewhere between the middles of an open and a closed neighbour. Ways are not held to the
 * grid: they run straight between places that see each other, keep LW_WATER_KEEP of a cell from the
 * middle of every closed cell along rows or columns, and never pass between two closed cells that
 * touch, be it at a corner. */
#ifndef LIPWALK_GEO_WATER_H
#define LIPWALK_GEO_WATER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/line.h"
#include "lipwalk/geo/point.h"

struct lw_water {
    double e0_m, n0_m; /* centre of cell (0, 0), the south-west one */
    double cell_m;
    int nx, ny;    /* columns to the east, rows to the north */
    uint8_t *open; /* open[row * nx + column]: 1 the boat may be there; owned */
};
/* Of a cell: half-way would lengthen ways round a shore, since the middles that are closed lie
 * behind it; .3 meets a disk's taut string best (tests/geo/test_water). */
#define LW_WATER_KEEP 0.3

/* All closed. -1 when memory ran out or the size is none. */
int lw_water_init(struct lw_water *water, double e0_m, double n0_m, double cell_m, int nx, int ny,
                  struct lw_error *err);
void lw_water_free(struct lw_water *water); /* frees and zeroes */
/* Closes every open cell whose middle is nearer than clearance_m to the middle of one that was
 * closed; outside the grid nothing is closed. Exact distances (Felzenszwalb and Huttenlocher 2012,
 * from memory). */
int lw_water_shrink(struct lw_water *water, double clearance_m, struct lw_error *err);
/* Whether a place lies in an open cell. */
bool lw_water_open(const struct lw_water *water, struct lw_en at);
/* Whether the straight line a..b is open all along, in the sense above; both ends in open cells. */
bool lw_water_sees(const struct lw_water *water, struct lw_en a, struct lw_en b);
/* The open place nearest to `at` (itself, else the middle of a cell), no farther than within_m;
 * false where there is none. */
bool lw_water_nearest(const struct lw_water *water, struct lw_en at, double within_m,
                      struct lw_en *open);

/* The shortest way from..to: vertices from `from` to `to` themselves, in *way, and its length. An
 * end in a closed cell is first moved to the nearest open place within snap_m (the way then begins
 * there). 1: there is no way, *way is empty, no sentence; -1: memory.
 * Method: straight if they see each other, else Lazy Theta* (Nash, Koenig and Tovey 2010, from
 * memory), then drawn taut over the corners of closed cells near it. Length within 1 % of the
 * shortest, .3 % in the mean. */
int lw_water_way(const struct lw_water *water, struct lw_en from, struct lw_en to, double snap_m,
                 struct lw_line *way, double *length_m, struct lw_error *err);

/* How far every open cell's centre is from `from` over water: distance_m[ny * nx] (caller's), NaN
 * where the boat cannot come. `from` is moved as above. Fast marching (Sethian 1996, from memory)
 * of the first order, with exact distances near the start: within 1 % in the mean. 1: nothing is
 * open within snap_m; -1: memory. */
int lw_water_field(const struct lw_water *water, struct lw_en from, double snap_m,
                   float *distance_m, struct lw_error *err);

#endif
