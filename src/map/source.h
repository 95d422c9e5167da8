/* What one map file gave, in longitude and latitude, depths in metres and positive down. */
#ifndef LIPWALK_SRC_MAP_SOURCE_H
#define LIPWALK_SRC_MAP_SOURCE_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/map/import.h"
#include "raw.h"

struct lw_depth_point {
    struct lw_ll at;
    double depth_m;
};
struct lw_source_hazard {
    enum lw_hazard_kind kind;
    struct lw_raw_part part; /* owned; n == 1: a place */
    double depth_m;
    char words[64];
};
struct lw_source_cover {
    enum lw_cover_kind kind;
    struct lw_raw_part part;
};

struct lw_raster; /* a grid of depths, raster.h */

struct lw_source {
    const struct lw_map_file *file;
    char name[256]; /* the file's own name without its folder, cleaned */
    /* what was understood; "" where there is nothing to say */
    char lake[64], depth_field[64], unit[16], unit_reason[160], crs[128];
    char said[400]; /* the file's part of the summary */
    char warning[8][256];
    int warnings;
    double unit_m; /* metres in the unit of its depths, for printing; 0: metres */
    char sign[96]; /* "positive down", ... */
    bool shore;    /* the lines are a lake's outline, without depths of their own */
    /* any of these may be empty */
    struct lw_raw lines;  /* contours and shore: lines and areas, without attributes ... */
    double *line_m;       /* line_m[lines.features]: ... and their depths; NaN none; owned */
    struct lw_raw limit;  /* rings (even-odd) about what is charted, where that may end without a
                             shore: a chart's border */
    struct lw_raw range;  /* areas of depths between two bounds, as charts have them ... */
    double (*range_m)[2]; /* ... range_m[range.features]; owned */
    struct lw_depth_point *point; /* soundings: point[points], owned */
    size_t points, point_cap;
    struct lw_raster *raster; /* owned */
    struct lw_source_hazard *hazard;
    size_t hazards, hazard_cap;
    struct lw_source_cover *cover;
    size_t covers, cover_cap;
};
/* Zeroes all but the file and its name. */
void lw_source_start(struct lw_source *source, const struct lw_map_file *file);
/* Adds a warning; those beyond the eighth are lost. */
void lw_source_warn(struct lw_source *source, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
int lw_source_add_point(struct lw_source *source, struct lw_ll at, double depth_m); /* -1: memory */
/* These move the part, or the feature without its attributes (`fields` of them); -1: memory. */
int lw_source_add_hazard(struct lw_source *source, struct lw_source_hazard *hazard);
int lw_source_add_cover(struct lw_source *source, struct lw_source_cover *cover);
int lw_source_add_range(struct lw_source *source, struct lw_raw_feature *feature, size_t fields,
                        double least_m, double most_m);
int lw_source_add_line(struct lw_source *source, struct lw_raw_feature *feature, size_t fields,
                       double depth_m);
struct lw_box lw_source_box(const struct lw_source *source); /* about its lines and soundings */
void lw_source_free(struct lw_source *source); /* frees what it owns and zeroes it */

#endif
