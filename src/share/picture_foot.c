/* Below the map: how far, how deep, what the signs mean, and what to heed. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "picture_parts.h"

#define EDGE      10.0
#define BAR_MM    58.0 /* a scale bar is no longer */
#define ROW_MM    4.0
#define LETTERS   2.6
#define SAMPLE_MM 11.0

/* ---- scale ---- */

/* A round length whose bar is as long as may be, and its unit. */
static double round_length(const struct page *page, bool us, double *each_m, const char **unit,
                           int *parts)
{
    double room_m = BAR_MM / page->mm_per_m, lead, tenth;

    *each_m = us ? LW_FT_M : 1;
    *unit = us ? "ft" : "m";
    if (us && room_m > 1609.344) {
        *each_m = 1609.344;
        *unit = "mi";
    } else if (!us && room_m > 2000) {
        *each_m = 1000;
        *unit = "km";
    }
    tenth = pow(10, floor(log10(room_m / *each_m)));
    lead = room_m / *each_m / tenth;
    *parts = lead >= 5 ? 5 : lead >= 2 ? 4 : 5;
    return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * tenth;
}

/* A bar of alternate black and white parts with its top at y, lettered above or below. */
static void put_bar(const struct page *page, bool us, double x, double y, bool above,
                    struct svg *svg)
{
    const char *unit;
    double each_m, length = 0, mm;
    int parts;
    char number[32], words[48];

    length = round_length(page, us, &each_m, &unit, &parts);
    mm = length * each_m * page->mm_per_m;
    lw_text_number(number, sizeof number, length, 6);
    snprintf(words, sizeof words, "%s %s", number, unit);
    svg_add(svg,
            "<g id=\"scale-%s\"><title>%s</title><rect x=\"%f\" y=\"%f\" width=\"%f\" "
            "height=\"1.4\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.2\"/>",
            us ? "us" : "metric", words, x, y, mm);
    for (int k = 0; k < parts; k += 2)
        svg_add(svg, "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"1.4\"/>", x + k * mm / parts, y,
                mm / parts);
    y += above ? -0.8 : 3.6;
    svg_add(svg, "<text x=\"%f\" y=\"%f\">0</text><text x=\"%f\" y=\"%f\">%s</text></g>\n", x - 0.5,
            y, x + mm - 1, y, words);
}

static void put_scale(const struct sheet *sheet, double x, double y, struct svg *svg)
{
    bool us = sheet->picture->units == LW_US;
    double scale = 1000 / sheet->page.mm_per_m, tenth = pow(10, fmax(floor(log10(scale)) - 2, 0));
    char number[32];

    put_bar(&sheet->page, us, x, y + 3.2, true, svg);
    put_bar(&sheet->page, !us, x, y + 4.6, false, svg);
    lw_text_number(number, sizeof number, round(scale / tenth) * tenth, 9);
    svg_add(svg,
            "<text x=\"%f\" y=\"%f\" font-size=\"2.2\">1 : %s on A4 at full size; the bars hold at "
            "any</text>\n",
            x - 0.5, y + 12, number);
}

/* ---- tint ---- */

static void put_ramp(const struct sheet *sheet, double x, double y, struct svg *svg)
{
    double each = fmin(9, BAR_MM / sheet->bands);
    char colour[8], number[24];

    svg_add(svg, "<g id=\"ramp\" font-size=\"2.3\">\n");
    for (int k = 0; k < sheet->bands; k++) {
        tint_colour(sheet, k, colour);
        depth_number(number, sizeof number, k * sheet->band_m, sheet->picture->units);
        svg_add(svg,
                "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"3.6\" fill=\"%s\" stroke=\"#000\" "
                "stroke-width=\"0.15\"/><text x=\"%f\" y=\"%f\">%s</text>\n",
                x + k * each, y, each, colour, x + k * each - 0.5, y + 6.2, number);
    }
    depth_number(number, sizeof number, sheet->bands * sheet->band_m, sheet->picture->units);
    svg_add(svg, "<text x=\"%f\" y=\"%f\">%s %s</text></g>\n", x + sheet->bands * each - 1, y + 6.2,
            number, lw_units_name(LW_DEPTH, sheet->picture->units));
}

/* ---- what the signs mean ---- */

static void put_words(struct svg *svg, double x, double y, const char *words)
{
    svg_add(svg, "<text x=\"%f\" y=\"%f\">%s</text>\n", x + SAMPLE_MM + 2, y + 0.9, words);
}

