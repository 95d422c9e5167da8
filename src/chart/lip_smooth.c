/* A smoothed copy of the bottom. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lip_parts.h"

#define STRIP 32 /* columns smoothed together: a cache line or two of each row */

struct mirror {
    const struct lw_grid *grid;
    int32_t *from; /* of each land cell that has one: the water cell nearest; -1 */
    int32_t *ring; /* land cells in the order of being reached */
    size_t n;
};

static double far2(const struct lw_grid *grid, int32_t a, int32_t b)
{
    double i = a / grid->nx - b / grid->nx, j = a % grid->nx - b % grid->nx;

    return i * i + j * j;
}

/* Offers the land cells about cell `k` the water cell `from`; new ones join the ring. */
static void offer(struct mirror *m, int32_t k, int32_t from)
{
    const struct lw_grid *grid = m->grid;
    int i = k / grid->nx, j = k % grid->nx;

    for (int a = i > 0 ? i - 1 : 0; a <= i + 1 && a < grid->ny; a++)
        for (int b = j > 0 ? j - 1 : 0; b <= j + 1 && b < grid->nx; b++) {
            int32_t to = a * grid->nx + b;

            if (!isnan(grid->depth_m[to]))
                continue;
            if (m->from[to] < 0)
                m->ring[m->n++] = to;
            else if (far2(grid, to, m->from[to]) <= far2(grid, to, from))
                continue;
            m->from[to] = from;
        }
}

static float turned_about(const struct lw_grid *grid, int32_t k, int32_t shore)
{
    int i = 2 * (shore / grid->nx) - k / grid->nx, j = 2 * (shore % grid->nx) - k % grid->nx;
    float z = grid->depth_m[shore], mirror;

    if (i < 0 || i >= grid->ny || j < 0 || j >= grid->nx)
        return z;
    mirror = grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j];
    return isnan(mirror) ? z : 2 * z - mirror;
}

/* Land cells as far as the kernel reaches get the depth that the bottom would have were the shore a
 * point it turns about: a bottom that falls evenly from the shore shows no bend there. Other land
 * gets 0. */
static int draw_on(const struct lw_grid *grid, int reach, float *z)
{
    int32_t cells = grid->nx * grid->ny;
    struct mirror m = {.grid = grid};
    size_t first = 0;

    m.from = malloc((size_t)cells * sizeof *m.from);
    m.ring = malloc((size_t)cells * sizeof *m.ring);
    if (!m.from || !m.ring) {
        free(m.from);
        free(m.ring);
        return -1;
    }
    memset(m.from, -1, (size_t)cells * sizeof *m.from);
    for (int32_t k = 0; k < cells; k++)
        if (!isnan(grid->depth_m[k]))
            offer(&m, k, k);
    for (int round = 1; round < reach; round++)
        for (size_t last = m.n; first < last; first++)
            offer(&m, m.ring[first], m.from[m.ring[first]]);
    for (int32_t k = 0; k < cells; k++)
        z[k] = !isnan(grid->depth_m[k]) ? grid->depth_m[k]
               : m.from[k] >= 0         ? turned_about(grid, k, m.from[k])
                                        : 0;
    free(m.from);
    free(m.ring);
    return 0;
}

/* Carries a padded row on behind its ends, turned about the last value. */
static void pad(float *row, int n, int reach, size_t stride)
{
    for (size_t s = 0; s < stride; s++)
        for (int d = 1; d <= reach; d++) {
            int in = d < n ? d : n - 1;
            float *head = row + (size_t)reach * stride + s;
            float *tail = row + (size_t)(reach + n - 1) * stride + s;

            *(head - (size_t)d * stride) = 2 * *head - *(head + (size_t)in * stride);
            *(tail + (size_t)d * stride) = 2 * *tail - *(tail - (size_t)in * stride);
        }
}

static void along_rows(const struct lw_grid *grid, const float *weight, int reach, float *buffer,
                       float *z)
{
    for (int i = 0; i < grid->ny; i++) {
        float *row = z + (size_t)i * (size_t)grid->nx;

        memcpy(buffer + reach, row, (size_t)grid->nx * sizeof *row);
        pad(buffer, grid->nx, reach, 1);
        for (int j = 0; j < grid->nx; j++)
            row[j] = weight[0] * buffer[j + reach];
        for (int d = 1; d <= reach; d++) {
            const float *low = buffer + reach - d, *high = buffer + reach + d;

            for (int j = 0; j < grid->nx; j++)
                row[j] += weight[d] * (low[j] + high[j]);
        }
    }
}

