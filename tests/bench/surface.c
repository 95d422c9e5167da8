/* The depth surface against the truth of lakes in closed form, beside grids that peers made.
 *
 *   surface points LAKE INPUT STEP_M OUT.xyz   the data, as the peers want them: x y z
 *   surface own    LAKE INPUT CELL_M OUT.f32   our surface: time, memory, errors
 *   surface limit  LAKE INPUT CELL_M -         our errors, had the contours no digitising error
 *   surface judge  LAKE CELL_M OWN.f32 PEER... errors of both on the cells that both fill
 *
 * LAKE: easy, hard, or the seed of a random one. INPUT: 1ft, 5ft, soundings. */
#include <gdal.h>
#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

#include "chart/analytic.h"

#define NOTHING (-9999.0) /* what peers put where they have nothing */
#define BAND_M  10.0      /* to each side of the true lips */

struct data {
    struct lw_contour *contour;
    size_t contours;
    struct lw_sounding *sounding;
    size_t soundings;
};

static struct analytic lake_of(const char *name)
{
    if (!strcmp(name, "easy"))
        return analytic_easy();
    if (!strcmp(name, "hard"))
        return analytic_hard();
    return analytic_random((uint64_t)strtoull(name, NULL, 10));
}

static struct data data_of(const struct analytic *lake, const char *input)
{
    struct data data = {0};

    if (!strcmp(input, "1ft")) {
        data.contour = analytic_contours(lake, 1, 3, lake->line_jitter, 1, &data.contours);
    } else if (!strcmp(input, "5ft")) {
        data.contour = analytic_contours(lake, 5, 5, lake->wide_jitter, 1, &data.contours);
    } else {
        size_t shore = 0;

        data.contour = analytic_contours(lake, 1, 3, 0, 1, &data.contours);
        for (size_t i = 0; i < data.contours; i++) {
            if (data.contour[i].depth_m > 0)
                lw_line_free(&data.contour[i].line);
            else
                data.contour[shore++] = data.contour[i];
        }
        data.contours = shore;
        data.sounding = analytic_soundings(lake, 1, &data.soundings);
    }
    return data;
}

static void data_free(struct data *data)
{
    analytic_contours_free(data->contour, data->contours);
    free(data->sounding);
}

static struct lw_grid window(double cell_m)
{
    return (struct lw_grid){.e0_m = cell_m / 2,
                            .n0_m = cell_m / 2,
                            .cell_m = cell_m,
                            .nx = (int)(ANALYTIC_WIDE / cell_m),
                            .ny = (int)(ANALYTIC_HIGH / cell_m)};
}

/* ---- truth and errors ---- */

struct truth {
    struct lw_grid grid;
    float *depth_m, *slope; /* depth NaN where a cell is not judged */
    unsigned char *band;
};

static struct truth truth_of(const struct analytic *lake, double cell_m)
{
    struct truth truth = {.grid = window(cell_m)};
    struct lw_lines lips = analytic_lips(lake, 1);
    struct lw_line_index *index[2] = {lw_line_index_new(&lips.line[0], 20),
                                      lw_line_index_new(&lips.line[1], 20)};
    size_t cells = (size_t)truth.grid.nx * (size_t)truth.grid.ny, k = 0;

    truth.depth_m = malloc(cells * sizeof(float));
    truth.slope = malloc(cells * sizeof(float));
    truth.band = calloc(cells, 1);
    for (int i = 0; i < truth.grid.ny; i++)
        for (int j = 0; j < truth.grid.nx; j++, k++) {
            struct lw_en at = {truth.grid.e0_m + j * cell_m, truth.grid.n0_m + i * cell_m};
            double depth_m = analytic_depth(lake, at.e_m, at.n_m);

            truth.depth_m[k] = NAN;
            if (at.e_m < ANALYTIC_RIM || at.e_m > ANALYTIC_WIDE - ANALYTIC_RIM ||
                at.n_m < ANALYTIC_RIM || at.n_m > ANALYTIC_HIGH - ANALYTIC_RIM || depth_m <= 0.02)
                continue;
            truth.depth_m[k] = (float)depth_m;
            truth.band[k] = lw_line_index_nearest(index[0], at).dist_m <= BAND_M ||
                            lw_line_index_nearest(index[1], at).dist_m <= BAND_M;
            if (truth.band[k])
                truth.slope[k] = (float)analytic_slope(lake, at.e_m, at.n_m);
        }
    lw_line_index_free(index[0]);
    lw_line_index_free(index[1]);
    lw_lines_free(&lips);
    return truth;
}

static void truth_free(struct truth *truth)
{
    free(truth->depth_m);
    free(truth->slope);
    free(truth->band);
}

