/* In which order files are read. */
#include "gather.h"

#include <math.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "raster.h"
#include "table.h"
#include "vector.h"

#define ABOUT_M 200.0   /* how far about a lake other files are read */
#define SEEK_M  20000.0 /* how far about --at where no file has picked the lake */
#define PART    0.2     /* reading's part of the whole work */

enum kind { VECTOR, TABLE, RASTER };

struct job {
    const struct lw_import_options *options;
    struct lw_gather *gather;
    enum kind kind[LW_MAPS_MAX];
    struct lw_vector vector[LW_MAPS_MAX];
    bool done[LW_MAPS_MAX];
    int read;
    struct lw_box place; /* of the lake, once it is known; empty */
};

static bool placed(const struct job *job)
{
    return job->place.lat_min <= job->place.lat_max;
}

struct lw_box lw_gather_box(const struct lw_gather *gather)
{
    struct lw_box box = lw_box_empty();

    for (int i = 0; i < gather->sources; i++)
        lw_box_add(&box, lw_source_box(&gather->source[i]));
    return box;
}

static bool has_depths(const struct job *job, int i)
{
    return job->kind[i] != VECTOR || job->vector[i].holds <= LW_HOLDS_SOUNDINGS;
}

/* Whether no other file can bring depths. */
static bool alone(const struct job *job, int i)
{
    for (int k = 0; k < job->gather->sources; k++)
        if (k != i && has_depths(job, k))
            return false;
    return true;
}

static void finish(struct job *job, int i)
{
    struct lw_gather *gather = job->gather;
    const struct lw_source *source = &gather->source[i];
    bool brings = (source->lines.features && !source->shore) || source->points;

    job->done[i] = true;
    job->read++;
    if (gather->first < 0 && brings)
        gather->first = i;
    if (!placed(job) && brings)
        job->place = lw_box_grown(lw_gather_box(gather), ABOUT_M);
}

static int read_file(struct job *job, int i, struct lw_error *err)
{
    struct lw_source *source = &job->gather->source[i];
    struct lw_import_options options = *job->options;
    const struct lw_box *place = placed(job) ? &job->place : NULL;
    struct lw_box seek;
    int status = -1;

    lw_progress_tell(&job->options->progress, PART * job->read / job->gather->sources,
                     "reading the map");
    if (place && !lw_ll_known(options.at))
        options.at = lw_box_middle(*place);
    if (job->kind[i] == TABLE) {
        status = lw_table_read(source->file, &options, source, err);
    } else if (job->kind[i] == RASTER) {
        status = lw_raster_read(source->file, &options, source, err);
    } else {
        if (!place && !has_depths(job, i) && lw_ll_known(options.at)) {
            seek = lw_box_about(options.at, SEEK_M);
            place = &seek;
        }
        status = lw_vector_read(&job->vector[i], job->options, place, alone(job, i), source, err);
    }
    if (status == 0)
        finish(job, i);
    return status;
}

/* All files still to be read that `is` likes; those that do not know the lake's name wait until
 * another file has told its place. */
static int read_those(struct job *job, bool (*is)(const struct job *job, int i),
                      struct lw_error *err)
{
    struct lw_error why = {""};
    bool waits = false;

    for (int round = 0; round < 2; round++) {
        waits = false;
        for (int i = 0; i < job->gather->sources; i++) {
            int status;

            if (job->done[i] || !is(job, i))
                continue;
            status = read_file(job, i, &why);
            if (status == LW_LAKE_UNNAMED)
                waits = true;
            else if (status)
                return lw_fail(err, "%s", why.text);
        }
        if (!waits || !placed(job))
            break;
    }
    return 0;
}

static bool is_contours(const struct job *job, int i)
{
    return job->kind[i] == VECTOR && job->vector[i].holds == LW_HOLDS_CONTOURS;
}

static bool is_soundings(const struct job *job, int i)
{
    return job->kind[i] == VECTOR && job->vector[i].holds == LW_HOLDS_SOUNDINGS;
}

static bool is_table(const struct job *job, int i)
{
    return job->kind[i] == TABLE;
}

static bool is_raster(const struct job *job, int i)
{
    return job->kind[i] == RASTER;
}

static bool is_any(const struct job *job, int i)
{
    (void)job;
    (void)i;
    return true;
}

static int open_files(struct job *job, const char *scratch, struct lw_error *err)
{
    struct lw_gather *gather = job->gather;

    for (int i = 0; i < job->options->maps; i++) {
        const struct lw_map_file *file = &job->options->map[i];

        lw_source_start(&gather->source[i], file);
        gather->sources = i + 1;
        job->kind[i] = lw_raster_is(file->path) ? RASTER : lw_table_is(file->path) ? TABLE : VECTOR;
        if (job->kind[i] == VECTOR && lw_vector_open(file, scratch, &job->vector[i], err))
            return -1;
    }
    return 0;
}

int lw_gather(const struct lw_import_options *options, const char *scratch, struct lw_gather *out,
              struct lw_error *err)
{
    static bool (*const order[])(const struct job *job, int i) = {is_contours, is_soundings,
                                                                  is_table, is_raster, is_any};
    struct job job = {.options = options, .gather = out, .place = lw_box_empty()};
    int status = -1;

    memset(out, 0, sizeof *out);
    out->first = -1;
    lw_progress_tell(&options->progress, 0, "reading the map");
    if (open_files(&job, scratch, err))
        goto done;
    for (size_t k = 0; k < sizeof order / sizeof *order; k++)
        if (read_those(&job, order[k], err))
            goto done;
    status = 0;
    for (int i = 0; i < out->sources && status == 0; i++)
        if (!job.done[i]) /* a name that no file knows: again, for the sentence */
            status = read_file(&job, i, err) == 0 ? 0 : -1;
done:
    for (int i = 0; i < out->sources; i++)
        if (job.kind[i] == VECTOR)
            lw_vector_close(&job.vector[i]);
    if (status)
        lw_gather_free(out);
    return status;
}

void lw_gather_free(struct lw_gather *gather)
{
    for (int i = 0; i < gather->sources; i++)
        lw_source_free(&gather->source[i]);
    gather->sources = 0;
}
