/* Finding lips. */
#include "lipwalk/chart/lip.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lip_parts.h"

/* Lengths shrink with the lake below this size across, down to a fifth. */
#define ORDINARY_M 200.0
/* From contours further apart than this in depth a lip is told by their spacing. */
#define SPARSE_M 0.75

int lw_lip_scale_of(const struct lw_chart *chart, struct lw_lip_scale *out, struct lw_error *err)
{
    double across = sqrt(fmax(chart->area_m2, 0)), unit = fmin(fmax(across / ORDINARY_M, 0.2), 1);
    struct lw_lip_scale s = {.unit = unit};
    double gap_m = INFINITY;

    s.level = malloc((chart->contours + 1) * sizeof *s.level);
    if (!s.level)
        return lw_fail(err, "out of memory for %zu contours", chart->contours);
    for (size_t i = 0; i < chart->contours; i++)
        if (!s.levels || chart->contour[i].depth_m - s.level[s.levels - 1] > 1e-3)
            s.level[s.levels++] = chart->contour[i].depth_m;
    /* the commonest step would do; the least one above a hand's breadth is as good */
    for (size_t i = 1; i < s.levels; i++)
        if (s.level[i] - s.level[i - 1] > 0.1)
            gap_m = fmin(gap_m, s.level[i] - s.level[i - 1]);
    if (!chart->soundings && s.levels >= 3)
        s.interval_m = gap_m;
    s.smooth_m = s.interval_m > SPARSE_M ? 5 : 4;
    s.smooth_m = fmax(s.smooth_m * unit, 1.25 * chart->grid.cell_m);
    s.sparse = s.interval_m > SPARSE_M;
    s.strong = 0.06;
    s.weak = s.sparse ? 0.02 : 0.03;
    s.probe_m = fmax(6 * unit, 2 * s.smooth_m);
    s.shortest_m = (s.interval_m > 1 ? 50 : 25) * unit;
    s.least_m = (s.interval_m > 1 ? 75 : 25) * unit;
    s.gap_m = (s.interval_m > 1 ? 40 : 20) * unit;
    s.least_depth_m = 0.3 * unit;
    s.step_m = fmax(chart->grid.cell_m, 2 * unit);
    s.along_m = 15 * unit;
    s.across_m = 4 * unit;
    *out = s;
    return 0;
}

void lw_lip_scale_free(struct lw_lip_scale *scale)
{
    free(scale->level);
    *scale = (struct lw_lip_scale){0};
}

static int longest_first(const void *a, const void *b)
{
    const struct lw_lip *x = a, *y = b;

    if (x->length_m != y->length_m)
        return x->length_m > y->length_m ? -1 : 1;
    return (x->depth_m > y->depth_m) - (x->depth_m < y->depth_m);
}

/* Whether most of the line runs beside one that is kept: the same lip found twice. */
static bool beside(const struct lw_line *line, struct lw_line_index *const *kept, size_t n,
                   double near_m)
{
    size_t close = 0, asked = 0;

    for (size_t k = 0; k < line->n; k += 4, asked++)
        for (size_t i = 0; i < n; i++) {
            struct lw_near near = lw_line_index_nearest(kept[i], line->p[k]);

            if (near.dist_m < near_m && !near.past_end) {
                close++;
                break;
            }
        }
    return 2 * close > asked;
}

struct kept { /* what has been measured, to know a second finding of it */
    struct lw_line *line;
    struct lw_line_index **index;
    size_t n;
};

/* 1 when the lip is new and was kept, 0 when it is one of those kept. */
static int keep_new(struct kept *kept, const struct lw_lip *lip, double near_m, double step_m)
{
    struct lw_line *line = &kept->line[kept->n];

    *line = (struct lw_line){.closed = lip->closed};
    for (size_t k = 0; k < lip->n; k++)
        if (lw_line_add(line, lip->p[k].at))
            return -1;
    if (beside(line, kept->index, kept->n, near_m)) {
        lw_line_free(line);
        return 0;
    }
    kept->index[kept->n] = lw_line_index_new(line, 10 * step_m);
    return kept->index[kept->n++] ? 1 : -1;
}

