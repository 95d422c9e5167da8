/* S-57 cells.
 *
 * Depth areas tile the water and do not nest, so the outline of one is no contour: where its
 * neighbour is shallower the line between them lies at its own shallow depth, where it is deeper at
 * the neighbour's. So every straight stretch of every area and line is looked at by itself: what
 * lies on its two sides says its depth. What has water on one side and nothing on the other is the
 * cell's border. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "lipwalk/base/text.h"
#include "s57_edges.h"
#include "vector.h"

static int field_of(const struct lw_raw *raw, const char *name)
{
    for (size_t k = 0; k < raw->fields; k++)
        if (strcasecmp(raw->field[k], name) == 0)
            return (int)k;
    return -1;
}

static double value_of(const struct lw_raw *raw, size_t i, const char *name)
{
    int k = field_of(raw, name);

    return k < 0 ? NAN : raw->feature[i].value[k];
}

/* All features of one object class; none where the cell has no such class. */
static int read_class(struct lw_reader *reader, const char *name, struct lw_raw *raw,
                      struct lw_error *err)
{
    bool use[LW_LAYERS_MAX] = {false}, any = false;
    const struct lw_layer *layer;
    size_t n = lw_reader_layers(reader, &layer);

    lw_raw_free(raw);
    for (size_t i = 0; i < n; i++)
        if (strcmp(layer[i].name, name) == 0)
            any = use[i] = true;
    if (!any)
        return 0;
    return lw_reader_use(reader, use, err) || lw_reader_read(reader, NULL, raw, err) ? -1 : 0;
}

/* DRVAL1 is the shallow depth; negative where the area falls dry: land, at the chart's level. */
static enum lw_edge_side side_of(const struct lw_raw *raw, size_t i, bool land, double *depth_m)
{
    double deep = value_of(raw, i, "DRVAL2");

    *depth_m = value_of(raw, i, "DRVAL1");
    if (land || (*depth_m < 0 && deep <= 0))
        return LW_SIDE_LAND;
    *depth_m = isnan(*depth_m) ? NAN : fmax(0, *depth_m);
    return LW_SIDE_WATER;
}

static int add_areas(struct lw_reader *reader, const char *class, bool land, struct lw_edges *edges,
                     struct lw_source *out, struct lw_error *err)
{
    struct lw_raw raw = {0};
    int status = read_class(reader, class, &raw, err);

    for (size_t i = 0; i < raw.features && status == 0; i++) {
        double least_m, most_m = value_of(&raw, i, "DRVAL2");
        enum lw_edge_side side = side_of(&raw, i, land, &least_m);

        for (size_t k = 0; k < raw.feature[i].parts && status == 0; k++)
            if (raw.feature[i].part[k].area)
                status = lw_edges_add_ring(edges, &raw.feature[i].part[k], side, least_m, err);
        if (status == 0 && side == LW_SIDE_WATER && most_m >= least_m &&
            lw_source_add_range(out, &raw.feature[i], raw.fields, least_m, most_m))
            status = lw_fail(err, "out of memory for the cell's areas");
    }
    lw_raw_free(&raw);
    return status;
}

static int add_lines(struct lw_reader *reader, const char *class, const char *value,
                     struct lw_edges *edges, struct lw_error *err)
{
    struct lw_raw raw = {0};
    int status = read_class(reader, class, &raw, err);

    for (size_t i = 0; i < raw.features && status == 0; i++)
        for (size_t k = 0; k < raw.feature[i].parts && status == 0; k++) {
            double depth_m = value ? value_of(&raw, i, value) : 0;

            if (raw.feature[i].part[k].n >= 2 && !isnan(depth_m))
                status = lw_edges_add_line(edges, &raw.feature[i].part[k], depth_m, err);
        }
    lw_raw_free(&raw);
    return status;
}

static int add_soundings(struct lw_reader *reader, struct lw_source *out, struct lw_error *err)
{
    struct lw_raw raw = {0};
    int status = read_class(reader, "SOUNDG", &raw, err);

    for (size_t i = 0; i < raw.features && status == 0; i++) {
        double depth_m = value_of(&raw, i, "DEPTH");

        if (isnan(depth_m))
            depth_m = raw.feature[i].z;
        for (size_t k = 0; k < raw.feature[i].parts && status == 0 && !isnan(depth_m); k++)
            if (lw_source_add_point(out, raw.feature[i].part[k].p[0], depth_m))
                status = lw_fail(err, "out of memory for the cell's soundings");
    }
    lw_raw_free(&raw);
    return status;
}

static int add_hazards(struct lw_reader *reader, const char *class, struct lw_source *out,
                       struct lw_error *err)
{
    struct lw_raw raw = {0};
    struct lw_vector_kind kind = {.hazard = lw_hazard_of(class), .cover = -1};
    int status = read_class(reader, class, &raw, err);
    int name = field_of(&raw, "OBJNAM"), remark = field_of(&raw, "INFORM");

