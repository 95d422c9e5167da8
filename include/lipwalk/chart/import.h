/* Reading a lake map: GDAL in a child process with limits, which leaves a cache file.
 *
 * A hostile map, a GDAL abort, a memory blow-up or a time-out ends the child, not the program. The
 * program proposes (attribute, unit, sign) and says why; what is ambiguous is refused with the
 * option to give. Nothing is written beside the user's map. */
#ifndef LIPWALK_CHART_IMPORT_H
#define LIPWALK_CHART_IMPORT_H

#include <stdatomic.h>
#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/geo/point.h"

enum lw_depth_sign { LW_SIGN_AUTO, LW_SIGN_DOWN, LW_SIGN_UP };

struct lw_import_options {
    const char *map;         /* path */
    struct lw_ll at;         /* a place on the wanted lake; NaN: the file holds one lake */
    const char *lake;        /* its name or id; NULL */
    const char *crs;         /* overrides the map's ("EPSG:3070"); NULL */
    const char *depth_field; /* attribute, or "Z"; NULL: recognised */
    const char *depth_unit;  /* "ft", "m", "ftUS", ...; NULL: recognised */
    enum lw_depth_sign sign; /* of the depths in the file: positive down or up */
    double water_level_m;    /* level for elevation-like values, in the file's vertical units turned
                                to metres; NaN */
    double stage_m;          /* today's level above the map's datum; 0 */
    double cell_m;           /* NaN: chosen (2 m, coarser on a large lake) */
    int timeout_s;           /* 0: 120 */
    long memory_mb;          /* 0: 2048 */
    const atomic_bool *cancel; /* NULL, or a flag that another thread sets to end the import */
};
/* Every option unset: NULL, NaN, automatic; stage 0. */
void lw_import_options_clear(struct lw_import_options *options);
/* What can be told without the map: a unit and an EPSG code that can be read. -1 with a sentence.
 */
int lw_import_options_check(const struct lw_import_options *options, struct lw_error *err);

#define LW_WARNINGS_MAX 16
struct lw_import_report {
    char cache_path[512];
    bool from_cache;   /* an up-to-date cache file was there already */
    char summary[512]; /* the one line: what was read, attribute, unit with reason, min and max */
    char warning[LW_WARNINGS_MAX][256];
    int warnings;
};

/* Imports, or finds the cache keyed by the map's content (all its sidecar files) and the options.
 * Blocks until the child ends; call it from a worker on the water. The cache folder is
 * $XDG_CACHE_HOME/lipwalk. On success `report->cache_path` can be given to lw_chart_open. */
int lw_chart_import(const struct lw_import_options *options, struct lw_import_report *report,
                    struct lw_error *err);

#endif
