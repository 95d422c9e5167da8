/* One file's layers, each for what it is. */
#include "vector.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "columns.h"
#include "lipwalk/base/text.h"
#include "vector_words.h"

#define RANK_ASKED 8 /* names that count as depths only when asked for */
#define SHORE_M    1e-3
#define ABOUT_M    200.0 /* how far about a lake other layers are read */

static const struct lw_layer *layers_of(const struct lw_vector *vector, size_t *n)
{
    const struct lw_layer *layer;

    *n = lw_reader_layers(vector->reader, &layer);
    return layer;
}

int lw_vector_open(const struct lw_map_file *file, const char *scratch, struct lw_vector *out,
                   struct lw_error *err)
{
    const struct lw_layer *layer;
    size_t n;

    *out = (struct lw_vector){.holds = LW_HOLDS_NOTHING};
    if (lw_reader_open(file, scratch, &out->reader, err))
        return -1;
    layer = layers_of(out, &n);
    for (size_t i = 0; i < n; i++)
        if (layer[i].holds < out->holds)
            out->holds = layer[i].holds;
    if (lw_reader_is_s57(out->reader))
        out->holds = LW_HOLDS_CONTOURS;
    return 0;
}

void lw_vector_close(struct lw_vector *vector)
{
    lw_reader_close(vector->reader);
    vector->reader = NULL;
}

/* The layers with depths that are read as one: in KML all of them, since a folder is a layer and
 * one map may use a folder for each depth; else the one whose attribute tells best, and those of
 * the same form. Lines and areas of one lake say the same thing twice, so that only one sort is
 * taken. Returns how many others hold depths too. */
static size_t choose_depths(const struct lw_vector *vector, enum lw_layer_holds holds, bool *use)
{
    size_t n, best = SIZE_MAX, left = 0;
    const struct lw_layer *layer = layers_of(vector, &n);
    bool kml = lw_reader_is_kml(vector->reader);

    for (size_t i = 0; i < n; i++)
        if (layer[i].holds == holds &&
            (best == SIZE_MAX || layer[i].empty < layer[best].empty ||
             (layer[i].empty == layer[best].empty && layer[i].rank < layer[best].rank)))
            best = i;
    for (size_t i = 0; i < n && best != SIZE_MAX; i++) {
        if (layer[i].holds != holds)
            continue;
        use[i] = i == best || kml ||
                 (layer[i].areas == layer[best].areas &&
                  lw_reader_one_crs(vector->reader, i, best) &&
                  strcasecmp(layer[i].depth, layer[best].depth) == 0);
        left += !use[i];
    }
    return left;
}

/* What is told of depths comes from the first layer that has them. */
static void describe(struct lw_source *out, const char *field, const struct lw_depth_rule *rule)
{
    for (int i = 0; i < rule->warnings; i++)
        lw_source_warn(out, "%s", rule->warning[i]);
    if (*out->depth_field)
        return;
    lw_text_clean(out->depth_field, sizeof out->depth_field, field);
    lw_text_copy(out->unit, sizeof out->unit, lw_depth_unit_name(rule->unit));
    lw_text_copy(out->unit_reason, sizeof out->unit_reason, rule->reason);
    lw_text_copy(out->sign, sizeof out->sign, rule->sign);
    out->unit_m = rule->unit_m;
}

/* depth_m[row[i]] for those features whose depth is known. */
static int find_depths(const struct lw_raw *raw, const size_t *row, size_t rows,
                       const struct lw_map_file *file, struct lw_source *out, double *depth_m,
                       struct lw_error *err)
{
    struct lw_columns *columns = calloc(1, sizeof *columns);
    struct lw_depth_rule rule;
    int status = -1;

    if (!columns)
        return lw_fail(err, "out of memory for the map's attributes");
    if (lw_columns_make(raw, row, rows, columns, err) ||
        lw_depth_choose(columns->column, columns->columns, file, &rule, err))
        goto done;
    for (size_t i = 0; i < rows; i++)
        depth_m[row[i]] = lw_depth_of(&rule, columns->column[rule.column].value[i]);
    describe(out, columns->column[rule.column].name, &rule);
    status = 0;
done:
    lw_columns_free(columns);
    free(columns);
    return status;
}

struct sorting {
    double *depth_m;      /* of each feature; NaN */
    size_t *line, *place; /* their numbers */
    size_t lines, places;
};

