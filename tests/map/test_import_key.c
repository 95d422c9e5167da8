/* What makes a cached lake count as the same, and runs side by side. */
#include <dirent.h>
#include <pthread.h>
#include <sys/wait.h>

#include "map_test.h"

static char folder[200], map[300];

static void set_up(void)
{
    FILE *file;

    chart_test_folder(folder, sizeof folder);
    snprintf(map, sizeof map, "%s/tarn.geojson", folder);
    file = chart_test_map(map);
    chart_test_ring(file, 46, -89, 200, "\"depth_m\":0");
    chart_test_ring(file, 46, -89, 120, "\"depth_m\":3");
    chart_test_ring(file, 46, -89, 60, "\"depth_m\":6");
    chart_test_map_end(file);
}

TestSuite(import_key, .init = set_up);

static struct lw_import_options options(void)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    o.map[0].path = map;
    o.maps = 1;
    return o;
}

/* Whether it came from the cache; the cache file's path into `path`. */
static bool cached(const struct lw_import_options *o, char path[512])
{
    struct lw_import_report report;
    struct lw_error err = {""};

    cr_assert_eq(lw_chart_import(o, &report, &err), 0, "%s", err.text);
    if (path)
        snprintf(path, 512, "%s", report.cache_path);
    return report.from_cache;
}

Test(import_key, every_option_counts)
{
    struct lw_import_options plain = options(), o;
    struct lw_track_sounding deep = {{46, -89}, 1000, 7};
    struct lw_track track = {.p = &deep, .n = 1, .stage_m = NAN, .name = "tuesday"};
    struct lw_crew_cover cover = {{46, -89}, LW_COVER_WEED};

    cr_assert_not(cached(&plain, NULL));
    cr_assert(cached(&plain, NULL));
    o = plain;
    o.cell_m = 4;
    cr_assert_not(cached(&o, NULL));
    o = plain;
    o.stage_m = 0.2;
    cr_assert_not(cached(&o, NULL));
    o = plain;
    o.track = &track;
    o.tracks = 1;
    cr_assert_not(cached(&o, NULL), "a track");
    cr_assert(cached(&o, NULL));
    deep.depth_m = 7.5;
    cr_assert_not(cached(&o, NULL), "another depth of it");
    track.stage_m = 0.1;
    cr_assert_not(cached(&o, NULL), "its level");
    o = plain;
    o.crew = &cover;
    o.crews = 1;
    cr_assert_not(cached(&o, NULL), "the crew's cover");
    cover.kind = LW_COVER_ROCK;
    cr_assert_not(cached(&o, NULL));
    cr_assert(cached(&plain, NULL), "the first one still stands");
}

Test(import_key, opened_at_once_and_made_anew_when_damaged)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err = {""};

    cr_assert_eq(lw_chart_import_open(&o, &report, &chart, &err), 0, "%s", err.text);
    cr_assert_not(report.from_cache);
    cr_assert_gt(lw_chart_depth(chart, (struct lw_en){0, 0}), 5);
    lw_chart_free(chart);
    cr_assert_eq(truncate(report.cache_path, 700), 0);
    cr_assert_eq(lw_chart_import_open(&o, &report, &chart, &err), 0, "%s", err.text);
    cr_assert_not(report.from_cache);
    lw_chart_free(chart);
    cr_assert_eq(lw_chart_import_open(&o, &report, &chart, &err), 0, "%s", err.text);
    cr_assert(report.from_cache);
    cr_assert_neq(report.summary[0], '\0');
    lw_chart_free(chart);
}

Test(import_key, what_makes_no_sense_is_refused_before_the_map_is_read)
{
    struct lw_import_options o = options();
    struct lw_error err = {""};

    cr_assert_eq(lw_import_options_check(&o, &err), 0);
    o.cell_m = 0;
    cr_assert_eq(lw_import_options_check(&o, &err), -1);
    cr_assert_not_null(strstr(err.text, "--cell"), "%s", err.text);
    o.cell_m = INFINITY;
    cr_assert_eq(lw_import_options_check(&o, &err), -1);
    o = options();
    o.map[1].path = map;
    o.maps = 2;
    cr_assert_eq(lw_import_options_check(&o, &err), -1);
    cr_assert_not_null(strstr(err.text, "twice"), "%s", err.text);
}

static pthread_barrier_t both;

static void *import_in_thread(void *unused)
{
    struct lw_import_options o = options();
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err = {""};

    (void)unused;
    pthread_barrier_wait(&both);
    if (lw_chart_import_open(&o, &report, &chart, &err))
        return "failed";
    lw_chart_free(chart);
    return NULL;
}

/* Two threads and two processes at once: each gets its lake, and nothing is left lying about. The
 * barrier has them start together, and keeps one from forking while the other is being created:
 * gcc 12's AddressSanitizer leaves its list of threads locked in such a child. */
Test(import_key, side_by_side)
{
    pthread_t thread[2];
    char path[400];
    int charts = 0;
    DIR *dir;
    struct dirent *entry;
    pid_t pid = fork();

    cr_assert_geq(pid, 0);
    cr_assert_eq(pthread_barrier_init(&both, NULL, 2), 0);
    for (int i = 0; i < 2; i++)
        cr_assert_eq(pthread_create(&thread[i], NULL, import_in_thread, NULL), 0);
    for (int i = 0; i < 2; i++) {
        void *result;

        pthread_join(thread[i], &result);
        if (pid == 0 && result)
            _exit(1);
        cr_assert_null(result);
    }
    if (pid == 0)
        _exit(0);
    else {
        int how;

        cr_assert_eq(waitpid(pid, &how, 0), pid);
        cr_assert(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    }
    snprintf(path, sizeof path, "%s/lipwalk", folder);
    dir = opendir(path);
    cr_assert_not_null(dir);
    while ((entry = readdir(dir)) != NULL) {
        cr_assert_null(strstr(entry->d_name, "import-"), "%s", entry->d_name);
        cr_assert_null(strstr(entry->d_name, ".new"), "%s", entry->d_name);
        charts += strncmp(entry->d_name, "chart-", 6) == 0;
    }
    closedir(dir);
    cr_assert_eq(charts, 2, "one cache file and its report");
}
