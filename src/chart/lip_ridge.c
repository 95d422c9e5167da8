/* Where the fall line's profile bends most: ridges of profile curvature by non-maximum suppression
 * along the fall line (Canny 1986, from memory), to a part of a cell by a parabola. */
#include <math.h>
#include <stdlib.h>

#include "lip_parts.h"
#include "lipwalk/base/array.h"

struct shape {
    double p, q; /* fall toward east and north (Horn 1981) */
    double bend; /* second derivative along the fall line, over (1 + slope^2)^1.5 */
};

static struct shape shape_at(const struct lw_lip_field *field, int i, int j)
{
    const struct lw_grid *g = field->grid;
    const float *s = field->depth_m + (size_t)(i - 1) * (size_t)g->nx + (size_t)j;
    const float *m = s + g->nx, *n = m + g->nx;
    double h = g->cell_m, ee, nn, en, f2;
    struct shape out;

    out.p = ((double)n[1] + 2 * (double)m[1] + (double)s[1] - (double)n[-1] - 2 * (double)m[-1] -
             (double)s[-1]) /
            (8 * h);
    out.q = ((double)n[-1] + 2 * (double)n[0] + (double)n[1] - (double)s[-1] - 2 * (double)s[0] -
             (double)s[1]) /
            (8 * h);
    ee = ((double)m[1] - 2 * (double)m[0] + (double)m[-1]) / (h * h);
    nn = ((double)n[0] - 2 * (double)m[0] + (double)s[0]) / (h * h);
    en = ((double)n[1] - (double)n[-1] - (double)s[1] + (double)s[-1]) / (4 * h * h);
    f2 = out.p * out.p + out.q * out.q;
    out.bend = (out.p * out.p * ee + 2 * out.p * out.q * en + out.q * out.q * nn) /
               ((f2 + 1e-9) * (1 + f2) * sqrt(1 + f2));
    return out;
}

/* A row of curvatures; 0 along the rim. */
static void bend_row(const struct lw_lip_field *field, int i, float *row)
{
    const struct lw_grid *g = field->grid;

    for (int j = 0; j < g->nx; j++)
        row[j] = i < 1 || i >= g->ny - 1 || j < 1 || j >= g->nx - 1
                     ? 0
                     : (float)shape_at(field, i, j).bend;
}

/* Between four cells of the rows below and above. */
static double between(const float *const row[3], int j, double e, double n)
{
    int b = e < 0 ? j - 1 : j, a = n < 0 ? 0 : 1;
    double x = e < 0 ? e + 1 : e, y = n < 0 ? n + 1 : n;
    double south = (double)row[a][b] + x * ((double)row[a][b + 1] - (double)row[a][b]);
    double north = (double)row[a + 1][b] + x * ((double)row[a + 1][b + 1] - (double)row[a + 1][b]);

    return south + y * (north - south);
}

/* The bottom must go from gentle to steep there, by a ratio as well as by a difference: a wave on a
 * steep slope bends too. */
static bool is_lip(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                   const struct lw_lip_spot *spot)
{
    double d = scale->probe_m, e = spot->fall_e, n = spot->fall_n;
    struct lw_en down = {spot->at.e_m + d * e, spot->at.n_m + d * n};
    struct lw_en up = {spot->at.e_m - d * e, spot->at.n_m - d * n};
    struct lw_en fd = lw_lip_fall(field, down), fu = lw_lip_fall(field, up);
    double below = fd.e_m * e + fd.n_m * n, above = fu.e_m * e + fu.n_m * n;

    return below - above >= 0.75 * scale->weak && below > 1.6 * above;
}

static int look(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                const float *const row[3], int i, int j, struct lw_lip_spots *out)
{
    const struct lw_grid *g = field->grid;
    double wide_m = hypot(scale->smooth_m, 2 * scale->unit) * sqrt(2 * M_PI), k = row[1][j], fore,
           aft, slope, off;
    struct lw_lip_spot spot = {.cell = i * g->nx + j, .next = -1, .back = -1};
    struct shape s;

    if (k * wide_m < scale->weak || isnan(g->depth_m[spot.cell]))
        return 0;
    s = shape_at(field, i, j);
    slope = hypot(s.p, s.q);
    if (slope < 1e-4 || (double)field->depth_m[spot.cell] < scale->least_depth_m)
        return 0;
    spot.fall_e = (float)(s.p / slope);
    spot.fall_n = (float)(s.q / slope);
    fore = between(row, j, s.p / slope, s.q / slope);
    aft = between(row, j, -s.p / slope, -s.q / slope);
    if (!(k >= fore && k > aft))
        return 0;
    off = 0.5 * (fore - aft) / (2 * k - fore - aft + 1e-12);
    off = fmin(fmax(off, -0.7), 0.7) * g->cell_m;
    spot.bend = (float)(k * wide_m);
    spot.at.e_m = g->e0_m + j * g->cell_m + off * s.p / slope;
    spot.at.n_m = g->n0_m + i * g->cell_m + off * s.q / slope;
    if (!is_lip(field, scale, &spot))
        return 0;
    if (lw_array_room(&out->p, out->n, &out->cap))
        return -1;
    out->p[out->n++] = spot;
    return 0;
}

int lw_lip_ridge(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                 struct lw_lip_spots *out, struct lw_error *err)
{
    const struct lw_grid *g = field->grid;
    float *all = malloc(3 * (size_t)g->nx * sizeof *all);
    const float *row[3];

    *out = (struct lw_lip_spots){0};
    if (!all)
        goto no_memory;
    for (int i = 0; i < g->ny; i++) {
        bend_row(field, i, all + (size_t)(i % 3) * (size_t)g->nx);
        if (i < 2)
            continue;
        for (int r = 0; r < 3; r++)
            row[r] = all + (size_t)((i - 2 + r) % 3) * (size_t)g->nx;
        for (int j = 1; j < g->nx - 1; j++)
            if (look(field, scale, row, i - 1, j, out))
                goto no_memory;
    }
    free(all);
    return 0;
no_memory:
    free(all);
    free(out->p);
    *out = (struct lw_lip_spots){0};
    return lw_fail(err, "out of memory for the lips of %d x %d cells", g->nx, g->ny);
}
