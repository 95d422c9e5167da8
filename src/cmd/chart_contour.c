/* Contour lines as GeoJSON (RFC 7946). Written number by number: a tree of JSON values for the
 * lines of a large noisy grid would take many times the grid itself. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chart_out.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"

#define DIGITS 10 /* of degrees: a centimetre or better */

static void put_number(FILE *to, double value)
{
    char text[40];

    lw_text_number(text, sizeof text, value, DIGITS);
    fputs(text, to);
}

static void put_line(FILE *to, const struct lw_chart *chart, double depth_m,
                     const struct lw_line *line)
{
    fputs("{\"type\": \"Feature\", \"properties\": {\"depth_m\": ", to);
    put_number(to, depth_m);
    fputs(", \"length_m\": ", to);
    put_number(to, lw_line_length(line));
    fprintf(to, ", \"closed\": %s, \"deep_side\": \"left\"}", line->closed ? "true" : "false");
    fputs(", \"geometry\": {\"type\": \"LineString\", \"coordinates\": [", to);
    for (size_t k = 0; k < line->n; k++) {
        struct lw_ll at = lw_frame_to_ll(&chart->frame, line->p[k]);

        fputs(k ? ", [" : "[", to);
        put_number(to, at.lon_deg);
        fputs(", ", to);
        put_number(to, at.lat_deg);
        fputc(']', to);
    }
    fputs("]}}", to);
}

/* The whole text, for the caller to free; NULL when memory ran out. */
static char *collection(const struct lw_chart *chart, double depth_m, const struct lw_lines *lines)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    bool whole;

    if (!to)
        return NULL;
    fputs("{\"type\": \"FeatureCollection\", \"features\": [", to);
    for (size_t i = 0; i < lines->n; i++) {
        fputs(i ? ",\n" : "\n", to);
        put_line(to, chart, depth_m, &lines->line[i]);
    }
    fputs("\n]}", to);
    whole = !ferror(to);
    if (fclose(to) == 0 && whole)
        return text;
    free(text);
    return NULL;
}

static int put(const char *text, const char *path, struct lw_error *err)
{
    if (path)
        return lw_file_save(path, 0666, text, strlen(text), err);
    return puts(text) < 0 ? lw_fail(err, "stdout cannot be written") : 0;
}

static int say_none(const struct lw_chart *chart, double depth_m, struct lw_error *err)
{
    size_t cells = (size_t)chart->grid.nx * (size_t)chart->grid.ny;
    double least_m = INFINITY, most_m = -INFINITY;

    for (size_t k = 0; k < cells; k++) {
        least_m = fmin(least_m, (double)chart->grid.depth_m[k]);
        most_m = fmax(most_m, (double)chart->grid.depth_m[k]);
    }
    return lw_fail(err, "%s has no line at %.4g m: its depths run from %.4g to %.4g m",
                   chart->source, depth_m, least_m, most_m);
}

int lw_chart_write_contour(const struct lw_chart *chart, double depth_m, const char *path,
                           struct lw_error *err)
{
    struct lw_lines lines;
    char *text;
    int status;

    if (lw_chart_contour(chart, depth_m, &lines, err))
        return -1;
    if (lines.n == 0)
        return say_none(chart, depth_m, err);
    text = collection(chart, depth_m, &lines);
    lw_lines_free(&lines);
    status = text ? put(text, path, err) : lw_fail(err, "out of memory for the lines");
    free(text);
    return status;
}
