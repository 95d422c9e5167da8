/* `lipwalk chart MAP --add-track FILE --json`: a day's journal, and files, folded in. */
#include <criterion/criterion.h> /* before redirect.h, whose own asserts are only words */
#include <criterion/redirect.h>
#include <jansson.h>
#include <math.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include "lipwalk/cmd/commands.h"
#include "lipwalk/event/event.h"
#include "lipwalk/journal/journal.h"
#include "map/map_test.h"

#define LAT   46.0
#define LON   -89.7
#define WORDS 30

static char folder[200], map[300], journal_path[300];

/* A bowl 300 m wide and 25 ft deep with a contour each 5 ft; the boat finds it 0.4 m fuller, and a
 * hump between two contours that the map has not: 0.6 m high, 142.5 m east of the middle. */
static double bowl(double e_m, double n_m)
{
    return (300 - hypot(e_m, n_m)) / 45 * 1.524;
}

static double truth(double e_m, double n_m)
{
    return bowl(e_m, n_m) - 0.6 * exp(-(pow(e_m - 142.5, 2) + n_m * n_m) / (2 * 7 * 7));
}

static void write_map(void)
{
    FILE *file;

    snprintf(map, sizeof map, "%s/bowl.geojson", folder);
    file = chart_test_map(map);
    for (int k = 0; k < 6; k++) {
        char properties[60];

        snprintf(properties, sizeof properties, "\"depth_ft\":%d", 5 * k);
        chart_test_ring(file, LAT, LON, 300 - 45 * k, properties);
    }
    chart_test_map_end(file);
}

static struct lw_event event_of(enum lw_event_kind kind, const char *trip, int64_t t)
{
    struct lw_event event = lw_event_new(kind, t);

    snprintf(event.trip, sizeof event.trip, "%s", trip);
    return event;
}

static void append(struct lw_journal *journal, struct lw_event *event)
{
    struct lw_error err = {""};

    while (lw_journal_append(journal, event, &err)) /* the queue may be full for a moment */
        cr_assert_eq(lw_journal_flush(journal, 10000, &err), 0, "%s", err.text);
}

static struct lw_where where_of(double e_m, double n_m)
{
    struct lw_frame frame = {{LAT, LON}};
    struct lw_where where = {
        .at = lw_frame_to_ll(&frame, (struct lw_en){e_m, n_m}), .age_s = 0, .sigma_m = 1};

    where.along_m = where.off_m = NAN;
    return where;
}

static void mark(struct lw_journal *journal, const char *trip, int64_t t, enum lw_mark_kind kind,
                 double e_m, double n_m, bool bait, bool undo)
{
    struct lw_event event = event_of(LW_EV_MARK, trip, t), back = event_of(LW_EV_UNDO, trip, t + 1);

    event.u.mark.kind = kind;
    event.u.mark.where = where_of(bait ? e_m - 30 : e_m, n_m);
    if (bait)
        event.u.mark.bait = where_of(e_m, n_m).at;
    append(journal, &event);
    back.u.undo.target = event.id;
    if (undo)
        append(journal, &back);
}

static void set(struct lw_journal *journal, const char *trip, int64_t t, const char *name,
                double value)
{
    struct lw_event event = event_of(LW_EV_SETTING, trip, t);

    snprintf(event.u.setting.name, sizeof event.u.setting.name, "%s", name);
    event.u.setting.value = value;
    append(journal, &event);
}

/* A trip over the hump in lines 4 m apart, the receiver 12 m to the west of the map: the crew finds
 * the shift late in the day. */
