/* What a chart holds, in words and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "chart_out.h"
#include "json_out.h"
#include "lipwalk/base/text.h"

#define SIGMAS_MAX 100000 /* enough cells to tell a percentile from */

/* ---- words ---- */

static size_t count_closed(const struct lw_features *features)
{
    size_t n = 0;

    for (size_t i = 0; i < features->closeds; i++)
        n += !features->closed[i].hole;
    return n;
}

static void print_hazards(const struct lw_features *features)
{
    char line[200] = "";
    size_t count[LW_HAZARD_KINDS] = {0};

    for (size_t i = 0; i < features->hazards; i++)
        count[features->hazard[i].kind]++;
    for (int kind = 0; kind < LW_HAZARD_KINDS; kind++)
        if (count[kind])
            lw_text_add(line, sizeof line, "%s%zu %s%s", *line ? ", " : "", count[kind],
                        lw_hazard_name((enum lw_hazard_kind)kind), count[kind] == 1 ? "" : "s");
    if (*line)
        printf("hazards: %s\n", line);
}

static void print_covers(const struct lw_features *features)
{
    char line[300] = "";
    size_t count[LW_COVER_KINDS] = {0}, crew = 0;

    for (size_t i = 0; i < features->covers; i++) {
        count[features->cover[i].kind]++;
        crew += features->cover[i].crew;
    }
    for (int kind = 0; kind < LW_COVER_KINDS; kind++)
        if (count[kind])
            lw_text_add(line, sizeof line, "%s%s in %zu place%s", *line ? ", " : "",
                        lw_cover_name((enum lw_cover_kind)kind), count[kind],
                        count[kind] == 1 ? "" : "s");
    if (crew)
        lw_text_add(line, sizeof line, "; %zu of them marked by the crew", crew);
    if (*line)
        printf("bottom and cover: %s\n", line);
}

void lw_chart_print_text(const struct lw_chart *chart, const struct lw_import_report *report)
{
    puts(report->summary);
    if (chart->soundings)
        printf("soundings: %zu in the surface\n", chart->soundings);
    print_hazards(&chart->features);
    if (count_closed(&chart->features))
        printf("closed: %zu area%s; local regulations decide\n", count_closed(&chart->features),
               count_closed(&chart->features) == 1 ? "" : "s");
    print_covers(&chart->features);
}

/* ---- JSON ---- */

/* One entry for each depth: the length of all its lines. */
static json_t *contour_list(const struct lw_chart *chart)
{
    json_t *list = json_array();

    for (size_t i = 0; list && i < chart->contours;) {
        double depth_m = chart->contour[i].depth_m, length_m = 0;

        for (; i < chart->contours && chart->contour[i].depth_m - depth_m <= 1e-3; i++)
            length_m += lw_line_length(&chart->contour[i].line);
        json_array_append_new(list, json_pack("{s:o,s:o}", "depth_m", json_out_number(depth_m),
                                              "length_m", json_out_number(length_m)));
    }
    return list;
}

/* The middle of an area's ring by its area, else half-way along the line. */
static struct lw_ll middle(const struct lw_chart *chart, const struct lw_line *line)
{
    double area_m2 = lw_line_area(line), e_m = 0, n_m = 0;
    struct lw_en at = line->p[0];

    if (line->closed && area_m2 != 0) {
        for (size_t k = 0; k + 1 < line->n; k++) { /* about the first vertex: small numbers */
            struct lw_en a = {line->p[k].e_m - at.e_m, line->p[k].n_m - at.n_m};
            struct lw_en b = {line->p[k + 1].e_m - at.e_m, line->p[k + 1].n_m - at.n_m};
            double cross = a.e_m * b.n_m - b.e_m * a.n_m;

            e_m += (a.e_m + b.e_m) * cross / (6 * area_m2);
            n_m += (a.n_m + b.n_m) * cross / (6 * area_m2);
        }
        at = (struct lw_en){at.e_m + e_m, at.n_m + n_m};
    } else if (line->n > 1) {
        at = lw_line_at(line, lw_line_length(line) / 2, NULL);
    }
    return lw_frame_to_ll(&chart->frame, at);
}

