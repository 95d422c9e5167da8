/* The one place that reads map files with GDAL. Runs in the import's child process only.
 *
 * Read-only and without side files; of the file's own format's drivers only; coordinates come out
 * as WGS 84 longitude and latitude. */
#ifndef LIPWALK_SRC_CHART_READER_H
#define LIPWALK_SRC_CHART_READER_H

#include "lipwalk/base/error.h"
#include "lipwalk/chart/import.h"
#include "raw.h"

struct lw_reader;

/* Opens `map` (a regular file); `scratch` is an existing private folder for a copy where the format
 * would otherwise write beside the map, or cannot be read as it lies. */
int lw_reader_open(const char *map, const char *scratch, const struct lw_import_options *options,
                   struct lw_reader **out, struct lw_error *err);
void lw_reader_close(struct lw_reader *reader);

/* The layers that hold lines or areas and that features are read from, for the report. */
const char *lw_reader_crs(const struct lw_reader *reader);
const char *lw_reader_note(const struct lw_reader *reader); /* a warning, or "" */

/* Reads the features that meet `box` (NULL: all of them) into `raw` (freed and filled anew).
 * with_geometry false: attributes only. */
int lw_reader_read(struct lw_reader *reader, const struct lw_box *box, bool with_geometry,
                   struct lw_raw *raw, struct lw_error *err);
/* The code in "EPSG:3070" or "3070"; 0 for anything else. */
int lw_reader_epsg(const char *crs);

#endif
