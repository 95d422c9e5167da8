/* The import step by step: files, water, soundings, surface, features, report. */
#include "build.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "choose.h"
#include "closed.h"
#include "lipwalk/base/text.h"
#include "raster.h"
#include "say.h"
#include "source_features.h"
#include "track_fold.h"

#define SAME_M 1e-3
#define GRID_EVERY_M                                                                               \
    2.0                   /* a grid beside other files: its cells as soundings no closer than this \
                           */
#define GRID_POINTS 1e6   /* and about so many at most */
#define ABOUT_M     100.0 /* how far about the contours a grid's cells count */

struct work {
    const struct lw_import_options *options;
    struct lw_gather gather;
    struct lw_waters waters;
    struct lw_chart *chart;
    struct lw_assembly assembly;
    struct lw_say_file said[LW_MAPS_MAX];
    double shallowest_m; /* of the contours, at the map's own level */
};

static int no_memory(struct lw_error *err)
{
    return lw_fail(err, "out of memory for the map's soundings");
}

/* Grids beside other files give their cells as soundings. */
static int take_grids(struct work *work, struct lw_error *err)
{
    struct lw_box box = lw_gather_box(&work->gather);
    struct lw_ll low = {box.lat_min, box.lon_min}, east = {box.lat_min, box.lon_max};
    struct lw_ll north = {box.lat_max, box.lon_min};
    double every_m;

    if (!(box.lat_min <= box.lat_max))
        return 0;
    every_m = fmax(GRID_EVERY_M,
                   sqrt(lw_ground_m(low, east) * lw_ground_m(low, north) / GRID_POINTS));
    box = lw_box_grown(box, ABOUT_M);
    for (int i = 0; i < work->gather.sources; i++) {
        if (!work->gather.source[i].raster)
            continue;
        if (lw_raster_points(&work->gather.source[i], &box, every_m, err))
            return -1;
        if (work->gather.first < 0)
            work->gather.first = i;
    }
    return 0;
}

/* Soundings in the chart's frame, those above the water left out. */
static int take_soundings(struct work *work, struct lw_error *err)
{
    struct lw_assembly *to = &work->assembly;
    size_t all = 0, above = 0;

    for (int i = 0; i < work->gather.sources; i++)
        all += work->gather.source[i].points;
    to->sounding = malloc((all + 1) * sizeof *to->sounding);
    if (!to->sounding)
        return no_memory(err);
    for (int i = 0; i < work->gather.sources; i++) {
        const struct lw_source *s = &work->gather.source[i];
        struct lw_say_file *said = &work->said[i];

        said->shallow_m = INFINITY;
        said->deep_m = -INFINITY;
        for (size_t k = 0; k < s->points; k++) {
            if (!(s->point[k].depth_m >= 0)) {
                above++;
                continue;
            }
            to->sounding[to->soundings++] = (struct lw_sounding){
                lw_frame_to_en(&work->chart->frame, s->point[k].at), s->point[k].depth_m, NAN};
            said->soundings++;
            said->shallow_m = fmin(said->shallow_m, s->point[k].depth_m);
            said->deep_m = fmax(said->deep_m, s->point[k].depth_m);
        }
    }
    if (above)
        lw_say_warn(work->assembly.report, "%zu soundings above the water were left out", above);
    return 0;
}

/* Depth areas in the chart's frame. */
static int take_ranges(struct work *work, struct lw_error *err)
{
    struct lw_assembly *to = &work->assembly;
    size_t all = 0;

    for (int i = 0; i < work->gather.sources; i++)
        all += work->gather.source[i].range.features;
    to->range = calloc(all + 1, sizeof *to->range);
    if (!to->range)
        return no_memory(err);
    for (int i = 0; i < work->gather.sources; i++) {
        const struct lw_source *s = &work->gather.source[i];

        for (size_t k = 0; k < s->range.features; k++) {
            struct lw_range *range = &to->range[to->ranges++];

            range->least_m = s->range_m[k][0];
            range->most_m = s->range_m[k][1];
            for (size_t p = 0; p < s->range.feature[k].parts; p++) {
                struct lw_line line;

                if (lw_raw_part_line(&s->range.feature[k].part[p], &work->chart->frame, SAME_M,
                                     &line) ||
                    lw_lines_take(&range->rings, &line)) {
                    lw_line_free(&line);
                    return no_memory(err);
                }
            }
        }
    }
    return 0;
}

