/* `lipwalk cue` as it is called, its standard output in a file: recordings written here with places
 * that can be worked out on paper, and a real boat's. */
#include "lipwalk/cmd/commands.h"

#include "lipwalk/feed/nmea.h"
#include "lipwalk/plan/file.h"
#include "lw_test.h"
#include <jansson.h>
#include <math.h>
#include <time.h>

static char dir[200], log_path[256], plan_path[256], out_path[256];

static void set_up(void)
{
    lw_test_scratch(dir, sizeof dir);
    snprintf(log_path, sizeof log_path, "%s/a.nmea", dir);
    snprintf(plan_path, sizeof plan_path, "%s/plan.geojson", dir);
    snprintf(out_path, sizeof out_path, "%s/out", dir);
    setenv("XDG_CONFIG_HOME", dir, 1); /* nobody's settings */
    setenv("HOME", dir, 1);
}

static void clean_up(void)
{
    unlink(log_path);
    unlink(plan_path);
    unlink(out_path);
    rmdir(dir);
}

/* Runs the command with its output into out_path; the exit status. */
static int call(int argc, char **argv)
{
    int rc;

    cr_assert_not_null(freopen(out_path, "w", stdout));
    rc = lw_cmd_cue(argc, argv);
    fflush(stdout);
    return rc;
}
#define CALL(...)                                                                                  \
    call((int)(sizeof(char *[]){"cue", __VA_ARGS__} / sizeof(char *)),                             \
         (char *[]){"cue", __VA_ARGS__, NULL})

#define LINES 400
static json_t *line[LINES];
static int read_lines(void)
{
    FILE *file = fopen(out_path, "r");
    char text[4096];
    int n = 0;

    cr_assert_not_null(file);
    while (fgets(text, sizeof text, file)) {
        cr_assert_lt(n, LINES);
        line[n] = json_loads(text, 0, NULL);
        cr_assert(json_is_object(line[n]), "not one object a line: %s", text);
        n++;
    }
    fclose(file);
    return n;
}

static double number(int i, const char *name)
{
    json_t *value = json_object_get(line[i], name);

    cr_assert_not_null(value, "no %s", name);
    return json_is_null(value) ? NAN : json_number_value(value);
}
static const char *text(int i, const char *name)
{
    json_t *value = json_object_get(line[i], name);

    cr_assert_not_null(value, "no %s", name);
    return json_is_null(value) ? "null" : json_string_value(value);
}

static const char *const members[] = {"t_utc",       "fix",
                                      "lat",         "lon",
                                      "sigma_m",     "off_m",
                                      "dev_m",       "off_rate_mps",
                                      "along_m",     "sog_mps",
                                      "cog_deg",     "heading_deg",
                                      "depth_m",     "heading_source",
                                      "map_depth_m", "water_c",
                                      "wind_mps",    "wind_from_deg",
                                      "station",     "cast",
                                      "alarms"};
#define MEMBERS (sizeof members / sizeof members[0])

Test(cue, a_recorded_boat, .init = set_up, .fini = clean_up)
{
    char path[512];
    int n, stale = 0;

    lw_test_data(path, sizeof path, "nmea/boat-wind-depth-a.log");
    cr_assert_eq(CALL("--replay", path), 0);
    n = read_lines();
    for (int i = 0; i < n; i++) {
        for (size_t m = 0; m < MEMBERS; m++)
            cr_assert_not_null(json_object_get(line[i], members[m]), "no %s", members[m]);
        cr_assert_eq(json_object_size(line[i]), MEMBERS);
        stale += strcmp(text(i, "fix"), "stale") == 0;
    }
    /* gpsd's 147, the first one (gpsd knew no date yet), and 09:48:16, where its GLL was ahead */
    cr_assert_eq(n - stale, 149);
    cr_assert_str_eq(text(0, "t_utc"), "2018-08-20T09:47:36Z");
    cr_assert_str_eq(text(1, "fix"), "3d");
    cr_assert_float_eq(number(1, "lat"), 52.850140, 1e-4); /* gpsd's, filtered: a few metres */
    cr_assert_float_eq(number(1, "depth_m"), 5.8, 1e-9);   /* DPT 5.4 and offset 0.4 */
    cr_assert_float_eq(number(1, "wind_from_deg"), 327.8, 1e-9);
    cr_assert_float_eq(number(1, "wind_mps"), 5.8, 1e-9);
    cr_assert_str_eq(text(1, "heading_source"), "magnetic");
    cr_assert_float_eq(number(1, "sog_mps"), 2.881, 0.5);
    cr_assert(isnan(number(1, "water_c")), "an empty MTW is no reading");
    cr_assert(isnan(number(1, "off_m")) && isnan(number(1, "station")), "no plan");
    cr_assert(json_is_null(json_object_get(line[1], "cast")));
}

