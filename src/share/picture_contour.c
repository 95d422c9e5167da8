/* Contours: which of them, the lines, and their depths written in gaps. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "picture_parts.h"

#define SAME_M   1e-3
#define THIN_MM  0.05
#define APART_MM 1.3  /* nearer together on the mean, lines run into one grey */
#define SPECK_MM 3.0  /* a surface's shorter line is a speck */
#define LETTERS  2.2  /* mm, height of the lettering */
#define EACH_MM  80.0 /* a depth is written once in so long a line */

struct depths {
    double *depth_m; /* depth_m[n], sorted, owned */
    size_t n, cap;
};

void depth_number(char *to, size_t size, double depth_m, enum lw_units units)
{
    double value = lw_units_from_si(depth_m, LW_DEPTH, units);
    bool quarter = fabs(value * 4 - nearbyint(value * 4)) < 0.01;
    double part = fabs(value) < 0.95 || quarter ? 100 : 10; /* a pond's are a few tenths deep */

    if (!isfinite(value))
        lw_text_copy(to, size, "?");
    else if (fabs(value - nearbyint(value)) < 0.04)
        lw_text_number(to, size, nearbyint(value) + 0.0, 9); /* no "-0" */
    else
        lw_text_number(to, size, round(value * part) / part, 6);
}

static int add_depth(struct depths *list, double depth_m)
{
    if (list->n && depth_m - list->depth_m[list->n - 1] <= SAME_M)
        return 0;
    if (lw_array_room(&list->depth_m, list->n, &list->cap))
        return -1;
    list->depth_m[list->n++] = depth_m;
    return 0;
}

/* The commonest step between depths that follow each other; NaN for one depth. */
static double median_gap(const struct depths *list)
{
    double *gap, middle;

    if (list->n < 2 || !(gap = calloc(list->n, sizeof *gap)))
        return NAN;
    for (size_t k = 1; k < list->n; k++)
        gap[k - 1] = list->depth_m[k] - list->depth_m[k - 1];
    qsort(gap, list->n - 1, sizeof *gap, lw_number_order);
    middle = gap[(list->n - 1) / 2];
    free(gap);
    return middle;
}

static bool multiple(double depth_m, double step_m)
{
    double share = depth_m / step_m;

    return fabs(share - nearbyint(share)) < 0.02 && step_m > 0;
}

static double over_datum(const struct sheet *sheet, double depth_m)
{
    return sheet->traced ? depth_m : depth_m - sheet->picture->stage_m; /* the map's own steps */
}

/* The step that all depths follow; NaN where there is none. */
static double common_gap(const struct sheet *sheet, const struct depths *list)
{
    double gap_m = median_gap(list);

    for (size_t k = 0; k < list->n; k++)
        if (!multiple(over_datum(sheet, list->depth_m[k]), gap_m))
            return NAN;
    return gap_m;
}

/* How many of the map's depths are stepped over so that lines stay apart on paper: 1, 2, 5, 10...
 */
static int choose_every(const struct sheet *sheet)
{
    const struct lw_grid *grid = &sheet->chart->grid;
    const int of[] = {1, 2, 5, 10, 20, 50};
    double length_m = 0, water_m2 = 0;
    size_t k = 0;

    for (size_t i = 0; i < sheet->chart->contours; i++)
        length_m += lw_line_length(&sheet->chart->contour[i].line);
    for (size_t i = 0; i < (size_t)grid->nx * (size_t)grid->ny; i++)
        water_m2 += isnan(grid->depth_m[i]) ? 0 : grid->cell_m * grid->cell_m;
    while (k + 1 < sizeof of / sizeof *of &&
           of[k] * water_m2 * sheet->page.mm_per_m < APART_MM * length_m)
        k++;
    return of[k];
}

/* Of depths that follow a step the whole multiples of the wider one, else each so-many-th. */
static bool kept(const struct sheet *sheet, double depth_m, size_t rank)
{
    if (sheet->traced || sheet->every == 1)
        return true;
    if (isnan(sheet->gap_m))
        return rank % (size_t)sheet->every == 0;
    return multiple(over_datum(sheet, depth_m), sheet->every * sheet->gap_m);
}

int heavy_every(const struct sheet *sheet)
{
    double gap_m = sheet->gap_m * sheet->every;
    double unit = sheet->picture->units == LW_US ? gap_m / LW_FT_M : gap_m;
    double lead = unit / pow(10, floor(log10(unit) + 1e-9));

    return fabs(lead - 5) < 0.01 || fabs(lead - 2.5) < 0.01 ? 4 : 5;
}

