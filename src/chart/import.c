/* The parent's side of the import: key, cache, child. */
#include "lipwalk/chart/import.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "build.h"
#include "cache.h"
#include "child.h"
#include "depth_field.h"
#include "lipwalk/base/folder.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "reader.h"
#include "scratch.h"

#define TIMEOUT_S 120
#define MEMORY_MB 2048

void lw_import_options_clear(struct lw_import_options *options)
{
    *options = (struct lw_import_options){.at = {NAN, NAN}, .stage_m = 0, .cell_m = NAN};
    for (int i = 0; i < LW_MAPS_MAX; i++)
        options->map[i].water_level_m = NAN;
}

int lw_import_options_check(const struct lw_import_options *options, struct lw_error *err)
{
    for (int i = 0; i < options->maps; i++) {
        const struct lw_map_file *file = &options->map[i];

        if (file->depth_unit && lw_depth_unit_from(file->depth_unit) == LW_UNIT_NONE)
            return lw_fail(err, "--depth-unit wants ft, m, ftUS, cm or fathom, not \"%s\"",
                           file->depth_unit);
        if (file->crs && !lw_reader_epsg(file->crs))
            return lw_fail(err,
                           "--crs wants an EPSG code such as EPSG:4326 or EPSG:26915, not \"%s\"",
                           file->crs);
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
    char path[600];
    FILE *file;

    report_path(path, sizeof path, report->cache_path);
    file = fopen(path, "we");
    if (!file)
        return;
    fprintf(file, "%s\n", report->summary);
    for (int i = 0; i < report->warnings; i++)
        fprintf(file, "%s\n", report->warning[i]);
    fclose(file);
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
static bool find_cache(struct lw_import_report *report)
{
    struct lw_chart *chart;

    if (access(report->cache_path, R_OK) || lw_chart_open(report->cache_path, &chart, NULL))
        return false;
    lw_chart_free(chart);
    if (!load_report(report))
        return false;
    report->from_cache = true;
    return true;
}

struct task {
    const struct lw_import_options *options;
    const char *scratch, *cache_path;
};

/* In the child. */
static int import_in_child(const void *data, void *reply, struct lw_error *err)
{
    const struct task *task = data;
    struct lw_chart *chart = NULL;
    int status = lw_chart_build(task->options, task->scratch, &chart, reply, err);

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

int lw_chart_import(const struct lw_import_options *options, struct lw_import_report *report,
                    struct lw_error *err)
{
    struct lw_import_report *reply = calloc(1, sizeof *reply);
    char folder[440], scratch[500], draft[600], what[300];
    const char *slash = strrchr(options->map[0].path, '/');
    struct task task = {options, scratch, report->cache_path};
    struct lw_child child = {.work = import_in_child,
                             .task = &task,
                             .reply = reply,
                             .reply_size = sizeof *reply,
                             .what = what,
                             .timeout_s = options->timeout_s > 0 ? options->timeout_s : TIMEOUT_S,
                             .memory_mb = options->memory_mb > 0 ? options->memory_mb : MEMORY_MB,
                             .cancel = options->cancel};
    uint64_t key = 0;
    int status = -1;

    memset(report, 0, sizeof *report);
    if (!reply)
        return lw_fail(err, "out of memory");
    if (lw_import_options_check(options, err) || lw_folder('h', folder, sizeof folder, err) ||
        make_key(options, &key, err))
        goto done;
    snprintf(report->cache_path, sizeof report->cache_path, "%s/chart-%016llx", folder,
             (unsigned long long)key);
    if (find_cache(report)) {
        status = 0;
        goto done;
    }
    memset(report->warning, 0, sizeof report->warning);
    report->warnings = 0;
    snprintf(scratch, sizeof scratch, "%s/import-XXXXXX", folder);
    if (!mkdtemp(scratch)) {
        lw_fail(err, "no folder can be made in %s: %s", folder, strerror(errno));
        goto done;
    }
    snprintf(what, sizeof what, "reading %.200s", slash ? slash + 1 : options->map[0].path);
    status = lw_child_run(&child, err);
    lw_scratch_remove(scratch);
    if (status == 0) {
        clean_report(report, reply);
        save_report(report);
    } else {
        lw_file_draft(draft, sizeof draft, report->cache_path, child.pid);
        unlink(draft);
        report->cache_path[0] = '\0';
    }
done:
    free(reply);
    return status;
}
