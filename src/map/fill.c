/* Soundings sifted, the surface solved and cut.
 *
 * The surface is solved inside closed contours. Where the water ends without one, a ring at depth 0
 * is laid so far about the data that its pull has died away before it reaches them, and the surface
 * is cut at the limit: the depth at the rim is what the data there say, and no shore is invented.
 */
#include "fill.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mask.h"

#define PAD_SHARE 0.15 /* of the longer side */
#define PAD_LEAST 20   /* cells */
#define PAD_MOST  150
#define SAME_M    0.01 /* soundings nearer than this are on one place */
#define PART_FROM 0.25 /* the surface's part of the whole work */
#define PART_TO   0.95

static bool *mask_new(const struct lw_grid *grid)
{
    return calloc((size_t)grid->nx * (size_t)grid->ny + 1, sizeof(bool));
}

/* Where there may be water; islands are not looked at. */
static bool *water_mask(const struct lw_chart *chart, const struct lw_lines *limit)
{
    bool *mask = mask_new(&chart->grid);
    int status = mask ? 0 : -1;

    for (size_t i = 0; limit && i < limit->n && status == 0; i++)
        status = lw_mask_flip(&limit->line[i], &chart->grid, mask);
    for (size_t i = 0; !(limit && limit->n) && i < chart->contours && status == 0; i++)
        if (chart->contour[i].line.closed)
            status = lw_mask_set(&chart->contour[i].line, &chart->grid, mask);
    if (status) {
        free(mask);
        mask = NULL;
    }
    return mask;
}

/* Whether one of the four nodes about the place is set. */
static bool is_near(const struct lw_grid *grid, const bool *mask, struct lw_en at)
{
    double x = (at.e_m - grid->e0_m) / grid->cell_m, y = (at.n_m - grid->n0_m) / grid->cell_m;
    size_t k;

    if (!(x >= 0 && y >= 0 && x < grid->nx - 1 && y < grid->ny - 1))
        return false;
    k = (size_t)y * (size_t)grid->nx + (size_t)x;
    return mask[k] || mask[k + 1] || mask[k + (size_t)grid->nx] || mask[k + (size_t)grid->nx + 1];
}

static int by_place(const void *a, const void *b)
{
    const struct lw_en *x = &((const struct lw_sounding *)a)->at,
                       *y = &((const struct lw_sounding *)b)->at;
    double e = round(x->e_m / SAME_M) - round(y->e_m / SAME_M);
    double n = round(x->n_m / SAME_M) - round(y->n_m / SAME_M);

    if (e != 0)
        return e > 0 ? 1 : -1;
    return (n > 0) - (n < 0);
}

static size_t join_places(struct lw_sounding *sounding, size_t n)
{
    size_t kept = 0;

    if (n)
        qsort(sounding, n, sizeof *sounding, by_place);
    for (size_t from = 0, to; from < n; from = to) {
        struct lw_sounding mean = sounding[from];

        for (to = from + 1; to < n && by_place(&sounding[from], &sounding[to]) == 0; to++)
            mean.depth_m += sounding[to].depth_m;
        mean.depth_m /= (double)(to - from);
        sounding[kept++] = mean;
    }
    return kept;
}

int lw_fill_sift(const struct lw_chart *chart, struct lw_assembly *what, struct lw_error *err)
{
    bool *mask;
    size_t kept = 0;

    if (what->soundings == 0)
        return 0;
    mask = water_mask(chart, what->limit);
    if (!mask)
        return lw_fail(err, "out of memory for the water's cells");
    for (size_t i = 0; i < what->soundings; i++)
        if (is_near(&chart->grid, mask, what->sounding[i].at))
            what->sounding[kept++] = what->sounding[i];
    what->outside = what->soundings - kept;
    what->soundings = join_places(what->sounding, kept);
    free(mask);
    return 0;
}

struct scaled { /* the surface's progress as a part of the whole */
    const struct lw_progress *whole;
};

static void tell_scaled(void *context, double part, const char *step)
{
    const struct scaled *scaled = context;

    lw_progress_tell(scaled->whole, PART_FROM + (PART_TO - PART_FROM) * part, step);
}

static int solve(const struct lw_contour *contour, size_t contours, const struct lw_assembly *what,
                 struct lw_grid *grid, struct lw_error *err)
{
    struct scaled scaled = {&what->options->progress};
    struct lw_progress progress = {tell_scaled, &scaled};
    struct lw_surface_in in = {.contour = contour,
                               .contours = contours,
                               .sounding = what->sounding,
                               .soundings = what->soundings,
                               .beta_m2 = NAN,
                               .ell_m = NAN,
                               .progress = &progress};

    lw_progress_tell(&what->options->progress, PART_FROM, "depth surface");
    return lw_surface_solve(&in, grid, err);
}

