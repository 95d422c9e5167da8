/* What a layer holds, by what it says of itself. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/feature.h"
#include "reader_own.h"
#include "vector_words.h"

#define RANK_ASKED 8 /* names that count as depths only when asked for */

static void rank_fields(OGRFeatureDefnH defn, const char *wanted, struct lw_layer *about)
{
    about->rank = 100;
    for (int i = 0; i < OGR_FD_GetFieldCount(defn); i++) {
        const char *name = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i));
        int rank = lw_depth_rank(name);

        if (wanted && strcasecmp(name, wanted) == 0)
            rank = 1;
        if (rank && rank < about->rank) {
            about->rank = rank;
            lw_text_clean(about->depth, sizeof about->depth, name);
        }
    }
}

static bool has_field(OGRFeatureDefnH defn, bool (*is)(const char *name))
{
    for (int i = 0; i < OGR_FD_GetFieldCount(defn); i++)
        if (is(OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, i))))
            return true;
    return false;
}

static void judge(OGRLayerH layer, const char *wanted, bool kml, struct lw_layer *about)
{
    OGRFeatureDefnH defn = OGR_L_GetLayerDefn(layer);
    OGRwkbGeometryType whole = OGR_L_GetGeomType(layer), type = wkbFlatten(whole);
    bool depths;

    memset(about, 0, sizeof *about);
    lw_text_clean(about->name, sizeof about->name, OGR_L_GetName(layer));
    rank_fields(defn, wanted, about);
    about->empty = OGR_L_GetFeatureCount(layer, FALSE) == 0;
    about->places = type == wkbPoint || type == wkbMultiPoint;
    about->areas = type == wkbPolygon || type == wkbMultiPolygon;
    /* "rock_lake_contours" is no layer of rocks. */
    about->hazard = lw_word_is_map(about->name) ? -1 : lw_hazard_of(about->name);
    about->cover = lw_word_is_map(about->name) ? -1 : lw_cover_of(about->name);
    depths = about->rank < RANK_ASKED || (wkbHasZ(whole) && !kml) ||
             (wanted && strcasecmp(wanted, "Z") == 0);
    if (type == wkbNone)
        about->holds = LW_HOLDS_NOTHING;
    else if (kml)
        about->holds = about->places ? LW_HOLDS_SOUNDINGS : LW_HOLDS_CONTOURS;
    else if (about->hazard >= 0)
        about->holds = LW_HOLDS_FEATURES;
    else if (about->places)
        about->holds = depths ? LW_HOLDS_SOUNDINGS
                       : has_field(defn, lw_word_is_kind) || has_field(defn, lw_word_is_bottom) ||
                               about->cover >= 0
                           ? LW_HOLDS_FEATURES
                           : LW_HOLDS_NOTHING;
    else if (depths)
        about->holds = LW_HOLDS_CONTOURS;
    else if (has_field(defn, lw_word_is_bottom) || about->cover >= 0)
        about->holds = LW_HOLDS_FEATURES;
    else
        about->holds = lw_word_is_shore(about->name) ? LW_HOLDS_SHORE : LW_HOLDS_PLAIN;
}

void lw_reader_judge(struct lw_reader *reader)
{
    for (int i = 0; i < reader->layers; i++)
        judge(reader->layer[i], reader->file->depth_field, lw_reader_is_kml(reader),
              &reader->about[i]);
}