static void fish(struct lw_journal *journal, const char *trip, int64_t t, double stage_m)
{
    struct lw_event event = event_of(LW_EV_TRIP, trip, t);
    int count = 0;

    append(journal, &event);
    for (int line = -9; line <= 9; line++)
        for (int k = 0; k < 60; k++, count++) {
            double e_m = 60 + 2.0 * (line % 2 ? 59 - k : k), n_m = 4 * line;

            event = event_of(LW_EV_TRACK, trip, t += 1000);
            event.u.track.where = where_of(e_m - 12, n_m);
            event.u.track.depth_m = truth(e_m, n_m) + stage_m;
            if (count % 11 == 0)
                event.u.track.depth_m *= 2;
            if (count % 13 == 0)
                event.u.track.depth_m = NAN;
            append(journal, &event);
        }
    mark(journal, trip, t += 1000, LW_MARK_ROCK, 120 - 12, 0, false, false);
    mark(journal, trip, t += 1000, LW_MARK_ROCK, 40, 0, false, true);
    mark(journal, trip, t += 1000, LW_MARK_WEED, 200 - 12, 10, true, false);
    mark(journal, trip, t += 1000, LW_MARK_FISH, 90, 0, true, false);
    set(journal, trip, t += 1000, "shift_e_m", 5);
    set(journal, trip, t += 1000, "shift_e_m", 12);
}

static void write_journal(bool twice)
{
    struct lw_journal *journal = NULL;
    struct lw_error err = {""};

    snprintf(journal_path, sizeof journal_path, "%s/day.db", folder);
    cr_assert_eq(lw_journal_open(journal_path, &journal, &err), 0, "%s", err.text);
    fish(journal, "20260511-060000-0001", INT64_C(1778479200000), 0.4);
    if (twice)
        fish(journal, "20260801-060000-0002", INT64_C(1785564000000), -0.25);
    cr_assert_eq(lw_journal_close(journal, &err), 0, "%s", err.text);
}

static void set_up(void)
{
    chart_test_folder(folder, sizeof folder);
    setenv("XDG_CONFIG_HOME", folder, 1);
    write_map();
    cr_redirect_stdout();
    cr_redirect_stderr();
}

TestSuite(add_track, .init = set_up, .timeout = 60);

/* %1$s: the map, %2$s: the folder */
static int call(const char *format)
{
    static char line[2000];
    char *words[WORDS], *save = NULL;
    int n = 0;

    snprintf(line, sizeof line, format, map, folder);
    for (char *word = strtok_r(line, " ", &save); word && n + 1 < WORDS;
         word = strtok_r(NULL, " ", &save))
        words[n++] = word;
    words[n] = NULL;
    return lw_cmd_chart(n, words);
}

static char *text_of(FILE *from)
{
    char *text = calloc(1, 200000);

    fflush(NULL);
    cr_assert_not_null(text);
    cr_assert_gt(fread(text, 1, 199999, from), 0);
    return text;
}

static json_t *json_of(void)
{
    char *text = text_of(cr_get_redirected_stdout());
    json_t *all = json_loads(text, 0, NULL);

    cr_assert_not_null(all, "%s", text);
    free(text);
    return all;
}

static bool warned(const json_t *all, const char *what)
{
    const json_t *list = json_object_get(all, "warnings");
    size_t i;
    json_t *one;

    json_array_foreach(list, i, one)
    {
        if (strstr(json_string_value(one), what))
            return true;
    }
    return false;
}