static void along_columns(const struct lw_grid *grid, const float *weight, int reach, float *buffer,
                          float *z)
{
    for (int from = 0; from < grid->nx; from += STRIP) {
        int wide = grid->nx - from < STRIP ? grid->nx - from : STRIP;

        for (int i = 0; i < grid->ny; i++)
            memcpy(buffer + (size_t)(i + reach) * STRIP,
                   z + (size_t)i * (size_t)grid->nx + (size_t)from, (size_t)wide * sizeof *z);
        pad(buffer, grid->ny, reach, STRIP);
        for (int i = 0; i < grid->ny; i++) {
            const float *mid = buffer + (size_t)(i + reach) * STRIP;
            float sum[STRIP];

            for (int s = 0; s < STRIP; s++)
                sum[s] = weight[0] * mid[s];
            for (int d = 1; d <= reach; d++) {
                const float *low = mid - d * STRIP, *high = mid + d * STRIP;

                for (int s = 0; s < STRIP; s++)
                    sum[s] += weight[d] * (low[s] + high[s]);
            }
            memcpy(z + (size_t)i * (size_t)grid->nx + (size_t)from, sum, (size_t)wide * sizeof *z);
        }
    }
}

int lw_lip_smooth(const struct lw_grid *grid, double sigma_m, struct lw_lip_field *out,
                  struct lw_error *err)
{
    double sigma = sigma_m / grid->cell_m, sum = 0;
    int reach = (int)ceil(3 * sigma);
    size_t tall = (size_t)grid->ny + 2 * (size_t)reach, wide = (size_t)grid->nx + 2 * (size_t)reach;
    size_t most = tall * STRIP > wide ? tall * STRIP : wide;
    float *buffer = calloc(most, sizeof *buffer);
    float *weight = malloc(((size_t)reach + 1) * sizeof *weight);
    int status = -1;

    *out = (struct lw_lip_field){.grid = grid};
    out->depth_m = malloc((size_t)grid->nx * (size_t)grid->ny * sizeof *out->depth_m);
    if (!buffer || !weight || !out->depth_m || draw_on(grid, reach + 2, out->depth_m)) {
        lw_fail(err, "out of memory for the lips of %d x %d cells", grid->nx, grid->ny);
        goto done;
    }
    for (int d = 0; d <= reach; d++)
        sum += (d ? 2 : 1) * exp(-0.5 * d * d / (sigma * sigma));
    for (int d = 0; d <= reach; d++)
        weight[d] = (float)(exp(-0.5 * d * d / (sigma * sigma)) / sum);
    along_rows(grid, weight, reach, buffer, out->depth_m);
    memset(buffer, 0, most * sizeof *buffer);
    along_columns(grid, weight, reach, buffer, out->depth_m);
    status = 0;
done:
    if (status)
        lw_lip_field_free(out);
    free(buffer);
    free(weight);
    return status;
}

void lw_lip_field_free(struct lw_lip_field *field)
{
    free(field->depth_m);
    *field = (struct lw_lip_field){0};
}

bool lw_lip_wet(const struct lw_grid *grid, struct lw_en at)
{
    int j, i;

    return lw_grid_cell(grid, at, &j, &i) &&
           !isnan(grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j]);
}

struct corner {
    size_t sw;
    double x, y;        /* 0..1 within the square */
    size_t east, north; /* steps to the other corners; 0 at a grid one cell wide */
};

static struct corner corner_of(const struct lw_grid *grid, struct lw_en at)
{
    double x = (at.e_m - grid->e0_m) / grid->cell_m, y = (at.n_m - grid->n0_m) / grid->cell_m;
    double j = fmin(fmax(floor(x), 0), fmax(grid->nx - 2, 0));
    double i = fmin(fmax(floor(y), 0), fmax(grid->ny - 2, 0));
    struct corner c = {.sw = (size_t)i * (size_t)grid->nx + (size_t)j,
                       .x = fmin(fmax(x - j, 0), 1),
                       .y = fmin(fmax(y - i, 0), 1),
                       .east = grid->nx > 1,
                       .north = grid->ny > 1 ? (size_t)grid->nx : 0};

    return c;
}

double lw_lip_depth(const struct lw_lip_field *field, struct lw_en at)
{
    struct corner c = corner_of(field->grid, at);
    const float *z = field->depth_m + c.sw;
    double south = (double)z[0] + c.x * ((double)z[c.east] - (double)z[0]);
    double north = (double)z[c.north] + c.x * ((double)z[c.north + c.east] - (double)z[c.north]);

    return south + c.y * (north - south);
}

struct lw_en lw_lip_fall(const struct lw_lip_field *field, struct lw_en at)
{
    double h = field->grid->cell_m;
    struct lw_en e = {at.e_m + h, at.n_m}, w = {at.e_m - h, at.n_m};
    struct lw_en n = {at.e_m, at.n_m + h}, s = {at.e_m, at.n_m - h};

    return (struct lw_en){(lw_lip_depth(field, e) - lw_lip_depth(field, w)) / (2 * h),
                          (lw_lip_depth(field, n) - lw_lip_depth(field, s)) / (2 * h)};
}
