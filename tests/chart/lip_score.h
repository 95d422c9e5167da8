/* Charts of the lakes in closed form, and how far the lips found on them lie from the true ones. */
#ifndef LIP_SCORE_H
#define LIP_SCORE_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "analytic.h"
#include "lipwalk/base/array.h"
#include "lipwalk/chart/lip.h"

enum lip_input { LIP_FROM_1_FT, LIP_FROM_5_FT, LIP_FROM_SOUNDINGS };
#define LIP_INSIDE 20.0 /* judged so far within the window */

/* A chart of the lake with its surface solved, as an import would make it; NULL with a sentence.
 * Soundings come with the shore line, as an agency's do. Free with lw_chart_free. */
static inline struct lw_chart *lip_chart(const struct analytic *a, enum lip_input input,
                                         double cell_m, struct lw_error *err)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_sounding *sounding = NULL;
    struct lw_surface_in in = {.beta_m2 = NAN, .ell_m = NAN};
    double step_ft = input == LIP_FROM_1_FT ? 1 : input == LIP_FROM_5_FT ? 5 : 1000;
    double jitter_m = input == LIP_FROM_5_FT ? a->wide_jitter : a->line_jitter;
    int status;

    chart->grid = (struct lw_grid){.e0_m = -ANALYTIC_OUT,
                                   .n0_m = 0,
                                   .cell_m = cell_m,
                                   .nx = (int)((ANALYTIC_WIDE + 2 * ANALYTIC_OUT) / cell_m) + 1,
                                   .ny = (int)((ANALYTIC_HIGH + ANALYTIC_OUT) / cell_m) + 1};
    chart->frame.origin = (struct lw_ll){46, -93};
    chart->contour = analytic_contours(a, step_ft, 4, jitter_m, 7, &chart->contours);
    if (input == LIP_FROM_SOUNDINGS)
        sounding = analytic_soundings(a, 11, &chart->soundings);
    in.contour = chart->contour;
    in.contours = chart->contours;
    in.sounding = sounding;
    in.soundings = chart->soundings;
    status = lw_surface_solve(&in, &chart->grid, err);
    free(sounding);
    chart->area_m2 = 0;
    for (size_t k = 0; status == 0 && k < (size_t)chart->grid.nx * (size_t)chart->grid.ny; k++)
        if (!isnan(chart->grid.depth_m[k]))
            chart->area_m2 += cell_m * cell_m;
    chart->deepest_m = chart->contour[chart->contours - 1].depth_m;
    if (status) {
        lw_chart_free(chart);
        return NULL;
    }
    return chart;
}

struct lip_score {
    double median_m, p95_m;    /* of the points found, to the nearest true lip */
    double found_5, found_10;  /* share of the true lips with a point found so near */
    double covered;            /* share of the points within two of their own sigma */
    double sigma_m, spacing_m; /* means: the stated sigma, half the local contour spacing */
    int lines, false_lines, inferred;
    double wrong_m; /* of the false lines, length */
};

static inline bool lip_inside(struct lw_en at)
{
    return at.e_m > LIP_INSIDE && at.e_m < ANALYTIC_WIDE - LIP_INSIDE && at.n_m > LIP_INSIDE &&
           at.n_m < ANALYTIC_HIGH - LIP_INSIDE;
}

static inline double lip_off(const struct lw_lines *truth, struct lw_en at)
{
    double best = 1e9;

    for (size_t l = 0; l < truth->n; l++)
        best = fmin(best, lw_line_nearest(&truth->line[l], at).dist_m);
    return best;
}

/* Half the way between the contours on both sides of the true bottom about `at`, along the fall
 * line: what a map of that step leaves open. */