static void ranges_free(struct lw_assembly *assembly)
{
    for (size_t i = 0; i < assembly->ranges; i++)
        lw_lines_free(&assembly->range[i].rings);
    free(assembly->range);
}

/* Counts what each file's contours gave, and moves them into the chart. */
static void take_contours(struct work *work)
{
    struct lw_waters *waters = &work->waters;

    work->shallowest_m = INFINITY;
    for (int i = 0; i < work->gather.sources; i++) {
        struct lw_say_file *said = &work->said[i];
        double last_m = -1;

        said->least_m = INFINITY;
        said->most_m = -INFINITY;
        for (size_t k = 0; k < waters->contours; k++) { /* by depth */
            double depth_m = waters->contour[k].depth_m;

            if (waters->note[k].part != (size_t)i)
                continue;
            said->depths += said->depths == 0 || depth_m - last_m > SAME_M;
            last_m = depth_m;
            said->least_m = fmin(said->least_m, depth_m);
            said->most_m = fmax(said->most_m, depth_m);
        }
        work->shallowest_m = fmin(work->shallowest_m, said->least_m);
    }
    work->chart->frame = waters->frame;
    work->chart->contour = waters->contour;
    work->chart->contours = waters->contours;
    waters->contour = NULL;
    waters->contours = 0;
}

/* The whole of what the files say of themselves. */
static void describe(struct work *work)
{
    struct lw_gather *gather = &work->gather;
    struct lw_chart *chart = work->chart;
    char paths[1200] = "";
    const struct lw_source *first = NULL;

    for (int i = 0; i < gather->sources; i++) {
        const struct lw_source *s = &gather->source[i];

        lw_text_add(paths, sizeof paths, "%s%s", i ? ", " : "", s->file->path);
        if (!*chart->lake)
            lw_text_clean(chart->lake, sizeof chart->lake, s->lake);
        if (!first && *s->depth_field)
            first = s;
    }
    if (!lw_text_clean(chart->source, sizeof chart->source - 3, paths))
        lw_text_add(chart->source, sizeof chart->source, "\u2026");
    if (!first)
        first = &gather->source[0];
    lw_text_clean(chart->depth_field, sizeof chart->depth_field, first->depth_field);
    lw_text_clean(chart->unit, sizeof chart->unit, first->unit);
    lw_text_clean(chart->unit_reason, sizeof chart->unit_reason, first->unit_reason);
    lw_text_clean(chart->crs, sizeof chart->crs, first->crs);
}

static void warn_no_shore(struct work *work, struct lw_import_report *report)
{
    const struct lw_source *s = &work->gather.source[work->gather.first];
    char depth[32];

    if (work->waters.limit.n || !(work->shallowest_m > SAME_M) || isinf(work->shallowest_m))
        return;
    lw_text_number(depth, sizeof depth,
                   round(work->shallowest_m / (s->unit_m > 0 ? s->unit_m : 1) * 1e4) / 1e4, 6);
    lw_say_warn(report,
                "the map has no shore (no contour at 0): water is what lies inside its "
                "outermost contour, at %s %s",
                depth, *s->unit ? s->unit : "m");
}

static int build_from_lines(struct work *work, struct lw_import_report *report,
                            struct lw_error *err)
{
    if (take_grids(work, err) || lw_choose_water(&work->gather, work->options, &work->waters, err))
        return -1;
    if (work->gather.first < 0)
        return lw_fail(err, "the maps hold no contours, soundings or grid of the lake");
    lw_say_water(&work->waters, work->options, report);
    take_contours(work);
    if (take_soundings(work, err) || take_ranges(work, err))
        return -1;
    work->assembly.limit = &work->waters.limit;
    if (lw_chart_assemble(work->chart, &work->assembly, err))
        return -1;
    if (work->assembly.outside)
        lw_say_warn(report, "%zu soundings outside the water were left out",
                    work->assembly.outside);
    warn_no_shore(work, report);
    return 0;
}