static int sort_features(const struct lw_raw *raw, struct sorting *s)
{
    *s = (struct sorting){.depth_m = malloc((raw->features + 1) * sizeof *s->depth_m),
                          .line = malloc((raw->features + 1) * sizeof *s->line),
                          .place = malloc((raw->features + 1) * sizeof *s->place)};
    if (!s->depth_m || !s->line || !s->place)
        return -1;
    for (size_t i = 0; i < raw->features; i++) {
        s->depth_m[i] = NAN;
        if (lw_raw_is_place(&raw->feature[i]))
            s->place[s->places++] = i;
        else
            s->line[s->lines++] = i;
    }
    return 0;
}

static void sorting_free(struct sorting *s)
{
    free(s->depth_m);
    free(s->line);
    free(s->place);
}

/* One feature to where it belongs. shore: lines without a depth are at 0. */
static int place_feature(struct lw_vector *vector, struct lw_raw *raw, size_t i, double depth_m,
                         bool shore, struct lw_source *out, size_t *left)
{
    const struct lw_layer *layer;
    struct lw_raw_feature *feature = &raw->feature[i];
    bool place = lw_raw_is_place(feature);
    struct lw_vector_kind kind;

    lw_reader_layers(vector->reader, &layer);
    layer += feature->layer;
    if (!place && (!isnan(depth_m) || shore) && layer->holds != LW_HOLDS_FEATURES)
        return lw_source_add_line(out, feature, raw->fields, isnan(depth_m) ? 0 : depth_m);
    lw_vector_kind_of(raw, i, layer, lw_reader_is_kml(vector->reader), &kind);
    if (kind.hazard >= 0)
        return lw_vector_add_hazard(out, feature, &kind, depth_m);
    if (kind.cover >= 0 && lw_vector_add_cover(out, feature, (enum lw_cover_kind)kind.cover))
        return -1;
    if (place && !isnan(depth_m)) {
        for (size_t k = 0; k < feature->parts; k++)
            if (lw_source_add_point(out, feature->part[k].p[0], depth_m))
                return -1;
        return 0;
    }
    if (!place && layer->holds != LW_HOLDS_FEATURES && kind.cover < 0)
        return lw_source_add_line(out, feature, raw->fields, NAN);
    *left += kind.cover < 0;
    return 0;
}

static int place_all(struct lw_vector *vector, struct lw_raw *raw, const struct sorting *s,
                     bool shore, struct lw_source *out, struct lw_error *err)
{
    size_t left = 0;

    for (size_t i = 0; i < raw->features; i++)
        if (place_feature(vector, raw, i, s->depth_m[i], shore, out, &left))
            return lw_fail(err, "out of memory for the map's features");
    left += raw->skipped;
    if (left)
        lw_source_warn(out, "%zu %s no contour, sounding, hazard or bottom, and %s left out", left,
                       left == 1 ? "feature is" : "features are", left == 1 ? "was" : "were");
    return 0;
}

/* The layers with depths: the lake is chosen in them. */
static int read_depths(struct lw_vector *vector, const struct lw_import_options *options,
                       const struct lw_box *place, struct lw_source *out, struct lw_error *err)
{
    struct lw_raw raw = {0};
    struct sorting s = {0};
    int status = lw_lake_read(vector->reader, options, place, &raw, out->lake, err);

    if (status)
        goto done;
    status = -1;
    if (sort_features(&raw, &s)) {
        lw_fail(err, "out of memory for the map's attributes");
        goto done;
    }
    if (raw.features == 0 && !place) {
        lw_fail(err,
                "%s holds no contour lines or polygons and no soundings%s: tables and solids are "
                "not read",
                lw_reader_map(vector->reader), raw.skipped ? " (only other geometry)" : "");
        goto done;
    }
    if (s.lines && find_depths(&raw, s.line, s.lines, out->file, out, s.depth_m, err))
        goto done;
    /* Places beside contours may be labels of anything: those without a depth fall away. */
    if (s.places && !(s.lines && lw_reader_is_kml(vector->reader)) &&
        find_depths(&raw, s.place, s.places, out->file, out, s.depth_m, s.lines ? NULL : err) &&
        !s.lines)
        goto done;
    status = place_all(vector, &raw, &s, false, out, err);
done:
    sorting_free(&s);
    lw_raw_free(&raw);
    return status;
}

/* One more layer, about the lake. A layer without depths that can be understood gives what else is
 * in it. */
static int read_beside(struct lw_vector *vector, size_t which, const struct lw_box *box, bool shore,
                       struct lw_source *out, struct lw_error *err)
{
    bool use[LW_LAYERS_MAX] = {false};
    const struct lw_layer *layer;
    struct lw_raw raw = {0};
    struct sorting s = {0};
    struct lw_error why = {""};
    size_t *row, rows;
    int status = -1;

