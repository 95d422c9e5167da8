/* Features as a map file holds them: rings and lines in longitude and latitude, attributes as read.
 * No GDAL type gets past the reader. */
#ifndef LIPWALK_SRC_MAP_RAW_H
#define LIPWALK_SRC_MAP_RAW_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/line.h"
#include "lipwalk/geo/point.h"

struct lw_raw_part { /* one line, one ring of a polygon, or one place (n == 1) */
    struct lw_ll *p; /* p[n], owned */
    size_t n;
    bool area, hole; /* a polygon's ring; an inner one */
};
struct lw_raw_feature {
    struct lw_raw_part *part; /* part[parts], owned */
    size_t parts;
    char **text;      /* text[fields], owned; NULL where there is no value */
    double *value;    /* value[fields]; NaN where it is no number */
    double z;         /* height of the geometry where it is the same all along; else NaN */
    long long number; /* the feature's number in its layer ... */
    int layer;        /* ... and which of the reader's layers that is */
};
struct lw_raw {
    char (*field)[64]; /* field[fields], owned, cleaned */
    size_t fields;
    struct lw_raw_feature *feature; /* feature[features], owned */
    size_t features, cap;
    size_t skipped; /* features of other geometry: solids, none */
    bool has_z;
};
void lw_raw_free(struct lw_raw *raw);
void lw_raw_feature_free(struct lw_raw_feature *feature, size_t fields);
/* Frees the attributes only. */
void lw_raw_feature_strip(struct lw_raw_feature *feature, size_t fields);
bool lw_raw_is_place(const struct lw_raw_feature *feature); /* all of its parts are places */
int lw_raw_feature_copy(const struct lw_raw_feature *from, size_t fields,
                        struct lw_raw_feature *to); /* deep; -1 without memory, nothing to free */
/* Moves `feature` to the end. */
int lw_raw_take(struct lw_raw *raw, struct lw_raw_feature *feature, struct lw_error *err);
/* The part in metres; closed where its ends are nearer than gap_m. `line` is overwritten, and the
 * caller's to free at -1 (memory) too. */
int lw_raw_part_line(const struct lw_raw_part *part, const struct lw_frame *frame, double gap_m,
                     struct lw_line *line);
/* Keeps the features for which keep[i] is true. */
void lw_raw_keep(struct lw_raw *raw, const bool *keep);

struct lw_box { /* degrees; empty when lat_min > lat_max */
    double lat_min, lat_max, lon_min, lon_max;
};
struct lw_box lw_box_empty(void);
struct lw_box lw_box_about(struct lw_ll at, double half_m);
void lw_box_add(struct lw_box *box, struct lw_box other);
bool lw_box_contains(struct lw_box box, struct lw_box inner);
bool lw_box_meets(struct lw_box a, struct lw_box b);
/* Its middle; that of a box about all longitudes is taken for one across 180. */
struct lw_ll lw_box_middle(struct lw_box box);
struct lw_box lw_box_grown(struct lw_box box, double margin_m);
struct lw_box lw_raw_feature_box(const struct lw_raw_feature *feature);

#endif
