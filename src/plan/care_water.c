/* The chart's water as cells that the boat may be in. */
#include <math.h>

#include "lipwalk/geo/span.h"
#include "lipwalk/plan/care.h"

#define FINEST_M 2.0

/* The columns and rows of the middles within a box. */
static void cells_of(const struct lw_water *w, const struct lw_span *box, double more_m, int *c0,
                     int *c1, int *r0, int *r1)
{
    *c0 = (int)fmax(0, ceil((box->e_min - more_m - w->e0_m) / w->cell_m));
    *c1 = (int)fmin(w->nx - 1, floor((box->e_max + more_m - w->e0_m) / w->cell_m));
    *r0 = (int)fmax(0, ceil((box->n_min - more_m - w->n0_m) / w->cell_m));
    *r1 = (int)fmin(w->ny - 1, floor((box->n_max + more_m - w->n0_m) / w->cell_m));
}

/* Closes the cells nearer than berth_m to a hazard, and those in it. */
static void close_about(struct lw_water *w, const struct lw_line *line, double berth_m)
{
    struct lw_span box = lw_span_of(line);
    int c0, c1, r0, r1;

    cells_of(w, &box, berth_m, &c0, &c1, &r0, &r1);
    for (int r = r0; r <= r1; r++)
        for (int c = c0; c <= c1; c++) {
            struct lw_en at = {w->e0_m + c * w->cell_m, w->n0_m + r * w->cell_m};

            double far_m = lw_feature_distance(line, at, NULL);

            if (far_m < berth_m || far_m == 0)
                w->open[(size_t)r * (size_t)w->nx + (size_t)c] = 0;
        }
}

/* Any part of a cell: a closed area's border is law, not survey. */
static bool touches_closed(const struct lw_chart *chart, struct lw_en at, double cell_m)
{
    for (int i = -1; i <= 1; i++)
        for (int k = -1; k <= 1; k++)
            if (lw_care_closed(chart,
                               (struct lw_en){at.e_m + i * cell_m / 2, at.n_m + k * cell_m / 2},
                               false) >= 0)
                return true;
    return false;
}

static void close_areas(const struct lw_chart *chart, struct lw_water *w)
{
    for (size_t i = 0; i < chart->features.closeds; i++) {
        const struct lw_closed *closed = &chart->features.closed[i];
        struct lw_span box = lw_span_of(&closed->ring);
        int c0, c1, r0, r1;

        if (closed->hole || !closed->boating)
            continue;
        cells_of(w, &box, w->cell_m, &c0, &c1, &r0, &r1);
        for (int r = r0; r <= r1; r++)
            for (int c = c0; c <= c1; c++) { /* holes are open again: asked of all areas */
                struct lw_en at = {w->e0_m + c * w->cell_m, w->n0_m + r * w->cell_m};

                if (touches_closed(chart, at, w->cell_m))
                    w->open[(size_t)r * (size_t)w->nx + (size_t)c] = 0;
            }
    }
}

int lw_care_water(const struct lw_chart *chart, const struct lw_care *care, struct lw_water *out,
                  struct lw_error *err)
{
    const struct lw_grid *g = &chart->grid;
    double cell_m = fmax(g->cell_m, FINEST_M);
    int nx = (int)ceil((g->nx - 1) * g->cell_m / cell_m) + 1;
    int ny = (int)ceil((g->ny - 1) * g->cell_m / cell_m) + 1;

    if (lw_water_init(out, g->e0_m, g->n0_m, cell_m, nx, ny, err))
        return -1;
    for (int r = 0; r < ny; r++)
        for (int c = 0; c < nx; c++) {
            struct lw_en at = {out->e0_m + c * cell_m, out->n0_m + r * cell_m};

            /* NaN, land, is not deep enough either */
            out->open[(size_t)r * (size_t)nx + (size_t)c] = lw_chart_depth(chart, at) >=
                                                            fmax(0, care->draft_m);
        }
    if (lw_water_shrink(out, care->clearance_m, err)) { /* hazards have their own berth */
        lw_water_free(out);
        return -1;
    }
    close_areas(chart, out);
    for (size_t i = 0; i < chart->features.hazards; i++)
        if (lw_care_touches(&chart->features.hazard[i], care))
            close_about(out, &chart->features.hazard[i].line, care->berth_m);
    return 0;
}
