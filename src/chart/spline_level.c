/* The smoothness operator as a 13-point stencil, and the data's 3 x 3 blocks.
 *
 * On a grid, integral |D2 z|^2 is Qy (x) I + I (x) Qx + 2 Ly (x) Lx, and integral |grad z|^2 is
 * Ly (x) I + I (x) Lx, where Q and L are D'D of the second and first differences along one axis: so
 * the rows at the edges need no cases of their own, only other band values. */
#include "spline_level.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

static int band(double (*row)[5], double (*row3)[3], int n)
{
    for (int k = 1; k + 1 < n; k++) {
        static const double c[3] = {1, -2, 1};

        for (int a = -1; a <= 1; a++)
            for (int b = -1; b <= 1; b++)
                row[k + a][2 + b - a] += c[a + 1] * c[b + 1];
    }
    for (int k = 0; k + 1 < n; k++) {
        row3[k][1] += 1;
        row3[k][2] -= 1;
        row3[k + 1][1] += 1;
        row3[k + 1][0] -= 1;
    }
    return 0;
}

static int add_datum(struct lw_level *level, size_t at)
{
    if (level->datum[at] >= 0)
        return 0;
    if (lw_array_room(&level->pull, level->data, &level->data_cap))
        return -1;
    memset(level->pull[level->data], 0, sizeof level->pull[0]);
    level->datum[at] = (int32_t)level->data++;
    return 0;
}

static int add_points(struct lw_level *level, const struct lw_spline *in, double scale)
{
    for (size_t k = 0; k < in->points; k++) {
        const struct lw_spline_point *p = &in->point[k];
        double x = p->x * scale, y = p->y * scale;
        int j = (int)floor(x), i = (int)floor(y);
        double b[4];

        if (!(p->x >= 0 && p->y >= 0 && p->x <= in->nx - 1 && p->y <= in->ny - 1))
            continue;
        j = j > level->nx - 2 ? level->nx - 2 : j;
        i = i > level->ny - 2 ? level->ny - 2 : i;
        x -= j;
        y -= i;
        b[0] = (1 - x) * (1 - y);
        b[1] = x * (1 - y);
        b[2] = (1 - x) * y;
        b[3] = x * y;
        for (int m = 0; m < 4; m++) {
            size_t at = lw_level_at(level, i + m / 2, j + m % 2);

            if (b[m] == 0)
                continue;
            if (add_datum(level, at))
                return -1;
            level->rhs[at] += p->weight * b[m] * p->value;
            for (int q = 0; q < 4; q++)
                level->pull[level->datum[at]][(q / 2 - m / 2 + 1) * 3 + q % 2 - m % 2 + 1] +=
                    p->weight * b[m] * b[q];
        }
    }
    return 0;
}

int lw_level_init(struct lw_level *level, const struct lw_spline *in, int depth)
{
    double h = in->cell_m;

    memset(level, 0, sizeof *level);
    level->nx = in->nx;
    level->ny = in->ny;
    for (int k = 0; k < depth; k++) {
        level->nx = level->nx / 2 + 1;
        level->ny = level->ny / 2 + 1;
        h *= 2;
    }
    level->stride = level->nx + 4;
    level->size = (size_t)level->stride * (size_t)(level->ny + 4);
    level->bend = in->beta_m2 / (h * h);
    level->tense = in->beta_m2 / (in->ell_m * in->ell_m);
    level->bend_x = calloc((size_t)level->nx * 5, sizeof(double));
    level->bend_y = calloc((size_t)level->ny * 5, sizeof(double));
    level->slope_x = calloc((size_t)level->nx * 3, sizeof(double));
    level->slope_y = calloc((size_t)level->ny * 3, sizeof(double));
    level->datum = malloc(level->size * sizeof *level->datum);
    level->rhs = calloc(level->size, sizeof(double));
    level->e = calloc(level->size, sizeof(double));
    level->r = calloc(level->size, sizeof(double));
    level->t = calloc(level->size, sizeof(double));
    if (!level->bend_x || !level->bend_y || !level->slope_x || !level->slope_y || !level->datum ||
        !level->rhs || !level->e || !level->r || !level->t)
        return -1;
    memset(level->datum, 0xff, level->size * sizeof *level->datum);
    band((double(*)[5])(void *)level->bend_x, (double(*)[3])(void *)level->slope_x, level->nx);
    band((double(*)[5])(void *)level->bend_y, (double(*)[3])(void *)level->slope_y, level->ny);
    return add_points(level, in, ldexp(1, -depth));
}

void lw_level_free(struct lw_level *level)
{
    free(level->bend_x);
    free(level->bend_y);
    free(level->slope_x);
    free(level->slope_y);
    free(level->datum);
    free(level->pull);
    free(level->rhs);
    free(level->e);
    free(level->r);
    free(level->t);
    memset(level, 0, sizeof *level);
}

/* The smoothness row of node (i, j) times z, its centre left out; `centre` gets the centre's own
 * factor. For nodes near an edge. */
