/* The parent's side of the import: key, cache, child. */
#include "lipwalk/map/import.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "build.h"
#include "child.h"
#include "depth_field.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/folder.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "prune.h"
#include "reader.h"
#include "scratch.h"
#include "told.h"

/* 25 million cells, the most a surface may have, take about 2.5 GB while it is made, and some
 * minutes on a slow computer; who is tired of waiting can cancel. */
#define TIMEOUT_S  300
#define MEMORY_MB  3072
#define CELL_MIN_M 0.1
#define CELL_MAX_M 1000.0

void lw_import_options_clear(struct lw_import_options *options)
{
    *options = (struct lw_import_options){.at = {NAN, NAN}, .stage_m = 0, .cell_m = NAN};
    for (int i = 0; i < LW_MAPS_MAX; i++)
        options->map[i].water_level_m = NAN;
}

int lw_import_options_check(const struct lw_import_options *options, struct lw_error *err)
{
    if (!isnan(options->cell_m) &&
        !(options->cell_m >= CELL_MIN_M && options->cell_m <= CELL_MAX_M))
        return lw_fail(err, "--cell wants a size from %g m to %g m, not %g m", CELL_MIN_M,
                       CELL_MAX_M, options->cell_m);
    for (int i = 0; i < options->maps; i++) {
        const struct lw_map_file *file = &options->map[i];

        if (file->depth_unit && lw_depth_unit_from(file->depth_unit) == LW_UNIT_NONE)
            return lw_fail(err, "--depth-unit wants ft, m, ftUS, cm or fathom, not \"%s\"",
                           file->depth_unit);
        if (file->crs && !lw_reader_epsg(file->crs))
            return lw_fail(err,
                           "--crs wants an EPSG code such as EPSG:4326 or EPSG:26915, not \"%s\"",
                           file->crs);
        for (int k = 0; k < i; k++)
            if (strcmp(options->map[k].path, file->path) == 0)
                return lw_fail(err, "the map %s is given twice", file->path);
    }
    return 0;
}

static uint64_t add_text(uint64_t hash, const char *text)
{
    return text ? lw_hash_add(hash, text, strlen(text) + 1) : lw_hash_add(hash, "\1", 2);
}

static uint64_t add_number(uint64_t hash, double value)
{
    return isnan(value) ? lw_hash_add(hash, "-", 2) : lw_hash_add(hash, &value, sizeof value);
}

static int add_file(const struct lw_map_file *file, uint64_t *key, struct lw_error *err)
{
    int sign = (int)file->sign;

    *key = add_text(*key, file->path);
    *key = add_text(*key, file->crs);
    *key = add_text(*key, file->depth_field);
    *key = add_text(*key, file->depth_unit);
    *key = lw_hash_add(*key, &sign, sizeof sign);
    *key = add_number(*key, file->water_level_m);
    return lw_scratch_hash(file->path, key, err);
}

static uint64_t add_track(uint64_t hash, const struct lw_track *track)
{
    hash = add_text(hash, track->name);
    hash = add_number(hash, track->stage_m);
    for (size_t i = 0; i < track->n; i++) {
        const struct lw_track_sounding *p = &track->p[i];

        hash = add_number(hash, p->at.lat_deg);
        hash = add_number(hash, p->at.lon_deg);
        hash = lw_hash_add(hash, &p->at_utc_ms, sizeof p->at_utc_ms);
        hash = add_number(hash, p->depth_m);
    }
    return hash;
}

static uint64_t add_crew(uint64_t hash, const struct lw_crew_cover *cover)
{
    int kind = (int)cover->kind;

    hash = lw_hash_add(hash, &kind, sizeof kind);
    hash = add_number(hash, cover->at.lat_deg);
    return add_number(hash, cover->at.lon_deg);
}

/* Everything that the result depends on. */
static int make_key(const struct lw_import_options *options, uint64_t *key, struct lw_error *err)
{
    int version = LW_CACHE_VERSION;

    *key = lw_hash_add(0, &version, sizeof version);
    *key = add_number(*key, options->at.lat_deg);
    *key = add_number(*key, options->at.lon_deg);
    *key = add_text(*key, options->lake);
    *key = add_number(*key, options->stage_m);
    *key = add_number(*key, options->cell_m);
    for (int i = 0; i < options->maps; i++)
        if (add_file(&options->map[i], key, err))
            return -1;
    for (int i = 0; i < options->closeds; i++) {
        *key = add_text(*key, options->closed[i]);
        if (lw_scratch_hash(options->closed[i], key, err))
            return -1;
    }
    for (int i = 0; i < options->tracks; i++)
        *key = add_track(*key, &options->track[i]);
    for (size_t i = 0; i < options->crews; i++)
        *key = add_crew(*key, &options->crew[i]);
    return 0;
}

/* The report lies beside the cache file as text, a line for the summary and one for each warning.
 */
static void report_path(char *to, size_t size, const char *cache_path)
{
    snprintf(to, size, "%s.txt", cache_path);
}

static void save_report(const struct lw_import_report *report)
{
    char path[600], text[sizeof report->summary + sizeof report->warning + 64] = "";

    report_path(path, sizeof path, report->cache_path);
    lw_text_add(text, sizeof text, "%s\n", report->summary);
    for (int i = 0; i < report->warnings; i++)
        lw_text_add(text, sizeof text, "%s\n", report->warning[i]);
    lw_file_save(path, 0600, text, strlen(text), NULL); /* without it the map is read again */
}

