/* Lips: a heavy line with ticks on the deep side, dashed where inferred; the depth on it and the
 * drop below it; points and inside turns. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "picture_parts.h"

#define LETTERS     2.3
#define TICK_MM     1.1
#define TICKS_MM    2.2 /* from tick to tick */
#define RUN_MM      4.0 /* a shorter change of kind is not drawn */
#define EACH_MM     110.0
#define SHORTEST_MM 4.0 /* a shorter lip bears no words */
#define ASIDE_MM    1.8 /* a label's middle, up on the flat */

struct lip_line { /* one lip on the page */
    const struct lw_lip *lip;
    struct mm *p; /* p[n], owned */
    size_t *of;   /* of[n]: which of the lip's points, owned */
    size_t n;
};

static void lip_line_free(struct lip_line *line)
{
    free(line->p);
    free(line->of);
}

/* Points nearer together than can be seen are left out. */
static int lip_line_of(const struct sheet *sheet, const struct lw_lip *lip, struct lip_line *line)
{
    *line = (struct lip_line){.lip = lip};
    line->p = calloc(lip->n + 1, sizeof *line->p);
    line->of = calloc(lip->n + 1, sizeof *line->of);
    if (!line->p || !line->of)
        return -1;
    for (size_t k = 0; k < lip->n; k++) {
        struct mm at = page_of(&sheet->page, lip->p[k].at);

        if (!isfinite(at.x) || !isfinite(at.y))
            continue;
        if (line->n && k + 1 < lip->n &&
            hypot(at.x - line->p[line->n - 1].x, at.y - line->p[line->n - 1].y) < 0.2)
            continue;
        line->p[line->n] = at;
        line->of[line->n++] = k;
    }
    return 0;
}

static bool inferred_at(const struct lip_line *line, size_t k)
{
    return line->lip->p[line->of[k]].inferred;
}

/* Where the run that begins at `from` ends: at the first change of kind that lasts. The point at
 * which runs meet belongs to both, so that the next one tells a run's kind. */
static size_t run_end(const struct lip_line *line, size_t from)
{
    size_t since = from + 1;
    double other_mm = 0;

    for (size_t k = from + 2; k < line->n; k++) {
        if (inferred_at(line, k) == inferred_at(line, from + 1)) {
            since = k;
            other_mm = 0;
            continue;
        }
        other_mm += hypot(line->p[k].x - line->p[k - 1].x, line->p[k].y - line->p[k - 1].y);
        if (other_mm >= RUN_MM)
            return since;
    }
    return line->n - 1;
}

/* Ticks to the left of the way, where the deep side is. */
static void put_ticks(struct svg *svg, const struct mm *p, size_t n, int ticks)
{
    double each = mm_length(p, n) / ticks;

    for (int k = 0; k < ticks; k++) {
        double at_mm = (k + 0.5) * each;
        struct mm at = mm_at(p, n, at_mm), a = mm_at(p, n, at_mm - 0.5),
                  b = mm_at(p, n, at_mm + 0.5);
        double dx = b.x - a.x, dy = b.y - a.y, chord = hypot(dx, dy);

        if (chord > 0)
            svg_add(svg, "M%f %fL%f %f", at.x, at.y, at.x + TICK_MM * dy / chord,
                    at.y - TICK_MM * dx / chord);
    }
}

/* One stretch of one kind. The dashes of an inferred one have a tick each, in the middle. */
static void put_run(struct svg *svg, const struct mm *p, size_t n, bool inferred)
{
    double length = mm_length(p, n);
    int ticks = (int)fmax(1, floor(length / TICKS_MM));

    svg_add(svg, "<path stroke-width=\"%f\"", inferred ? 0.4 : 0.6);
    if (inferred)
        svg_add(svg, " stroke-dasharray=\"%f %f\" stroke-dashoffset=\"%f\"", 0.64 * length / ticks,
                0.36 * length / ticks, -0.18 * length / ticks);
    svg_add(svg, " d=\"");
    svg_path(svg, p, n, false);
    svg_add(svg, "\"/><path stroke-width=\"0.25\" d=\"");
    put_ticks(svg, p, n, ticks);
    svg_add(svg, "\"/>");
}

