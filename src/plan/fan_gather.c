/* All casts that could be made, and the cells of the belt that each works. */
#include <math.h>
#include <stdlib.h>

#include "fan_parts.h"
#include "lipwalk/base/array.h"

#define CELL_M       0.7
#define BEARING_DEG  4.0
#define FEWEST_CELLS 3     /* a cast that works less is none */
#define LANDING_M    0.3   /* a cast cut short by the bank lands in so much water */
#define LEAST_SHARE  0.333 /* ... or is left out, as one shorter than this of the standoff is */
#define RUNS         4096

/* How much of a swath's half is not counted on. Casts chosen to reach just the middles of cells
 * leave more between them than chance would: so much, measured against finer cells, makes up for
 * it. */
static double narrower_m(const struct lw_plan_params *params)
{
    double wanted = isnan(params->minutes) ? params->coverage : 0.8;

    return fmax(0, 0.06 - 0.13 * (0.95 - wanted));
}

static int open_cells(const struct lw_plan *plan, struct lw_fan_work *work)
{
    const struct lw_plan_params *params = &plan->params;
    bool weighted = !isnan(params->minutes) && params->lip_worth > 1;

    if (cells_open(&work->cells, &plan->belt, CELL_M))
        return -1;
    work->worth = calloc(work->cells.n + 1, sizeof *work->worth);
    if (!work->worth)
        return -1;
    for (size_t row = 0; row < work->cells.rows; row++)
        for (size_t i = work->cells.row[row]; i < work->cells.row[row + 1]; i++) {
            const struct cell_span *s = &work->cells.span[i];

            for (int32_t col = s->col0; col < s->col1; col++) {
                struct lw_en at = cells_middle(&work->cells, row, col);

                work->worth[s->first + (uint32_t)(col - s->col0)] =
                    weighted ? (float)(round(64 * lw_belt_worth(plan, at)) / 64) : 1.0F;
            }
        }
    return 0;
}

static int mark_worked(const struct lw_plan *plan, struct lw_fan_work *work)
{
    struct cell_run run[RUNS];

    if (plan->mades == 0)
        return 0;
    work->worked = calloc(work->cells.n + 1, 1);
    if (!work->worked)
        return -1;
    for (size_t i = 0; i < plan->mades; i++) {
        const struct lw_made *made = &plan->made[i];
        size_t n = cells_near(&work->cells, made->from, made->to, made->swath_m / 2, run, RUNS);

        for (size_t k = 0; k < n && k < RUNS; k++)
            for (uint32_t j = 0; j < run[k].n; j++)
                work->worked[run[k].first + j] = 1;
    }
    return 0;
}

/* Room for one more cast with so many cells. */
static int room(struct lw_fan_work *work, size_t cells)
{
    size_t casts = work->c.casts + 2,
           all = work->cell0 ? work->cell0[work->c.casts] + cells : cells;

    if (casts > work->cast_cap) {
        size_t cap = casts * 2 + 1024;
        void *grown;

#define GROW(array)                                                                                \
    if (!(grown = realloc(work->array, cap * sizeof *work->array)))                                \
        return -1;                                                                                 \
    work->array = grown
        GROW(cell0);
        GROW(cast_s);
        GROW(bearing_deg);
        GROW(length_m);
        GROW(cut);
#undef GROW
        if (work->cast_cap == 0)
            work->cell0[0] = 0;
        work->cast_cap = cap;
    }
    if (all > work->cell_cap) {
        size_t cap = all * 2 + 65536;
        uint32_t *grown = realloc(work->cell, cap * sizeof *grown);

        if (!grown)
            return -1;
        work->cell = grown;
        work->cell_cap = cap;
    }
    return 0;
}

/* How far out of a cast's runs the last cell lies, along the cast. */
static double last_cell(const struct belt_cells *cells, const struct cell_run *run, size_t runs,
                        struct lw_en at, struct lw_en to, double length_m)
{
    double ue = (to.e_m - at.e_m) / length_m, un = (to.n_m - at.n_m) / length_m, last_m = 0;

    for (size_t i = 0; i < runs; i++) {
        struct lw_en a = cells_middle(cells, run[i].row, run[i].col);
        double base_m = (a.e_m - at.e_m) * ue + (a.n_m - at.n_m) * un;
        double more_m = ue > 0 ? ue * (double)(run[i].n - 1) * cells->cell_m : 0;

        last_m = fmax(last_m, base_m + more_m);
    }
    return fmin(last_m, length_m);
}