    for (size_t i = 0; i < raw.features && status == 0; i++) {
        const char *text = name >= 0 ? raw.feature[i].text[name] : NULL;

        if (!text && remark >= 0)
            text = raw.feature[i].text[remark];
        lw_text_copy(kind.words, sizeof kind.words, text);
        if (lw_vector_add_hazard(out, &raw.feature[i], &kind, value_of(&raw, i, "VALSOU")))
            status = lw_fail(err, "out of memory for the cell's hazards");
    }
    lw_raw_free(&raw);
    return status;
}

/* NATSUR is a list of codes, "4,1" or "(2:4,1)", the main one first. */
static int bottom_of(const char *text)
{
    static const signed char kind[] = {
        [0] = -1,
        [1] = LW_COVER_MUD,    /* mud */
        [2] = LW_COVER_MUD,    /* clay */
        [3] = LW_COVER_MUD,    /* silt */
        [4] = LW_COVER_SAND,   /* sand */
        [5] = LW_COVER_ROCK,   /* stone */
        [6] = LW_COVER_GRAVEL, /* gravel */
        [7] = LW_COVER_GRAVEL, /* pebbles */
        [8] = LW_COVER_GRAVEL, /* cobbles */
        [9] = LW_COVER_ROCK,   /* rock */
        [10] = -1,
        [11] = LW_COVER_ROCK, /* lava */
        [12] = -1,
        [13] = -1,
        [14] = -1,
        [15] = -1,
        [16] = -1,
        [17] = -1,
        [18] = LW_COVER_ROCK, /* boulder */
    };
    const char *at = strchr(text, ':');
    long code;

    at = at ? at + 1 : text;
    at += strcspn(at, "0123456789");
    code = strtol(at, NULL, 10);
    return code > 0 && code < (long)sizeof kind ? kind[code] : -1;
}

static int add_bottom(struct lw_reader *reader, const char *class, struct lw_source *out,
                      struct lw_error *err)
{
    struct lw_raw raw = {0};
    int status = read_class(reader, class, &raw, err), natsur = field_of(&raw, "NATSUR");
    int whole = lw_cover_of(class); /* weed */

    for (size_t i = 0; i < raw.features && status == 0; i++) {
        const char *text = natsur >= 0 ? raw.feature[i].text[natsur] : NULL;
        int kind = whole >= 0 ? whole : text ? bottom_of(text) : -1;

        if (kind >= 0 && lw_vector_add_cover(out, &raw.feature[i], (enum lw_cover_kind)kind))
            status = lw_fail(err, "out of memory for the cell's bottom");
    }
    lw_raw_free(&raw);
    return status;
}

int lw_s57_read(struct lw_reader *reader, struct lw_source *out, struct lw_error *err)
{
    static const char *const water[] = {"DEPARE", "DRGARE"};
    static const char *const land[] = {"LNDARE"};
    static const char *const hazards[] = {"UWTROC", "WRECKS", "OBSTRN"};
    static const char *const bottom[] = {"SBDARE", "WEDKLP"};
    struct lw_edges edges = {0};
    int status = -1;

    for (size_t i = 0; i < sizeof water / sizeof *water; i++)
        if (add_areas(reader, water[i], false, &edges, out, err))
            goto done;
    for (size_t i = 0; i < sizeof land / sizeof *land; i++)
        if (add_areas(reader, land[i], true, &edges, out, err))
            goto done;
    if (add_lines(reader, "DEPCNT", "VALDCO", &edges, err) ||
        add_lines(reader, "COALNE", NULL, &edges, err) || lw_edges_draw(&edges, out, err))
        goto done;
    if (add_soundings(reader, out, err))
        goto done;
    for (size_t i = 0; i < sizeof hazards / sizeof *hazards; i++)
        if (add_hazards(reader, hazards[i], out, err))
            goto done;
    for (size_t i = 0; i < sizeof bottom / sizeof *bottom; i++)
        if (add_bottom(reader, bottom[i], out, err))
            goto done;
    if (!out->lines.features && !out->points) {
        lw_fail(err,
                "%s holds no depth contours, depth areas or soundings (DEPCNT, DEPARE, SOUNDG)",
                lw_reader_map(reader));
        goto done;
    }
    lw_text_copy(out->depth_field, sizeof out->depth_field, "VALDCO, DRVAL1 and Z");
    lw_text_copy(out->unit, sizeof out->unit, "m");
    lw_text_copy(out->unit_reason, sizeof out->unit_reason, "S-57 cells are in metres");
    lw_text_copy(out->sign, sizeof out->sign, "positive down");
    lw_text_copy(out->crs, sizeof out->crs, lw_reader_crs(reader));
    out->unit_m = 1;
    status = 0;
done:
    lw_edges_free(&edges);
    return status;
}
