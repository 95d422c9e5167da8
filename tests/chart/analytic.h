/* Lakes in closed form, so that depth, slope and lip are known everywhere: what surfaces and lips
 * are measured against. Ours; east x, north y, metres, depth positive down.
 *
 * Inside the window 0..1200 x 0..900 the shore runs along y = S(x), a flat tapers from it to the
 * lip at y = L(x), a drop and a basin follow, a hump stands in the basin. Outside the window walls
 * close the lake; what lies there, and 15 m within, is not judged. */
#ifndef ANALYTIC_H
#define ANALYTIC_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/surface.h"

#define ANALYTIC_WIDE 1200.0
#define ANALYTIC_HIGH 900.0
#define ANALYTIC_OUT  110.0 /* the lake ends within so much of the window's west, east, north */
#define ANALYTIC_RIM  15.0  /* not judged so close to the window's edge */
#define ANALYTIC_FT   0.3048

struct analytic {
    bool null;                    /* a plain slope: no lip anywhere */
    double shore, lip;            /* mean y of shore and lip */
    double wave, wave_m;          /* both lines swing by so much over such a length */
    double cape_x, cape, cape_m;  /* the lip juts out here by so much, over such a length ... */
    double cove_x, cove, cove_m;  /* ... and draws back here */
    double top, top_swing, top_m; /* depth of the lip, and how it changes along */
    double steep, steep_swing;    /* slope contrast of lip and drop, and how it changes along */
    double round_m;               /* half the width of the lip's bend */
    double fall;                  /* depth of the steep part of the drop */
    double floor;                 /* the basin's depth */
    double hump_x, hump_y, hump_r, hump_top, hump_steep;
    double line_jitter; /* digitising error of contours: 1-ft lines ... */
    double wide_jitter; /* ... and 5-ft ones */
};

static inline struct analytic analytic_easy(void)
{
    return (struct analytic){.shore = 170,
                             .lip = 300,
                             .wave = 25,
                             .wave_m = 500,
                             .cape_x = 420,
                             .cape = 60,
                             .cape_m = 60,
                             .cove_x = 850,
                             .cove = 50,
                             .cove_m = 60,
                             .top = 2.4,
                             .top_m = 700,
                             .steep = 0.235,
                             .round_m = 1.4,
                             .fall = 5.6,
                             .floor = 12,
                             .hump_x = 640,
                             .hump_y = 520,
                             .hump_r = 35,
                             .hump_top = 2,
                             .hump_steep = 0.24};
}

static inline struct analytic analytic_hard(void)
{
    struct analytic a = analytic_easy();

    a.top_swing = 1.2;
    a.steep = 0.1475;
    a.steep_swing = 0.0875;
    a.line_jitter = 0.3;
    a.wide_jitter = 1.0;
    return a;
}

static inline struct analytic analytic_null(void)
{
    struct analytic a = analytic_easy();

    a.null = true;
    return a;
}

/* A small generator of its own (splitmix64, Steele and others 2014, from memory), so that a seed
 * means the same lake everywhere. */
static inline double analytic_uniform(uint64_t *state)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static inline double analytic_normal(uint64_t *state)
{
    double u = 1 - analytic_uniform(state), v = analytic_uniform(state);

    return sqrt(-2 * log(u)) * cos(2 * M_PI * v);
}

static inline double analytic_between(uint64_t *state, double lo, double hi)
{
    return lo + (hi - lo) * analytic_uniform(state);
}

/* A lake whose parameters are drawn at random. */
static inline struct analytic analytic_random(uint64_t seed)
{
    struct analytic a = {0};
    uint64_t s = seed * 1000003u + 17;

    a.shore = analytic_between(&s, 130, 190);
    a.lip = a.shore + analytic_between(&s, 80, 150);
    a.wave = analytic_between(&s, 10, 35);
    a.wave_m = analytic_between(&s, 350, 700);
    a.cape_x = analytic_between(&s, 250, 500);
    a.cape = analytic_between(&s, 25, 60);
    a.cape_m = analytic_between(&s, 50, 90);
    a.cove_x = analytic_between(&s, 700, 950);
    a.cove = analytic_between(&s, 20, 45);
    a.cove_m = analytic_between(&s, 50, 90);
    a.top = analytic_between(&s, 1.6, 3.2);
    a.top_swing = analytic_between(&s, 0, 0.8);
    a.top_m = analytic_between(&s, 500, 900);
    a.steep = analytic_between(&s, 0.12, 0.24);
    a.steep_swing = analytic_between(&s, 0, 0.4) * a.steep;
    a.round_m = analytic_between(&s, 1, 2.5);
    a.fall = analytic_between(&s, 4, 7);
    a.floor = analytic_between(&s, 10, 15);
    a.hump_x = analytic_between(&s, 450, 800);
    a.hump_y = analytic_between(&s, 540, 680);
    a.hump_r = analytic_between(&s, 25, 50);
    a.hump_top = analytic_between(&s, 1.5, 4);
    a.hump_steep = analytic_between(&s, 0.15, 0.3);
    a.line_jitter = analytic_between(&s, 0, 0.3);
    a.wide_jitter = analytic_between(&s, 0, 1);
    return a;
}

