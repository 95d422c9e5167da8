/* Above and about the map: whose lake, whose depths, and the degrees along the frame. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "picture_parts.h"

#define EDGE     10.0
#define TICK_MM  1.8
#define APART_MM 27.0
#define SIGMAS   100000 /* so many of the cells are enough for a median */

/* One line of text, smaller where it would not fit. */
static void put_fitted(struct svg *svg, double x, double y, double size, double room,
                       const char *weight, const char *text)
{
    size = fmin(size, size * room / fmax(text_width(text, size), 1e-9));
    svg_add(svg, "<text x=\"%f\" y=\"%f\" font-size=\"%f\" font-weight=\"%s\">%s</text>\n", x, y,
            fmax(size, 1.6), weight, text);
}

/* The files' names without their folders: the folders are the crew's own business. */
static void file_names(char *to, size_t size, const char *paths)
{
    to[0] = '\0';
    while (*paths) {
        const char *end = strstr(paths, ", "), *name = paths;

        end = end ? end : paths + strlen(paths);
        for (const char *s = paths; s < end; s++)
            if (*s == '/')
                name = s + 1;
        lw_text_add(to, size, "%s%.*s", to[0] ? ", " : "", (int)(end - name), name);
        paths = *end ? end + 2 : end;
    }
}

static double median_sigma(const struct lw_grid *grid)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny, step = cells / SIGMAS + 1, n = 0;
    double *sigma = grid->sigma_m ? calloc(cells / step + 1, sizeof *sigma) : NULL, middle = NAN;

    for (size_t k = 0; sigma && k < cells; k += step)
        if (!isnan(grid->sigma_m[k]) && !isnan(grid->depth_m[k]))
            sigma[n++] = (double)grid->sigma_m[k];
    if (n) {
        qsort(sigma, n, sizeof *sigma, lw_number_order);
        middle = sigma[n / 2];
    }
    free(sigma);
    return middle;
}

static void depth_words(const struct sheet *sheet, char *to, size_t size)
{
    const struct lw_picture *picture = sheet->picture;
    bool us = picture->units == LW_US;
    double area = sheet->chart->area_m2 / (us ? 4046.8564224 : 1e4); /* acre: NIST SP 811 */
    double sigma_m = median_sigma(&sheet->chart->grid);
    char number[32];

    lw_text_copy(to, size, us ? "Depths in feet " : "Depths in metres ");
    if (fabs(picture->stage_m) < 5e-4) {
        lw_text_add(to, size, "at the map's own water level");
    } else {
        depth_number(number, sizeof number, fabs(picture->stage_m), picture->units);
        lw_text_add(to, size, "with the water %s %s %s the map's level", number, us ? "ft" : "m",
                    picture->stage_m > 0 ? "above" : "below");
    }
    depth_number(number, sizeof number, sheet->traced ? sheet->deepest_m : sheet->chart->deepest_m,
                 picture->units);
    lw_text_add(to, size, sheet->traced ? ". Deepest %s %s" : ". Deepest contour %s %s", number,
                us ? "ft" : "m");
    if (!sheet->traced && sheet->deepest_m > 1.02 * sheet->chart->deepest_m)
        lw_text_add(to, size, ", beyond it guessed");
    if (area > 0) {
        double tenth = pow(10, floor(log10(area)) - 2);

        lw_text_number(number, sizeof number, round(area / tenth) * tenth, 12);
        lw_text_add(to, size, ". Water %s %s", number, us ? "acres" : "ha");
    }
    if (isfinite(sigma_m)) {
        depth_number(number, sizeof number, sigma_m, picture->units);
        lw_text_add(to, size, ". Depths sure to about ±%s %s (one sigma, median)", number,
                    us ? "ft" : "m");
    }
    lw_text_add(to, size, ".");
}

void sheet_head(const struct sheet *sheet, struct svg *svg)
{
    const struct lw_chart *chart = sheet->chart;
    double room = sheet->page.w - 2 * EDGE, date_w = text_width(sheet->picture->date, 3);
    char line[900], files[512];

    put_fitted(svg, EDGE, 15, 7, room - date_w - 5, "bold",
               chart->lake[0] ? chart->lake : "Depth map");
    if (sheet->picture->date[0])
        svg_add(svg, "<text x=\"%f\" y=\"15\" font-size=\"3\" text-anchor=\"end\">%s</text>\n",
                sheet->page.w - EDGE, sheet->picture->date);
    depth_words(sheet, line, sizeof line);
    put_fitted(svg, EDGE, 20, 2.9, room, "normal", line);
    file_names(files, sizeof files, chart->source);
    snprintf(line, sizeof line, "Map: %s", files);
    if (chart->unit[0])
        lw_text_add(line, sizeof line, "; its depths are in %s: %s", chart->unit,
                    chart->unit_reason);
    if (chart->soundings)
        lw_text_add(line, sizeof line, "; %zu soundings", chart->soundings);
    put_fitted(svg, EDGE, 24, 2.6, room, "normal", line);
}

/* ---- degrees ---- */

struct side { /* one side of the frame, along which latitude or longitude runs */
    struct mm from, to;
    bool lon, lettered;
};