static inline double lip_half_spacing(const struct analytic *a, struct lw_en at, double step_m)
{
    double z = analytic_depth(a, at.e_m, at.n_m), way = 0;

    for (int side = -1; side <= 1; side += 2) {
        double level = (side < 0 ? floor(z / step_m) : floor(z / step_m) + 1) * step_m;
        struct lw_en p = at;
        int k;

        for (k = 0; k < 1000; k++) {
            struct analytic_shape s = analytic_shape(a, p.e_m, p.n_m);
            double g = hypot(s.p, s.q);

            if (side * (analytic_depth(a, p.e_m, p.n_m) - level) >= 0)
                break;
            p.e_m += side * 0.25 * s.p / g;
            p.n_m += side * 0.25 * s.q / g;
            way += 0.25;
        }
        if (k == 1000)
            return NAN; /* a top below the next contour up: nothing is drawn there */
    }
    return way / 2;
}

static inline struct lip_score lip_judge(const struct analytic *a, const struct lw_lips *lips,
                                         double step_m)
{
    struct lw_lines truth = analytic_lips(a, 1);
    struct lip_score s = {0};
    double *off = NULL, *own = NULL;
    size_t n = 0, cap = 0, own_cap = 0, covered = 0, spaced = 0, asked = 0, got_5 = 0, got_10 = 0;

    for (size_t l = 0; l < lips->lips; l++) {
        const struct lw_lip *lip = &lips->lip[l];
        size_t m = 0;
        double median;

        for (size_t k = 0; k < lip->n; k++)
            if (lip_inside(lip->p[k].at) && lw_array_room(&own, m, &own_cap) == 0)
                own[m++] = truth.n ? lip_off(&truth, lip->p[k].at) : 1e9;
        if (m == 0)
            continue;
        for (size_t k = 0, i = 0; k < lip->n; k++) {
            if (!lip_inside(lip->p[k].at))
                continue;
            if (lw_array_room(&off, n, &cap))
                abort();
            off[n++] = own[i];
            covered += own[i] <= 2 * lip->p[k].sigma_m;
            s.sigma_m += lip->p[k].sigma_m;
            if (step_m > 0 && i % 4 == 0 && own[i] < 15) {
                double half_m = lip_half_spacing(a, lip->p[k].at, step_m);

                s.spacing_m += isnan(half_m) ? 0 : half_m;
                spaced += isnan(half_m) ? 0 : 1;
            }
            i++;
        }
        qsort(own, m, sizeof *own, lw_number_order);
        median = own[m / 2];
        s.lines++;
        s.inferred += lip->inferred;
        if (median > 15) {
            s.false_lines++;
            s.wrong_m += lip->length_m;
        }
    }
    for (size_t t = 0; t < truth.n; t++)
        for (size_t k = 0; k < truth.line[t].n; k++) {
            struct lw_en at = truth.line[t].p[k];
            double best = 1e9;

            if (!lip_inside(at))
                continue;
            asked++;
            for (size_t l = 0; l < lips->lips; l++)
                for (size_t i = 0; i + 1 < lips->lip[l].n; i++)
                    best = fmin(
                        best, lw_segment_dist2(lips->lip[l].p[i].at, lips->lip[l].p[i + 1].at, at));
            got_5 += best <= 25;
            got_10 += best <= 100;
        }
    if (n) {
        qsort(off, n, sizeof *off, lw_number_order);
        s.median_m = off[n / 2];
        s.p95_m = off[(size_t)(0.95 * (double)n)];
        s.covered = (double)covered / (double)n;
        s.sigma_m /= (double)n;
        s.spacing_m /= spaced ? (double)spaced : 1;
    }
    s.found_5 = asked ? (double)got_5 / (double)asked : 1;
    s.found_10 = asked ? (double)got_10 / (double)asked : 1;
    free(off);
    free(own);
    lw_lines_free(&truth);
    return s;
}

static inline void lip_print(const char *name, const struct lip_score *s)
{
    printf("%-22s off %.2f m, 95 %% %.2f m; found within 5/10 m %.1f/%.1f %%; lines %d, false %d "
           "(%.0f m), inferred %d; 2 sigma holds %.1f %%, sigma %.1f m, half spacing %.1f m\n",
           name, s->median_m, s->p95_m, 100 * s->found_5, 100 * s->found_10, s->lines,
           s->false_lines, s->wrong_m, s->inferred, 100 * s->covered, s->sigma_m, s->spacing_m);
}

#endif