static inline double analytic_soft(double u) /* log(1 + exp(u)) */
{
    return u > 30 ? u : log1p(exp(u));
}

static inline double analytic_bell(double x, double at, double wide)
{
    return exp(-(x - at) * (x - at) / (wide * wide));
}

static inline double analytic_lip_y(const struct analytic *a, double x)
{
    return a->lip + a->wave * sin(2 * M_PI * x / a->wave_m) +
           a->cape * analytic_bell(x, a->cape_x, a->cape_m) -
           a->cove * analytic_bell(x, a->cove_x, a->cove_m);
}

static inline double analytic_shore_y(const struct analytic *a, double x)
{
    return a->shore + a->wave * sin(2 * M_PI * x / a->wave_m) +
           0.58 * a->cape * analytic_bell(x, a->cape_x, a->cape_m + 20) -
           0.5 * a->cove * analytic_bell(x, a->cove_x, a->cove_m + 20);
}

static inline double analytic_depth(const struct analytic *a, double x, double y)
{
    double shore = analytic_shore_y(a, x), lip = analytic_lip_y(a, x), z;
    double out = fmax(fmax(-x, x - ANALYTIC_WIDE), y - ANALYTIC_HIGH), wall = 60 - 0.6 * out;

    if (a->null) {
        z = 0.08 * (y - shore);
        z = 12 - 2 * analytic_soft((12 - z) / 2);
    } else {
        double t = (y - shore) / (lip - shore), d = 0.01 * a->lip, e, c, r, hump;
        double tilt = (analytic_lip_y(a, x + d) - analytic_lip_y(a, x - d)) / (2 * d);
        double top = a->top + a->top_swing * sin(2 * M_PI * (x + 100) / a->top_m);

        e = (y - lip) / sqrt(1 + tilt * tilt);
        c = a->steep + a->steep_swing * cos(2 * M_PI * (x - 200) / 1200);
        z = top * (t - 0.065 * analytic_soft((t - 1.3) / 0.1)) +
            c * (a->round_m * analytic_soft(e / a->round_m) -
                 5 * analytic_soft((e - a->fall / c) / 5));
        z = a->floor - analytic_soft(a->floor - z);
        r = sqrt((x - a->hump_x) * (x - a->hump_x) / 1.69 + (y - a->hump_y) * (y - a->hump_y) + 1);
        hump = a->hump_top + 0.01 * r + a->hump_steep * 1.4 * analytic_soft((r - a->hump_r) / 1.4);
        z = z < hump ? z - 0.6 * log1p(exp((z - hump) / 0.6))
                     : hump - 0.6 * log1p(exp((hump - z) / 0.6));
    }
    /* the walls: far above the bottom within the window */
    return out < 0 ? z : z < wall ? z - log1p(exp(z - wall)) : wall - log1p(exp(wall - z));
}

struct analytic_shape {
    double p, q;    /* dz/dx, dz/dy */
    double profile; /* curvature of the fall line's profile: + where the bottom steepens outward */
};

static inline struct analytic_shape analytic_shape(const struct analytic *a, double x, double y)
{
    double h = 0.05, z = analytic_depth(a, x, y);
    double e = analytic_depth(a, x + h, y), w = analytic_depth(a, x - h, y);
    double n = analytic_depth(a, x, y + h), s = analytic_depth(a, x, y - h);
    double xx = (e - 2 * z + w) / (h * h), yy = (n - 2 * z + s) / (h * h);
    double xy = (analytic_depth(a, x + h, y + h) - analytic_depth(a, x + h, y - h) -
                 analytic_depth(a, x - h, y + h) + analytic_depth(a, x - h, y - h)) /
                (4 * h * h);
    struct analytic_shape shape = {(e - w) / (2 * h), (n - s) / (2 * h), 0};
    double p = shape.p, q = shape.q, g = p * p + q * q;

    shape.profile = (p * p * xx + 2 * p * q * xy + q * q * yy) / ((g + 1e-12) * pow(1 + g, 1.5));
    return shape;
}