static void put_lip(struct sheet *sheet, const struct lip_line *line)
{
    struct svg *svg = &sheet->lip;
    size_t from = 0;

    svg_add(svg, "<g class=\"lip\">");
    while (from + 1 < line->n) {
        size_t to = run_end(line, from);

        put_run(svg, line->p + from, to - from + 1, inferred_at(line, from + 1));
        from = to;
    }
    svg_add(svg, "</g>\n");
    ink_line(&sheet->ink, line->p, line->n, INK_TEXT);
    sheet->lips_shown++;
}

/* A lip is not known to the tenth of a foot: to half a foot, from 5 ft on to one; to 0.1 m. */
static double rounded(double depth_m, bool us)
{
    double step_m = us ? (depth_m < 5 * LW_FT_M ? 0.5 : 1) * LW_FT_M : 0.1;

    return round(depth_m / step_m) * step_m;
}

/* "9 ft, drops 15": about a place on the lip, from the points within EACH_MM / 4. */
static void lip_words(const struct sheet *sheet, const struct lip_line *line, double at_mm,
                      char *to, size_t size)
{
    bool us = sheet->picture->units == LW_US;
    double along = 0, depth_m = 0, drop_m = 0;
    char depth[24], drop[24];
    int n = 0, drops = 0;

    for (size_t k = 0; k < line->n; k++) {
        const struct lw_lip_point *p = &line->lip->p[line->of[k]];

        if (k)
            along += hypot(line->p[k].x - line->p[k - 1].x, line->p[k].y - line->p[k - 1].y);
        if (fabs(along - at_mm) > EACH_MM / 4 || !isfinite(p->depth_m))
            continue;
        depth_m += p->depth_m;
        n++;
        if (isfinite(p->foot_m)) {
            drop_m += p->foot_m - p->depth_m;
            drops++;
        }
    }
    depth_number(depth, sizeof depth, rounded(depth_m / n, us), sheet->picture->units);
    depth_number(drop, sizeof drop, rounded(drop_m / drops, us), sheet->picture->units);
    snprintf(to, size, drops ? "%s %s, drops %s" : "%s %s", depth,
             lw_units_name(LW_DEPTH, sheet->picture->units), drop);
}

/* What a text's place costs: lines beneath it, and the deep side, which the ticks have. */
static int place_cost(const struct sheet *sheet, const struct text_box *box, bool deep)
{
    int cost = ink_cost(&sheet->ink, box);

    return cost < 0 ? -1 : cost + (deep ? 25 : 0);
}

/* The best place along the lip between two lengths; its cost, -1 for none. */
static int place_along(const struct sheet *sheet, const struct lip_line *line, double from_mm,
                       double to_mm, struct text_box *best)
{
    const struct text_box text = *best;
    double length = mm_length(line->p, line->n);
    int least = -1;

    for (double at = fmax(from_mm, text.w / 2); at < fmin(to_mm, length - text.w / 2); at += 2)
        for (int deep = 0; deep <= 1; deep++) {
            struct text_box box = text;
            int cost;

            if (!text_along(line->p, line->n, at, deep ? -ASIDE_MM - TICK_MM : ASIDE_MM, &box))
                continue;
            cost = place_cost(sheet, &box, deep);
            if (cost >= 0 && (least < 0 || cost < least)) {
                least = cost;
                *best = box;
            }
        }
    return least;
}

/* Level, beside the middle of a lip too short or too bent to write along. */
static int place_beside(const struct sheet *sheet, const struct lip_line *line,
                        struct text_box *best)
{
    double length = mm_length(line->p, line->n);
    struct mm mid = mm_at(line->p, line->n, length / 2),
              a = mm_at(line->p, line->n, length / 2 - 1),
              b = mm_at(line->p, line->n, length / 2 + 1);
    double chord = hypot(b.x - a.x, b.y - a.y), x, y;
    const struct text_box text = *best;
    int least = -1;

    if (chord <= 0)
        return -1;
    x = -(b.y - a.y) / chord; /* up on the flat */
    y = (b.x - a.x) / chord;
    for (int deep = 0; deep <= 1; deep++) {
        double away = (fabs(x) * text.w + fabs(y) * text.h) / 2 + (deep ? 1.2 + TICK_MM : 1.2);
        struct text_box box = text;
        int cost;

        box.at = (struct mm){mid.x + (deep ? -away : away) * x, mid.y + (deep ? -away : away) * y};
        cost = place_cost(sheet, &box, deep);
        if (cost >= 0 && (least < 0 || cost < least)) {
            least = cost;
            *best = box;
        }
    }
    return least;
}

