/* A lip's numbers, vertex by vertex: where exactly, how deep, how steep, how sure. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lip_parts.h"
#include "lip_profile.h"
#include "lipwalk/base/array.h"

#define MAP_ERROR_M 2.0 /* of a mapped contour across itself, as everywhere in lipwalk */
#define HUG         0.1 /* of the step between contours: so near a mapped depth hugs it */
#define TOO_WIDE_M  8.0
/* A cell's own error moves the bend less than it would move a contour: the bend comes of all the
 * cells about it, along the line too. Measured on lakes in closed form. */
#define AVERAGED 0.4
#define LOOK_M   120 /* along the fall line, up and down */

struct vertex {
    double shift_m, sigma_m; /* along the fall line; NaN unknown */
    bool guessed;
    double room_m;
};

static double profile_step(const struct lw_chart *chart, const struct lw_lip_scale *scale)
{
    return fmax(0.5 * chart->grid.cell_m, LOOK_M * scale->unit / LW_LIP_SIDE);
}

/* Mean of what is known within reach_m along, weighted by nearness; medians first, so that a single
 * wild fall line does not pull. */
static void settle(struct vertex *v, size_t n, bool closed, double step_m, double reach_m)
{
    int last = (int)n - 1, half = (int)fmax(1, round(reach_m / step_m));
    double *was = malloc(n * sizeof *was), *own = malloc((2 * (size_t)half + 1) * sizeof *own);

    for (int pass = 0; was && own && pass < 2; pass++) {
        for (size_t k = 0; k < n; k++)
            was[k] = v[k].shift_m;
        for (int k = 0; k <= last; k++) {
            double sum = 0, weight = 0;
            size_t m = 0;

            for (int d = -half; d <= half; d++) {
                int at = closed ? ((k + d) % last + last) % last : k + d;
                double w = exp(-2.0 * d * d / ((double)half * half));

                if (at < 0 || at > last || isnan(was[at]))
                    continue;
                own[m++] = was[at];
                sum += w * was[at];
                weight += w;
            }
            if (m == 0)
                continue;
            if (pass == 0) {
                qsort(own, m, sizeof *own, lw_number_order);
                v[k].shift_m = own[m / 2];
            } else {
                v[k].shift_m = sum / weight;
            }
        }
    }
    free(was);
    free(own);
}

/* Where the slope goes through `part` of the way from top to steep, walking from `from_m` by
 * `way`; slopes over `base_m`. */
static double slope_over(const struct lw_lip_profile *p, double s_m, double base_m)
{
    return (lw_lip_profile_depth(p, s_m + base_m / 2) - lw_lip_profile_depth(p, s_m - base_m / 2)) /
           base_m;
}

static void measure_vertex(const struct lw_chart *chart, const struct lw_lip_field *field,
                           const struct lw_lip_scale *scale, struct lw_lip_point *out,
                           struct lw_lip_profile *p)
{
    double step = profile_step(chart, scale), base = fmax(2 * chart->grid.cell_m, 2 * scale->unit);
    double up, down, steepest = 0, foot, top_end, lo, hi, a, b;

    lw_lip_profile_of(chart, field, step, out->at, p);
    up = p->up * step;
    down = p->down * step;
    out->depth_m = p->depth_m[p->up];
    /* the foot: where the slope has fallen to half of the steepest so far */
    for (foot = base / 2; foot + base / 2 < down; foot += step) {
        double slope = slope_over(p, foot, base);

        steepest = fmax(steepest, slope);
        if (slope < 0.5 * steepest && foot > 1.5 * base)
            break;
    }
    foot = fmin(foot, down);
    out->foot_m = lw_lip_profile_depth(p, foot);
    out->slope_break = foot > 2 * step ? (lw_lip_profile_depth(p, 0.75 * foot) -
                                          lw_lip_profile_depth(p, 0.25 * foot)) /
                                             (0.5 * foot)
                                       : steepest;
    top_end = fmin(up, 30 * scale->unit);
    a = top_end > 10 * scale->unit ? 5 * scale->unit : 0.3 * top_end;
    out->slope_top = top_end > step
                         ? (lw_lip_profile_depth(p, -a) - lw_lip_profile_depth(p, -top_end)) /
                               (top_end - a)
                         : 0;
    out->slope_top = fmax(out->slope_top, 0);
    lo = out->slope_top + 0.2 * (out->slope_break - out->slope_top);
    hi = out->slope_top + 0.8 * (out->slope_break - out->slope_top);
    base = fmax(chart->grid.cell_m, scale->unit);
    for (a = 0; a > -top_end && slope_over(p, a, base) > lo; a -= step / 2)
        ;
    for (b = a; b < foot && slope_over(p, b, base) < hi; b += step / 2)
        ;
    out->sharpness_m = b - a;
}

/* The bend's place is off by what the depths are off, over what the slope changes. */
static double sigma_of(const struct lw_chart *chart, const struct lw_lip_scale *scale,
                       const struct lw_lip_point *p)
{
    double contrast = fmax(p->slope_break - p->slope_top, 0.01), depth_m = 0.25;
    const struct lw_grid *g = &chart->grid;

    if (scale->interval_m > 0)
        depth_m = scale->interval_m / 2;
    if (g->sigma_m) {
        double j = round((p->at.e_m - g->e0_m) / g->cell_m);
        double i = round((p->at.n_m - g->n0_m) / g->cell_m);

        if (j >= 0 && i >= 0 && j < g->nx && i < g->ny) {
            double s = g->sigma_m[(size_t)i * (size_t)g->nx + (size_t)j];

            if (s > 0)
                depth_m = s;
        }
    }
    return hypot(scale->interval_m > 0 ? MAP_ERROR_M : 0.5 * g->cell_m,
                 AVERAGED * depth_m / contrast);
}

