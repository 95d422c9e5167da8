/* A chart from a grid alone: its water laid out in metres.
 *
 * The grid's own cells are not square on the ground, nor turned to north; each cell of the chart
 * takes its depth by bilinear interpolation between the middles of the grid's. Where a grid has
 * heights on land too, the shore is where the interpolated depth is 0; else it runs half-way
 * between the middles of wet and dry cells, which is all that is known. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "raster_parts.h"

#define KNOT       16 /* cells between places that are projected; between them linear: 2 cm at 70 m */
#define OFF_TOLD_M 50.0
#define OFF_MOST_M 2000.0
#define FLOOR_M    0.05 /* no sounding is better; common practice, no source */

struct job {
    struct lw_source *source;
    const struct lw_raster *raster;
    struct lw_raster_water water;
    struct lw_chart *chart;
    double stage_m; /* added to the values */
    double shallowest_m;
};

struct cell {       /* what the grid says of one place */
    double depth_m; /* between wet cells; NaN none */
    double shore;   /* above 0 in the water, below on land; NaN where the grid says nothing */
};

/* Of `n` middles along a row or column the one before x, so that another follows. */
static int middle_before(double x, int n)
{
    return (int)fmin(fmax(x, 0), n > 1 ? n - 2 : 0);
}

static bool all_water(const struct job *job, int j, int i)
{
    const unsigned char *mark = job->water.mark;
    size_t w = (size_t)job->raster->w, at = (size_t)i * w + (size_t)j;

    return j + 1 < job->raster->w && i + 1 < job->raster->h && mark[at] == LW_WET_CHOSEN &&
           mark[at + 1] == LW_WET_CHOSEN && mark[at + w] == LW_WET_CHOSEN &&
           mark[at + w + 1] == LW_WET_CHOSEN;
}

/* The half cell between the last middles and the grid's edge goes on as the bottom falls, beside
 * land level: level all along, it would bend contours by a fifth of a cell. */
static struct cell look(const struct job *job, double column, double row)
{
    const struct lw_raster *raster = job->raster;
    double x = column - 0.5, y = row - 0.5, weight_wet = 0, wet = 0, all = 0;
    int j, i;
    bool valued = raster->land_valued;
    struct cell out = {NAN, NAN};

    if (!(column >= 0 && row >= 0 && column <= raster->w && row <= raster->h))
        return out;
    j = middle_before(x, raster->w);
    i = middle_before(y, raster->h);
    x -= j;
    y -= i;
    if ((x < 0 || y < 0 || x > 1 || y > 1) && !all_water(job, j, i)) {
        x = fmin(fmax(x, 0), raster->w > 1);
        y = fmin(fmax(y, 0), raster->h > 1);
    }
    for (int k = 0; k < 4; k++) {
        double weight = (k % 2 ? x : 1 - x) * (k / 2 ? y : 1 - y), depth_m;
        size_t at = (size_t)(i + k / 2) * (size_t)raster->w + (size_t)(j + k % 2);

        if (weight == 0)
            continue;
        depth_m = lw_raster_depth(raster, raster->raw[at]) + job->stage_m;
        if (job->water.mark[at] == LW_WET_CHOSEN) {
            weight_wet += weight;
            wet += weight * depth_m;
        }
        /* another water beside this one is land here */
        all += weight * (job->water.mark[at] == LW_WET_CHOSEN ? depth_m : -fabs(depth_m));
        valued = valued && !isnan(depth_m);
    }
    out.shore = valued ? all : 2 * weight_wet - 1;
    if (out.shore >= LW_RASTER_SHORE_M)
        out.depth_m = valued ? all : wet / weight_wet;
    return out;
}

/* Where the knots of one row of the chart lie in the grid. */
static void project_knots(const struct job *job, int row, int knots, double *column, double *line)
{
    const struct lw_grid *grid = &job->chart->grid;

    for (int k = 0; k < knots; k++) {
        struct lw_en at = {grid->e0_m + k * KNOT * grid->cell_m, grid->n0_m + row * grid->cell_m};

        if (lw_raster_where(job->raster, lw_frame_to_ll(&job->chart->frame, at), &column[k],
                            &line[k]))
            column[k] = line[k] = NAN;
    }
}