    lw_reader_layers(vector->reader, &layer);
    use[which] = true;
    if (lw_reader_use(vector->reader, use, err) || lw_reader_read(vector->reader, box, &raw, err))
        goto done;
    if (sort_features(&raw, &s)) {
        lw_fail(err, "out of memory for the map's attributes");
        goto done;
    }
    row = s.places ? s.place : s.line;
    rows = s.places ? s.places : s.lines;
    if (rows && !shore && layer[which].rank < RANK_ASKED &&
        find_depths(&raw, row, rows, out->file, out, s.depth_m, &why))
        lw_source_warn(out, "the depths of layer %s were left out: %s", layer[which].name,
                       why.text);
    status = place_all(vector, &raw, &s, shore, out, err);
done:
    sorting_free(&s);
    lw_raw_free(&raw);
    return status;
}

static bool has_shore(const struct lw_source *source)
{
    for (size_t i = 0; i < source->lines.features; i++)
        if (source->line_m[i] < SHORE_M)
            return true;
    return false;
}

static int read_others(struct lw_vector *vector, const bool *done, const struct lw_box *place,
                       bool depths, struct lw_source *out, struct lw_error *err)
{
    size_t n, left = 0;
    const struct lw_layer *layer = layers_of(vector, &n);
    struct lw_box own = lw_box_grown(lw_source_box(out), ABOUT_M);
    /* Without depths of its own in a file beside a grid: all of it. */
    const struct lw_box *box = place ? place : own.lat_min <= own.lat_max ? &own : NULL;
    char list[200] = "";

    for (size_t i = 0; i < n; i++) {
        enum lw_layer_holds holds = layer[i].holds;
        /* Beside depths a layer must say that it is the shore; without any, in a file beside
         * others, its lines can be nothing else. */
        bool shore = holds == LW_HOLDS_SHORE || (holds == LW_HOLDS_PLAIN && !depths);
        size_t lines = out->lines.features;

        if (done[i])
            continue;
        /* Of two shores, a little apart, the inner one would be an island as large as the lake. */
        if (shore && has_shore(out) && !lw_word_is_island(layer[i].name)) {
            holds = LW_HOLDS_PLAIN;
            shore = false;
        }
        if (holds == LW_HOLDS_SOUNDINGS || holds == LW_HOLDS_FEATURES || shore) {
            if (read_beside(vector, i, box, shore, out, err))
                return -1;
            out->shore = out->shore || (shore && !depths);
            if (shore && depths && out->lines.features > lines)
                lw_source_warn(out, "layer %s is taken for the shore, at depth 0", layer[i].name);
            continue;
        }
        lw_text_add(list, sizeof list, "%s%s", left++ ? ", " : "", layer[i].name);
    }
    if (left)
        lw_source_warn(out, "%zu layer%s not read: %s", left, left == 1 ? " was" : "s were", list);
    return 0;
}

int lw_vector_read(struct lw_vector *vector, const struct lw_import_options *options,
                   const struct lw_box *place, bool alone, struct lw_source *out,
                   struct lw_error *err)
{
    bool use[LW_LAYERS_MAX] = {false};
    enum lw_layer_holds holds = vector->holds;
    bool depths = holds <= LW_HOLDS_SOUNDINGS;
    int status;

    if (lw_reader_is_s57(vector->reader))
        return lw_s57_read(vector->reader, out, err);
    if (holds == LW_HOLDS_NOTHING || (alone && holds == LW_HOLDS_FEATURES))
        return lw_fail(err,
                       "%s holds no lines, areas or soundings with depths: contour lines or "
                       "polygons, soundings or a grid are needed",
                       lw_reader_map(vector->reader));
    if (depths || alone) {
        choose_depths(vector, holds, use);
        if (lw_reader_use(vector->reader, use, err))
            return -1;
        status = read_depths(vector, options, place, out, err);
        if (status)
            return status;
        lw_text_copy(out->crs, sizeof out->crs, lw_reader_crs(vector->reader));
    }
    if (*lw_reader_note(vector->reader))
        lw_source_warn(out, "%s", lw_reader_note(vector->reader));
    if (read_others(vector, use, place, depths || alone, out, err))
        return -1;
    if (!*out->crs)
        lw_text_copy(out->crs, sizeof out->crs, lw_reader_crs(vector->reader));
    return 0;
}
