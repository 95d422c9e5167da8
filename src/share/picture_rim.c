/* Where the water ends: the shore as mapped, or the rim of what the map has depths for. */
#include <math.h>
#include <stdlib.h>

#include "picture_parts.h"

#define SAME_M  1e-3
#define THIN_MM 0.04 /* less is not seen */
#define STEP_MM 0.4

#define RIM_STROKE "fill=\"none\" stroke=\"#000\" stroke-linejoin=\"round\""

size_t cell_of(const struct lw_grid *grid, int i, int j)
{
    return (size_t)i * (size_t)grid->nx + (size_t)j;
}

int grid_like(const struct lw_grid *from, struct lw_grid *to)
{
    *to = *from;
    to->sigma_m = NULL;
    to->depth_m = malloc((size_t)to->nx * (size_t)to->ny * sizeof *to->depth_m);
    return to->depth_m ? 0 : -1;
}

int small_line(const struct sheet *sheet, const struct lw_line *line, struct mm **p, size_t *n)
{
    struct page unit = sheet->page;

    unit.middle = (struct lw_en){0, 0};
    unit.mm_per_m = 1 / PER_MM;
    return page_line(&unit, line, THIN_MM, p, n);
}

void small_path(const struct sheet *sheet, struct svg *svg, const struct lw_line *line)
{
    struct mm *p;
    size_t n;

    if (small_line(sheet, line, &p, &n))
        svg->failed = true;
    else
        svg_path(svg, p, n, true);
    free(p);
}

bool is_shore(const struct sheet *sheet, double depth_m)
{
    if (sheet->rimmed)
        return depth_m - sheet->chart->contour[0].depth_m <= SAME_M;
    return fabs(depth_m - sheet->picture->stage_m) <= SAME_M;
}

/* The shore as mapped, if its rings hold about as much water as the surface has; adds nothing and
 * returns false where they do not (a fallen level, a shore that was never mapped). */
static bool outline_mapped(const struct sheet *sheet, double water_m2, struct svg *svg)
{
    const struct lw_chart *chart = sheet->chart;
    double area_m2 = 0;
    size_t n = 0;

    for (; n < chart->contours && chart->contour[n].depth_m - chart->contour[0].depth_m < SAME_M;
         n++) {
        const struct lw_line *line = &chart->contour[n].line;
        size_t about = 0;

        if (!line->closed || line->n < 4)
            return false;
        for (size_t k = 0; k < chart->contours; k++) /* an island's ring lies in another */
            if (k != n && chart->contour[k].depth_m - chart->contour[0].depth_m < SAME_M &&
                lw_line_contains(&chart->contour[k].line, line->p[0]))
                about++;
        area_m2 += (about % 2 ? -1 : 1) * fabs(lw_line_area(line));
    }
    if (n == 0 || fabs(area_m2 - water_m2) > 0.03 * water_m2)
        return false;
    for (size_t k = 0; k < n; k++) {
        struct mm *p;
        size_t count;

        if (page_line(&sheet->page, &chart->contour[k].line, THIN_MM, &p, &count))
            svg->failed = true;
        else
            svg_path(svg, p, count, true);
        free(p);
    }
    return true;
}

/* Where the cells of water end, the stairs smoothed. */
static int outline_traced(const struct lw_grid *water, struct lw_lines *lines, struct lw_error *err)
{
    struct lw_grid smooth;
    int rc = grid_like(water, &smooth);

    if (rc)
        return lw_fail(err, "memory ran out for the picture's shore");
    for (int i = 0; i < water->ny; i++)
        for (int j = 0; j < water->nx; j++) {
            bool rim = i == 0 || j == 0 || i == water->ny - 1 || j == water->nx - 1;
            double sum = 0;

            for (int k = 0; k < 9 && !rim; k++)
                sum += (k / 3 == 1 ? 2 : 1) * (k % 3 == 1 ? 2 : 1) / 16.0 *
                       (double)water->depth_m[cell_of(water, i + k / 3 - 1, j + k % 3 - 1)];
            smooth.depth_m[cell_of(water, i, j)] = (float)sum;
        }
    rc = lw_chart_trace(&smooth, 0.47, lines, err);
    free(smooth.depth_m);
    return rc;
}

