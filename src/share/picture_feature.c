/* Hazards by a cross and words; cover and bottom by letters. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/geo/span.h"
#include "picture_parts.h"

#define LETTERS    2.4
#define COVER_MM   2.5 /* height of a cover letter */
#define LATTICE_MM 6.0 /* from letter to letter */
#define ROWS_MM    4.8

const char *cover_letter(enum lw_cover_kind kind, bool crew)
{
    static const char *const of[LW_COVER_KINDS][2] = {
        [LW_COVER_ROCK] = {"r", "(r)"}, [LW_COVER_GRAVEL] = {"g", "(g)"},
        [LW_COVER_SAND] = {"s", "(s)"}, [LW_COVER_MUD] = {"m", "(m)"},
        [LW_COVER_WEED] = {"w", "(w)"}, [LW_COVER_WOOD] = {"t", "(t)"}, /* timber: w is taken */
    };

    return (size_t)kind < LW_COVER_KINDS ? of[kind][crew] : "?";
}

/* A place within a ring, else the middle of a line: where its sign stands. */
static struct lw_en middle_of(const struct lw_line *line)
{
    struct lw_span box = lw_span_of(line);
    struct lw_en best = line->p[0];
    double most_m = -1;

    if (!line->closed || line->n < 4)
        return line->n > 1 ? lw_line_at(line, lw_line_length(line) / 2, NULL) : line->p[0];
    for (int k = 0; k < 15 * 15; k++) { /* what lies farthest from the ring, nearly */
        struct lw_en at = {box.e_min + (k % 15 + 0.5) / 15 * (box.e_max - box.e_min),
                           box.n_min + (k / 15 + 0.5) / 15 * (box.n_max - box.n_min)};
        double in_m = lw_line_contains(line, at) ? lw_line_nearest(line, at).dist_m : -1;

        if (in_m > most_m) {
            most_m = in_m;
            best = at;
        }
    }
    return best;
}

static void put_outline(struct sheet *sheet, struct svg *svg, const struct lw_line *line,
                        const char *dash)
{
    struct mm *p;
    size_t n;

    if (line->n < 2)
        return;
    if (page_line(&sheet->page, line, 0.05, &p, &n)) {
        svg->failed = true;
        return;
    }
    svg_add(svg,
            "<path fill=\"none\" stroke=\"#000\" stroke-width=\"0.2\" stroke-dasharray=\"%s\" d=\"",
            dash);
    svg_path(svg, p, n, line->closed);
    svg_add(svg, "\"/>\n");
    free(p);
}

static void hazard_words(const struct sheet *sheet, const struct lw_hazard *hazard, char *to,
                         size_t size)
{
    char depth[24], words[40];

    lw_text_copy(to, size, lw_hazard_name(hazard->kind));
    if (isfinite(hazard->depth_m)) {
        depth_number(depth, sizeof depth, hazard->depth_m, sheet->picture->units);
        lw_text_add(to, size, " %s %s", depth, lw_units_name(LW_DEPTH, sheet->picture->units));
    }
    lw_text_clean(words, sizeof words, hazard->words);
    if (words[0] && strcmp(words, lw_hazard_name(hazard->kind)) != 0)
        lw_text_add(to, size, ", %s", words);
}

static void hazard_sign(struct sheet *sheet, struct mm at)
{
    struct text_box box = {.at = at, .w = 2.4, .h = 2.4};
    struct svg *svg = &sheet->hazard;

    for (int halo = 1; halo >= 0; halo--) {
        svg_add(svg, "<path d=\"M%f %fL%f %fM%f %fL%f %f\" ", at.x - 1, at.y - 1, at.x + 1,
                at.y + 1, at.x - 1, at.y + 1, at.x + 1, at.y - 1);
        svg_add(svg, halo ? "stroke=\"#fff\" stroke-width=\"1.1\"/>"
                          : "stroke=\"#000\" stroke-width=\"0.5\"/>\n");
    }
    ink_text(&sheet->ink, &box);
}

static void hazard_label(struct sheet *sheet, struct mm at, const char *text)
{
    double w = text_width(text, LETTERS);
    const struct mm beside[] = {
        {1.8 + w / 2, 0},   {-1.8 - w / 2, 0},    {0, -2.6},          {0, 2.6}, {1.2 + w / 2, -2.2},
        {1.2 + w / 2, 2.2}, {-1.2 - w / 2, -2.2}, {-1.2 - w / 2, 2.2}};

    for (size_t k = 0; k < sizeof beside / sizeof *beside; k++) {
        struct text_box box = {
            .at = {at.x + beside[k].x, at.y + beside[k].y}, .w = w, .h = LETTERS};

        if (ink_cost(&sheet->ink, &box) < 0)
            continue;
        for (int halo = 1; halo >= 0; halo--) {
            svg_add(&sheet->hazard, halo ? "<text " HALO " stroke-width=\"0.8\"" : "<text");
            svg_add(&sheet->hazard, " x=\"%f\" y=\"%f\">%s</text>\n", box.at.x, box.at.y + 0.85,
                    text);
        }
        ink_text(&sheet->ink, &box);
        return;
    }
}