/* Whether it is worth a crew's while: a short piece between wide contours is none. A ring may be
 * short: a hump's top. */
static bool worth(const struct lw_lip_scale *scale, const struct lw_lip *lip)
{
    return lip->closed || lip->length_m >= scale->least_m;
}

/* Measures the lines, longest first, and keeps those that are lips of their own once each lies
 * where it belongs: from two kinks of one break, on two contours, come two lines for one lip. */
static int measure_all(const struct lw_chart *chart, const struct lw_lip_field *field,
                       const struct lw_lip_scale *scale, struct lw_lines *lines,
                       struct lw_lips *out, struct lw_error *err)
{
    struct kept kept = {calloc(lines->n + 1, sizeof *kept.line),
                        calloc(lines->n + 1, sizeof *kept.index), 0};
    int status = -1, fresh;

    out->lip = calloc(lines->n + 1, sizeof *out->lip);
    if (!out->lip || !kept.line || !kept.index)
        goto no_memory;
    for (size_t i = 0; i < lines->n; i++) {
        struct lw_lip *lip = &out->lip[out->lips];

        if (!scale->sparse && lw_lip_sharpen(chart, scale, &lines->line[i], err))
            goto done;
        if (lw_lip_measure(chart, field, scale, &lines->line[i], lip, err))
            goto done;
        fresh = worth(scale, lip) ? keep_new(&kept, lip, 1.2 * scale->probe_m, scale->step_m) : 0;
        out->lips += fresh != 0; /* on a failure it is freed with the others */
        if (fresh < 0)
            goto no_memory;
        if (!fresh) {
            free(lip->p);
            *lip = (struct lw_lip){0};
        }
    }
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for %zu lips", lines->n);
done:
    for (size_t i = 0; i <= kept.n && i < lines->n && kept.index && kept.line; i++) {
        lw_line_index_free(kept.index[i]);
        lw_line_free(&kept.line[i]);
    }
    free(kept.index);
    free(kept.line);
    return status;
}

int lw_lips_find(const struct lw_chart *chart, struct lw_lips *out, struct lw_error *err)
{
    struct lw_lip_scale scale = {0};
    struct lw_lip_field field = {0};
    struct lw_lip_spots spots = {0};
    struct lw_lines lines = {0};
    int status = -1;

    *out = (struct lw_lips){0};
    if (chart->grid.nx < 3 || chart->grid.ny < 3 || !chart->grid.depth_m)
        return 0;
    if (lw_lip_scale_of(chart, &scale, err) ||
        lw_lip_smooth(&chart->grid, scale.smooth_m, &field, err) ||
        lw_lip_ridge(&field, &scale, &spots, err) ||
        lw_lip_link(&field, &scale, &spots, &lines, err) ||
        measure_all(chart, &field, &scale, &lines, out, err))
        goto done;
    if (out->lips) {
        qsort(out->lip, out->lips, sizeof *out->lip, longest_first);
        if (lw_lip_name_kinds(&field, scale.probe_m, out, err))
            goto done;
    }
    status = lw_lip_places(&scale, out, err);
done:
    if (status)
        lw_lips_free(out);
    lw_lines_free(&lines);
    free(spots.p);
    lw_lip_field_free(&field);
    lw_lip_scale_free(&scale);
    return status;
}

void lw_lips_free(struct lw_lips *lips)
{
    for (size_t i = 0; i < lips->lips; i++)
        free(lips->lip[i].p);
    free(lips->lip);
    free(lips->place);
    *lips = (struct lw_lips){0};
}

const char *lw_lip_kind_name(enum lw_lip_kind kind)
{
    return kind == LW_LIP_SHORE ? "shore" : kind == LW_LIP_HUMP ? "hump" : "other";
}