/* --- a plan on an edge that runs east from 46.01, -89.70, and a boat north of it --- */
static const struct lw_frame frame = {{46.01, -89.70}};

static void write_plan(bool hold_deep)
{
    struct lw_plan_params params;
    struct lw_line edge = {0};
    struct lw_plan *plan;
    struct lw_error err = {""};

    lw_plan_params_clear(&params);
    params.depth_m = NAN;
    params.near = (struct lw_ll){NAN, NAN};
    params.length_m = params.from_m = params.to_m = NAN;
    params.standoff_m = 10;
    params.hold_deep = hold_deep;
    params.cast_m = 24;
    params.fan_half_deg = 65;
    params.bow_min_deg = 20;
    params.bow_max_deg = 160;
    params.draft_m = 0.6;
    params.clearance_m = 3;
    params.berth_m = 10;
    params.boat_mps = 0.36;
    params.retrieve_mps = 0.46;
    params.coverage = 0.95;
    params.lip_worth = 2;
    params.fall_factor = 1;
    params.above_m = 0.3;
    params.swath_m = 2.4;
    params.up_m = 6;
    params.past_m = 3;
    params.min_depth_m = 1;
    params.move_s = 20;
    params.cast_s = 10;
    for (int i = 0; i <= 20; i++)
        cr_assert_eq(lw_line_add(&edge, (struct lw_en){10.0 * i, 0}), 0);
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &edge, true, &params, &plan, &err), 0, "%s",
                 err.text);
    cr_assert_eq(lw_plan_write(plan, plan_path, &err), 0, "%s", err.text);
    lw_plan_free(plan);
    lw_line_free(&edge);
}

static FILE *recording;
static void put(const char *body)
{
    char sentence[160];

    snprintf(sentence, sizeof sentence, "%s", body);
    cr_assert_gt(lw_nmea_seal(sentence, sizeof sentence), 0);
    fputs(sentence, recording);
}
/* RMC (lying still) and GGA at second s of 2024-05-11 17:45, the bow to the north. */
static void epoch(int s, double e_m, double n_m, bool fixed)
{
    struct lw_ll at = lw_frame_to_ll(&frame, (struct lw_en){e_m, n_m});
    double lat = at.lat_deg, lon = -at.lon_deg;
    char place[64], body[160];

    snprintf(place, sizeof place, "%02d%08.5f,N,%03d%08.5f,W", (int)lat, (lat - (int)lat) * 60,
             (int)lon, (lon - (int)lon) * 60);
    snprintf(body, sizeof body, "$GPRMC,1745%02d,%c,%s,0.0,,110524,,,%c", s, fixed ? 'A' : 'V',
             fixed ? place : ",,,", fixed ? 'A' : 'N');
    put(body);
    snprintf(body, sizeof body, "$GPGGA,1745%02d,%s,%d,09,0.9,500.0,M,-30.0,M,,", s,
             fixed ? place : ",,,", fixed);
    put(body);
    put("$GPHDT,0.0,T");
    put("$SDDPT,4.0,0.5,");
}

Test(cue, with_a_plan, .init = set_up, .fini = clean_up)
{
    json_t *cast;
    int n;

    write_plan(true);
    recording = fopen(log_path, "w");
    for (int s = 0; s < 10; s++)
        epoch(s, 100, 13, true);
    fclose(recording);
    cr_assert_eq(CALL("--replay", log_path, "--plan", plan_path), 0);
    n = read_lines();
    cr_assert_eq(n, 10);
    cr_assert_str_eq(text(9, "t_utc"), "2024-05-11T17:45:09Z");
    cr_assert_float_eq(number(9, "off_m"), 13, 0.03); /* a minute to 5 decimals is 1 cm */
    cr_assert_float_eq(number(9, "dev_m"), 3, 0.03);
    cr_assert_float_eq(number(9, "off_rate_mps"), 0, 0.01);
    cr_assert_float_eq(number(9, "along_m"), 100, 0.03);
    cr_assert_float_eq(number(9, "heading_deg"), 0, 1e-9);
    cr_assert_str_eq(text(9, "heading_source"), "compass");
    cr_assert_float_eq(number(9, "depth_m"), 4.5, 1e-9);
    cr_assert_eq(json_array_size(json_object_get(line[9], "alarms")), 0);
    cr_assert_geq(number(9, "station"), 1);
    cast = json_object_get(line[9], "cast");
    cr_assert_eq(json_integer_value(json_object_get(cast, "order")), 1);
    cr_assert_gt(json_number_value(json_object_get(cast, "length_m")), 13);
    { /* the edge lies south: behind a bow to the north, 4 to 8 o'clock */
        double deg = json_number_value(json_object_get(cast, "bearing_deg"));
        json_int_t clock = json_integer_value(json_object_get(cast, "clock"));

        cr_assert(deg > 100 && deg < 260);
        cr_assert_eq(clock, (json_int_t)lround(deg / 30));
    }
    cr_assert(json_is_null(json_object_get(cast, "landing_depth_m")), "no map");
}

