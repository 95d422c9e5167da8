/* Getting at a map file without touching its folder.
 *
 * A Shapefile without its index, or a GeoPackage with a write-ahead log, can only be read where
 * GDAL may write: so they are copied to a private folder. Everything else is read where it lies. */
#ifndef LIPWALK_SRC_MAP_SCRATCH_H
#define LIPWALK_SRC_MAP_SCRATCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"

bool lw_scratch_is(const char *map, const char *extension); /* without dot, any case */

/* The path to open for `map`: absolute, or within a zip; copies to `scratch` if need be. */
int lw_scratch_stage(const char *map, const char *scratch, char *path, size_t size, bool *copied,
                     struct lw_error *err);
/* Removes the files of the folder and the folder. */
void lw_scratch_remove(const char *scratch);

/* Adds to the hash the map and the files beside it that belong to it: the parts of a Shapefile, a
 * log, a world file, updates of a chart cell. Of very large files only the ends, the size and the
 * times go in. */
int lw_scratch_hash(const char *map, uint64_t *hash, struct lw_error *err);
/* FNV-1a by eight bytes at a time, the upper half folded into the lower after each; start with 0.
 */
uint64_t lw_hash_add(uint64_t hash, const void *data, size_t n);

#endif