/* Horn 1981: slope from the eight neighbours; NaN beside nothing. */
static double horn(const struct lw_grid *grid, const float *z, size_t k)
{
    const float *s = z + k - grid->nx, *m = z + k, *n = z + k + grid->nx;

    return hypot((s[1] + 2 * m[1] + n[1]) - (s[-1] + 2 * m[-1] + n[-1]),
                 (n[-1] + 2 * n[0] + n[1]) - (s[-1] + 2 * s[0] + s[1])) /
           (8 * grid->cell_m);
}

struct errors {
    double all, band, slope; /* root mean squares */
    size_t cells, empty;     /* judged, and those of them that the surface does not fill */
};

/* Errors of z on the cells that `other` fills as well. */
static struct errors errors_of(const struct truth *truth, const float *z, const float *other)
{
    size_t cells = (size_t)truth->grid.nx * (size_t)truth->grid.ny, all = 0, band = 0, slopes = 0;
    struct errors e = {0};

    for (size_t k = 0; k < cells; k++) {
        double off = z[k] - truth->depth_m[k], slope;

        if (isnan(truth->depth_m[k]))
            continue;
        e.cells++;
        e.empty += isnan(z[k]) ? 1 : 0;
        if (isnan(z[k]) || isnan(other[k]))
            continue;
        all++;
        e.all += off * off;
        if (!truth->band[k])
            continue;
        band++;
        e.band += off * off;
        slope = horn(&truth->grid, z, k) - truth->slope[k];
        if (isnan(slope) || isnan(horn(&truth->grid, other, k)))
            continue;
        slopes++;
        e.slope += slope * slope;
    }
    e.all = sqrt(e.all / (double)all);
    e.band = sqrt(e.band / (double)band);
    e.slope = sqrt(e.slope / (double)slopes);
    return e;
}

/* ---- commands ---- */

static int points(const struct analytic *lake, const char *input, double step_m, const char *path)
{
    struct data data = data_of(lake, input);
    FILE *out = fopen(path, "w");

    if (!out)
        return -1;
    for (size_t i = 0; i < data.contours; i++) {
        struct lw_line fine = {0};

        if (lw_line_densify(&data.contour[i].line, step_m, &fine, NULL))
            return -1;
        for (size_t k = 0; k < fine.n; k++)
            fprintf(out, "%.3f %.3f %.4f\n", fine.p[k].e_m, fine.p[k].n_m, data.contour[i].depth_m);
        lw_line_free(&fine);
    }
    for (size_t k = 0; k < data.soundings; k++)
        fprintf(out, "%.3f %.3f %.4f\n", data.sounding[k].at.e_m, data.sounding[k].at.n_m,
                data.sounding[k].depth_m);
    data_free(&data);
    return fclose(out);
}

static double now_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Share of judged cells whose error is less than two sigma, and the mean sigma. */
static void print_sigma(const struct truth *truth, const struct lw_grid *grid)
{
    size_t cells = (size_t)grid->nx * (size_t)grid->ny, n = 0, within = 0;
    double sum = 0;

    for (size_t k = 0; k < cells && grid->sigma_m; k++) {
        if (isnan(truth->depth_m[k]) || isnan(grid->depth_m[k]))
            continue;
        n++;
        sum += grid->sigma_m[k];
        within += fabsf(grid->depth_m[k] - truth->depth_m[k]) < 2 * grid->sigma_m[k];
    }
    if (n)
        printf(" within2s %.1f%% mean_sigma %.3f", 100.0 * (double)within / (double)n,
               sum / (double)n);
}

/* What the contours themselves are off by, in depth, where they run in the lip band: no surface
 * that follows them can be expected to be much better there. */
static double data_error(const struct analytic *lake, const struct data *data)
{
    struct lw_lines lips = analytic_lips(lake, 1);
    double sum = 0;
    size_t n = 0;

    for (size_t i = 0; i < data->contours; i++)
        for (size_t k = 0; k < data->contour[i].line.n; k++) {
            struct lw_en at = data->contour[i].line.p[k];
            double off = data->contour[i].depth_m - analytic_depth(lake, at.e_m, at.n_m);

            if (lw_line_nearest(&lips.line[0], at).dist_m > BAND_M &&
                lw_line_nearest(&lips.line[1], at).dist_m > BAND_M)
                continue;
            sum += off * off;
            n++;
        }
    lw_lines_free(&lips);
    return n ? sqrt(sum / (double)n) : 0;
}

static int own(const struct analytic *lake, const char *input, double cell_m, const char *path)
{
    struct data data = data_of(lake, input);
    struct lw_grid grid = window(cell_m);
    struct lw_surface_in in = {.contour = data.contour,
                               .contours = data.contours,
                               .sounding = data.sounding,
                               .soundings = data.soundings,
                               .beta_m2 = NAN,
                               .ell_m = NAN};
    struct lw_error err;
    struct rusage use;
    struct truth truth;
    struct errors e;
    double start_s = now_s(), took_s;
    FILE *out = fopen(path, "wb");

    if (!out || lw_surface_solve(&in, &grid, &err)) {
        fprintf(stderr, "%s\n", out ? err.text : path);
        return -1;
    }
    took_s = now_s() - start_s;
    getrusage(RUSAGE_SELF, &use);
    fwrite(grid.depth_m, sizeof(float), (size_t)grid.nx * (size_t)grid.ny, out);
    fclose(out);
    truth = truth_of(lake, cell_m);
    e = errors_of(&truth, grid.depth_m, grid.depth_m);
    printf("s %.3f MB %ld all %.4f band %.4f slope %.4f empty %zu", took_s, use.ru_maxrss / 1024,
           e.all, e.band, e.slope, e.empty);
    print_sigma(&truth, &grid);
    printf(" data %.3f\n", data_error(lake, &data));
    truth_free(&truth);
    data_free(&data);
    free(grid.depth_m);
    free(grid.sigma_m);
    return 0;
}