static bool load_report(struct lw_import_report *report)
{
    char path[600], line[600];
    bool any = false;
    FILE *file;

    report_path(path, sizeof path, report->cache_path);
    file = fopen(path, "re");
    while (file && fgets(line, sizeof line, file)) {
        line[strcspn(line, "\n")] = '\0';
        if (!any)
            lw_text_clean(report->summary, sizeof report->summary, line);
        else if (report->warnings < LW_WARNINGS_MAX)
            lw_text_clean(report->warning[report->warnings++], sizeof report->warning[0], line);
        any = true;
    }
    if (file)
        fclose(file);
    return any;
}

/* An earlier run's cache file counts only if it opens. */
static bool find_cache(struct lw_import_report *report, struct lw_chart **chart)
{
    if (access(report->cache_path, R_OK) || lw_chart_open(report->cache_path, chart, NULL))
        return false;
    if (load_report(report)) {
        report->from_cache = true;
        return true;
    }
    lw_chart_free(*chart);
    *chart = NULL;
    memset(report->warning, 0, sizeof report->warning);
    report->warnings = 0;
    return false;
}

struct task {
    const struct lw_import_options *options;
    const char *scratch, *cache_path;
    struct lw_told *told;
};

/* In the child. */
static int import_in_child(const void *data, void *reply, struct lw_error *err)
{
    const struct task *task = data;
    struct lw_import_options options = *task->options;
    struct lw_chart *chart = NULL;
    int status;

    options.progress = lw_told_progress(task->told);
    options.cancel = NULL; /* the parent ends us */
    status = lw_chart_build(&options, task->scratch, &chart, reply, err);
    lw_progress_tell(&options.progress, 0.98, "saving");
    if (status == 0)
        status = lw_chart_save(chart, task->cache_path, err);
    lw_chart_free(chart);
    return status;
}

static void clean_report(struct lw_import_report *to, struct lw_import_report *foreign)
{
    foreign->summary[sizeof foreign->summary - 1] = '\0';
    lw_text_clean(to->summary, sizeof to->summary, foreign->summary);
    to->warnings = 0;
    for (int i = 0; i < foreign->warnings && i < LW_WARNINGS_MAX; i++) {
        foreign->warning[i][sizeof foreign->warning[i] - 1] = '\0';
        lw_text_clean(to->warning[to->warnings++], sizeof to->warning[0], foreign->warning[i]);
    }
}

/* In the parent, while the child works. */
static void look(void *data)
{
    const struct task *task = data;

    lw_told_pass_on(task->told, &task->options->progress);
}

/* "reading lake.shp and 2 more" */
static void say_what(char *to, size_t size, const struct lw_import_options *options)
{
    lw_text_copy(to, size, "");
    lw_text_add(to, size, "reading %.200s", lw_text_file_name(options->map[0].path));
    if (options->maps > 1)
        lw_text_add(to, size, " and %d more", options->maps - 1);
}

/* Runs the child, with a scratch folder for as long as it works. */
static int run(const struct lw_import_options *options, const char *folder,
               struct lw_import_report *report, struct lw_error *err)
{
    struct lw_import_report *reply = calloc(1, sizeof *reply);
    char scratch[500], draft[600], what[300];
    struct task task = {options, scratch, report->cache_path, lw_told_new()};
    struct lw_child child = {.work = import_in_child,
                             .task = &task,
                             .reply = reply,
                             .reply_size = sizeof *reply,
                             .what = what,
                             .timeout_s = options->timeout_s > 0 ? options->timeout_s : TIMEOUT_S,
                             .memory_mb = options->memory_mb > 0 ? options->memory_mb : MEMORY_MB,
                             .look = look,
                             .look_context = &task,
                             .cancel = options->cancel};
    int status = -1;

    snprintf(scratch, sizeof scratch, "%s/import-XXXXXX", folder);
    if (!reply || !task.told) {
        lw_fail(err, "out of memory");
    } else if (!mkdtemp(scratch)) {
        lw_fail(err, "no folder can be made in %s: %s", folder, strerror(errno));
    } else {
        say_what(what, sizeof what, options);
        status = lw_child_run(&child, err);
        lw_scratch_remove(scratch);
        lw_file_draft(draft, sizeof draft, report->cache_path, child.pid);
        if (status && child.pid > 0)
            unlink(draft);
    }
    if (status == 0)
        clean_report(report, reply);
    lw_told_free(task.told);
    free(reply);
    return status;
}

int lw_chart_import_open(const struct lw_import_options *options, struct lw_import_report *report,
                         struct lw_chart **chart, struct lw_error *err)
{
    char folder[440];
    uint64_t key = 0;

    memset(report, 0, sizeof *report);
    *chart = NULL;
    if (options->maps < 1)
        return lw_fail(err, "no map was given");
    if (lw_import_options_check(options, err) || lw_folder('h', folder, sizeof folder, err) ||
        make_key(options, &key, err))
        return -1;
    snprintf(report->cache_path, sizeof report->cache_path, "%s/chart-%016llx", folder,
             (unsigned long long)key);
    if (find_cache(report, chart))
        return 0;
    if (run(options, folder, report, err) == 0) {
        save_report(report);
        lw_cache_prune(folder, lw_clock_system_utc_ms() / 1000);
        if (lw_chart_open(report->cache_path, chart, err) == 0)
            return 0;
    }
    report->cache_path[0] = '\0';
    return -1;
}

int lw_chart_import(const struct lw_import_options *options, struct lw_import_report *report,
                    struct lw_error *err)
{
    struct lw_chart *chart;

    if (lw_chart_import_open(options, report, &chart, err))
        return -1;
    lw_chart_free(chart);
    return 0;
}
