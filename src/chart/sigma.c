/* Distance to the nearest datum by two passes, then the parts cell by cell. */
#include "sigma.h"

#include <math.h>

#include "rows.h"

#define FIT_M       0.02  /* what is left even on a datum */
#define CONTOUR_M   2.0   /* a contour's own horizontal error, one sigma */
#define BEND        0.5   /* share of the bend about a cell that goes wrong */
#define BEND_TO_M   10.0  /* a bend farther off than this is not felt */
#define WANDER      0.006 /* a slope that may hide between data anywhere */
#define LEAST_CELLS 20000 /* fewer are done sooner than a thread is made */
#define PROBE_M     4.0 /* second differences over so much: one cell is too little on fine grids */

/* ---- distance: metres; negative where the nearest datum is a sounding ---- */

static void nearer(float *least, float other, float step)
{
    float off = fabsf(other) + step;

    if (off < fabsf(*least))
        *least = copysignf(off, other);
}

/* Chamfer distance with steps 1 and sqrt 2 (Borgefors 1986, from memory): 8 % at most too long. */
static void spread_distance(const struct lw_grid *grid)
{
    int nx = grid->nx, ny = grid->ny;
    float straight = (float)grid->cell_m, slant = 1.41421f * straight;

    for (int pass = 0; pass < 2; pass++) {
        int way = pass ? -1 : 1;

        for (int ii = 0; ii < ny; ii++)
            for (int jj = 0; jj < nx; jj++) {
                int i = pass ? ny - 1 - ii : ii, j = pass ? nx - 1 - jj : jj;
                float *at = grid->sigma_m + (ptrdiff_t)i * nx + j;
                const float *row = at - (ptrdiff_t)way * nx;

                if (jj > 0)
                    nearer(at, at[-way], straight);
                if (ii == 0)
                    continue;
                nearer(at, row[0], straight);
                if (jj > 0)
                    nearer(at, row[-way], slant);
                if (jj < nx - 1)
                    nearer(at, row[way], slant);
            }
    }
}

static void mark(const struct lw_spline_point *point, size_t points, size_t contour_points,
                 const struct lw_grid *grid)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny;

    for (size_t k = 0; k < cells; k++)
        grid->sigma_m[k] = 1e6f;
    for (size_t k = points; k-- > 0;) { /* contours last: they tell more where both lie */
        double x = floor(point[k].x + 0.5), y = floor(point[k].y + 0.5);
        float own = (float)(0.4 * grid->cell_m); /* on average off the cell's centre */

        if (x >= 0 && y >= 0 && x < grid->nx && y < grid->ny)
            grid->sigma_m[(size_t)y * (size_t)grid->nx + (size_t)x] = k < contour_points ? own
                                                                                         : -own;
    }
}

/* ---- the parts ---- */

struct job {
    const struct lw_bands *bands;
    struct lw_grid *grid;
};

/* Slope and the size of the matrix of second derivatives about a cell; water only. */
static void shape(const struct lw_grid *grid, int i, int j, double *slope, double *bend)
{
    int reach = (int)fmax(1, floor(PROBE_M / grid->cell_m + 0.5));
    double part[2] = {0}, h = reach * grid->cell_m, xx[2] = {0};
    const float *z = grid->depth_m + (ptrdiff_t)i * grid->nx + j;
    int at[2] = {j, i}, n[2] = {grid->nx, grid->ny};
    ptrdiff_t to[2] = {reach, (ptrdiff_t)reach * grid->nx};

    for (int k = 0; k < 2; k++) {
        double a = at[k] >= reach ? z[-to[k]] : NAN, b = at[k] + reach < n[k] ? z[to[k]] : NAN;

        if (!isnan(a) && !isnan(b)) {
            part[k] = (b - a) / (2 * h);
            xx[k] = (a - 2 * z[0] + b) / (h * h);
        } else if (!isnan(a) || !isnan(b)) {
            part[k] = (isnan(a) ? b - z[0] : z[0] - a) / h;
        }
    }
    *slope = sqrt(part[0] * part[0] + part[1] * part[1]);
    *bend = sqrt(xx[0] * xx[0] + xx[1] * xx[1]);
}

/* A limit that was only guessed says nothing of where within the band the bottom lies. */
static double most_between(const struct lw_band *band, double z)
{
    double within = sqrt(fmax(0, (z - band->lo_m) * (band->hi_m - z)) / 3);

    if (band->lo_guessed || band->hi_guessed)
        return fmax(within, (band->hi_m - band->lo_m) / sqrt(12));
    return within;
}

static void sigma_rows(void *context, int slot, int from, int end)
{
    const struct job *job = context;
    const struct lw_grid *grid = job->grid;

    (void)slot;
    for (int i = from; i < end; i++)
        for (int j = 0; j < grid->nx; j++) {
            size_t k = (size_t)i * (size_t)grid->nx + (size_t)j;
            double z = grid->depth_m[k], d = fabsf(grid->sigma_m[k]), slope, bend, between, own;
            bool sounding = grid->sigma_m[k] < 0;
            const struct lw_band *band;

            if (isnan(z)) {
                grid->sigma_m[k] = NAN;
                continue;
            }
            band = &job->bands->band[job->bands->label[k]];
            shape(grid, i, j, &slope, &bend);
            own = sounding ? 0 : CONTOUR_M * slope;
            between = (BEND * bend * fmin(d, BEND_TO_M) + WANDER) * d;
            between = fmin(between, most_between(band, z));
            grid->sigma_m[k] = (float)sqrt(FIT_M * FIT_M + own * own + between * between);
        }
}

void lw_sigma_make(const struct lw_spline_point *point, size_t points, size_t contour_points,
                   const struct lw_bands *bands, struct lw_grid *grid, int threads)
{
    struct job job = {bands, grid};
    struct lw_team *team = (size_t)grid->nx * (size_t)grid->ny < LEAST_CELLS ? NULL
                                                                             : lw_team_new(threads);

    mark(point, points, contour_points, grid);
    spread_distance(grid);
    lw_team_run(team, sigma_rows, &job, grid->ny);
    lw_team_free(team);
}
