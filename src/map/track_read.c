/* A track from a file that is no journal: what the maps' readers make of it, in the import's child.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#include "child.h"
#include "lipwalk/base/folder.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/track.h"
#include "lipwalk/map/import.h"
#include "scratch.h"
#include "table.h"
#include "vector.h"

#define SOUNDINGS_MAX 2000000 /* a season at one a second; 64 MB, of which only the used count */
#define TIMEOUT_S     120
#define MEMORY_MB     2048

struct task {
    const struct lw_map_file *file;
    const char *scratch;
    struct lw_depth_point *point; /* shared with the child, room for SOUNDINGS_MAX */
};
struct reply {
    size_t n;
};

bool lw_track_is(const char *path)
{
    static const char *const endings[] = {"geojson", "json", "gpkg", "shp", "fgb",
                                          "kml",     "kmz",  "zip",  "shz"};

    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        if (lw_scratch_is(path, endings[i]))
            return true;
    return lw_table_is(path);
}

static int read_vector(const struct task *task, const struct lw_import_options *options,
                       struct lw_source *source, struct lw_error *err)
{
    const struct lw_box everywhere = {-90, 90, -180, 180};
    struct lw_vector vector = {0};
    int status = lw_vector_open(task->file, task->scratch, &vector, err);

    if (status == 0)
        status = lw_vector_read(&vector, options, &everywhere, false, source, err);
    lw_vector_close(&vector);
    return status ? -1 : 0;
}

static int read_in_child(const void *data, void *data_reply, struct lw_error *err)
{
    const struct task *task = data;
    struct reply *reply = data_reply;
    struct lw_import_options *options = calloc(1, sizeof *options);
    struct lw_source *source = calloc(1, sizeof *source);
    int status = -1;

    if (!options || !source) {
        lw_fail(err, "out of memory for %s", task->file->path);
        goto done;
    }
    lw_import_options_clear(options);
    options->map[0] = *task->file;
    options->maps = 1;
    lw_source_start(source, task->file);
    if (lw_import_options_check(options, err))
        goto done;
    if (lw_table_is(task->file->path) ? lw_table_read(task->file, options, source, err)
                                      : read_vector(task, options, source, err))
        goto done;
    if (source->points == 0)
        lw_fail(err,
                "%s holds no places with a depth: --add-track wants a journal, or a track with "
                "depths (GPX, CSV, GeoJSON points)",
                task->file->path);
    else if (source->points > SOUNDINGS_MAX)
        lw_fail(err, "%s holds %zu soundings, more than the %d of a track: give it with --map",
                task->file->path, source->points, SOUNDINGS_MAX);
    else
        status = 0;
    if (status == 0) {
        reply->n = source->points;
        memcpy(task->point, source->point, reply->n * sizeof *task->point);
    }
done:
    if (source)
        lw_source_free(source);
    free(source);
    free(options);
    return status;
}

static int take_points(const struct lw_depth_point *point, size_t n, struct lw_track *out)
{
    if (n > SOUNDINGS_MAX) /* the child may hold a hostile file: what it says is foreign */
        return -1;
    for (size_t i = 0; i < n; i++) /* without times: the order must do */
        if (lw_track_add(out, (struct lw_track_sounding){point[i].at, 0, point[i].depth_m}))
            return -1;
    return 0;
}

int lw_track_read(const struct lw_map_file *file, struct lw_track *out, struct lw_error *err)
{
    const size_t bytes = SOUNDINGS_MAX * sizeof(struct lw_depth_point);
    struct lw_depth_point *point = mmap(NULL, bytes, PROT_READ | PROT_WRITE,
                                        MAP_SHARED | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    char scratch[500], folder[440], what[300];
    struct reply reply = {0};
    struct task task = {file, scratch, point};
    struct lw_child child = {.work = read_in_child,
                             .task = &task,
                             .reply = &reply,
                             .reply_size = sizeof reply,
                             .what = what,
                             .timeout_s = TIMEOUT_S,
                             .memory_mb = MEMORY_MB};
    int status = -1;

    *out = (struct lw_track){.stage_m = NAN};
    lw_text_clean(out->name, sizeof out->name, lw_text_file_name(file->path));
    snprintf(what, sizeof what, "reading %.200s", out->name);
    if (point == MAP_FAILED)
        return lw_fail(err, "out of memory for %s", file->path);
    if (lw_folder('h', folder, sizeof folder, err))
        goto done;
    snprintf(scratch, sizeof scratch, "%s/track-XXXXXX", folder);
    if (!mkdtemp(scratch)) {
        lw_fail(err, "no folder can be made in %s", folder);
        goto done;
    }
    status = lw_child_run(&child, err);
    lw_scratch_remove(scratch);
    if (status == 0 && take_points(point, reply.n, out))
        status = lw_fail(err, "out of memory for %s", file->path);
done:
    munmap(point, bytes);
    if (status)
        lw_track_free(out);
    return status;
}
