/* Asking a grid for its cells, in a child process as for any reading of a map. */
#include "lipwalk/map/cells.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "child.h"
#include "lipwalk/base/text.h"
#include "raster.h"
#include "source.h"

#define TIMEOUT_S 120
#define MEMORY_MB 2048

bool lw_chart_is_grid(const struct lw_import_options *options)
{
    return options->maps == 1 && options->tracks == 0 && isnan(options->cell_m) &&
           lw_raster_is(options->map[0].path);
}

struct task {
    const struct lw_import_options *options;
    const struct lw_ll *at;
    size_t n;
};

/* In the child. */
static int cells_in_child(const void *data, void *reply, struct lw_error *err)
{
    const struct task *task = data;
    const struct lw_map_file *file = &task->options->map[0];
    double *depth_m = reply, stage_m = task->options->stage_m;
    bool moves = !isnan(stage_m) && stage_m != 0;
    struct lw_source source;
    int status;

    lw_source_start(&source, file);
    status = lw_raster_read(file, task->options, &source, err);
    if (status == 0)
        status = lw_raster_cells(&source, task->at, task->n, depth_m, err);
    for (size_t i = 0; status == 0 && moves && i < task->n; i++) {
        if (depth_m[i] == 0) /* the shore, or land of a height that is not known */
            continue;
        depth_m[i] += stage_m;
        if (depth_m[i] < 0) /* fallen dry */
            depth_m[i] = NAN;
    }
    lw_source_free(&source);
    return status;
}

int lw_chart_cells(const struct lw_import_options *options, const struct lw_ll *at, size_t n,
                   double *depth_m, struct lw_error *err)
{
    struct task task = {options, at, n};
    char what[300];
    struct lw_child child = {.work = cells_in_child,
                             .task = &task,
                             .reply = depth_m,
                             .reply_size = n * sizeof *depth_m,
                             .what = what,
                             .timeout_s = options->timeout_s > 0 ? options->timeout_s : TIMEOUT_S,
                             .memory_mb = options->memory_mb > 0 ? options->memory_mb : MEMORY_MB,
                             .cancel = options->cancel};

    if (!lw_chart_is_grid(options))
        return lw_fail(err, "the map is not one grid: its cells cannot be told");
    if (n == 0)
        return 0;
    snprintf(what, sizeof what, "reading %.200s", lw_text_file_name(options->map[0].path));
    return lw_child_run(&child, err);
}