/* What a better digitised map would give the same solver: the errors about the lip that are the
 * data's and not the solver's show beside it. */
static int limit(struct analytic lake, const char *input, double cell_m)
{
    struct truth truth = truth_of(&lake, cell_m);
    struct lw_grid grid = window(cell_m);
    struct lw_surface_in in = {.beta_m2 = NAN, .ell_m = NAN};
    struct lw_error err;
    struct errors e;
    struct data data;
    int status = -1;

    lake.line_jitter = lake.wide_jitter = 0;
    data = data_of(&lake, input);
    in.contour = data.contour;
    in.contours = data.contours;
    in.sounding = data.sounding;
    in.soundings = data.soundings;
    if (lw_surface_solve(&in, &grid, &err)) {
        fprintf(stderr, "%s\n", err.text);
        goto done;
    }
    e = errors_of(&truth, grid.depth_m, grid.depth_m);
    printf("%.4f %.4f\n", e.band, e.slope);
    status = 0;
done:
    truth_free(&truth);
    data_free(&data);
    free(grid.depth_m);
    free(grid.sigma_m);
    return status;
}

/* A peer's grid, south up, NaN where it has nothing. The caller's. */
static float *peer_grid(const char *path, const struct lw_grid *grid)
{
    size_t nx = (size_t)grid->nx, cells = nx * (size_t)grid->ny;
    float *z = malloc(cells * sizeof *z);
    GDALDatasetH set = GDALOpen(path, GA_ReadOnly);
    double place[6];

    if (!set || GDALGetRasterXSize(set) != grid->nx || GDALGetRasterYSize(set) != grid->ny ||
        GDALGetGeoTransform(set, place))
        exit(fprintf(stderr, "%s: not a grid of %d x %d\n", path, grid->nx, grid->ny) > 0);
    for (int i = 0; i < grid->ny; i++) {
        int row = place[5] < 0 ? grid->ny - 1 - i : i;

        if (GDALRasterIO(GDALGetRasterBand(set, 1), GF_Read, 0, row, grid->nx, 1,
                         z + (size_t)i * nx, grid->nx, 1, GDT_Float32, 0, 0))
            exit(1);
    }
    for (size_t k = 0; k < cells; k++)
        if (z[k] <= (float)NOTHING + 1)
            z[k] = NAN;
    GDALClose(set);
    return z;
}

static int judge(const struct analytic *lake, double cell_m, const char *own_path, int peers,
                 char **peer)
{
    struct truth truth = truth_of(lake, cell_m);
    size_t cells = (size_t)truth.grid.nx * (size_t)truth.grid.ny;
    float *ours = malloc(cells * sizeof *ours);
    FILE *in = fopen(own_path, "rb");

    if (!in || fread(ours, sizeof *ours, cells, in) != cells)
        return -1;
    fclose(in);
    GDALAllRegister();
    for (int p = 0; p < peers; p++) {
        float *theirs = peer_grid(peer[p], &truth.grid);
        struct errors a = errors_of(&truth, ours, theirs), b = errors_of(&truth, theirs, ours);

        printf("%.5f %.5f %.5f  %.5f %.5f %.5f  %.1f %zu %s\n", a.all, a.band, a.slope, b.all,
               b.band, b.slope, 100.0 * (double)b.empty / (double)b.cells, a.empty, peer[p]);
        free(theirs);
    }
    free(ours);
    truth_free(&truth);
    return 0;
}

int main(int argc, char **argv)
{
    struct analytic lake;

    if (argc < 6)
        return fprintf(stderr,
                       "surface points|own|limit LAKE INPUT STEP_M OUT; judge LAKE CELL_M OWN "
                       "PEER...\n") > 0;
    lake = lake_of(argv[2]);
    if (!strcmp(argv[1], "points"))
        return points(&lake, argv[3], atof(argv[4]), argv[5]) != 0;
    if (!strcmp(argv[1], "own"))
        return own(&lake, argv[3], atof(argv[4]), argv[5]) != 0;
    if (!strcmp(argv[1], "limit"))
        return limit(lake, argv[3], atof(argv[4])) != 0;
    return judge(&lake, atof(argv[3]), argv[4], argc - 5, argv + 5) != 0;
}
