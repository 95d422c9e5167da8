/* All map files of one lake, read: those that can pick the lake first, the others about it. */
#ifndef LIPWALK_SRC_MAP_GATHER_H
#define LIPWALK_SRC_MAP_GATHER_H

#include "source.h"

struct lw_gather {
    struct lw_source source[LW_MAPS_MAX]; /* in the order of the options; source[sources] */
    int sources;
    int first; /* the one that picked the lake by its depths; -1: none did */
};
/* `scratch` is a private folder: a folder in it is made for each file that needs one. Grids are
 * opened; what of them is needed is read later. */
int lw_gather(const struct lw_import_options *options, const char *scratch, struct lw_gather *out,
              struct lw_error *err);
void lw_gather_free(struct lw_gather *gather);
/* The box about all lines and soundings. */
struct lw_box lw_gather_box(const struct lw_gather *gather);

#endif
