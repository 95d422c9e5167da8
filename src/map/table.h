/* Soundings in text: CSV, XYZ, tab-separated tracks, with or without a header; GPX with depths. */
#ifndef LIPWALK_SRC_MAP_TABLE_H
#define LIPWALK_SRC_MAP_TABLE_H

#include "source.h"

/* By the file's ending: csv, tsv, xyz, txt, dat, gpx. */
bool lw_table_is(const char *map);
/* Reads the soundings, all of them, into out->point; fills what was understood. Columns are
 * recognised by header, else by their values; a column whose name and values contradict each other
 * ("lat" holding an easting) is refused. */
int lw_table_read(const struct lw_map_file *file, const struct lw_import_options *options,
                  struct lw_source *out, struct lw_error *err);

#endif
