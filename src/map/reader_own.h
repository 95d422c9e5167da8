/* What the parts of the reader share. */
#ifndef LIPWALK_SRC_MAP_READER_OWN_H
#define LIPWALK_SRC_MAP_READER_OWN_H

#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include "reader.h"

struct lw_reader {
    const struct lw_map_file *file;
    GDALDatasetH data;
    OGRLayerH layer[LW_LAYERS_MAX];
    struct lw_layer about[LW_LAYERS_MAX];
    bool use[LW_LAYERS_MAX];
    int *column[LW_LAYERS_MAX]; /* of a used layer's attributes: which field of the raw; owned */
    int layers, first;          /* the first one used; -1 */
    OGRSpatialReferenceH from, wgs84;
    OGRCoordinateTransformationH to_ll, from_ll;
    bool geographic;
    char driver[32], crs[128], note[256], map[512];
    char last[256];         /* GDAL's own last message, cleaned */
    struct lw_raw kept;     /* what lies in ... */
    struct lw_box kept_box; /* ... where the format cannot be asked for a place */
};
/* Fills about[] for every layer. */
void lw_reader_judge(struct lw_reader *reader);
/* Takes the coordinate system from the first layer used, or from the options. */
int lw_reader_settle_crs(struct lw_reader *reader, struct lw_error *err);
void lw_reader_forget_crs(struct lw_reader *reader);
/* Between these GDAL's messages go to reader->last and nowhere else. */
void lw_reader_listen(struct lw_reader *reader);
void lw_reader_hush(void);

#endif