static double edge_row(const struct lw_level *level, int i, int j, const double *z, double *centre)
{
    const double *qx = level->bend_x + 5 * j, *qy = level->bend_y + 5 * i;
    const double *lx = level->slope_x + 3 * j, *ly = level->slope_y + 3 * i;
    ptrdiff_t s = level->stride;
    double sum = 0;

    for (int d = -2; d <= 2; d++) {
        if (d == 0)
            continue;
        sum += level->bend * (qx[d + 2] * z[d] + qy[d + 2] * z[d * s]);
    }
    for (int d = -1; d <= 1; d += 2) {
        sum += (level->tense * lx[d + 1] + 2 * level->bend * ly[1] * lx[d + 1]) * z[d];
        sum += (level->tense * ly[d + 1] + 2 * level->bend * lx[1] * ly[d + 1]) * z[d * s];
        for (int c = -1; c <= 1; c += 2)
            sum += 2 * level->bend * ly[d + 1] * lx[c + 1] * z[d * s + c];
    }
    *centre = level->bend * (qx[2] + qy[2] + 2 * lx[1] * ly[1]) + level->tense * (lx[1] + ly[1]);
    return sum;
}

/* The same away from the edges, where the bands are 1 -4 6 -4 1 and -1 2 -1. */
static inline double inner_row(const struct lw_level *level, const double *z)
{
    ptrdiff_t s = level->stride;

    return level->bend * (z[-2] + z[2] + z[-2 * s] + z[2 * s] +
                          2 * (z[-s - 1] + z[-s + 1] + z[s - 1] + z[s + 1])) -
           (8 * level->bend + level->tense) * (z[-1] + z[1] + z[-s] + z[s]);
}

static inline double data_row(const double *pull, const double *z, ptrdiff_t s)
{
    return pull[0] * z[-s - 1] + pull[1] * z[-s] + pull[2] * z[-s + 1] + pull[3] * z[-1] +
           pull[5] * z[1] + pull[6] * z[s - 1] + pull[7] * z[s] + pull[8] * z[s + 1];
}

static inline int is_inner(const struct lw_level *level, int i, int j)
{
    return i >= 2 && j >= 2 && i < level->ny - 2 && j < level->nx - 2;
}

/* Off-centre sum and centre factor of the whole row, smoothness and data. */
static inline double whole_row(const struct lw_level *level, int i, int j, size_t at,
                               const double *z, double *centre)
{
    double sum;
    int32_t datum = level->datum[at];

    if (is_inner(level, i, j)) {
        sum = inner_row(level, z + at);
        *centre = 20 * level->bend + 4 * level->tense;
    } else {
        sum = edge_row(level, i, j, z + at, centre);
    }
    if (datum >= 0) {
        sum += data_row(level->pull[datum], z + at, level->stride);
        *centre += level->pull[datum][4];
    }
    return sum;
}

void lw_level_apply(const struct lw_level *level, const double *z, double *out)
{
    double centre;

    for (int i = 0; i < level->ny; i++) {
        size_t at = lw_level_at(level, i, 0);

        for (int j = 0; j < level->nx; j++, at++) {
            double sum = whole_row(level, i, j, at, z, &centre);

            out[at] = sum + centre * z[at];
        }
    }
}

/* Nodes away from the edges and without data, by far the most: the two neighbours that were just
 * computed come in last, and no division stands in the chain from one node to the next. */
static inline double plain_node(const struct lw_level *level, const double *z, double r, int behind,
                                double inverse)
{
    ptrdiff_t s = level->stride;
    double near = 8 * level->bend + level->tense;
    double rest = r -
                  level->bend * (z[-2 * behind] + z[-2 * s] + z[2 * s] +
                                 2 * (z[-s - 1] + z[-s + 1] + z[s - 1] + z[s + 1])) +
                  near * (z[-behind] + z[-s] + z[s]);

    return rest * inverse - z[2 * behind] * (level->bend * inverse) + z[behind] * (near * inverse);
}

void lw_level_sweep(const struct lw_level *level, double *z, const double *r, int backward)
{
    double centre, inverse = 1 / (20 * level->bend + 4 * level->tense);
    int behind = backward ? 1 : -1; /* where the node computed before lies */

    for (int ii = 0; ii < level->ny; ii++) {
        int i = backward ? level->ny - 1 - ii : ii;

        for (int jj = 0; jj < level->nx; jj++) {
            int j = backward ? level->nx - 1 - jj : jj;
            size_t at = lw_level_at(level, i, j);

            if (level->datum[at] < 0 && is_inner(level, i, j)) {
                z[at] = plain_node(level, z + at, r[at], behind, inverse);
            } else {
                double sum = whole_row(level, i, j, at, z, &centre);

                z[at] = (r[at] - sum) / centre;
            }
        }
    }
}

void lw_level_prolong(const struct lw_level *coarse, const double *from,
                      const struct lw_level *fine, double *to)
{
    for (int i = 0; i < fine->ny; i++) {
        const double *a = from + lw_level_at(coarse, i / 2, 0);
        const double *b = from + lw_level_at(coarse, (i + 1) / 2, 0);
        double *out = to + lw_level_at(fine, i, 0);

        for (int j = 0; j < fine->nx; j++) {
            int k = j / 2, m = (j + 1) / 2;

            out[j] += 0.25 * (a[k] + a[m] + b[k] + b[m]);
        }
    }
}

void lw_level_restrict(const struct lw_level *fine, const double *from,
                       const struct lw_level *coarse, double *to)
{
    memset(to, 0, coarse->size * sizeof *to);
    for (int i = 0; i < fine->ny; i++) {
        double *a = to + lw_level_at(coarse, i / 2, 0);
        double *b = to + lw_level_at(coarse, (i + 1) / 2, 0);
        const double *in = from + lw_level_at(fine, i, 0);

        for (int j = 0; j < fine->nx; j++) {
            int k = j / 2, m = (j + 1) / 2;
            double quarter = 0.25 * in[j];

            a[k] += quarter;
            a[m] += quarter;
            b[k] += quarter;
            b[m] += quarter;
        }
    }
}
