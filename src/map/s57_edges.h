/* Stretches between the areas of an S-57 cell, and the contours that follow from them. */
#ifndef LIPWALK_SRC_MAP_S57_EDGES_H
#define LIPWALK_SRC_MAP_S57_EDGES_H

#include "lipwalk/base/error.h"
#include "source.h"

enum lw_edge_side { LW_SIDE_WATER, LW_SIDE_LAND };
struct lw_edge;
struct lw_edges {
    struct lw_raw_part *path; /* every ring and line given, in order; path[paths], owned */
    size_t paths, path_cap;
    struct lw_edge *table; /* by the two ends of a stretch, in either order */
    size_t slots, used;
};
/* A ring of an area: of water with its shallow depth (NaN unknown), or of land. Holes are rings as
 * well. */
int lw_edges_add_ring(struct lw_edges *edges, const struct lw_raw_part *ring,
                      enum lw_edge_side side, double depth_m, struct lw_error *err);
/* A line at a depth: a contour, or the coast at 0. */
int lw_edges_add_line(struct lw_edges *edges, const struct lw_raw_part *line, double depth_m,
                      struct lw_error *err);
/* Contours and shore into out->lines; where the water ends without a shore, all of its outline into
 * out->limit. */
int lw_edges_draw(struct lw_edges *edges, struct lw_source *out, struct lw_error *err);
void lw_edges_free(struct lw_edges *edges);

#endif