Test(cue, dev_is_off_minus_the_signed_standoff, .init = set_up, .fini = clean_up)
{
    write_plan(false);
    recording = fopen(log_path, "w");
    for (int s = 0; s < 10; s++)
        epoch(s, 100, -13 + 0.1 * s, true);
    fclose(recording);
    cr_assert_eq(CALL("--replay", log_path, "--plan", plan_path, "--epochs", "9"), 0);
    cr_assert_eq(read_lines(), 9);
    cr_assert_lt(number(8, "off_m"), -11);
    cr_assert_float_eq(number(8, "dev_m"), number(8, "off_m") + 10, 2e-3);
    cr_assert_gt(number(8, "off_rate_mps"), 0.02, "off grows from -13 toward 0");
}

/* Two epochs, ten seconds of nothing, one, then no fix: each said once, and nothing made up. */
Test(cue, stale_and_no_fix, .init = set_up, .fini = clean_up)
{
    static const char *const fixes[] = {"3d", "3d", "stale", "3d", "none", "none"};
    static const char *const numbers[] = {"lat",     "lon",     "sigma_m", "off_m",  "dev_m",
                                          "along_m", "sog_mps", "cog_deg", "station"};
    int n;

    write_plan(true);
    recording = fopen(log_path, "w");
    epoch(0, 100, 13, true);
    epoch(1, 100, 13, true);
    epoch(11, 100, 13, true);
    epoch(12, 0, 0, false);
    epoch(13, 0, 0, false);
    fclose(recording);
    cr_assert_eq(CALL("--replay", log_path, "--plan", plan_path), 0);
    n = read_lines();
    cr_assert_eq(n, 6);
    for (int i = 0; i < n; i++) {
        bool fresh = fixes[i][1] == 'd';

        cr_assert_str_eq(text(i, "fix"), fixes[i]);
        for (size_t m = 0; m < sizeof numbers / sizeof numbers[0]; m++) {
            if (strcmp(numbers[m], "cog_deg") != 0 || !fresh)
                cr_assert_eq(isnan(number(i, numbers[m])), !fresh, "%s of line %d", numbers[m], i);
        }
        cr_assert_eq(json_is_null(json_object_get(line[i], "cast")), !fresh);
    }
    cr_assert_str_eq(json_string_value(json_array_get(json_object_get(line[2], "alarms"), 0)),
                     "stale");
    cr_assert_str_eq(json_string_value(json_array_get(json_object_get(line[4], "alarms"), 0)),
                     "no fix");
    /* said 2 to 3 s after the last epoch at 17:45:01 (2.5 epochs and how often it is looked at) */
    cr_assert_geq(strcmp(text(2, "t_utc"), "2024-05-11T17:45:03"), 0);
    cr_assert_leq(strcmp(text(2, "t_utc"), "2024-05-11T17:45:04"), 0);
}

Test(cue, speedup_paces, .init = set_up, .fini = clean_up)
{
    struct timespec a, b;
    double s;

    recording = fopen(log_path, "w");
    for (int i = 0; i < 5; i++)
        epoch(i, 0, 0, true);
    fclose(recording);
    clock_gettime(CLOCK_MONOTONIC, &a);
    cr_assert_eq(CALL("--replay", log_path, "--speedup", "10", "--json"), 0);
    clock_gettime(CLOCK_MONOTONIC, &b);
    s = (double)(b.tv_sec - a.tv_sec) + (double)(b.tv_nsec - a.tv_nsec) / 1e9;
    cr_assert_geq(s, 0.35); /* four seconds, ten times as fast */
    cr_assert_leq(s, 2.0);
    cr_assert_eq(read_lines(), 5);
}

Test(cue, wrong_calls, .init = set_up, .fini = clean_up)
{
    cr_assert_eq(CALL("--replay", "a", "--gpsd", "b:1"), 2);
    cr_assert_eq(CALL("--speedup", "2"), 2);
    cr_assert_eq(CALL("--replay", log_path, "--speedup", "0"), 2);
    cr_assert_eq(CALL("--nonsense"), 2);
    cr_assert_eq(CALL("--replay", log_path), 1, "no such file");
    cr_assert_eq(CALL("--gpsd", "::::"), 1);
}
