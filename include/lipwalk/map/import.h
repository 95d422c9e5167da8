/* Reading a lake's maps: GDAL in a child process with limits, which leaves a cache file.
 *
 * A hostile map, a GDAL abort, a memory blow-up or a time-out ends the child, not the program. The
 * program proposes (attribute, unit, sign) and says why; what is ambiguous is refused with the
 * option to give. Nothing is written beside the user's map. */
#ifndef LIPWALK_MAP_IMPORT_H
#define LIPWALK_MAP_IMPORT_H

#include <stdatomic.h>
#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/progress.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/track.h"
#include "lipwalk/geo/point.h"

enum lw_depth_sign { LW_SIGN_AUTO, LW_SIGN_DOWN, LW_SIGN_UP };

#define LW_MAPS_MAX   16
#define LW_CLOSED_MAX 8

struct lw_map_file { /* one file, and what overrides what is recognised in it */
    const char *path;
    const char *crs;         /* "EPSG:3070"; NULL */
    const char *depth_field; /* attribute, column or "Z"; NULL: recognised */
    const char *depth_unit;  /* "ft", "m", "ftUS", ...; NULL: recognised */
    enum lw_depth_sign sign; /* of the depths in the file: positive down or up */
    double water_level_m;    /* level for elevation-like values, in the file's vertical units turned
                                to metres; NaN */
};
struct lw_crew_cover { /* a bottom or cover that the crew marked */
    struct lw_ll at;
    enum lw_cover_kind kind;
};

struct lw_import_options {
    struct lw_map_file
        map[LW_MAPS_MAX]; /* contours, shoreline, soundings, hazards, ... of one lake */
    int maps;
    const char *closed[LW_CLOSED_MAX]; /* files of areas closed by local rules */
    int closeds;
    struct lw_ll at;              /* a place on the wanted lake; NaN: the files hold one lake */
    const char *lake;             /* its name or id; NULL */
    double stage_m;               /* today's level above the map's datum; 0 */
    double cell_m;                /* NaN: chosen (2 m, coarser on a large lake) */
    const struct lw_track *track; /* track[tracks]: the boat's own soundings, folded in */
    int tracks;
    const struct lw_crew_cover *crew; /* crew[crews] */
    size_t crews;
    int timeout_s;               /* 0: 300 */
    long memory_mb;              /* 0: 3072 */
    struct lw_progress progress; /* told about ten times a second, news or not, in the caller's
                                    thread */
    const atomic_bool *cancel;   /* NULL, or a flag that another thread or a signal handler sets to
                                    end the import within a tenth of a second */
};
/* Every option unset: NULL, NaN, automatic; stage 0. */
void lw_import_options_clear(struct lw_import_options *options);
/* What can be told without the map: a unit and an EPSG code that can be read, a size of cells that
 * makes sense, no map twice. -1 with a sentence. */
int lw_import_options_check(const struct lw_import_options *options, struct lw_error *err);

/* Whether writing to the path would change what the map is read from: the file itself, by whatever
 * name, or one that belongs to it (a Shapefile's .dbf), be it there or not. */
bool lw_map_owns(const char *map, const char *path);

#define LW_WARNINGS_MAX 16
struct lw_import_report {
    char cache_path[512];
    bool from_cache;   /* an up-to-date cache file was there already */
    char summary[512]; /* the one line: what was read, attribute, unit with reason, min and max */
    char warning[LW_WARNINGS_MAX][256];
    int warnings;
};

/* Imports, or finds the cache keyed by the content of the maps (with all their sidecar files), of
 * the tracks and the crew's cover, and by the options. Blocks until the child ends; call it from a
 * worker on the water. The cache folder is $XDG_CACHE_HOME/lipwalk. On success `report->cache_path`
 * can be given to lw_chart_open. Thread-safe; two runs at once, in one process or in several, do
 * not disturb each other. */
int lw_chart_import(const struct lw_import_options *options, struct lw_import_report *report,
                    struct lw_error *err);
/* The same, and opens the chart (free it with lw_chart_free): a cache file is read only once. */
int lw_chart_import_open(const struct lw_import_options *options, struct lw_import_report *report,
                         struct lw_chart **chart, struct lw_error *err);

#endif