static inline double analytic_slope(const struct analytic *a, double x, double y)
{
    struct analytic_shape s = analytic_shape(a, x, y);

    return hypot(s.p, s.q);
}

/* Moves a place along the fall line to where the profile bends most. */
static inline struct lw_en analytic_to_lip(const struct analytic *a, struct lw_en at)
{
    for (int round = 0; round < 8; round++) {
        struct analytic_shape s = analytic_shape(a, at.e_m, at.n_m);
        double g = hypot(s.p, s.q), reach = round == 0 ? 4 : 0.5, best = -INFINITY, off = 0;

        for (int k = -40; k <= 40; k++) {
            double o = reach * k / 40;
            double bend = analytic_shape(a, at.e_m + o * s.p / g, at.n_m + o * s.q / g).profile;

            if (bend > best) {
                best = bend;
                off = o;
            }
        }
        at.e_m += off * s.p / g;
        at.n_m += off * s.q / g;
    }
    return at;
}

/* The true lips within the window, a vertex about each step_m: of the shore, then of the hump. Free
 * with lw_lines_free. */
static inline struct lw_lines analytic_lips(const struct analytic *a, double step_m)
{
    struct lw_lines out = {0};
    struct lw_line line = {0};
    double round = 2 * M_PI * 1.3 * a->hump_r;

    if (a->null)
        return out;
    for (double x = 0; x <= ANALYTIC_WIDE; x += step_m)
        lw_line_add(&line, analytic_to_lip(a, (struct lw_en){x, analytic_lip_y(a, x)}));
    lw_lines_take(&out, &line);
    line = (struct lw_line){0};
    for (double s = 0; s < round; s += step_m)
        lw_line_add(&line,
                    analytic_to_lip(
                        a, (struct lw_en){a->hump_x + 1.3 * a->hump_r * cos(2 * M_PI * s / round),
                                          a->hump_y + a->hump_r * sin(2 * M_PI * s / round)}));
    lw_line_add(&line, line.p[0]);
    line.closed = true;
    lw_lines_take(&out, &line);
    return out;
}

/* The digitiser's error: smooth noise along the line (over about 15 m), of jitter_m one sigma. */
static inline void analytic_jitter(const struct analytic *a, struct lw_line *line, double step_m,
                                   double jitter_m, uint64_t *seed)
{
    size_t n = line->closed ? line->n - 1 : line->n;
    double *raw = calloc(n + 1, sizeof *raw), *soft = calloc(n + 1, sizeof *soft), sum = 0;
    int reach = (int)ceil(45 / step_m);

    for (size_t k = 0; k < n; k++)
        raw[k] = analytic_normal(seed);
    for (size_t k = 0; k < n; k++) {
        for (int d = -reach; d <= reach; d++)
            soft[k] += exp(-0.5 * (d * step_m / 15) * (d * step_m / 15)) *
                       raw[(k + (size_t)(d + 1000 * (int)n)) % n];
        sum += soft[k] * soft[k];
    }
    for (size_t k = 0; k < n && n > 10; k++) {
        struct analytic_shape s = analytic_shape(a, line->p[k].e_m, line->p[k].n_m);
        double off = jitter_m * soft[k] / sqrt(sum / (double)n) / (hypot(s.p, s.q) + 1e-9);

        line->p[k].e_m += off * s.p;
        line->p[k].n_m += off * s.q;
    }
    if (line->closed)
        line->p[line->n - 1] = line->p[0];
    free(raw);
    free(soft);
}

/* The place at `along` of a line, for an `along` that grows from call to call. */
static inline struct lw_en analytic_walk(const struct lw_line *line, double along, size_t *segment,
                                         double *before)
{
    for (;; ++*segment) {
        struct lw_en a = line->p[*segment], b = line->p[*segment + 1];
        double piece = lw_en_distance(a, b), share;

        if (along > *before + piece && *segment + 2 < line->n) {
            *before += piece;
            continue;
        }
        share = piece > 0 ? fmin(1, (along - *before) / piece) : 0;
        return (struct lw_en){a.e_m + share * (b.e_m - a.e_m), a.n_m + share * (b.n_m - a.n_m)};
    }
}

