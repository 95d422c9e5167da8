/* The outline of soundings on a grid: distances, grown and shrunk, traced. */
#include "outline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/geo/span.h"

#define ACROSS 600 /* cells along the longer side */
/* The disk's radius is a multiple of the distance within which three quarters of the hull have a
 * sounding. 2.25 times is 1.7 times half of the distance between survey lines; of places strewn at
 * random, where the share beyond a distance d is exp(-pi n d^2), one in a thousand is farther from
 * all of them: 1.5 times left a third of a lake out. A lake that bends about land has some of its
 * hull on land: hence not all of the hull. */
#define SHARE   0.75
#define ALLOW   2.25
#define HOLE    16.0 /* a hole of fewer disks squared is a gap in the survey, not an island */
#define RIM     0.17 /* the outline lies so far beyond the outermost soundings, in radii */
#define CORNERS 64   /* directions in which the outermost soundings are looked for */

struct field {
    struct lw_grid grid;
    double *d2; /* squared distance in cells; owned */
};

/* Squared distance to the nearest zero along one line: the lower envelope of parabolas
 * (Felzenszwalb and Huttenlocher 2012, from memory). f and d of n, v and z of n + 1 as workspace.
 */
static void transform_line(const double *f, double *d, int *v, double *z, int n)
{
    int k = -1;

    for (int q = 0; q < n; q++) {
        double s = -INFINITY;

        if (isinf(f[q]))
            continue;
        while (k >= 0) {
            int p = v[k];

            s = ((f[q] + (double)q * q) - (f[p] + (double)p * p)) / (2.0 * (q - p));
            if (s > z[k])
                break;
            k--;
        }
        if (k < 0)
            s = -INFINITY;
        v[++k] = q;
        z[k] = s;
    }
    if (k < 0) {
        for (int q = 0; q < n; q++)
            d[q] = INFINITY;
        return;
    }
    z[k + 1] = INFINITY;
    for (int q = 0, i = 0; q < n; q++) {
        while (z[i + 1] < q)
            i++;
        d[q] = (double)(q - v[i]) * (q - v[i]) + f[v[i]];
    }
}

/* d2 holds 0 at the goals and infinity elsewhere; becomes the squared distance to them. */
static int transform(struct field *field)
{
    int nx = field->grid.nx, ny = field->grid.ny, n = nx > ny ? nx : ny;
    double *f = calloc((size_t)n, sizeof *f), *d = malloc((size_t)n * sizeof *d);
    double *z = malloc(((size_t)n + 1) * sizeof *z);
    int *v = malloc(((size_t)n + 1) * sizeof *v), status = -1;

    if (!f || !d || !z || !v)
        goto done;
    for (int j = 0; j < nx; j++) {
        for (int i = 0; i < ny; i++)
            f[i] = field->d2[(size_t)i * (size_t)nx + (size_t)j];
        transform_line(f, d, v, z, ny);
        for (int i = 0; i < ny; i++)
            field->d2[(size_t)i * (size_t)nx + (size_t)j] = d[i];
    }
    for (int i = 0; i < ny; i++) {
        memcpy(f, field->d2 + (size_t)i * (size_t)nx, (size_t)nx * sizeof *f);
        transform_line(f, field->d2 + (size_t)i * (size_t)nx, v, z, nx);
    }
    status = 0;
done:
    free(f);
    free(d);
    free(z);
    free(v);
    return status;
}

/* The corners of the convex hull, as far as CORNERS directions tell: counter-clockwise, closed. */
static int hull(const struct lw_en *p, size_t n, struct lw_line *out)
{
    *out = (struct lw_line){.closed = true};
    for (int k = 0; k <= CORNERS; k++) {
        double turn = 2 * M_PI * (k % CORNERS) / CORNERS, best = -INFINITY;
        size_t far = 0;

        for (size_t i = 0; i < n; i++) {
            double along = p[i].e_m * cos(turn) + p[i].n_m * sin(turn);

            if (along > best) {
                best = along;
                far = i;
            }
        }
        if (lw_line_add(out, p[far]))
            return -1;
    }
    return 0;
}