/* The ring about everything, half a cell inside the grid's border, as one more contour. */
static int with_ring(const struct lw_chart *chart, const struct lw_grid *wide,
                     struct lw_contour **out)
{
    double e0 = wide->e0_m + 0.5 * wide->cell_m, e1 = e0 + (wide->nx - 2) * wide->cell_m;
    double n0 = wide->n0_m + 0.5 * wide->cell_m, n1 = n0 + (wide->ny - 2) * wide->cell_m;
    const struct lw_en corner[] = {{e0, n0}, {e1, n0}, {e1, n1}, {e0, n1}, {e0, n0}};
    struct lw_contour ring = {.depth_m = 0, .line.closed = true};
    struct lw_contour *all = malloc((chart->contours + 1) * sizeof *all);

    if (!all)
        return -1;
    for (size_t k = 0; k < sizeof corner / sizeof *corner; k++)
        if (lw_line_add(&ring.line, corner[k])) {
            lw_line_free(&ring.line);
            free(all);
            return -1;
        }
    all[0] = ring; /* contours are in order of depth */
    if (chart->contours)
        memcpy(all + 1, chart->contour, chart->contours * sizeof *all);
    *out = all;
    return 0;
}

/* The part of `wide` that lies under `grid`, NaN where the mask is not set. */
static float *cut(const float *from, const struct lw_grid *wide, const struct lw_grid *grid,
                  size_t pad, const bool *mask)
{
    size_t nx = (size_t)grid->nx, ny = (size_t)grid->ny;
    float *to = malloc(nx * ny * sizeof *to);

    for (size_t i = 0; to && i < ny; i++)
        for (size_t j = 0; j < nx; j++)
            to[i * nx + j] = mask[i * nx + j] ? from[(i + pad) * (size_t)wide->nx + j + pad] : NAN;
    return to;
}

/* Within a limit: on a wider grid, then cut. */
static int solve_wide(struct lw_chart *chart, const struct lw_assembly *what, struct lw_error *err)
{
    struct lw_grid *grid = &chart->grid, wide = *grid;
    int longer = grid->nx > grid->ny ? grid->nx : grid->ny;
    int pad = (int)fmin(fmax(PAD_LEAST, PAD_SHARE * longer), PAD_MOST);
    struct lw_contour *contour = NULL;
    bool *mask = water_mask(chart, what->limit);
    int status = -1;

    wide.nx += 2 * pad;
    wide.ny += 2 * pad;
    wide.e0_m -= pad * wide.cell_m;
    wide.n0_m -= pad * wide.cell_m;
    wide.depth_m = wide.sigma_m = NULL;
    if (!mask || with_ring(chart, &wide, &contour)) {
        lw_fail(err, "out of memory for the water's cells");
        goto done;
    }
    if (solve(contour, chart->contours + 1, what, &wide, err))
        goto done;
    grid->depth_m = cut(wide.depth_m, &wide, grid, (size_t)pad, mask);
    if (wide.sigma_m)
        grid->sigma_m = cut(wide.sigma_m, &wide, grid, (size_t)pad, mask);
    status = grid->depth_m && (grid->sigma_m || !wide.sigma_m)
                 ? 0
                 : lw_fail(err, "out of memory for the water's cells");
done:
    free(wide.depth_m);
    free(wide.sigma_m);
    if (contour)
        lw_line_free(&contour[0].line);
    free(contour);
    free(mask);
    return status;
}

/* Keeps depths within what the map says of an area. Where the data left them to themselves they are
 * anywhere between the bounds: the uniform distribution's sigma. */
static int keep_range(struct lw_grid *grid, const struct lw_range *range, bool *mask)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;
    float sigma_m = (float)((range->most_m - range->least_m) / sqrt(12));

    memset(mask, 0, cells * sizeof *mask);
    for (size_t i = 0; i < range->rings.n; i++)
        if (lw_mask_flip(&range->rings.line[i], grid, mask))
            return -1;
    for (size_t k = 0; k < cells; k++) {
        float depth_m = grid->depth_m[k];

        if (!mask[k] || isnan(depth_m))
            continue;
        grid->depth_m[k] = fminf(fmaxf(depth_m, (float)range->least_m), (float)range->most_m);
        if (grid->depth_m[k] != depth_m && grid->sigma_m)
            grid->sigma_m[k] = fmaxf(grid->sigma_m[k], sigma_m);
    }
    return 0;
}

static int keep_ranges(struct lw_grid *grid, const struct lw_assembly *what, struct lw_error *err)
{
    bool *mask = what->ranges ? mask_new(grid) : NULL;
    int status = what->ranges && !mask ? -1 : 0;

    for (size_t i = 0; i < what->ranges && status == 0; i++)
        status = keep_range(grid, &what->range[i], mask);
    free(mask);
    return status ? lw_fail(err, "out of memory for the water's cells") : 0;
}

int lw_fill_surface(struct lw_chart *chart, const struct lw_assembly *what, struct lw_error *err)
{
    free(chart->grid.depth_m);
    free(chart->grid.sigma_m);
    chart->grid.depth_m = chart->grid.sigma_m = NULL;
    if (what->limit && what->limit->n
            ? solve_wide(chart, what, err)
            : solve(chart->contour, chart->contours, what, &chart->grid, err))
        return -1;
    return keep_ranges(&chart->grid, what, err);
}
