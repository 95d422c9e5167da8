/* Contour lines as GeoJSON (RFC 7946). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "chart_out.h"
#include "lipwalk/base/save.h"

/* RFC 7946 positions to 7 decimals: a centimetre. */
static json_t *coordinates(const struct lw_chart *chart, const struct lw_line *line)
{
    json_t *list = json_array();

    for (size_t k = 0; k < line->n; k++) {
        struct lw_ll at = lw_frame_to_ll(&chart->frame, line->p[k]);

        json_array_append_new(list, json_pack("[f,f]", at.lon_deg, at.lat_deg));
    }
    return list;
}

static json_t *collection(const struct lw_chart *chart, double depth_m,
                          const struct lw_lines *lines)
{
    json_t *features = json_array();

    for (size_t i = 0; i < lines->n; i++) {
        const struct lw_line *line = &lines->line[i];

        json_array_append_new(
            features, json_pack("{s:s,s:{s:f,s:f,s:b,s:s},s:{s:s,s:o}}", "type", "Feature",
                                "properties", "depth_m", depth_m, "length_m", lw_line_length(line),
                                "closed", (int)line->closed, "deep_side", "left", "geometry",
                                "type", "LineString", "coordinates", coordinates(chart, line)));
    }
    return json_pack("{s:s,s:o}", "type", "FeatureCollection", "features", features);
}

static int put(const char *text, const char *path, struct lw_error *err)
{
    if (path)
        return lw_file_save(path, 0666, text, strlen(text), err);
    return puts(text) < 0 ? lw_fail(err, "stdout cannot be written") : 0;
}

int lw_chart_write_contour(const struct lw_chart *chart, double depth_m, const char *path,
                           struct lw_error *err)
{
    struct lw_lines lines;
    json_t *all;
    char *text;
    int status;

    if (lw_chart_contour(chart, depth_m, &lines, err))
        return -1;
    if (lines.n == 0)
        return lw_fail(err, "%s has no line at %.4g m: its contours run from %.4g to %.4g m",
                       chart->source, depth_m, chart->contour[0].depth_m, chart->deepest_m);
    all = collection(chart, depth_m, &lines);
    lw_lines_free(&lines);
    text = all ? json_dumps(all, JSON_REAL_PRECISION(10)) : NULL;
    json_decref(all);
    status = text ? put(text, path, err) : lw_fail(err, "out of memory");
    free(text);
    return status;
}