static void label_lip(struct sheet *sheet, struct svg *labels, const struct lip_line *line)
{
    double length = mm_length(line->p, line->n), window;
    int windows = (int)fmin(fmax(1, round(length / EACH_MM)), 100);

    if (length < SHORTEST_MM)
        return;
    window = length / windows;
    for (int k = 0; k < windows; k++) {
        struct text_box box = {.h = LETTERS};
        char text[64];

        lip_words(sheet, line, (k + 0.5) * window, text, sizeof text);
        box.w = text_width(text, LETTERS) + 0.6;
        if (place_along(sheet, line, (k + 0.12) * window, (k + 0.88) * window, &box) < 0 &&
            (windows > 1 || place_beside(sheet, line, &box) < 0))
            continue;
        svg_add(labels, "<text transform=\"translate(%f %f) rotate(%f)\" y=\"0.82\">%s</text>\n",
                box.at.x, box.at.y, box.angle_deg, text);
        ink_text(&sheet->ink, &box);
    }
}

/* A letter beside the place: P a point, T an inside turn. */
static void put_place(struct sheet *sheet, const struct lw_lip_place *place)
{
    struct mm at = page_of(&sheet->page, place->at);
    const char *letter = place->inside_turn ? "T" : "P";

    for (int k = 0; k < 16 && isfinite(at.x) && isfinite(at.y); k++) {
        double turn = k * M_PI / 4, away = k < 8 ? 2.4 : 3.6;
        struct text_box box = {
            .at = {at.x + away * sin(turn), at.y - away * cos(turn)}, .w = 2.2, .h = 2.3};

        if (ink_cost(&sheet->ink, &box) < 0)
            continue;
        svg_add(&sheet->lip,
                "<circle cx=\"%f\" cy=\"%f\" r=\"0.55\" fill=\"#000\" stroke=\"none\"/>"
                "<text " HALO " stroke-width=\"0.8\" x=\"%f\" y=\"%f\">%s</text>"
                "<text x=\"%f\" y=\"%f\">%s</text>\n",
                at.x, at.y, box.at.x, box.at.y + 0.95, letter, box.at.x, box.at.y + 0.95, letter);
        ink_text(&sheet->ink, &box);
        sheet->places_shown++;
        return;
    }
}

static int put_all(struct sheet *sheet, const struct lw_lips *lips, struct lip_line *line)
{
    for (size_t k = 0; k < lips->lips; k++)
        if (lip_line_of(sheet, &lips->lip[k], &line[k]))
            return -1;
    svg_add(&sheet->lip,
            "<g id=\"lips\" fill=\"none\" stroke=\"#000\" stroke-linejoin=\"round\">\n");
    for (size_t k = 0; k < lips->lips; k++)
        if (line[k].n > 1)
            put_lip(sheet, &line[k]);
    svg_add(&sheet->lip, "</g>\n");
    return 0;
}

int sheet_lips(struct sheet *sheet, struct lw_error *err)
{
    const struct lw_lips *lips = sheet->picture->lips;
    struct lip_line *line = NULL;
    struct svg words = {0};
    int rc = -1;

    if (!lips || !lips->lips)
        return 0;
    line = calloc(lips->lips, sizeof *line);
    if (!line || put_all(sheet, lips, line)) {
        lw_fail(err, "memory ran out for the picture's lips");
        goto done;
    }
    svg_add(&sheet->lip, "<g id=\"places\" font-weight=\"bold\" font-size=\"2.6\" "
                         "text-anchor=\"middle\">\n");
    for (size_t k = 0; k < lips->places; k++)
        put_place(sheet, &lips->place[k]);
    for (size_t k = 0; k < lips->lips; k++)
        if (line[k].n > 1)
            label_lip(sheet, &words, &line[k]);
    svg_add(&sheet->lip, "</g>\n");
    for (int halo = 1; halo >= 0; halo--) {
        svg_add(&sheet->lip,
                "<g font-size=\"%f\" font-style=\"italic\" font-weight=\"bold\" "
                "text-anchor=\"middle\"",
                LETTERS);
        svg_add(&sheet->lip, halo ? " " HALO " stroke-width=\"0.8\">\n" : " id=\"lip-depths\">\n");
        svg_copy(&sheet->lip, &words);
        svg_add(&sheet->lip, "</g>\n");
    }
    rc = 0;
done:
    for (size_t k = 0; line && k < lips->lips; k++)
        lip_line_free(&line[k]);
    free(line);
    svg_free(&words);
    return rc;
}
