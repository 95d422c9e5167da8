/* Filling and freeing what a map file gave. */
#include "source.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "raster.h"

void lw_source_start(struct lw_source *source, const struct lw_map_file *file)
{
    memset(source, 0, sizeof *source);
    source->file = file;
    lw_text_clean(source->name, sizeof source->name, lw_text_file_name(file->path));
}

void lw_source_warn(struct lw_source *source, const char *format, ...)
{
    char text[600];
    va_list args;

    if (source->warnings >= (int)(sizeof source->warning / sizeof *source->warning))
        return;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    lw_text_clean(source->warning[source->warnings++], sizeof source->warning[0], text);
}

int lw_source_add_point(struct lw_source *source, struct lw_ll at, double depth_m)
{
    if (lw_array_room(&source->point, source->points, &source->point_cap))
        return -1;
    source->point[source->points++] = (struct lw_depth_point){at, depth_m};
    return 0;
}

int lw_source_add_hazard(struct lw_source *source, struct lw_source_hazard *hazard)
{
    if (lw_array_room(&source->hazard, source->hazards, &source->hazard_cap))
        return -1;
    source->hazard[source->hazards++] = *hazard;
    memset(&hazard->part, 0, sizeof hazard->part);
    return 0;
}

int lw_source_add_cover(struct lw_source *source, struct lw_source_cover *cover)
{
    if (lw_array_room(&source->cover, source->covers, &source->cover_cap))
        return -1;
    source->cover[source->covers++] = *cover;
    memset(&cover->part, 0, sizeof cover->part);
    return 0;
}

int lw_source_add_range(struct lw_source *source, struct lw_raw_feature *feature, size_t fields,
                        double least_m, double most_m)
{
    double(*more)[2] = realloc(source->range_m, (source->range.features + 1) * sizeof *more);

    if (!more)
        return -1;
    source->range_m = more;
    lw_raw_feature_strip(feature, fields);
    if (lw_raw_take(&source->range, feature, NULL))
        return -1;
    source->range_m[source->range.features - 1][0] = least_m;
    source->range_m[source->range.features - 1][1] = most_m;
    return 0;
}

int lw_source_add_line(struct lw_source *source, struct lw_raw_feature *feature, size_t fields,
                       double depth_m)
{
    double *more = realloc(source->line_m, (source->lines.features + 1) * sizeof *more);

    if (!more)
        return -1;
    source->line_m = more;
    lw_raw_feature_strip(feature, fields);
    if (lw_raw_take(&source->lines, feature, NULL))
        return -1;
    source->line_m[source->lines.features - 1] = depth_m;
    return 0;
}

void lw_source_free(struct lw_source *source)
{
    for (size_t i = 0; i < source->hazards; i++)
        free(source->hazard[i].part.p);
    for (size_t i = 0; i < source->covers; i++)
        free(source->cover[i].part.p);
    free(source->hazard);
    free(source->cover);
    free(source->point);
    free(source->line_m);
    lw_raw_free(&source->lines);
    lw_raw_free(&source->limit);
    lw_raw_free(&source->range);
    free(source->range_m);
    if (source->raster)
        lw_raster_free(source->raster);
    memset(source, 0, sizeof *source);
}

struct lw_box lw_source_box(const struct lw_source *source)
{
    struct lw_box box = lw_box_empty();

    for (size_t i = 0; i < source->lines.features; i++)
        lw_box_add(&box, lw_raw_feature_box(&source->lines.feature[i]));
    for (size_t i = 0; i < source->points; i++) {
        struct lw_ll p = source->point[i].at;

        lw_box_add(&box, (struct lw_box){p.lat_deg, p.lat_deg, p.lon_deg, p.lon_deg});
    }
    return box;
}