static void put_sample(struct svg *svg, double x, double y, double width, const char *more)
{
    svg_add(svg,
            "<path d=\"M%f %fh%f\" fill=\"none\" stroke=\"#000\" stroke-width=\"%f\" "
            "stroke-dasharray=\"%s\"/>",
            x, y, SAMPLE_MM, width, more);
}

static void put_ticks(struct svg *svg, double x, double y)
{
    svg_add(svg, "<path fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\" d=\"");
    for (int k = 0; k < 5; k++)
        svg_add(svg, "M%f %fv1.1", x + (k + 0.5) * SAMPLE_MM / 5, y);
    svg_add(svg, "\"/>");
}

static bool has_heavy(const struct sheet *sheet)
{
    for (size_t k = 0; k < sheet->lines; k++)
        if (sheet->line[k].index)
            return true;
    return false;
}

/* The water may end at a deeper line than the shore: the level fell, or the shore is not mapped. */
static double put_rim_rows(const struct sheet *sheet, double x, double y, struct svg *svg)
{
    char depth[24], words[80] = "shore, as mapped";

    if (sheet->rimmed && fabs(sheet->chart->contour[0].depth_m - sheet->picture->stage_m) > 0.01) {
        depth_number(depth, sizeof depth, sheet->chart->contour[0].depth_m, sheet->picture->units);
        snprintf(words, sizeof words, "where the map's depths begin: %s %s", depth,
                 lw_units_name(LW_DEPTH, sheet->picture->units));
    }
    if (sheet->shored) {
        put_sample(svg, x, y, 0.35, "none");
        put_words(svg, x, y, words);
        y += ROW_MM;
    }
    if (sheet->cut) {
        put_sample(svg, x, y, 0.25, "2 1");
        put_words(svg, x, y, "the depths end here, the water may not");
        y += ROW_MM;
    }
    return y;
}

static void contour_words(const struct sheet *sheet, char *to, size_t size)
{
    const char *unit = lw_units_name(LW_DEPTH, sheet->picture->units);
    char gap[24], heavy[24];

    lw_text_copy(to, size, sheet->traced ? "depth line of the surface" : "contour of the map");
    if (isfinite(sheet->gap_m)) {
        depth_number(gap, sizeof gap, sheet->gap_m * sheet->every, sheet->picture->units);
        depth_number(heavy, sizeof heavy, sheet->gap_m * sheet->every * heavy_every(sheet),
                     sheet->picture->units);
        lw_text_add(to, size, ": each %s %s", gap, unit);
        if (has_heavy(sheet))
            lw_text_add(to, size, ", heavy each %s", heavy);
    } else if (sheet->every > 1) {
        lw_text_add(to, size, ", one depth in %d", sheet->every);
    }
}

/* Lines; returns the row after. */
static double put_line_rows(const struct sheet *sheet, double x, double y, struct svg *svg)
{
    const struct lw_lips *lips = sheet->picture->lips;
    char words[120];

    y = put_rim_rows(sheet, x, y, svg);
    contour_words(sheet, words, sizeof words);
    put_sample(svg, x, y, 0.14, "none");
    put_words(svg, x, y, words);
    y += ROW_MM;
    if (!lips || !lips->lips) {
        put_words(svg, x - SAMPLE_MM - 2, y,
                  lips ? "No lip was found on this map." : "Lips were not looked for.");
        return y + ROW_MM;
    }
    put_sample(svg, x, y, 0.6, "none");
    put_ticks(svg, x, y);
    put_words(svg, x, y, "lip: ticks point to deep water.");
    y += ROW_MM * 0.8;
    put_words(svg, x, y, "\"9 ft, drops 15\": its depth, then to its foot");
    y += ROW_MM;
    put_sample(svg, x, y, 0.4, "0 0.4 1.4 0.4");
    put_ticks(svg, x, y);
    put_words(svg, x, y, "lip inferred from few lines: sound it");
    y += ROW_MM;
    if (sheet->places_shown) {
        svg_add(svg, "<text x=\"%f\" y=\"%f\" font-weight=\"bold\">P  T</text>", x + 2, y + 0.9);
        put_words(svg, x, y, "point, inside turn of a lip");
        y += ROW_MM;
    }
    return y;
}