/* A grid and no depths beside it. The boat's own soundings make it a surface of soundings. */
static int build_from_grid(struct work *work, int which, struct lw_error *err)
{
    struct lw_source *source = &work->gather.source[which];
    struct lw_import_options options = *work->options;
    struct lw_chart *chart = work->chart;
    struct lw_box box;
    size_t before;
    int warnings = work->assembly.report->warnings;

    if (options.tracks > 0)
        options.stage_m = 0;
    lw_progress_tell(&options.progress, 0.3, "depth surface");
    if (lw_raster_chart(source, &options, chart, err))
        return -1;
    if (options.tracks == 0)
        return 0;
    before = work->assembly.soundings;
    if (lw_track_fold(chart, work->options, &work->assembly.sounding, &work->assembly.soundings,
                      work->assembly.report, err))
        return -1;
    if (work->assembly.soundings > before) {
        struct lw_en far = {chart->grid.e0_m + chart->grid.nx * chart->grid.cell_m,
                            chart->grid.n0_m + chart->grid.ny * chart->grid.cell_m};
        struct lw_ll a = lw_frame_to_ll(&chart->frame,
                                        (struct lw_en){chart->grid.e0_m, chart->grid.n0_m});
        struct lw_ll b = lw_frame_to_ll(&chart->frame, far);

        /* The tracks are folded in once more, with the grid's cells about them. */
        work->assembly.report->warnings = warnings;
        free(work->assembly.sounding);
        work->assembly.sounding = NULL;
        work->assembly.soundings = 0;
        box = (struct lw_box){a.lat_deg, b.lat_deg, a.lon_deg, b.lon_deg};
        if (lw_raster_points(source, &box, chart->grid.cell_m, err) || take_soundings(work, err))
            return -1;
        return lw_chart_assemble(chart, &work->assembly, err);
    }
    if (work->options->stage_m != 0) {
        lw_chart_free(chart);
        work->chart = calloc(1, sizeof *work->chart);
        return work->chart ? lw_raster_chart(source, work->options, work->chart, err)
                           : no_memory(err);
    }
    return 0;
}

/* The grid that the chart is made from, or -1: other files have depths, or outlines to keep to. */
static int grid_alone(const struct lw_gather *gather)
{
    int grid = -1;

    for (int i = 0; i < gather->sources; i++) {
        const struct lw_source *s = &gather->source[i];

        if (s->lines.features || s->points)
            return -1;
        if (s->raster && grid < 0)
            grid = i;
    }
    return grid;
}

int lw_chart_build(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart **out, struct lw_import_report *report, struct lw_error *err)
{
    struct work *work = calloc(1, sizeof *work);
    int status = -1, grid;

    if (!work)
        return lw_fail(err, "out of memory");
    work->options = options;
    work->assembly = (struct lw_assembly){.options = options, .report = report};
    work->chart = calloc(1, sizeof *work->chart);
    if (!work->chart) {
        lw_fail(err, "out of memory");
        goto done;
    }
    if (lw_gather(options, scratch, &work->gather, err))
        goto done;
    grid = grid_alone(&work->gather);
    if (grid >= 0 ? build_from_grid(work, grid, err) : build_from_lines(work, report, err))
        goto done;
    describe(work);
    lw_progress_tell(&options->progress, 0.95, "the lake's parts");
    for (int i = 0; i < work->gather.sources; i++) {
        struct lw_say_file *said = &work->said[i];

        if (lw_source_features(&work->gather.source[i], work->chart, options->stage_m,
                               &said->hazards, &said->covers, err))
            goto done;
        lw_say_file(&work->gather.source[i], said);
    }
    if (lw_crew_features(options, work->chart, err) ||
        lw_closed_read(options, scratch, work->chart, report, err))
        goto done;
    lw_say_sources(&work->gather, report);
    lw_say_summary(work->chart, &work->gather, options->stage_m, report);
    *out = work->chart;
    work->chart = NULL;
    status = 0;
done:
    lw_chart_free(work->chart);
    lw_waters_free(&work->waters);
    lw_gather_free(&work->gather);
    free(work->assembly.sounding);
    ranges_free(&work->assembly);
    free(work);
    return status;
}