static int lay_field(const struct lw_en *p, size_t n, double pad_m, struct field *field)
{
    struct lw_line all = {.p = (struct lw_en *)p, .n = n};
    struct lw_span span = lw_span_of(&all);
    double wide = span.e_max - span.e_min, high = span.n_max - span.n_min;
    double cell = (fmax(wide, high) + 2 * pad_m) / ACROSS;
    size_t cells;

    field->grid = (struct lw_grid){.cell_m = cell,
                                   .e0_m = span.e_min - pad_m - 2 * cell,
                                   .n0_m = span.n_min - pad_m - 2 * cell,
                                   .nx = (int)ceil((wide + 2 * pad_m) / cell) + 5,
                                   .ny = (int)ceil((high + 2 * pad_m) / cell) + 5};
    cells = (size_t)field->grid.nx * (size_t)field->grid.ny;
    field->d2 = malloc(cells * sizeof *field->d2);
    if (!field->d2)
        return -1;
    for (size_t k = 0; k < cells; k++)
        field->d2[k] = INFINITY;
    for (size_t i = 0; i < n; i++) {
        int j = (int)lround((p[i].e_m - field->grid.e0_m) / cell);
        int row = (int)lround((p[i].n_m - field->grid.n0_m) / cell);

        field->d2[(size_t)row * (size_t)field->grid.nx + (size_t)j] = 0;
    }
    return transform(field);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static int choose_radius(const struct lw_en *p, size_t n, double *radius_m)
{
    struct field field;
    struct lw_line ring = {0};
    double *dist = NULL;
    size_t inside = 0, cells;
    int status = -1;

    if (lay_field(p, n, 0, &field) || hull(p, n, &ring))
        goto done;
    cells = (size_t)field.grid.nx * (size_t)field.grid.ny;
    dist = malloc(cells * sizeof *dist);
    if (!dist)
        goto done;
    for (size_t k = 0; k < cells; k += 7) {
        struct lw_en at = {
            field.grid.e0_m + (double)(k % (size_t)field.grid.nx) * field.grid.cell_m,
            field.grid.n0_m + (double)(k / (size_t)field.grid.nx) * field.grid.cell_m};

        if (lw_line_contains(&ring, at))
            dist[inside++] = sqrt(field.d2[k]) * field.grid.cell_m;
    }
    *radius_m = 0;
    if (inside > 20) {
        qsort(dist, inside, sizeof *dist, by_size);
        *radius_m = fmax(ALLOW * dist[(size_t)(SHARE * (double)inside)], 2 * field.grid.cell_m);
    }
    status = 0;
done:
    lw_line_free(&ring);
    free(field.d2);
    free(dist);
    return status;
}

/* Distance into the dilated soundings, as a depth to trace. */
static int shrink(struct field *field, double radius_m)
{
    size_t cells = (size_t)field->grid.nx * (size_t)field->grid.ny;
    double reach2 = pow(radius_m / field->grid.cell_m, 2);

    for (size_t k = 0; k < cells; k++)
        field->d2[k] = field->d2[k] > reach2 ? 0 : INFINITY;
    if (transform(field))
        return -1;
    field->grid.depth_m = malloc(cells * sizeof *field->grid.depth_m);
    if (!field->grid.depth_m)
        return -1;
    for (size_t k = 0; k < cells; k++)
        field->grid.depth_m[k] = (float)(sqrt(field->d2[k]) * field->grid.cell_m);
    return 0;
}

int lw_outline(const struct lw_en *p, size_t n, struct lw_lines *out, double *radius_m,
               struct lw_error *err)
{
    struct field field = {0};
    struct lw_lines all = {0};
    int status = -1;

    *out = (struct lw_lines){0};
    *radius_m = 0;
    if (n < 3)
        return 0;
    if (choose_radius(p, n, radius_m))
        goto no_memory;
    if (!(*radius_m > 0))
        return 0;
    if (lay_field(p, n, 1.5 * *radius_m, &field) || shrink(&field, *radius_m))
        goto no_memory;
    if (lw_chart_trace(&field.grid, (1 - RIM) * *radius_m, &all, err))
        goto done;
    for (size_t i = 0; i < all.n; i++) {
        double area_m2 = all.line[i].closed ? lw_line_area(&all.line[i]) : 0;

        /* The deep side is the inner one and lies to the left: a hole turns clockwise. */
        if (area_m2 > 0 || area_m2 < -HOLE * *radius_m * *radius_m)
            if (lw_lines_take(out, &all.line[i]))
                goto no_memory;
    }
    status = 0;
    goto done;
no_memory:
    lw_fail(err, "out of memory for the outline of %zu soundings", n);
done:
    free(field.d2);
    free(field.grid.depth_m);
    lw_lines_free(&all);
    if (status)
        lw_lines_free(out);
    return status;
}
