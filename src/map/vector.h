/* A map file of lines, areas and places: which of its layers hold what, and all of it for one lake.
 * In the import's child only. */
#ifndef LIPWALK_SRC_MAP_VECTOR_H
#define LIPWALK_SRC_MAP_VECTOR_H

#include "lake.h"
#include "reader.h"
#include "source.h"

struct lw_vector {
    struct lw_reader *reader;
    enum lw_layer_holds holds; /* the most telling of its layers */
};
int lw_vector_open(const struct lw_map_file *file, const char *scratch, struct lw_vector *out,
                   struct lw_error *err);
void lw_vector_close(struct lw_vector *vector);

/* Reads what belongs to the lake that the options pick, or to `place` when that is known already
 * (NULL: it is not). alone: no other file can bring depths, so that lines without any are refused,
 * with the reason, instead of taken for a shore. `out` has been started. May return
 * LW_LAKE_UNNAMED, with a sentence, as lw_lake_read. */
int lw_vector_read(struct lw_vector *vector, const struct lw_import_options *options,
                   const struct lw_box *place, bool alone, struct lw_source *out,
                   struct lw_error *err);

/* An S-57 cell: contours and the edges of depth areas, soundings, land, hazards, bottom; all of the
 * cell. Object classes and attributes: IHO S-57, appendix A (from memory). */
int lw_s57_read(struct lw_reader *reader, struct lw_source *out, struct lw_error *err);

/* For both. What a feature says it is: -1 none. */
struct lw_vector_kind {
    int hazard, cover;
    char words[64];
};
/* label: its name may say it as well. */
void lw_vector_kind_of(const struct lw_raw *raw, size_t i, const struct lw_layer *layer, bool label,
                       struct lw_vector_kind *out);
/* Copies every part of feature i to the hazards, or the cover; -1 without memory. */
int lw_vector_add_hazard(struct lw_source *out, const struct lw_raw_feature *feature,
                         const struct lw_vector_kind *kind, double depth_m);
int lw_vector_add_cover(struct lw_source *out, const struct lw_raw_feature *feature,
                        enum lw_cover_kind kind);

#endif
