/* A track's depths gathered by the cells of the chart's grid. */
#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/array.h"
#include "lipwalk/chart/track_places.h"

#define GAP_M 100.0 /* a longer way without a depth counts as so much */

/* One sigma of a sounder's depth, and of a fix that no filter judged. Common practice, no source.
 */
#define NOISE_M     0.1
#define NOISE_SHARE 0.01 /* of the depth */
#define FIX_M       1.5

struct item {
    long row, column;
    size_t order;
    struct lw_en at;
    double depth_m, along_m;
};

double lw_track_median(double *value, size_t n)
{
    if (n == 0)
        return NAN;
    qsort(value, n, sizeof *value, lw_number_order);
    return n % 2 ? value[n / 2] : (value[n / 2 - 1] + value[n / 2]) / 2;
}

struct lw_en lw_track_gradient(const struct lw_chart *chart, struct lw_en at)
{
    double h = chart->grid.cell_m;
    double e = lw_chart_depth(chart, (struct lw_en){at.e_m + h, at.n_m});
    double w = lw_chart_depth(chart, (struct lw_en){at.e_m - h, at.n_m});
    double n = lw_chart_depth(chart, (struct lw_en){at.e_m, at.n_m + h});
    double s = lw_chart_depth(chart, (struct lw_en){at.e_m, at.n_m - h});

    return (struct lw_en){(e - w) / (2 * h), (n - s) / (2 * h)};
}

double lw_track_sigma(double depth_m, double slope)
{
    return hypot(NOISE_M + NOISE_SHARE * depth_m, isnan(slope) ? 0 : FIX_M * slope);
}

static int by_cell(const void *a, const void *b)
{
    const struct item *p = a, *q = b;

    if (p->row != q->row)
        return p->row < q->row ? -1 : 1;
    if (p->column != q->column)
        return p->column < q->column ? -1 : 1;
    return (p->order > q->order) - (p->order < q->order);
}

static int by_way(const void *a, const void *b)
{
    const struct lw_track_place *p = a, *q = b;

    return (p->along_m > q->along_m) - (p->along_m < q->along_m);
}

static struct item item_of(const struct lw_chart *chart, const struct lw_track_sounding *s,
                           size_t order, const struct item *before)
{
    const struct lw_grid *grid = &chart->grid;
    struct item item = {.order = order, .depth_m = s->depth_m};

    item.at = lw_frame_to_en(&chart->frame, s->at);
    item.row = lround((item.at.n_m - grid->n0_m) / grid->cell_m);
    item.column = lround((item.at.e_m - grid->e0_m) / grid->cell_m);
    if (before)
        item.along_m = before->along_m + fmin(lw_en_distance(before->at, item.at), GAP_M);
    return item;
}

static struct lw_track_place gather(const struct item *item, size_t n, double *depth_m)
{
    struct lw_track_place place = {.along_m = item[0].along_m, .n = n};

    for (size_t i = 0; i < n; i++) {
        place.at.e_m += item[i].at.e_m / (double)n;
        place.at.n_m += item[i].at.n_m / (double)n;
        depth_m[i] = item[i].depth_m;
    }
    place.depth_m = lw_track_median(depth_m, n);
    return place;
}

int lw_track_places(const struct lw_chart *chart, const struct lw_track *track,
                    struct lw_track_places *out, struct lw_error *err)
{
    bool *keep = malloc(track->n + 1);
    struct item *item = malloc((track->n + 1) * sizeof *item);
    double *depth_m = malloc((track->n + 1) * sizeof *depth_m);
    size_t n = 0;
    int status = -1;

    *out = (struct lw_track_places){.p = malloc((track->n + 1) * sizeof *out->p)};
    if (!keep || !item || !depth_m || !out->p || lw_track_clean(track, keep) < 0) {
        lw_fail(err, "out of memory for the track %s", track->name);
        goto done;
    }
    for (size_t i = 0; i < track->n; i++) {
        if (keep[i]) {
            item[n] = item_of(chart, &track->p[i], n, n ? &item[n - 1] : NULL);
            n++;
        } else if (!isnan(track->p[i].depth_m)) {
            out->spikes++;
        }
    }
    qsort(item, n, sizeof *item, by_cell);
    for (size_t i = 0, j; i < n; i = j) {
        for (j = i + 1; j < n && item[j].row == item[i].row && item[j].column == item[i].column;)
            j++;
        out->p[out->n++] = gather(item + i, j - i, depth_m);
    }
    out->used = n;
    qsort(out->p, out->n, sizeof *out->p, by_way);
    status = 0;
done:
    if (status)
        lw_track_places_free(out);
    free(keep);
    free(item);
    free(depth_m);
    return status;
}

void lw_track_places_free(struct lw_track_places *places)
{
    free(places->p);
    *places = (struct lw_track_places){0};
}