/* One cast, as short as it works the same cells. */
static int add_cast(const struct lw_plan *plan, struct lw_fan_work *work,
                    const struct fan_limits *limits, const struct fan_spot *spot,
                    double bearing_deg)
{
    const struct lw_plan_params *params = &plan->params;
    double full_m = fan_full(params, bearing_deg), length_m;
    double reach_m = fan_reach(limits, spot->at, bearing_deg, full_m);
    struct cell_run run[RUNS];
    struct lw_en to;
    size_t runs, n = 0, c = work->c.casts;

    if (reach_m < full_m && reach_m < LEAST_SHARE * params->standoff_m) {
        work->left_out++;
        return 0;
    }
    to = lw_en_step(spot->at, bearing_deg, reach_m);
    runs = cells_near(&work->cells, spot->at, to, params->swath_m / 2 - narrower_m(params), run,
                      RUNS);
    if (runs > RUNS)
        runs = RUNS;
    for (size_t i = 0; i < runs; i++)
        n += run[i].n;
    if (n < FEWEST_CELLS)
        return 0;
    length_m = last_cell(&work->cells, run, runs, spot->at, to, reach_m);
    if (limits->chart && !(lw_chart_depth(limits->chart, lw_en_step(spot->at, bearing_deg,
                                                                    length_m)) >= limits->least_m))
        length_m = reach_m;
    if (room(work, n))
        return -1;
    for (size_t i = 0, k = work->cell0[c]; i < runs; i++)
        for (uint32_t j = 0; j < run[i].n; j++)
            work->cell[k++] = run[i].first + j;
    work->cell0[c + 1] = work->cell0[c] + (uint32_t)n;
    work->bearing_deg[c] = (float)bearing_deg;
    work->length_m[c] = (float)length_m;
    work->cast_s[c] = (float)fan_seconds(params, length_m);
    work->cut[c] = reach_m < full_m && length_m > reach_m - 0.5;
    work->c.casts++;
    return 0;
}

static int add_spot(const struct lw_plan *plan, struct lw_fan_work *work,
                    const struct fan_limits *limits, const struct fan_spot *spot)
{
    const struct lw_plan_params *params = &plan->params;
    int steps = (int)floor(params->fan_half_deg / BEARING_DEG + 1e-9);

    for (int k = -steps; k <= steps; k++) {
        double bearing_deg = lw_bearing_wrap(spot->square_deg + k * BEARING_DEG);
        double bow_deg = fabs(lw_bearing_turn(spot->bow_deg, bearing_deg));

        if (bow_deg < params->bow_min_deg || bow_deg > params->bow_max_deg)
            continue;
        if (add_cast(plan, work, limits, spot, bearing_deg))
            return -1;
    }
    return 0;
}

/* The hazards that a cast from the spot could meet. */
static size_t hazards_near(const struct lw_chart *chart, struct lw_en at, double within_m,
                           uint32_t *hazard)
{
    size_t n = 0;

    for (size_t i = 0; i < chart->features.hazards; i++)
        if (lw_feature_distance(&chart->features.hazard[i].line, at, NULL) < within_m)
            hazard[n++] = (uint32_t)i;
    return n;
}

static int add_casts(const struct lw_plan *plan, struct lw_fan_work *work)
{
    const struct lw_chart *chart = work->chart;
    size_t hazards = chart ? chart->features.hazards : 0;
    uint32_t *near = calloc(hazards + 1, sizeof *near);
    struct fan_limits limits = {.chart = chart, .hazard = near};
    int rc = near && room(work, 0) == 0 ? 0 : -1;

    limits.least_m = isnan(plan->params.depth_m) ? LANDING_M
                                                 : fmin(LANDING_M, plan->params.depth_m);
    limits.closed = chart && chart->features.closeds > 0;
    for (size_t i = 0; i < work->spots && rc == 0; i++) {
        work->at_m[i] = work->spot[i].way_m;
        work->cast0[i] = (uint32_t)work->c.casts;
        if (hazards)
            limits.hazards = hazards_near(chart, work->spot[i].at, 2 * plan->params.cast_m, near);
        fan_clear(&limits, work->spot[i].at, 1.25 * plan->params.cast_m);
        rc = add_spot(plan, work, &limits, &work->spot[i]);
        work->cast0[i + 1] = (uint32_t)work->c.casts;
    }
    free(near);
    return rc;
}

int fan_gather(const struct lw_plan *plan, struct lw_fan_work *work, struct lw_error *err)
{
    work->at_m = calloc(work->spots + 1, sizeof *work->at_m);
    work->cast0 = calloc(work->spots + 2, sizeof *work->cast0);
    if (!work->at_m || !work->cast0 || open_cells(plan, work) || mark_worked(plan, work) ||
        add_casts(plan, work))
        return lw_fail(err, "memory ran out while gathering casts");
    work->c.cells = work->cells.n;
    work->c.worth = work->worth;
    work->c.worked = work->worked;
    work->c.stations = work->spots;
    work->c.at_m = work->at_m;
    work->c.cast0 = work->cast0;
    work->c.cast_s = work->cast_s;
    work->c.cell0 = work->cell0;
    work->c.cell = work->cell;
    work->c.stop_s = plan->params.move_s;
    work->c.travel_spm = 1 / plan->params.boat_mps;
    return 0;
}
