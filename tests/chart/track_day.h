/* A boat with a sounder on a lake in closed form: its track, and the chart it is measured against.
 */
#ifndef TRACK_DAY_H
#define TRACK_DAY_H

#include <math.h>

#include "analytic.h"
#include "lipwalk/chart/track.h"
#include "lw_test.h"

struct day {
    double shift_e_m, shift_n_m; /* what must be added to the boat's fixes to be on the map */
    double stage_m, noise_m, fix_m;
    double spikes; /* the share of second echoes and zeros */
    double step_m; /* way between soundings; one a second */
    uint64_t seed;
};

static inline struct day day_plain(uint64_t seed)
{
    return (struct day){
        .stage_m = 0.31, .noise_m = 0.1, .fix_m = 1.5, .spikes = 0.05, .step_m = 1.2, .seed = seed};
}

typedef double (*day_depth)(const void *lake, double x, double y);

static inline double day_analytic(const void *lake, double x, double y)
{
    return analytic_depth(lake, x, y);
}

/* A chart that is the lake itself, on a grid; nothing of the import in it. */
static inline struct lw_chart *day_chart(day_depth depth, const void *lake, double cell_m)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *grid = &chart->grid;

    chart->frame.origin = (struct lw_ll){46, -89.7};
    *grid = (struct lw_grid){.cell_m = cell_m,
                             .nx = (int)(ANALYTIC_WIDE / cell_m) + 1,
                             .ny = (int)(ANALYTIC_HIGH / cell_m) + 1};
    grid->depth_m = malloc((size_t)grid->nx * (size_t)grid->ny * sizeof *grid->depth_m);
    for (int i = 0; i < grid->ny; i++)
        for (int j = 0; j < grid->nx; j++) {
            double z = depth(lake, j * cell_m, i * cell_m);

            grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j] = z > 0 ? (float)z : NAN;
        }
    return chart;
}

/* Runs from place to place. The receiver's error wanders (a first-order process of 20 s). */
static inline void day_run(struct day *day, day_depth depth, const void *lake,
                           const struct lw_frame *frame, const struct lw_en *way, size_t ways,
                           struct lw_track *track)
{
    double memory = exp(-1.0 / 20), drive = day->fix_m * sqrt(1 - memory * memory);
    struct lw_en off = {day->fix_m * analytic_normal(&day->seed),
                        day->fix_m * analytic_normal(&day->seed)};
    int64_t t = track->n ? track->p[track->n - 1].at_utc_ms : INT64_C(1770000000000);

    for (size_t k = 1; k < ways; k++) {
        double length = lw_en_distance(way[k - 1], way[k]);

        for (double s = 0; s < length; s += day->step_m) {
            struct lw_en at = lw_en_between(way[k - 1], way[k], s / length);
            double z = depth(lake, at.e_m, at.n_m) + day->stage_m, luck;

            if (!(z > 0.3))
                continue;
            off.e_m = memory * off.e_m + drive * analytic_normal(&day->seed);
            off.n_m = memory * off.n_m + drive * analytic_normal(&day->seed);
            z += day->noise_m * analytic_normal(&day->seed);
            luck = analytic_uniform(&day->seed) / (day->spikes + 1e-12);
            z = luck < 0.7 ? 2 * z : luck < 1 ? 0 : z;
            at.e_m += off.e_m - day->shift_e_m;
            at.n_m += off.n_m - day->shift_n_m;
            t += 1000;
            cr_assert_eq(
                lw_track_add(track, (struct lw_track_sounding){lw_frame_to_ll(frame, at), t, z}),
                0);
        }
    }
}

/* A zig-zag over shore flat, lip and drop of an analytic lake, from x0 to x1. */
static inline void day_zigzag(struct day *day, const struct analytic *lake,
                              const struct lw_frame *frame, double x0, double x1,
                              struct lw_track *track)
{
    struct lw_en way[100];
    size_t n = 0;

    for (double x = x0; x <= x1 && n < 100; x += 40, n++)
        way[n] = (struct lw_en){x, analytic_lip_y(lake, x) + (n % 2 ? 70 : -50)};
    day_run(day, day_analytic, lake, frame, way, n, track);
}

static inline void day_chart_free(struct lw_chart *chart)
{
    free(chart->grid.depth_m);
    free(chart);
}

#endif