/* Degrees at the share t of the side; longitudes run on over the 180th meridian. */
static double degrees_at(const struct sheet *sheet, const struct side *side, double t)
{
    struct mm at = {side->from.x + t * (side->to.x - side->from.x),
                    side->from.y + t * (side->to.y - side->from.y)};
    struct lw_ll ll = lw_frame_to_ll(&sheet->chart->frame, page_to_en(&sheet->page, at));
    double middle = sheet->chart->frame.origin.lon_deg;

    return side->lon ? middle + lw_bearing_turn(middle, ll.lon_deg) : ll.lat_deg;
}

static void degree_words(char *to, size_t size, double deg, double step_min, bool lon)
{
    double wrapped = lon ? lw_bearing_turn(0, deg) : deg;
    long hundredths = lround(fabs(wrapped) * 6000), whole = hundredths / 6000;
    long minutes = hundredths % 6000;
    const char *way = lon ? (wrapped < 0 ? "W" : "E") : wrapped < 0 ? "S" : "N";

    if (step_min >= 1)
        snprintf(to, size, "%ld° %02ld' %s", whole, minutes / 100, way);
    else if (step_min >= 0.1)
        snprintf(to, size, "%ld° %02ld.%ld' %s", whole, minutes / 100, minutes % 100 / 10, way);
    else
        snprintf(to, size, "%ld° %02ld.%02ld' %s", whole, minutes / 100, minutes % 100, way);
}

/* Where along the side the degrees are reached: they run evenly but for the earth's roundness. */
static double share_of(const struct sheet *sheet, const struct side *side, double deg)
{
    double lo = 0, hi = 1;

    for (int k = 0; k < 30; k++) {
        double mid = (lo + hi) / 2;

        if (degrees_at(sheet, side, mid) < deg)
            lo = mid;
        else
            hi = mid;
    }
    return (lo + hi) / 2;
}

static void put_tick(const struct side *side, struct svg *svg, double t, const char *words)
{
    struct mm at = {side->from.x + t * (side->to.x - side->from.x),
                    side->from.y + t * (side->to.y - side->from.y)};
    double in = side->lettered ? 1 : -1; /* the left and lower sides are lettered */

    if (side->lon)
        svg_add(svg, "<path d=\"M%f %fv%f\" stroke=\"#000\" stroke-width=\"0.2\"/>", at.x, at.y,
                -in * TICK_MM);
    else
        svg_add(svg, "<path d=\"M%f %fh%f\" stroke=\"#000\" stroke-width=\"0.2\"/>", at.x, at.y,
                in * TICK_MM);
    if (side->lettered && side->lon)
        svg_add(svg, "<text x=\"%f\" y=\"%f\">%s</text>", at.x, at.y + 3, words);
    else if (side->lettered)
        svg_add(svg, "<text transform=\"translate(%f %f) rotate(-90)\">%s</text>", at.x - 1, at.y,
                words);
    svg_add(svg, "\n");
}

static void put_side(const struct sheet *sheet, const struct side *side, double step_min,
                     struct svg *svg)
{
    double step = step_min / 60, first = degrees_at(sheet, side, 0),
           last = degrees_at(sheet, side, 1);

    for (double k = ceil(first / step), n = 0; k * step <= last && n < 40; k++, n++) {
        double t = share_of(sheet, side, k * step);
        double length = hypot(side->to.x - side->from.x, side->to.y - side->from.y);
        char words[40];

        degree_words(words, sizeof words, k * step, step_min, side->lon);
        if (t * length < 9 || (1 - t) * length < 9) /* the lettering would hang over the corner */
            words[0] = '\0';
        put_tick(side, svg, t, words);
    }
}

void sheet_frame(const struct sheet *sheet, struct svg *svg)
{
    static const double of[] = {0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60};
    const struct box *map = &sheet->page.map;
    const struct side sides[] = {{{map->x0, map->y1}, {map->x1, map->y1}, true, true},
                                 {{map->x0, map->y0}, {map->x1, map->y0}, true, false},
                                 {{map->x0, map->y1}, {map->x0, map->y0}, false, true},
                                 {{map->x1, map->y1}, {map->x1, map->y0}, false, false}};

    svg_add(svg,
            "<rect id=\"frame\" x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" fill=\"none\" "
            "stroke=\"#000\" stroke-width=\"0.3\"/>\n<g id=\"degrees\" font-size=\"2.3\" "
            "text-anchor=\"middle\">\n",
            map->x0, map->y0, map->x1 - map->x0, map->y1 - map->y0);
    for (size_t k = 0; k < 4; k++) {
        const struct side *side = &sides[k];
        double length = hypot(side->to.x - side->from.x, side->to.y - side->from.y);
        double minutes = (degrees_at(sheet, side, 1) - degrees_at(sheet, side, 0)) * 60;
        size_t step = 0;

        while (step + 1 < sizeof of / sizeof *of && of[step] / minutes * length < APART_MM)
            step++;
        put_side(sheet, side, of[step], svg);
    }
    svg_add(svg, "</g>\n");
}