static double median_of(const struct lw_lip *lip, size_t offset, double *scratch)
{
    size_t n = 0;

    for (size_t k = 0; k < lip->n; k++) {
        double value = *(const double *)((const char *)&lip->p[k] + offset);

        if (!isnan(value))
            scratch[n++] = value;
    }
    if (n == 0)
        return NAN;
    qsort(scratch, n, sizeof *scratch, lw_number_order);
    return scratch[n / 2];
}
#define MEDIAN(lip, field, scratch)                                                                \
    median_of((lip), offsetof(struct lw_lip_point, field), (scratch))

/* A line that keeps to one mapped depth over most of its length shows that contour, not the
 * bottom; and where sigma is wider than a boat's whole approach the data are too far apart. */
static void infer(const struct lw_lip_scale *scale, struct lw_lip *lip)
{
    for (size_t k = 0; k < lip->n; k++)
        lip->p[k].inferred |= lip->p[k].sigma_m > TOO_WIDE_M * scale->unit;
    for (size_t i = 0; i < scale->levels; i++) {
        size_t hug = 0;

        for (size_t k = 0; k < lip->n; k++)
            hug += fabs(lip->p[k].depth_m - scale->level[i]) < HUG * scale->interval_m;
        for (size_t k = 0; k < lip->n && (double)hug > 0.7 * (double)lip->n; k++)
            lip->p[k].inferred = true;
    }
}

static int sum_up(struct lw_lip *lip)
{
    double *scratch = malloc((lip->n + 1) * sizeof *scratch);
    size_t inferred = 0;

    if (!scratch)
        return -1;
    lip->length_m = 0;
    for (size_t k = 0; k < lip->n; k++) {
        inferred += lip->p[k].inferred;
        if (k)
            lip->length_m += lw_en_distance(lip->p[k - 1].at, lip->p[k].at);
    }
    lip->inferred = 2 * inferred > lip->n;
    lip->depth_m = MEDIAN(lip, depth_m, scratch);
    lip->slope_top = MEDIAN(lip, slope_top, scratch);
    lip->slope_break = MEDIAN(lip, slope_break, scratch);
    lip->sharpness_m = MEDIAN(lip, sharpness_m, scratch);
    lip->sigma_m = MEDIAN(lip, sigma_m, scratch);
    for (size_t k = 0; k < lip->n; k++)
        scratch[k] = lip->p[k].foot_m - lip->p[k].depth_m;
    qsort(scratch, lip->n, sizeof *scratch, lw_number_order);
    lip->drop_m = scratch[lip->n / 2];
    free(scratch);
    return 0;
}

int lw_lip_measure(const struct lw_chart *chart, const struct lw_lip_field *field,
                   const struct lw_lip_scale *scale, const struct lw_line *line, struct lw_lip *out,
                   struct lw_error *err)
{
    struct lw_lip_profile *p = malloc(sizeof *p);
    struct vertex *v = calloc(line->n, sizeof *v);
    struct lw_line moved = {.closed = line->closed};
    double step = profile_step(chart, scale);
    int status = -1;

    *out = (struct lw_lip){.closed = line->closed};
    if (!p || !v)
        goto done;
    for (size_t k = 0; k < line->n; k++) {
        v[k] = (struct vertex){NAN, NAN, false, 0};
        if (scale->sparse) {
            struct lw_lip_stick stick;

            lw_lip_profile_of(chart, field, step, line->p[k], p);
            stick = lw_lip_stick_of(p, scale);
            v[k].room_m = stick.room_m;
            if (!isnan(stick.s_m)) {
                v[k].shift_m = stick.s_m;
                v[k].sigma_m = stick.sigma_m;
                v[k].guessed = stick.guessed;
            }
        }
    }
    if (scale->sparse)
        settle(v, line->n, line->closed, scale->step_m, 20 * scale->unit);
    for (size_t k = 0; k < line->n; k++) {
        struct lw_en at = line->p[k];

        if (!isnan(v[k].shift_m)) {
            lw_lip_profile_of(chart, field, step, at, p);
            at = lw_lip_profile_at(p, v[k].shift_m);
        }
        if (lw_line_add(&moved, at))
            goto done;
    }
    if (moved.closed)
        moved.p[moved.n - 1] = moved.p[0];
    out->p = calloc(moved.n, sizeof *out->p);
    if (!out->p)
        goto done;
    out->n = moved.n;
    for (size_t k = 0; k < moved.n; k++) {
        out->p[k].at = moved.p[k];
        measure_vertex(chart, field, scale, &out->p[k], p);
        out->p[k].sigma_m = !isnan(v[k].sigma_m) ? v[k].sigma_m
                                                 : sigma_of(chart, scale, &out->p[k]);
        out->p[k].inferred = v[k].guessed;
    }
    if (scale->sparse)
        infer(scale, out);
    if (sum_up(out))
        goto done;
    status = 0;
done:
    if (status) {
        free(out->p);
        *out = (struct lw_lip){0};
        lw_fail(err, "out of memory for a lip of %zu places", line->n);
    }
    lw_line_free(&moved);
    free(v);
    free(p);
    return status;
}