/* Fills depth_m, and shore into the place of sigma_m. */
static int resample(struct job *job, struct lw_error *err)
{
    struct lw_grid *grid = &job->chart->grid;
    int knots = (grid->nx - 1) / KNOT + 2;
    double *all = malloc(4 * (size_t)knots * sizeof *all);
    double *c0 = all, *r0 = c0 + knots, *c1 = r0 + knots, *r1 = c1 + knots;

    if (!all)
        return lw_fail(err, "out of memory");
    for (int i = 0; i < grid->ny; i++) {
        double v = (double)(i % KNOT) / KNOT;

        if (i % KNOT == 0) {
            project_knots(job, i, knots, c0, r0);
            project_knots(job, i + KNOT, knots, c1, r1);
        }
        for (int j = 0; j < grid->nx; j++) {
            int k = j / KNOT;
            double u = (double)(j % KNOT) / KNOT;
            double column = (1 - v) * ((1 - u) * c0[k] + u * c0[k + 1]) +
                            v * ((1 - u) * c1[k] + u * c1[k + 1]);
            double row = (1 - v) * ((1 - u) * r0[k] + u * r0[k + 1]) +
                         v * ((1 - u) * r1[k] + u * r1[k + 1]);
            struct cell cell = look(job, column, row);
            size_t at = (size_t)i * (size_t)grid->nx + (size_t)j;

            grid->depth_m[at] = (float)cell.depth_m;
            grid->sigma_m[at] = (float)cell.shore;
        }
    }
    free(all);
    return 0;
}

static int take_lines(struct lw_chart *chart, struct lw_lines *lines, double depth_m)
{
    chart->contour = calloc(lines->n + 1, sizeof *chart->contour);
    if (!chart->contour)
        return -1;
    for (size_t i = 0; i < lines->n; i++) {
        chart->contour[i] = (struct lw_contour){.depth_m = depth_m, .line = lines->line[i]};
        lines->line[i] = (struct lw_line){0};
    }
    chart->contours = lines->n;
    return 0;
}

/* The shore's rings enclose the water (islands run the other way round) better than its cells tell;
 * where the water runs out of the grid, only they do. */
static void measure_rings(struct lw_chart *chart)
{
    double area_m2 = 0;

    for (size_t i = 0; i < chart->contours; i++) {
        if (!chart->contour[i].line.closed)
            return;
        area_m2 += lw_line_area(&chart->contour[i].line);
    }
    chart->area_m2 = area_m2;
}

/* The shore as the chart's one contour. A grid that ends before the shore on all sides has none:
 * then the contour half-way down stands for it. */
static int trace_shore(struct job *job, double depth_m, struct lw_error *err)
{
    struct lw_chart *chart = job->chart;
    struct lw_grid shore = chart->grid;
    struct lw_lines lines;
    bool found;
    int status;

    shore.depth_m = chart->grid.sigma_m;
    if (lw_chart_trace(&shore, LW_RASTER_SHORE_M, &lines, err))
        return -1;
    found = lines.n > 0;
    if (!found) {
        depth_m = (job->shallowest_m + chart->deepest_m) / 2;
        if (lw_chart_trace(&chart->grid, depth_m, &lines, err))
            return -1;
    }
    if (lines.n == 0)
        return lw_fail(err, "%s has neither a shore nor a slope: no contour can be drawn on it",
                       job->source->file->path);
    status = take_lines(chart, &lines, depth_m) ? lw_fail(err, "out of memory for the shore") : 0;
    lw_lines_free(&lines);
    if (status == 0 && found)
        measure_rings(chart);
    return status;
}

static double difference(float before, float here, float after)
{
    if (!isnan(before) && !isnan(after))
        return fabs((double)after - (double)before) / 2;
    if (!isnan(after))
        return fabs((double)after - (double)here);
    return isnan(before) ? 0 : fabs((double)here - (double)before);
}

/* What the grid leaves open: its rounding, and what lies between the middles of its cells, half a
 * cell's slope. */
static void fill_sigma(struct job *job)
{
    struct lw_grid *grid = &job->chart->grid;
    double column_m, row_m, half, rounding_m;
    size_t nx = (size_t)grid->nx;

    lw_raster_steps(job->raster, &column_m, &row_m);
    half = 0.5 * fmax(1, fmax(column_m, row_m) / grid->cell_m);
    rounding_m = fmax(FLOOR_M, job->raster->step_m / sqrt(12)); /* of a value rounded to a step */
    for (int i = 0; i < grid->ny; i++)
        for (int j = 0; j < grid->nx; j++) {
            size_t at = (size_t)i * nx + (size_t)j;
            const float *z = grid->depth_m + at;
            double across, up;

            if (isnan(*z)) {
                grid->sigma_m[at] = NAN;
                continue;
            }
            across = difference(j > 0 ? z[-1] : NAN, *z, j + 1 < grid->nx ? z[1] : NAN);
            up = difference(i > 0 ? *(z - nx) : NAN, *z, i + 1 < grid->ny ? z[nx] : NAN);
            grid->sigma_m[at] = (float)hypot(rounding_m, half * hypot(across, up));
        }
}

