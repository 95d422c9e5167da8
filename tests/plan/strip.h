/* A strip to cast over, from geometry alone: a wavy edge, a hold line beside it, the belt as cells,
 * stations and casts, and the fixed patterns people cast today. Numbers in metres and seconds. */
#ifndef LIPWALK_TEST_STRIP_H
#define LIPWALK_TEST_STRIP_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "plan/weave.h"

#define STRIP_PI 3.14159265358979323846

struct strip_shape {
    uint64_t seed;
    double length_m, standoff_m, up_m, past_m, cast_m, swath_m, cell_m, station_m, bearing_deg,
        widest_deg, stop_s, cast_s, reel_mps;
};
static inline struct strip_shape strip_usual(uint64_t seed, double length_m)
{
    return (struct strip_shape){seed, length_m, 10.7, 6.1, 3.05, 24.4, 2.44,
                                .7,   2,        4,    65,  20,   10,   .46};
}

struct strip_place {
    double x, y, square; /* a point of the hold line and the direction towards the edge, radians */
};
struct strip {
    struct strip_shape shape;
    double amp[3], wave[3], phase[3]; /* the edge: y = sum amp sin(2 pi x / wave + phase) */
    double *edge_y;                   /* every EDGE_STEP from x0 */
    size_t edges;
    double x0, y0; /* lower left of the grid of cells */
    int32_t *grid; /* columns of rows: the cell there or -1 */
    int columns, rows;
    float *worth;
    size_t cells;
    struct strip_place *hold; /* every .25 m of its length */
    size_t holds;
    double hold_m;
    double *at_m;
    uint32_t *cast0, *cell0, *cell;
    float *cast_s;
    size_t cell_room;
    struct weave_case c;
};

static inline double strip_unit(uint64_t *state)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static inline double strip_edge_y(const struct strip *s, double x)
{
    double y = 0;

    for (int k = 0; k < 3; k++)
        y += s->amp[k] * sin(2 * STRIP_PI * x / s->wave[k] + s->phase[k]);
    return y;
}

static inline double strip_edge_slope(const struct strip *s, double x)
{
    double slope = 0;

    for (int k = 0; k < 3; k++)
        slope += s->amp[k] * 2 * STRIP_PI / s->wave[k] *
                 cos(2 * STRIP_PI * x / s->wave[k] + s->phase[k]);
    return slope;
}

/* Bends of 20 m radius and more: the sum of amplitudes over squared wave numbers stays below 1/20.
 */
static inline void strip_edge(struct strip *s)
{
    uint64_t state = s->shape.seed * 7919 + 17;

    for (int k = 0; k < 3; k++) {
        s->wave[k] = (k == 0 ? 110 : k == 1 ? 70 : 260) * (.85 + .3 * strip_unit(&state));
        s->amp[k] = (k == 0 ? 5 : k == 1 ? 1.5 : 6) * (1 + .3 * strip_unit(&state));
        s->phase[k] = 2 * STRIP_PI * strip_unit(&state);
    }
}

/* The hold line runs at the standoff below the edge (deep is towards -y, the flat towards +y). */
static inline void strip_hold(struct strip *s)
{
    double x = 0, along = 0, next = 0, px = 0, py = 0;
    size_t room = 64;

    s->hold = malloc(room * sizeof *s->hold);
    for (int i = 0; x <= s->shape.length_m; i++, x = i * .02) {
        double slope = strip_edge_slope(s, x), n = sqrt(1 + slope * slope);
        double hx = x + s->shape.standoff_m * slope / n;
        double hy = strip_edge_y(s, x) - s->shape.standoff_m / n;

        if (i)
            along += hypot(hx - px, hy - py);
        px = hx, py = hy;
        if (along < next)
            continue;
        if (s->holds == room)
            s->hold = realloc(s->hold, (room *= 2) * sizeof *s->hold);
        s->hold[s->holds++] = (struct strip_place){hx, hy, atan2(1 / n, -slope / n)};
        next += .25;
    }
    s->hold_m = along;
}

/* Signed distance from the edge, positive up the flat, by looking at its points near by. */
static inline double strip_off(const struct strip *s, double x, double y)
{
    double best = 1e30, at = x;

    for (double step = .5, from = x - 14, to = x + 14; step > .01; step /= 5) {
        for (double u = from; u <= to; u += step) {
            double dy = y - strip_edge_y(s, u), d = (x - u) * (x - u) + dy * dy;

            if (d < best)
                best = d, at = u;
        }
        from = at - step, to = at + step;
    }
    return copysign(sqrt(best), y - strip_edge_y(s, x));
}

static inline void strip_cells(struct strip *s)
{
    double high = 0;

    for (int k = 0; k < 3; k++)
        high += s->amp[k];
    high += s->shape.up_m + s->shape.past_m + 2;
    s->x0 = 0;
    s->y0 = -high;
    s->columns = (int)(s->shape.length_m / s->shape.cell_m);
    s->rows = (int)(2 * high / s->shape.cell_m);
    s->grid = malloc((size_t)s->columns * (size_t)s->rows * sizeof *s->grid);
    for (int i = 0; i < s->columns; i++) {
        double x = s->x0 + (i + .5) * s->shape.cell_m, edge = strip_edge_y(s, x);

        for (int j = 0; j < s->rows; j++) {
            double y = s->y0 + (j + .5) * s->shape.cell_m, off;
            bool in = fabs(y - edge) < 12;

            if (in) {
                off = strip_off(s, x, y);
                in = off <= s->shape.up_m && off >= -s->shape.past_m;
            }
            s->grid[(size_t)i * (size_t)s->rows + (size_t)j] = in ? (int32_t)s->cells++ : -1;
        }
    }
    s->worth = malloc((s->cells + 1) * sizeof *s->worth);
    for (size_t k = 0; k < s->cells; k++)
        s->worth[k] = 1;
}