/* The chart's depth there, by --sample; `option` may be "". */
static double sample(const char *option, double e_m, double n_m)
{
    struct lw_where where = where_of(e_m, n_m);
    char path[300], line[500], *text;
    double lon, lat, depth_m = NAN;
    FILE *file;

    snprintf(path, sizeof path, "%s/points.csv", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fprintf(file, "lon_deg,lat_deg\n%.9f,%.9f\n", where.at.lon_deg, where.at.lat_deg);
    fclose(file);
    snprintf(line, sizeof line, "chart %%1$s %s --sample %%2$s/points.csv", option);
    cr_assert_eq(call(line), 0);
    text = text_of(cr_get_redirected_stdout());
    cr_assert_eq(sscanf(text, "%*[^\n] %lf,%lf,%lf", &lon, &lat, &depth_m), 3, "%s", text);
    free(text);
    return depth_m;
}

/* The hump is found where it is on the map, at the map's own level; the crew's rock lies on it. */
Test(add_track, journal_makes_the_map_better)
{
    json_t *all, *covers;
    size_t i, rocks = 0, weeds = 0;
    json_t *one;

    write_journal(false);
    cr_assert_eq(call("chart %1$s --add-track %2$s/day.db --json"), 0);
    all = json_of();
    cr_assert(warned(all, "track of 2026-05-11"));
    cr_assert(warned(all, "soundings folded in, level +0.4"), "%s", json_dumps(all, 0));
    cr_assert(warned(all, "spikes left out"));
    cr_assert_gt(json_integer_value(json_object_get(all, "soundings")), 500);
    covers = json_object_get(all, "covers");
    json_array_foreach(covers, i, one)
    {
        struct lw_frame frame = {{LAT, LON}};
        struct lw_ll at = {json_real_value(json_object_get(one, "lat")),
                           json_real_value(json_object_get(one, "lon"))};
        struct lw_en en = lw_frame_to_en(&frame, at);
        bool rock = strcmp(json_string_value(json_object_get(one, "kind")), "rock") == 0;

        cr_assert(json_is_true(json_object_get(one, "crew")));
        cr_assert_float_eq(en.e_m, rock ? 120 : 200, 0.1);
        cr_assert_float_eq(en.n_m, rock ? 0 : 10, 0.1);
        rocks += rock;
        weeds += !rock;
    }
    cr_assert_eq(rocks, 1);
    cr_assert_eq(weeds, 1);
    json_decref(all);
}

Test(add_track, depths_by_sample)
{
    double on_hump = truth(142.5, 0), before, after;

    write_journal(false);
    before = sample("", 142.5, 0);
    cr_assert_gt(before - on_hump, 0.5, "the map alone does not know it: %.2f", before);
    after = sample("--add-track %2$s/day.db", 142.5, 0);
    cr_assert_lt(fabs(after - on_hump), 0.15, "%.2f for %.2f", after, on_hump);
}

Test(add_track, far_away_nothing_changes)
{
    double before, after;

    write_journal(false);
    before = sample("", -180, 60);
    after = sample("--add-track %2$s/day.db", -180, 60);
    cr_assert_lt(fabs(before - after), 0.02, "%.3f %.3f", before, after);
}

/* Two trips with two levels: each is measured for itself, and one line tells of both. */
Test(add_track, each_trip_has_its_level)
{
    json_t *all;

    write_journal(true);
    cr_assert_eq(call("chart %1$s --add-track %2$s/day.db --json"), 0);
    all = json_of();
    cr_assert(warned(all, "2 tracks: "));
    cr_assert(warned(all, "levels -0.2"));
    cr_assert(warned(all, " to +0.4"));
    cr_assert(warned(all, "2 of them measured"));
    cr_assert_eq(json_array_size(json_object_get(all, "warnings")), 1, "%s", json_dumps(all, 0));
    json_decref(all);
}

/* The journal may be the one that is in use: nothing of it changes, and its writer goes on. */
Test(add_track, journal_in_use_stays_whole)
{
    struct lw_journal *journal = NULL, *other = NULL;
    struct lw_error err = {""};
    struct lw_event event = event_of(LW_EV_MARK, "20260511-060000-0001", INT64_C(1778480000000));
    char log[320];
    struct stat is;

    write_journal(false);
    cr_assert_eq(lw_journal_open(journal_path, &journal, &err), 0, "%s", err.text);
    append(journal, &event);
    cr_assert_eq(lw_journal_flush(journal, 10000, &err), 0, "%s", err.text);
    cr_assert_eq(call("chart %1$s --add-track %2$s/day.db --json"), 0);
    /* had the scan dropped this process's locks, another that comes and goes would take the log */
    if (fork() == 0) {
        char command[400];

        snprintf(command, sizeof command, "sqlite3 %s 'select count(*) from event' >/dev/null 2>&1",
                 journal_path);
        _exit(system(command) == -1);
    }
    cr_assert_gt(wait(NULL), 0);
    snprintf(log, sizeof log, "%s-wal", journal_path);
    cr_assert_eq(stat(log, &is), 0, "the log is still there");
    append(journal, &event);
    cr_assert_eq(lw_journal_flush(journal, 10000, &err), 0, "%s", err.text);
    cr_assert_eq(lw_journal_close(journal, &err), 0, "%s", err.text);
    cr_assert_eq(lw_journal_open(journal_path, &other, &err), 0, "%s", err.text);
    lw_journal_close(other, NULL);
}

/* Read only, from a folder that cannot be written; its mode stays. */
Test(add_track, journal_is_not_changed)
{
    struct stat before, after;

    write_journal(false);
    cr_assert_eq(chmod(journal_path, 0444), 0);
    cr_assert_eq(stat(journal_path, &before), 0);
    cr_assert_eq(call("chart %1$s --add-track %2$s/day.db --json"), 0);
    cr_assert_eq(stat(journal_path, &after), 0);
    cr_assert_eq(after.st_mode, before.st_mode);
    cr_assert_eq(after.st_size, before.st_size);
    cr_assert_eq(after.st_mtim.tv_nsec, before.st_mtim.tv_nsec);
}

static void refused(const char *format, const char *why)
{
    char *text;

    cr_assert_neq(call(format), 0);
    text = text_of(cr_get_redirected_stderr());
    cr_assert_not_null(strstr(text, why), "%s", text);
    free(text);
}

Test(add_track, refuses_what_is_none)
{
    refused("chart %1$s --add-track %2$s/nothing.db", "No such file");
}

Test(add_track, refuses_another_file)
{
    char path[300];
    FILE *file;

    snprintf(path, sizeof path, "%s/x.db", folder);
    file = fopen(path, "w");
    fputs("this is no journal, but long enough to be looked at as one: 0123456789", file);
    fclose(file);
    refused("chart %1$s --add-track %2$s/x.db", "no lipwalk journal");
}

Test(add_track, refuses_a_map_without_depths_of_places)
{
    refused("chart %1$s --add-track %1$s", "no places with a depth");
}

static void write_csv(double unit_m)
{
    char path[300];
    FILE *file;

    snprintf(path, sizeof path, "%s/track.csv", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fprintf(file, "lat,lon,depth\n");
    for (int line = -9; line <= 9; line++)
        for (int k = 0; k < 60; k++) {
            double e_m = 60 + 2.0 * (line % 2 ? 59 - k : k), n_m = 4 * line;
            struct lw_where where = where_of(e_m, n_m);

            fprintf(file, "%.8f,%.8f,%.2f\n", where.at.lat_deg, where.at.lon_deg,
                    (truth(e_m, n_m) + 0.4) / unit_m);
        }
    fclose(file);
}

/* What is said of the map's unit does not count for the track; what names the track does. */
Test(add_track, file_in_its_own_unit)
{
    json_t *all;

    write_csv(0.3048);
    cr_assert_eq(call("chart %1$s --add-track %2$s/track.csv --depth-unit track.csv=ft "
                      "--depth-unit bowl.geojson=ft --json"),
                 0);
    all = json_of();
    cr_assert(warned(all, "track track.csv: 1140 soundings folded in, level +0.4"));
    json_decref(all);
}

Test(add_track, file_in_the_wrong_unit_is_left_out)
{
    json_t *all;

    write_csv(0.3048);
    cr_assert_eq(call("chart %1$s --add-track %2$s/track.csv --depth-unit track.csv=m --json"), 0);
    all = json_of();
    cr_assert(warned(all, "track track.csv was left out"));
    cr_assert_eq(json_integer_value(json_object_get(all, "soundings")), 0);
    json_decref(all);
}

/* Outside track: the columns of USGS surveys, no header. It is named, so that it can be read. */
Test(add_track, outside_track_of_another_place)
{
    char path[300], line[900];
    json_t *all;

    lw_test_data(path, sizeof path, "tracks/track-depth-2010_1_13.txt");
    snprintf(line, sizeof line,
             "chart %%1$s --add-track %s --depth-field track-depth-2010_1_13.txt=10 --depth-unit "
             "track-depth-2010_1_13.txt=m --json",
             path);
    cr_assert_eq(call(line), 0);
    all = json_of();
    cr_assert(warned(all, "depths lies in the water"));
    json_decref(all);
}