/* Contours at every step_ft feet from the shore on, a vertex each spacing_m, exact to 1 mm but for
 * the jitter (which spares the shore). contour[n], the caller's with their lines. */
static inline struct lw_contour *analytic_contours(const struct analytic *a, double step_ft,
                                                   double spacing_m, double jitter_m, uint64_t seed,
                                                   size_t *n)
{
    struct lw_grid grid = {-ANALYTIC_OUT,
                           0,
                           1,
                           (int)(ANALYTIC_WIDE + 2 * ANALYTIC_OUT) + 1,
                           (int)(ANALYTIC_HIGH + ANALYTIC_OUT) + 1,
                           NULL,
                           NULL};
    struct lw_contour *out = NULL;
    float deepest = 0;

    *n = 0;
    grid.depth_m = malloc((size_t)grid.nx * (size_t)grid.ny * sizeof *grid.depth_m);
    for (int i = 0; i < grid.ny; i++)
        for (int j = 0; j < grid.nx; j++) {
            float z = (float)analytic_depth(a, grid.e0_m + j, grid.n0_m + i);

            grid.depth_m[(size_t)i * (size_t)grid.nx + (size_t)j] = z;
            deepest = fmaxf(deepest, z);
        }
    for (int level = 0; level * step_ft * ANALYTIC_FT < (double)deepest; level++) {
        double depth_m = level * step_ft * ANALYTIC_FT;
        struct lw_lines lines;

        if (lw_chart_trace(&grid, depth_m, &lines, NULL))
            abort();
        for (size_t l = 0; l < lines.n; l++) {
            double length = lw_line_length(&lines.line[l]);
            size_t points = (size_t)fmax(4, round(length / spacing_m));
            struct lw_line line = {.closed = lines.line[l].closed};
            size_t segment = 0;
            double before = 0;

            for (size_t k = 0; k <= points; k++) {
                double along = length * (double)k / (double)points;
                struct lw_en at = analytic_walk(&lines.line[l], along, &segment, &before);

                for (int round = 0; round < 3; round++) {
                    struct analytic_shape s = analytic_shape(a, at.e_m, at.n_m);
                    double step = (depth_m - analytic_depth(a, at.e_m, at.n_m)) /
                                  (s.p * s.p + s.q * s.q + 1e-9);

                    step = fmin(fmax(step, -2), 2);
                    at.e_m += step * s.p;
                    at.n_m += step * s.q;
                }
                lw_line_add(&line, at);
            }
            if (line.closed)
                line.p[line.n - 1] = line.p[0];
            if (level && jitter_m > 0)
                analytic_jitter(a, &line, spacing_m, jitter_m, &seed);
            out = realloc(out, (*n + 1) * sizeof *out);
            out[(*n)++] = (struct lw_contour){depth_m, line};
        }
        lw_lines_free(&lines);
    }
    free(grid.depth_m);
    return out;
}

static inline void analytic_contours_free(struct lw_contour *contour, size_t n)
{
    for (size_t i = 0; i < n; i++)
        lw_line_free(&contour[i].line);
    free(contour);
}

/* About 20,000 soundings on lines 20 m apart, 0.7 m of wander, 0.05 m of noise. The caller's. */
static inline struct lw_sounding *analytic_soundings(const struct analytic *a, uint64_t seed,
                                                     size_t *n)
{
    struct lw_sounding *out = NULL;
    size_t cap = 0;

    *n = 0;
    for (double x = 10 - 5 * 20; x < ANALYTIC_WIDE + ANALYTIC_OUT; x += 20)
        for (double y = 60; y < ANALYTIC_HIGH + ANALYTIC_OUT; y += 2.17) {
            struct lw_en at = {x + 0.7 * analytic_normal(&seed), y};
            double depth_m = analytic_depth(a, at.e_m, at.n_m);

            if (!(depth_m > 0.1))
                continue;
            if (*n == cap)
                out = realloc(out, (cap = cap ? 2 * cap : 4096) * sizeof *out);
            out[(*n)++] = (struct lw_sounding){at, depth_m + 0.05 * analytic_normal(&seed), 0.05};
        }
    return out;
}

#endif