static void measure(struct job *job)
{
    struct lw_chart *chart = job->chart;
    size_t cells = (size_t)chart->grid.nx * (size_t)chart->grid.ny, wet = 0;
    float most = 0, least = INFINITY;

    for (size_t k = 0; k < cells; k++) {
        wet += isnan(chart->grid.depth_m[k]) ? 0 : 1;
        if (chart->grid.depth_m[k] > most) /* not where it is NaN */
            most = chart->grid.depth_m[k];
        if (chart->grid.depth_m[k] < least)
            least = chart->grid.depth_m[k];
    }
    job->shallowest_m = (double)least;
    chart->deepest_m = (double)most;
    chart->area_m2 = (double)wet * chart->grid.cell_m * chart->grid.cell_m;
}

static void say(const struct job *job, double off_m)
{
    if (job->water.rivals)
        lw_source_warn(job->source,
                       "%s: the largest of its waters is read; --at LAT,LON chooses another",
                       job->source->name);
    if (off_m > OFF_TOLD_M)
        lw_source_warn(job->source, "the place given by --at lies %.0f m outside the nearest water",
                       off_m);
}

/* Where today's level uncovers cells, or covers land whose height is known, the water changes its
 * outline; else the depths alone move. */
static int make(struct job *job, const struct lw_import_options *options, double later_m,
                struct lw_error *err)
{
    struct lw_chart *chart = job->chart;
    size_t cells;

    if (lw_raster_lay(job->source, job->raster, &job->water, options->cell_m, chart, err) ||
        resample(job, err))
        return -1;
    measure(job);
    if (!(chart->area_m2 > 0))
        return lw_fail(err, "%s: no cell of %g m lies in its water", job->source->file->path,
                       chart->grid.cell_m);
    if (trace_shore(job, 0, err))
        return -1;
    fill_sigma(job);
    cells = (size_t)chart->grid.nx * (size_t)chart->grid.ny;
    for (size_t k = 0; later_m != 0 && k < cells; k++)
        chart->grid.depth_m[k] += (float)later_m;
    for (size_t i = 0; i < chart->contours; i++)
        chart->contour[i].depth_m += later_m;
    chart->deepest_m += later_m;
    return 0;
}

int lw_raster_chart(struct lw_source *source, const struct lw_import_options *options,
                    struct lw_chart *chart, struct lw_error *err)
{
    struct lw_raster *raster = source->raster;
    struct job job = {.source = source, .raster = raster, .chart = chart};
    double stage_m = isnan(options->stage_m) ? 0 : options->stage_m, later_m;
    bool outline;
    int status;

    if (!raster)
        return lw_fail(err, "%s is no grid", source->file->path);
    outline = raster->land_valued || stage_m < 0;
    job.stage_m = outline ? stage_m : 0;
    later_m = outline ? 0 : stage_m;
    if (lw_raster_water_choose(raster, options->at, job.stage_m, source->file->path, &job.water,
                               err))
        return -1;
    if (job.water.off_m > OFF_MOST_M)
        status = lw_fail(err, "%s holds no water within %.0f km of the place given by --at",
                         source->file->path, OFF_MOST_M / 1e3);
    else
        status = make(&job, options, later_m, err);
    if (status == 0) {
        say(&job, job.water.off_m);
        lw_text_copy(chart->lake, sizeof chart->lake, source->lake);
        lw_text_copy(chart->source, sizeof chart->source, source->file->path);
        lw_text_copy(chart->depth_field, sizeof chart->depth_field, source->depth_field);
        lw_text_copy(chart->unit, sizeof chart->unit, source->unit);
        lw_text_copy(chart->unit_reason, sizeof chart->unit_reason, source->unit_reason);
        lw_text_copy(chart->crs, sizeof chart->crs, source->crs);
    }
    free(job.water.mark);
    return status;
}
