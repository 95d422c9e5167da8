/* Keeping raw features. */
#include "raw.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

void lw_raw_feature_strip(struct lw_raw_feature *feature, size_t fields)
{
    for (size_t i = 0; feature->text && i < fields; i++)
        free(feature->text[i]);
    free(feature->text);
    free(feature->value);
    feature->text = NULL;
    feature->value = NULL;
}

void lw_raw_feature_free(struct lw_raw_feature *feature, size_t fields)
{
    for (size_t i = 0; i < feature->parts; i++)
        free(feature->part[i].p);
    free(feature->part);
    lw_raw_feature_strip(feature, fields);
    *feature = (struct lw_raw_feature){0};
}

bool lw_raw_is_place(const struct lw_raw_feature *feature)
{
    for (size_t i = 0; i < feature->parts; i++)
        if (feature->part[i].n != 1)
            return false;
    return feature->parts > 0;
}

static void *copy_of(const void *from, size_t n)
{
    void *to = malloc(n + 1);

    if (to && n)
        memcpy(to, from, n);
    return to;
}

int lw_raw_feature_copy(const struct lw_raw_feature *from, size_t fields, struct lw_raw_feature *to)
{
    *to = (struct lw_raw_feature){.z = from->z, .number = from->number, .layer = from->layer};
    to->part = calloc(from->parts + 1, sizeof *to->part);
    to->text = calloc(fields + 1, sizeof *to->text);
    to->value = copy_of(from->value, fields * sizeof *to->value);
    if (!to->part || !to->text || !to->value)
        goto no_memory;
    for (; to->parts < from->parts; to->parts++) {
        struct lw_raw_part *part = &to->part[to->parts];

        *part = from->part[to->parts];
        part->p = copy_of(part->p, part->n * sizeof *part->p);
        if (!part->p)
            goto no_memory;
    }
    for (size_t i = 0; i < fields; i++)
        if (from->text[i] && !(to->text[i] = strdup(from->text[i])))
            goto no_memory;
    return 0;
no_memory:
    lw_raw_feature_free(to, fields);
    return -1;
}

void lw_raw_free(struct lw_raw *raw)
{
    for (size_t i = 0; i < raw->features; i++)
        lw_raw_feature_free(&raw->feature[i], raw->fields);
    free(raw->feature);
    free(raw->field);
    *raw = (struct lw_raw){0};
}

int lw_raw_take(struct lw_raw *raw, struct lw_raw_feature *feature, struct lw_error *err)
{
    if (lw_array_room(&raw->feature, raw->features, &raw->cap))
        return lw_fail(err, "out of memory after %zu features of the map", raw->features);
    raw->feature[raw->features++] = *feature;
    *feature = (struct lw_raw_feature){0};
    return 0;
}

int lw_raw_part_line(const struct lw_raw_part *part, const struct lw_frame *frame, double gap_m,
                     struct lw_line *line)
{
    *line = (struct lw_line){0};
    for (size_t k = 0; k < part->n; k++)
        if (lw_line_add(line, lw_frame_to_en(frame, part->p[k])))
            return -1;
    line->closed = line->n >= 4 && lw_en_distance(line->p[0], line->p[line->n - 1]) < gap_m;
    return 0;
}

void lw_raw_keep(struct lw_raw *raw, const bool *keep)
{
    size_t kept = 0;

    for (size_t i = 0; i < raw->features; i++) {
        if (keep[i])
            raw->feature[kept++] = raw->feature[i];
        else
            lw_raw_feature_free(&raw->feature[i], raw->fields);
    }
    raw->features = kept;
}

struct lw_box lw_box_empty(void)
{
    return (struct lw_box){90, -90, 180, -180};
}

struct lw_box lw_box_about(struct lw_ll at, double half_m)
{
    double dlat = half_m / 111000.0;
    double dlon = dlat / fmax(0.01, cos(at.lat_deg * M_PI / 180));

    return (struct lw_box){at.lat_deg - dlat, at.lat_deg + dlat, at.lon_deg - dlon,
                           at.lon_deg + dlon};
}

void lw_box_add(struct lw_box *box, struct lw_box other)
{
    box->lat_min = fmin(box->lat_min, other.lat_min);
    box->lat_max = fmax(box->lat_max, other.lat_max);
    box->lon_min = fmin(box->lon_min, other.lon_min);
    box->lon_max = fmax(box->lon_max, other.lon_max);
}

bool lw_box_contains(struct lw_box box, struct lw_box inner)
{
    return inner.lat_min >= box.lat_min && inner.lat_max <= box.lat_max &&
           inner.lon_min >= box.lon_min && inner.lon_max <= box.lon_max;
}

bool lw_box_meets(struct lw_box a, struct lw_box b)
{
    if (a.lat_min > b.lat_max || b.lat_min > a.lat_max)
        return false;
    for (int turn = -360; turn <= 360; turn += 360) /* a box may reach beyond 180 */
        if (a.lon_min <= b.lon_max + turn && b.lon_min + turn <= a.lon_max)
            return true;
    return false;
}

struct lw_ll lw_box_middle(struct lw_box box)
{
    double lon_deg = (box.lon_min + box.lon_max) / 2;

    return (struct lw_ll){(box.lat_min + box.lat_max) / 2,
                          box.lon_max - box.lon_min > 180 ? 180 : lon_deg};
}

struct lw_box lw_box_grown(struct lw_box box, double margin_m)
{
    struct lw_ll middle = {(box.lat_min + box.lat_max) / 2, (box.lon_min + box.lon_max) / 2};
    struct lw_box m = lw_box_about(middle, margin_m);
    double dlat = (m.lat_max - m.lat_min) / 2, dlon = (m.lon_max - m.lon_min) / 2;

    return (struct lw_box){box.lat_min - dlat, box.lat_max + dlat, box.lon_min - dlon,
                           box.lon_max + dlon};
}

struct lw_box lw_raw_feature_box(const struct lw_raw_feature *feature)
{
    struct lw_box box = lw_box_empty();

    for (size_t i = 0; i < feature->parts; i++)
        for (size_t k = 0; k < feature->part[i].n; k++) {
            struct lw_ll p = feature->part[i].p[k];

            lw_box_add(&box, (struct lw_box){p.lat_deg, p.lat_deg, p.lon_deg, p.lon_deg});
        }
    return box;
}