static bool heavy(const struct sheet *sheet, double depth_m)
{
    double over_m = over_datum(sheet, depth_m);

    return isfinite(sheet->gap_m) && over_m > SAME_M &&
           multiple(over_m, heavy_every(sheet) * sheet->every * sheet->gap_m);
}

static int add_line(struct sheet *sheet, const struct page *page, const struct lw_line *line,
                    double depth_m)
{
    struct drawn drawn = {.depth_m = depth_m, .closed = line->closed};

    drawn.index = heavy(sheet, depth_m);
    drawn.shore = is_shore(sheet, depth_m);
    if (lw_array_room(&sheet->line, sheet->lines, &sheet->line_cap) ||
        page_line(page, line, THIN_MM, &drawn.p, &drawn.n))
        return -1;
    if (drawn.n < 2) {
        free(drawn.p);
        return 0;
    }
    ink_line(&sheet->ink, drawn.p, drawn.n, INK_LINE);
    sheet->line[sheet->lines++] = drawn;
    return 0;
}

/* Where the map has no contours: on the surface, at the tint's step or half of it (5s stay whole).
 */
static int trace_lines(struct sheet *sheet, struct lw_error *err)
{
    struct page unit = sheet->page; /* from the small grid's tenths of a millimetre */

    unit.middle = (struct lw_en){0, 0};
    unit.mm_per_m = 0.1;
    sheet->every = 1;
    sheet->gap_m = sheet->band_m;
    if (heavy_every(sheet) != 4)
        sheet->gap_m /= 2;
    for (int k = 1; k * sheet->gap_m < sheet->deepest_m && k < 4 * BANDS_MAX; k++) {
        struct lw_lines lines;
        int rc = 0;

        if (lw_chart_trace(&sheet->small, k * sheet->gap_m, &lines, err))
            return -1;
        for (size_t i = 0; i < lines.n && !rc; i++)
            if (lw_line_length(&lines.line[i]) >= SPECK_MM / unit.mm_per_m)
                rc = add_line(sheet, &unit, &lines.line[i], k * sheet->gap_m);
        lw_lines_free(&lines);
        if (rc)
            return lw_fail(err, "memory ran out for the picture's contours");
    }
    return 0;
}

int sheet_contours(struct sheet *sheet, struct lw_error *err)
{
    const struct lw_chart *chart = sheet->chart;
    struct depths list = {0};
    size_t rank = 0;
    int rc = -1;

    for (size_t k = 0; k < chart->contours; k++)
        if (add_depth(&list, chart->contour[k].depth_m))
            goto memory;
    sheet->traced = list.n < 3; /* a shore alone, or soundings only */
    sheet->gap_m = common_gap(sheet, &list);
    sheet->every = choose_every(sheet);
    for (size_t k = 0; k < chart->contours; k++) {
        double depth_m = chart->contour[k].depth_m;

        if (k && depth_m - chart->contour[k - 1].depth_m > SAME_M)
            rank++;
        if (kept(sheet, depth_m, rank) &&
            add_line(sheet, &sheet->page, &chart->contour[k].line, depth_m))
            goto memory;
    }
    rc = sheet->traced ? trace_lines(sheet, err) : 0;
    goto done;
memory:
    lw_fail(err, "memory ran out for the picture's contours");
done:
    free(list.depth_m);
    return rc;
}

/* ---- the depths along them ---- */

struct gaps { /* stretches of one line left open for a depth */
    double from_mm[64], to_mm[64];
    int n;
};

static void put_label(struct sheet *sheet, struct svg *labels, const struct text_box *box,
                      const char *text)
{
    svg_add(labels, "<text transform=\"translate(%f %f) rotate(%f)\" y=\"0.78\">%s</text>\n",
            box->at.x, box->at.y, box->angle_deg, text);
    ink_text(&sheet->ink, box);
}

/* The best place for a depth within from_mm .. to_mm; its cost, -1 where there is none. */
static int best_place(const struct sheet *sheet, const struct drawn *line, double from_mm,
                      double to_mm, struct text_box *best, double *best_mm)
{
    int least = -1;

    for (double at = from_mm; at <= to_mm; at += 1.5) {
        struct text_box box = *best;
        int cost;

        if (!text_along(line->p, line->n, at, 0, &box))
            continue;
        cost = ink_cost(&sheet->ink, &box);
        /* a level text before a steep one */
        if (cost >= 0)
            cost = 4 * cost + (int)(fabs(box.angle_deg) / 30);
        if (cost >= 0 && (least < 0 || cost < least)) {
            least = cost;
            *best = box;
            *best_mm = at;
        }
    }
    return least;
}