void sheet_hazards(struct sheet *sheet)
{
    const struct lw_features *features = &sheet->chart->features;

    svg_add(&sheet->hazard,
            "<g id=\"hazards\" font-size=\"%f\" font-weight=\"bold\" "
            "text-anchor=\"middle\">\n",
            LETTERS);
    for (int words = 0; words <= 1; words++) /* every sign before any words */
        for (size_t k = 0; k < features->hazards; k++) {
            const struct lw_hazard *hazard = &features->hazard[k];
            struct mm at;
            char text[120];

            if (hazard->line.n == 0)
                continue;
            at = page_of(&sheet->page, middle_of(&hazard->line));
            if (!page_holds(&sheet->page, at)) {
                sheet->hazards_out += !words;
                continue;
            }
            if (!words) {
                put_outline(sheet, &sheet->hazard, &hazard->line, "0.5 0.5");
                hazard_sign(sheet, at);
                continue;
            }
            hazard_words(sheet, hazard, text, sizeof text);
            hazard_label(sheet, at, text);
        }
    svg_add(&sheet->hazard, "</g>\n");
}

/* One letter, where there is room for it. */
static bool cover_put(struct sheet *sheet, const struct lw_cover *cover, struct mm at)
{
    const char *letter = cover_letter(cover->kind, cover->crew);
    struct text_box box = {.at = at, .w = text_width(letter, COVER_MM), .h = COVER_MM * 0.8};

    if (ink_cost(&sheet->ink, &box) < 0)
        return false;
    svg_add(&sheet->cover, "<text x=\"%f\" y=\"%f\">%s</text>\n", at.x, at.y + 0.7, letter);
    ink_text(&sheet->ink, &box);
    return true;
}

/* Letters in rows over an area, where no smaller area lies upon it. The rows are the page's, so
 * that areas side by side are lettered alike. */
static int cover_fill(struct sheet *sheet, size_t which)
{
    const struct lw_features *features = &sheet->chart->features;
    const struct lw_cover *cover = &features->cover[which];
    const struct box *map = &sheet->page.map;
    struct lw_span box = lw_span_of(&cover->line);
    struct mm from, to;
    int letters = 0;

    from = page_of(&sheet->page, (struct lw_en){box.e_min, box.n_max});
    to = page_of(&sheet->page, (struct lw_en){box.e_max, box.n_min});
    for (int row = 0; map->y0 + 2 + row * ROWS_MM < fmin(map->y1, to.y); row++)
        for (int column = 0; column < 100; column++) {
            struct mm at = {map->x0 + 2 + (column + row % 2 * 0.5) * LATTICE_MM,
                            map->y0 + 2 + row * ROWS_MM};
            struct lw_en ground = page_to_en(&sheet->page, at);
            size_t on = which;

            if (at.y < from.y || at.x < from.x || at.x > fmin(to.x, map->x1) ||
                !lw_line_contains(&cover->line, ground))
                continue;
            lw_features_cover_at(features, ground, 0, &on);
            letters += on == which && cover_put(sheet, cover, at);
        }
    return letters;
}

static void cover_along(struct sheet *sheet, const struct lw_cover *cover)
{
    double length_m = lw_line_length(&cover->line), step_m = 2 * LATTICE_MM / sheet->page.mm_per_m;
    int n = (int)fmin(fmax(1, floor(length_m / step_m)), 1000);

    for (int k = 0; k < n; k++)
        cover_put(sheet, cover,
                  page_of(&sheet->page, lw_line_at(&cover->line, (k + 0.5) * length_m / n, NULL)));
}

void sheet_cover(struct sheet *sheet)
{
    const struct lw_features *features = &sheet->chart->features;

    svg_add(&sheet->cover,
            "<g id=\"cover\" font-family=\"monospace\" font-size=\"%f\" "
            "text-anchor=\"middle\">\n",
            COVER_MM);
    for (size_t k = 0; k < features->covers; k++) {
        const struct lw_cover *cover = &features->cover[k];

        if (cover->line.n == 0)
            continue;
        put_outline(sheet, &sheet->cover, &cover->line, "0.2 0.6");
        if (cover->line.n == 1)
            cover_put(sheet, cover, page_of(&sheet->page, cover->line.p[0]));
        else if (!cover->line.closed)
            cover_along(sheet, cover);
        else if (!cover_fill(sheet, k))
            cover_put(sheet, cover, page_of(&sheet->page, middle_of(&cover->line)));
    }
    svg_add(&sheet->cover, "</g>\n");
}
