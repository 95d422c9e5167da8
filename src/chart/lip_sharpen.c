/* Lines drawn to where the bend is greatest once the bottom is smoothed along them.
 *
 * The first smoothing is alike in all directions: enough of it to quiet the data also drags a lip
 * toward whatever else bends near it (a metre on a rounded hump). Along the line the bottom hardly
 * changes, so in the line's own frame it is smoothed long along and little across. */
#include <math.h>
#include <stdlib.h>

#include "lip_parts.h"

#define SIDE 26 /* samples to either side */
#define WIDE (2 * SIDE + 1)

static struct lw_en unit_ahead(const struct lw_line *line, size_t k)
{
    size_t last = line->n - 1, a = k > 1 ? k - 2 : 0, b = k + 2 <= last ? k + 2 : last;
    double far;
    struct lw_en d;

    if (line->closed) {
        a = (k + last - 2) % last;
        b = (k + 2) % last;
    }
    d = (struct lw_en){line->p[b].e_m - line->p[a].e_m, line->p[b].n_m - line->p[a].n_m};
    far = hypot(d.e_m, d.n_m) + 1e-9;
    return (struct lw_en){d.e_m / far, d.n_m / far};
}

/* Depths across the line at a vertex, deep side last; where the water ends the bottom goes on as
 * it came. */
static void across(const struct lw_chart *chart, struct lw_en at, struct lw_en ahead, double step_m,
                   float *row)
{
    double z[WIDE];

    for (int s = -SIDE; s <= SIDE; s++)
        z[s + SIDE] = lw_chart_depth(chart, (struct lw_en){at.e_m - ahead.n_m * s * step_m,
                                                           at.n_m + ahead.e_m * s * step_m});
    for (int side = -1; side <= 1; side += 2)
        for (int s = 1; s <= SIDE; s++)
            if (isnan(z[SIDE + side * s]))
                z[SIDE + side * s] = s < 2
                                         ? z[SIDE]
                                         : 2 * z[SIDE + side * (s - 1)] - z[SIDE + side * (s - 2)];
    for (int s = 0; s < WIDE; s++)
        row[s] = (float)z[s];
}

static void smooth_across(float *row, double sigma)
{
    float was[WIDE];
    int reach = (int)ceil(3 * sigma);

    for (int s = 0; s < WIDE; s++)
        was[s] = row[s];
    for (int s = 0; s < WIDE; s++) {
        double sum = 0, weight = 0;
        int side = s < WIDE - 1 - s ? s : WIDE - 1 - s;

        side = side < reach ? side : reach;
        for (int d = -side; d <= side; d++) {
            double w = exp(-0.5 * d * d / (sigma * sigma));

            sum += w * (double)was[s + d];
            weight += w;
        }
        row[s] = (float)(sum / weight);
    }
}

/* A gentle lip hides in the data's error more than a steep one: it takes more smoothing, and bears
 * it, for it is long. About 0.85 to 1.4. */
static double gentleness(const float *row, double unit, double step_m)
{
    int near = (int)fmax(1, round(6 * unit)), far = (int)fmin(SIDE, round(16 * unit));
    double run = fmax(far - near, 1) * step_m, contrast;

    contrast = ((double)row[SIDE + far] - (double)row[SIDE + near] - (double)row[SIDE - near] +
                (double)row[SIDE - far]) /
               run;
    return fmin(fmax(sqrt(0.15 / fmax(contrast, 1e-3)), 0.8), 1.5);
}

/* The greatest bend within `reach` samples, in samples from the middle; NAN where it is only at
 * the end of the reach. */
static double greatest_bend(const float *row, int reach)
{
    double bend[WIDE] = {0};
    int best = -1;

    for (int s = 1; s < WIDE - 1; s++)
        bend[s] = (double)row[s - 1] - 2 * (double)row[s] + (double)row[s + 1];
    for (int s = SIDE - reach; s <= SIDE + reach; s++)
        if (bend[s] > 0 && bend[s] >= bend[s - 1] && bend[s] > bend[s + 1] &&
            (best < 0 || bend[s] > bend[best]))
            best = s;
    if (best < 0)
        return NAN;
    return best - SIDE +
           0.5 * (bend[best + 1] - bend[best - 1]) /
               (2 * bend[best] - bend[best + 1] - bend[best - 1] + 1e-12);
}

static int sharpen(const struct lw_chart *chart, const struct lw_lip_scale *scale,
                   struct lw_line *line)
{
    size_t last = line->n - 1;
    double step_m = fmax(scale->unit, 0.5 * chart->grid.cell_m), along;
    double way = lw_line_length(line) / (double)last;
    float *all = malloc(line->n * WIDE * sizeof *all);
    struct lw_en *to = malloc(line->n * sizeof *to);
    int reach, status = -1;

    if (!all || !to)
        goto done;
    along = scale->along_m / way;
    reach = (int)ceil(3 * along);
    if (line->closed && reach > (int)last / 2)
        reach = (int)last / 2;
    for (size_t k = 0; k <= last; k++) {
        across(chart, line->p[k], unit_ahead(line, k), step_m, all + k * WIDE);
    }
    for (int k = 0; k <= (int)last; k++) {
        float row[WIDE] = {0};
        struct lw_en ahead = unit_ahead(line, (size_t)k);
        int side = reach;
        double sum = 0, off;

        if (!line->closed) {
            side = k < side ? k : side;
            side = (int)last - k < side ? (int)last - k : side;
            side = side > 2 ? side : 2;
        }
        for (int d = -side; d <= side; d++) {
            int at = line->closed ? (k + d + (int)last) % (int)last : k + d;
            double w = exp(-0.5 * d * d / (along * along));

            if (at < 0 || at > (int)last || isnan(all[at * WIDE + SIDE]))
                continue;
            for (int s = 0; s < WIDE; s++)
                row[s] += (float)w * all[at * WIDE + s];
            sum += w;
        }
        for (int s = 0; s < WIDE && sum > 0; s++)
            row[s] /= (float)sum;
        smooth_across(row,
                      scale->across_m * gentleness(row, scale->unit / step_m, step_m) / step_m);
        off = sum > 0
                  ? greatest_bend(row, (int)fmin(SIDE - 3, ceil(1.5 * scale->smooth_m / step_m)))
                  : NAN;
        off = isnan(off) ? 0 : off * step_m;
        to[k] = (struct lw_en){line->p[k].e_m - off * ahead.n_m, line->p[k].n_m + off * ahead.e_m};
    }
    for (size_t k = 0; k <= last; k++)
        line->p[k] = to[k];
    if (line->closed)
        line->p[last] = line->p[0];
    status = 0;
done:
    free(all);
    free(to);
    return status;
}

int lw_lip_sharpen(const struct lw_chart *chart, const struct lw_lip_scale *scale,
                   struct lw_line *line, struct lw_error *err)
{
    struct lw_line even;

    for (int round = 0; round < 2; round++) {
        if (sharpen(chart, scale, line) ||
            lw_lip_even_out(line, scale->smooth_m, scale->step_m, &even))
            return lw_fail(err, "out of memory for a lip of %zu places", line->n);
        lw_line_free(line);
        *line = even;
    }
    return 0;
}