/* The mapped shore's lines, where they do not close about the water. Fills sheet->shored. */
static void put_shore(struct sheet *sheet, struct ink *near_shore)
{
    svg_add(&sheet->contour, "<path id=\"shore\" " RIM_STROKE " stroke-width=\"0.35\" d=\"");
    for (size_t k = 0; k < sheet->chart->contours; k++) {
        const struct lw_contour *contour = &sheet->chart->contour[k];
        struct mm *p = NULL;
        size_t n = 0;

        if (!is_shore(sheet, contour->depth_m))
            continue;
        if (page_line(&sheet->page, &contour->line, THIN_MM, &p, &n)) {
            sheet->contour.failed = true;
        } else if (n > 1) {
            svg_path(&sheet->contour, p, n, contour->line.closed);
            ink_line(near_shore, p, n, INK_LINE);
            sheet->shored = true;
        }
        free(p);
    }
    svg_add(&sheet->contour, "\"/>\n");
}

/* The stretches of a traced outline that no mapped shore accompanies. */
static void put_stretches(struct sheet *sheet, const struct ink *near_shore, const struct mm *p,
                          size_t n)
{
    double within = fmax(0.6, 1.5 * sheet->small.cell_m / PER_MM);
    bool open = false;

    for (size_t i = 1; i < n; i++) {
        double length = hypot(p[i].x - p[i - 1].x, p[i].y - p[i - 1].y);
        int steps = (int)ceil(length / STEP_MM);

        for (int k = i == 1 ? 0 : 1; k <= steps; k++) {
            double t = steps ? (double)k / steps : 0;
            struct mm at = {p[i - 1].x + t * (p[i].x - p[i - 1].x),
                            p[i - 1].y + t * (p[i].y - p[i - 1].y)};
            struct text_box about = {.at = at, .w = 2 * within, .h = 2 * within};
            bool shore = ink_cost(near_shore, &about) > 0;

            if (!shore && (!open || k == steps))
                svg_add(&sheet->contour, "%s%f %f", open ? "L" : "M", at.x, at.y);
            else if (shore && open)
                svg_add(&sheet->contour, "L%f %f", at.x, at.y);
            open = !shore;
            sheet->cut = sheet->cut || open;
        }
    }
}

/* The shore as far as it is mapped, and dashes where the depths just end: water may go on there. */
static int put_traced(struct sheet *sheet, const struct lw_lines *lines, struct lw_error *err)
{
    struct ink near_shore;

    if (ink_open(&near_shore, &sheet->page))
        return lw_fail(err, "memory ran out for the picture's shore");
    put_shore(sheet, &near_shore);
    svg_add(&sheet->contour,
            "<path id=\"rim\" " RIM_STROKE " stroke-width=\"0.25\" stroke-dasharray=\"2 1\" d=\"");
    for (size_t k = 0; k < lines->n; k++) {
        struct mm *p;
        size_t n;

        if (small_line(sheet, &lines->line[k], &p, &n))
            sheet->contour.failed = true;
        else
            put_stretches(sheet, &near_shore, p, n);
        free(p);
    }
    svg_add(&sheet->contour, "\"/>\n");
    ink_close(&near_shore);
    return 0;
}

static double water_area(const struct lw_grid *grid)
{
    size_t cells = 0;

    for (size_t k = 0; k < (size_t)grid->nx * (size_t)grid->ny; k++)
        cells += isnan(grid->depth_m[k]) ? 0 : 1;
    return (double)cells * grid->cell_m * grid->cell_m;
}

int sheet_rim(struct sheet *sheet, const struct lw_grid *water, struct svg *outline,
              struct lw_error *err)
{
    struct lw_lines lines;
    int rc;

    sheet->rimmed = outline_mapped(sheet, water_area(&sheet->chart->grid), outline);
    if (sheet->rimmed) {
        svg_add(&sheet->contour, "<path id=\"shore\" " RIM_STROKE " stroke-width=\"0.35\" d=\"");
        svg_copy(&sheet->contour, outline);
        svg_add(&sheet->contour, "\"/>\n");
        sheet->shored = true;
        return 0;
    }
    if (outline_traced(water, &lines, err))
        return -1;
    for (size_t k = 0; k < lines.n; k++)
        small_path(sheet, outline, &lines.line[k]);
    rc = put_traced(sheet, &lines, err);
    lw_lines_free(&lines);
    return rc;
}