static void label_line(struct sheet *sheet, struct svg *labels, const struct drawn *line,
                       struct gaps *gaps)
{
    double length = mm_length(line->p, line->n);
    struct text_box box = {.h = LETTERS * 0.9};
    int windows = (int)fmin(fmax(1, round(length / EACH_MM)), 60), own;
    char text[24];

    depth_number(text, sizeof text, line->depth_m, sheet->picture->units);
    box.w = text_width(text, LETTERS) + 0.6;
    own = (int)(box.w / 0.33 * 4 * 1.7); /* what the line itself costs */
    for (int k = 0; k < windows && length > 2.5 * box.w; k++) {
        struct text_box best = box;
        double at_mm = 0;
        int cost = best_place(sheet, line, fmax((k + 0.12) * length / windows, box.w * 0.6),
                              fmin((k + 0.88) * length / windows, length - box.w * 0.6), &best,
                              &at_mm);

        if (cost < 0 || cost > own * (line->index ? 2 : 1.4))
            continue;
        put_label(sheet, labels, &best, text);
        gaps->from_mm[gaps->n] = at_mm - box.w / 2;
        gaps->to_mm[gaps->n++] = at_mm + box.w / 2;
    }
}

/* The stretch from_mm .. to_mm as a path of its own. */
static void put_stretch(struct svg *svg, const struct drawn *line, double from_mm, double to_mm)
{
    double along = 0;
    struct mm at = mm_at(line->p, line->n, from_mm);

    if (to_mm - from_mm < 0.05)
        return;
    svg_add(svg, "M%f %f", at.x, at.y);
    for (size_t i = 1; i < line->n; i++) {
        along += hypot(line->p[i].x - line->p[i - 1].x, line->p[i].y - line->p[i - 1].y);
        if (along > from_mm && along < to_mm)
            svg_add(svg, "L%f %f", line->p[i].x, line->p[i].y);
    }
    at = mm_at(line->p, line->n, to_mm);
    svg_add(svg, "L%f %f", at.x, at.y);
}

static void put_line(struct sheet *sheet, const struct drawn *line, const struct gaps *gaps)
{
    struct svg *svg = &sheet->contour;
    char depth[32];
    double from = 0;

    svg_add(svg, "<path d=\"");
    if (gaps->n == 0)
        svg_path(svg, line->p, line->n, line->closed);
    for (int k = 0; k < gaps->n; k++) {
        put_stretch(svg, line, from, gaps->from_mm[k]);
        from = gaps->to_mm[k];
    }
    if (gaps->n)
        put_stretch(svg, line, from, mm_length(line->p, line->n));
    lw_text_number(depth, sizeof depth, line->depth_m, 6);
    svg_add(svg, "\"><title>%s m</title></path>\n", depth);
}

void sheet_contour_labels(struct sheet *sheet)
{
    struct svg labels = {0};

    for (int index = 1; index >= 0; index--) { /* the heavy ones get their places first */
        svg_add(&sheet->contour,
                "<g id=\"%s\" fill=\"none\" stroke=\"#223\" stroke-width=\"%f\" "
                "stroke-linejoin=\"round\" clip-path=\"url(#%s)\">\n",
                index ? "heavy-contours" : "contours", index ? 0.3 : 0.14,
                /* the surface is drawn on over the land by a square */
                sheet->traced ? "water" : "map");
        for (size_t k = 0; k < sheet->lines; k++) {
            struct gaps gaps = {.n = 0};

            if (sheet->line[k].shore || sheet->line[k].index != (index == 1))
                continue;
            label_line(sheet, &labels, &sheet->line[k], &gaps);
            put_line(sheet, &sheet->line[k], &gaps);
        }
        svg_add(&sheet->contour, "</g>\n");
    }
    svg_add(&sheet->contour, "<g id=\"depths\" font-size=\"%f\" text-anchor=\"middle\">\n",
            LETTERS);
    svg_copy(&sheet->contour, &labels);
    svg_add(&sheet->contour, "</g>\n");
    svg_free(&labels);
}