static json_t *hazard_list(const struct lw_chart *chart)
{
    json_t *list = json_array();

    for (size_t i = 0; i < chart->features.hazards; i++) {
        const struct lw_hazard *one = &chart->features.hazard[i];
        struct lw_ll at = {NAN, NAN};

        if (one->line.n)
            at = middle(chart, &one->line);
        json_array_append_new(
            list, json_pack("{s:s,s:o,s:s,s:o,s:o}", "kind", lw_hazard_name(one->kind), "depth_m",
                            json_out_number(one->depth_m), "words", one->words, "lat",
                            json_out_number(at.lat_deg), "lon", json_out_number(at.lon_deg)));
    }
    return list;
}

static json_t *cover_list(const struct lw_chart *chart)
{
    json_t *list = json_array();

    for (size_t i = 0; i < chart->features.covers; i++) {
        const struct lw_cover *one = &chart->features.cover[i];
        const char *shape = one->line.closed ? "area" : one->line.n > 1 ? "line" : "point";
        struct lw_ll at = {NAN, NAN};

        if (one->line.n)
            at = middle(chart, &one->line);
        json_array_append_new(
            list,
            json_pack("{s:s,s:b,s:s,s:o,s:o,s:o}", "kind", lw_cover_name(one->kind), "crew",
                      (int)one->crew, "shape", shape, "area_m2",
                      one->line.closed ? json_real(fabs(lw_line_area(&one->line))) : json_null(),
                      "lat", json_out_number(at.lat_deg), "lon", json_out_number(at.lon_deg)));
    }
    return list;
}

static int float_order(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;

    return (x > y) - (x < y);
}

/* Over the water's cells, or over enough of them, evenly chosen; null where nothing is known. */
static json_t *sigma(const struct lw_grid *grid)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny, step = cells / SIGMAS_MAX + 1, n = 0;
    float *some = malloc((cells / step + 1) * sizeof *some);
    json_t *out = NULL;

    step += step > 1 && (size_t)grid->nx % step == 0; /* else it keeps to some columns */
    for (size_t k = 0; some && grid->sigma_m && k < cells; k += step)
        if (!isnan(grid->sigma_m[k]))
            some[n++] = grid->sigma_m[k];
    if (n) {
        qsort(some, n, sizeof *some, float_order);
        out = json_pack("{s:o,s:o}", "median", json_out_number((double)some[n / 2]), "p95",
                        json_out_number((double)some[n * 95 / 100]));
    }
    free(some);
    return out ? out : json_null();
}

static void add_text(json_t *list, const char *text)
{
    char clean[1200];

    lw_text_clean(clean, sizeof clean, text);
    json_array_append_new(list, json_string(clean));
}

int lw_chart_print_json(const struct lw_chart *chart, const struct lw_import_report *report,
                        const struct lw_arg_texts *maps, struct lw_error *err)
{
    json_t *sources = json_array(), *warnings = json_array(), *all;

    for (int i = 0; i < maps->n; i++)
        add_text(sources, maps->text[i]);
    for (int i = 0; i < report->warnings; i++)
        add_text(warnings, report->warning[i]);
    all = json_pack("{s:s,s:o,s:s,s:s,s:s,s:s,s:s,s:o,s:o,s:o,s:o,s:o,s:I,s:o,s:o,s:I,s:o}",
                    "source", chart->source, "sources", sources, "lake", chart->lake, "depth_field",
                    chart->depth_field, "depth_unit", chart->unit, "unit_reason",
                    chart->unit_reason, "crs", chart->crs, "contours", contour_list(chart),
                    "deepest_m", json_out_number(chart->deepest_m), "area_m2",
                    json_out_number(chart->area_m2), "cell_m", json_out_number(chart->grid.cell_m),
                    "sigma_m", sigma(&chart->grid), "soundings", (json_int_t)chart->soundings,
                    "hazards", hazard_list(chart), "covers", cover_list(chart), "closed_areas",
                    (json_int_t)count_closed(&chart->features), "warnings", warnings);
    if (json_out_print(all, JSON_REAL_PRECISION(12)))
        return lw_fail(err, "what was read could not be printed as JSON");
    return 0;
}
