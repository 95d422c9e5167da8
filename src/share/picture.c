/* The picture: parts drawn into layers, the layers laid on each other, saved whole. */
#include "lipwalk/share/picture.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/save.h"
#include "picture_parts.h"

static bool has_water(const struct lw_grid *grid)
{
    for (size_t k = 0; grid->depth_m && k < (size_t)grid->nx * (size_t)grid->ny; k++)
        if (!isnan(grid->depth_m[k]))
            return true;
    return false;
}

static int draw(struct sheet *sheet, struct lw_error *err)
{
    if (ink_open(&sheet->ink, &sheet->page))
        return lw_fail(err, "memory ran out for the picture");
    if (sheet_surface(sheet, err) || sheet_contours(sheet, err))
        return -1;
    sheet_hazards(sheet);
    if (sheet_lips(sheet, err))
        return -1;
    sheet_contour_labels(sheet);
    sheet_cover(sheet);
    return 0;
}

static void put_together(const struct sheet *sheet, struct svg *svg)
{
    const struct svg *layers[] = {&sheet->tint, &sheet->cover, &sheet->contour, &sheet->lip,
                                  &sheet->hazard};
    const struct box *map = &sheet->page.map;

    svg_add(svg,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
            "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"%fmm\" "
            "height=\"%fmm\" viewBox=\"0 0 %f %f\" font-family=\"sans-serif\">\n",
            sheet->page.w, sheet->page.h, sheet->page.w, sheet->page.h);
    svg_add(svg, "<title>%s</title>\n", sheet->chart->lake[0] ? sheet->chart->lake : "Depth map");
    svg_add(svg,
            "<rect width=\"%f\" height=\"%f\" fill=\"#fff\"/>\n<defs><clipPath id=\"map\">"
            "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\"/></clipPath></defs>\n"
            "<g clip-path=\"url(#map)\">\n",
            sheet->page.w, sheet->page.h, map->x0, map->y0, map->x1 - map->x0, map->y1 - map->y0);
    for (size_t k = 0; k < sizeof layers / sizeof *layers; k++)
        svg_copy(svg, layers[k]);
    svg_add(svg, "</g>\n");
    sheet_head(sheet, svg);
    sheet_frame(sheet, svg);
    sheet_foot(sheet, svg);
    svg_add(svg, "</svg>\n");
}

static void sheet_close(struct sheet *sheet)
{
    for (size_t k = 0; k < sheet->lines; k++)
        free(sheet->line[k].p);
    free(sheet->line);
    free(sheet->small.depth_m);
    ink_close(&sheet->ink);
    svg_free(&sheet->tint);
    svg_free(&sheet->cover);
    svg_free(&sheet->contour);
    svg_free(&sheet->lip);
    svg_free(&sheet->hazard);
}

int lw_picture_write(const struct lw_picture *picture, const char *path, struct lw_error *err)
{
    struct sheet sheet = {.picture = picture, .chart = picture->chart};
    struct svg svg = {0};
    int rc = -1;

    if (!path[0])
        return lw_fail(err, "the picture's file name is empty: give one such as lake.svg");
    if (!has_water(&picture->chart->grid))
        return lw_fail(err, "%s: no picture without a depth; the surface of %s is empty", path,
                       picture->chart->source);
    sheet.page = page_for(picture->chart);
    if (draw(&sheet, err))
        goto done;
    put_together(&sheet, &svg);
    if (svg.failed)
        lw_fail(err, "%s cannot be written: memory ran out", path);
    else
        rc = lw_file_save(path, 0666, svg.text, svg.n, err);
done:
    svg_free(&svg);
    sheet_close(&sheet);
    return rc;
}