static inline struct strip_place strip_at(const struct strip *s, double along_m)
{
    size_t i = (size_t)(along_m / .25 + .5);

    return s->hold[i < s->holds ? i : s->holds - 1];
}

/* The cells that a cast works, from a place at an angle left of square; into cell[], how many; the
 * way along the cast to the last of them. */
static inline size_t strip_cast(const struct strip *s, struct strip_place p, double left_deg,
                                uint32_t *cell, double *far_m)
{
    double a = p.square + left_deg * STRIP_PI / 180, dx = cos(a), dy = sin(a), h = s->shape.cell_m;
    double wide = s->shape.swath_m / 2, ex = p.x + s->shape.cast_m * dx, low = fmin(p.x, ex) - wide,
           high = fmax(p.x, ex) + wide;
    size_t n = 0;

    *far_m = 0;
    for (int i = (int)fmax(0, floor((low - s->x0) / h)); i < s->columns && s->x0 + i * h <= high;
         i++) {
        double x = s->x0 + (i + .5) * h - p.x, y1 = -1e9, y2 = 1e9, top = p.y, bottom = p.y;

        if (fabs(dx) > 1e-9) { /* |x dy - y dx| <= wide */
            double m = x * dy / dx, r = wide / fabs(dx);

            y1 = m - r, y2 = m + r;
        }
        top = fmax(0, s->shape.cast_m * dy) + wide;
        bottom = fmin(0, s->shape.cast_m * dy) - wide;
        y1 = fmax(y1, bottom), y2 = fmin(y2, top);
        for (int j = (int)fmax(0, floor((y1 + p.y - s->y0) / h - 1));
             j < s->rows && s->y0 + j * h - p.y <= y2; j++) {
            double y = s->y0 + (j + .5) * h - p.y, along = x * dx + y * dy;
            int32_t at = s->grid[(size_t)i * (size_t)s->rows + (size_t)j];

            if (at < 0 || along < 0 || along > s->shape.cast_m || fabs(x * dy - y * dx) > wide)
                continue;
            cell[n++] = (uint32_t)at;
            *far_m = fmax(*far_m, along);
        }
    }
    return n;
}

static inline double strip_cast_s(const struct strip *s, double length_m)
{
    return s->shape.cast_s + length_m / s->shape.reel_mps;
}

static inline void strip_casts(struct strip *s)
{
    size_t stations = (size_t)(s->hold_m / s->shape.station_m) + 1, casts = 0, n = 0;
    int side = (int)(s->shape.widest_deg / s->shape.bearing_deg);
    size_t most = stations * (size_t)(2 * side + 1);

    s->at_m = malloc(stations * sizeof *s->at_m);
    s->cast0 = malloc((stations + 1) * sizeof *s->cast0);
    s->cell0 = malloc((most + 1) * sizeof *s->cell0);
    s->cast_s = malloc(most * sizeof *s->cast_s);
    s->cell_room = 4096;
    s->cell = malloc(s->cell_room * sizeof *s->cell);
    for (size_t i = 0; i < stations; i++) {
        s->at_m[i] = (double)i * s->shape.station_m;
        s->cast0[i] = (uint32_t)casts;
        for (int k = -side; k <= side; k++) {
            double far;
            size_t got;

            if (n + 2048 > s->cell_room)
                s->cell = realloc(s->cell, (s->cell_room *= 2) * sizeof *s->cell);
            got = strip_cast(s, strip_at(s, s->at_m[i]), k * s->shape.bearing_deg, s->cell + n,
                             &far);
            if (!got)
                continue;
            s->cell0[casts] = (uint32_t)n;
            s->cast_s[casts++] = (float)strip_cast_s(s, far);
            n += got;
        }
    }
    s->cast0[stations] = (uint32_t)casts;
    s->cell0[casts] = (uint32_t)n;
    s->c = (struct weave_case){s->cells, s->worth,  NULL,     stations, s->at_m,         s->cast0,
                               casts,    s->cast_s, s->cell0, s->cell,  s->shape.stop_s, 0};
}

static inline struct strip *strip_new(struct strip_shape shape)
{
    struct strip *s = calloc(1, sizeof *s);

    s->shape = shape;
    strip_edge(s);
    strip_hold(s);
    strip_cells(s);
    strip_casts(s);
    return s;
}

static inline void strip_free(struct strip *s)
{
    free(s->grid);
    free(s->worth);
    free(s->hold);
    free(s->at_m);
    free(s->cast0);
    free(s->cell0);
    free(s->cast_s);
    free(s->cell);
    free(s);
}

/* What all casts together reach. */
static inline double strip_reach(const struct weave_case *c, uint8_t *reached)
{
    double sum = 0;

    memset(reached, 0, c->cells);
    for (size_t i = 0; i < c->cell0[c->casts]; i++)
        reached[c->cell[i]] = 1;
    for (size_t i = 0; i < c->cells; i++)
        sum += reached[i] || (c->worked && c->worked[i]) ? (double)c->worth[i] : 0;
    return sum;
}

#endif