/* Signs and letters, only those that the map has. */
static void put_sign_rows(const struct sheet *sheet, double x, double y, struct svg *svg)
{
    const struct lw_features *features = &sheet->chart->features;
    bool has[LW_COVER_KINDS] = {false}, crew = false;
    char out[80];

    if (features->hazards) {
        svg_add(svg,
                "<path d=\"M%f %fl2 2m0 -2l-2 2\" fill=\"none\" stroke=\"#000\" "
                "stroke-width=\"0.5\"/>",
                x, y - 1);
        svg_add(svg, "<text x=\"%f\" y=\"%f\">hazard and its depth</text>\n", x + 4, y + 0.9);
        y += ROW_MM;
    }
    if (sheet->hazards_out) {
        snprintf(out, sizeof out, "%zu more outside the frame", sheet->hazards_out);
        svg_add(svg, "<text x=\"%f\" y=\"%f\">%s</text>\n", x + 4, y + 0.9, out);
        y += ROW_MM;
    }
    for (size_t k = 0; k < features->covers; k++) {
        if ((size_t)features->cover[k].kind < LW_COVER_KINDS)
            has[features->cover[k].kind] = true;
        crew = crew || features->cover[k].crew;
    }
    for (int kind = 0; kind < LW_COVER_KINDS; kind++) {
        if (!has[kind])
            continue;
        svg_add(svg, "<text x=\"%f\" y=\"%f\">%s  %s</text>\n", x + 0.3, y + 0.9,
                cover_letter((enum lw_cover_kind)kind, false),
                lw_cover_name((enum lw_cover_kind)kind));
        y += ROW_MM * 0.85;
    }
    if (crew)
        svg_add(svg, "<text x=\"%f\" y=\"%f\">( )  marked by the crew</text>\n", x - 0.5, y + 0.9);
}

static void put_north(const struct sheet *sheet, struct svg *svg)
{
    double x = sheet->page.map.x1 - 8, y = sheet->page.map.y1 + 8;

    svg_add(svg,
            "<g id=\"north\"><path d=\"M%f %fl3 11l-3 -2.2z\" fill=\"#000\" stroke=\"#000\" "
            "stroke-width=\"0.2\"/><path d=\"M%f %fl-3 11l3 -2.2z\" fill=\"#fff\" stroke=\"#000\" "
            "stroke-width=\"0.2\"/>",
            x, y + 3.6, x, y + 3.6);
    svg_add(svg,
            "<text x=\"%f\" y=\"%f\" font-size=\"3.6\" font-weight=\"bold\" "
            "text-anchor=\"middle\">N</text><text x=\"%f\" y=\"%f\" font-size=\"2.2\" "
            "text-anchor=\"middle\">true</text></g>\n",
            x, y + 2.8, x, y + 17.5);
}

static void put_caution(const struct sheet *sheet, struct svg *svg)
{
    static const char *const lines[] = {
        "Not for navigation. Local seasons, sanctuaries and regulations come first.",
        "Life jackets on. Cold water takes the breath first, then the hands, then the mind. "
        "Lightning: off the water till 30 minutes after the last thunder.",
        "The map may be old, the water higher or lower; rocks and wood that it does not show are "
        "there all the same."};
    double room = sheet->page.w - 2 * EDGE, y = sheet->page.h - 17.5;

    svg_add(svg, "<g id=\"caution\"><path d=\"M%f %fh%f\" stroke=\"#000\" stroke-width=\"0.3\"/>\n",
            EDGE, y, room);
    for (size_t k = 0; k < 3; k++) {
        double size = k ? 2.6 : 3.2;

        size = fmin(size, size * room / text_width(lines[k], size));
        svg_add(svg, "<text x=\"%f\" y=\"%f\" font-size=\"%f\" font-weight=\"%s\">%s</text>\n",
                EDGE, y + 4.2 + 3.6 * (double)k, size, k ? "normal" : "bold", lines[k]);
    }
    svg_add(svg, "</g>\n");
}

void sheet_foot(const struct sheet *sheet, struct svg *svg)
{
    double room = sheet->page.w - 2 * EDGE, y = sheet->page.map.y1 + 8;

    svg_add(svg, "<g id=\"legend\" font-size=\"%f\">\n", LETTERS);
    put_scale(sheet, EDGE + 0.5, y, svg);
    put_ramp(sheet, EDGE + 0.5, y + 17.5, svg);
    put_line_rows(sheet, EDGE + 0.36 * room, y + 1, svg);
    put_sign_rows(sheet, EDGE + 0.755 * room, y + 1, svg);
    put_north(sheet, svg);
    svg_add(svg, "</g>\n");
    put_caution(sheet, svg);
}
