/* The one place that reads map files' lines, areas and places with GDAL. Runs in the import's child
 * process only.
 *
 * Read-only and without side files; of the file's own format's drivers only; coordinates come out
 * as WGS 84 longitude and latitude. */
#ifndef LIPWALK_SRC_MAP_READER_H
#define LIPWALK_SRC_MAP_READER_H

#include "lipwalk/base/error.h"
#include "lipwalk/map/import.h"
#include "raw.h"

#define LW_LAYERS_MAX 256

enum lw_layer_holds { /* by its name, its attributes' names and the kind of its geometry */
                      LW_HOLDS_CONTOURS,  /* lines or areas with a depth; places with one may be
                                             among them */
                      LW_HOLDS_SOUNDINGS, /* places with a depth */
                      LW_HOLDS_SHORE,     /* lines or areas, named like a lake's outline */
                      LW_HOLDS_FEATURES,  /* hazards, cover, bottom */
                      LW_HOLDS_PLAIN,     /* lines or areas that do not say what they are */
                      LW_HOLDS_NOTHING    /* tables, places that do not say what they are */
};
struct lw_layer {
    char name[64];
    enum lw_layer_holds holds;
    int rank;           /* of its best depth attribute; 100 when only heights could tell */
    char depth[64];     /* that attribute */
    bool areas, places; /* its geometry is areas only, places only */
    bool empty;         /* it has no feature; false also where that is not known at once */
    int hazard, cover;  /* that its name says all of it is; -1 */
};
struct lw_reader;

/* Opens the file (a regular one); `scratch` is an existing private folder for a copy where the
 * format would otherwise write beside the map, or cannot be read as it lies. */
int lw_reader_open(const struct lw_map_file *file, const char *scratch, struct lw_reader **out,
                   struct lw_error *err);
void lw_reader_close(struct lw_reader *reader); /* NULL is no fault */

size_t lw_reader_layers(const struct lw_reader *reader, const struct lw_layer **out);
/* Whether two layers' numbers mean the same places. */
bool lw_reader_one_crs(const struct lw_reader *reader, size_t a, size_t b);
bool lw_reader_is_kml(const struct lw_reader *reader); /* a folder is a layer, a name a label */
bool lw_reader_is_s57(const struct lw_reader *reader);

/* Chooses the layers that the calls below read; their coordinate system is settled: the file's own
 * or the one that options give. */
int lw_reader_use(struct lw_reader *reader, const bool *use, struct lw_error *err);
const char *lw_reader_crs(const struct lw_reader *reader);
const char *lw_reader_note(const struct lw_reader *reader); /* a warning, or "" */
const char *lw_reader_map(const struct lw_reader *reader);  /* its path, cleaned */

/* Reads the features that meet `box` (NULL: all of them) into `raw` (freed and filled anew). Where
 * the format has no index of places, what lies about the box is kept for the next call. */
int lw_reader_read(struct lw_reader *reader, const struct lw_box *box, struct lw_raw *raw,
                   struct lw_error *err);
/* Reads of all features those attributes that `want` likes, and no geometry. */
int lw_reader_scan(struct lw_reader *reader, bool (*want)(const char *field), struct lw_raw *raw,
                   struct lw_error *err);
/* Reads the features of `list` for which keep[i] is true. */
int lw_reader_fetch(struct lw_reader *reader, const struct lw_raw *list, const bool *keep,
                    struct lw_raw *raw, struct lw_error *err);

/* The code in "EPSG:3070" or "3070"; 0 for anything else. */
int lw_reader_epsg(const char *crs);

#endif
