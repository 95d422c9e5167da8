/* `lipwalk chart` as a script calls it: exit status, what is printed where, files. */
#include <criterion/criterion.h> /* before redirect.h, whose own asserts are only words */
#include <criterion/redirect.h>
#include <jansson.h>
#include <math.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lipwalk/cmd/commands.h"
#include "lw_test.h"

static char folder[200], map[300];

#define WORDS     30
#define SPARKLING "--at 46.0088,-89.6997 "

/* Calls the command with the words of `line`; %1$s in it is the map, %2$s the scratch folder. */
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
    return strcmp(words[0], "plan") == 0 ? lw_cmd_plan(n, words) : lw_cmd_chart(n, words);
}

static char *text_of(FILE *from)
{
    char *text = calloc(1, 200000);

    fflush(NULL);
    cr_assert_not_null(text);
    cr_assert_gt(fread(text, 1, 199999, from), 0);
    return text;
}

/* What a command prints, for the outside checks. */
static void output_of(const char *format, char *to, size_t size)
{
    char command[3000];
    FILE *pipe;

    snprintf(command, sizeof command, format, map, folder);
    pipe = popen(command, "r");
    cr_assert_not_null(pipe);
    to[fread(to, 1, size - 1, pipe)] = '\0';
    cr_assert_eq(pclose(pipe), 0, "%s", command);
}

static void write_points(void)
{
    char path[400];
    FILE *file;

    snprintf(path, sizeof path, "%s/points.csv", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    /* A BOM, other columns, quotes, CR LF, a place on land. */
    fprintf(file, "\xef\xbb\xbfname,lat_deg,\"lon_deg\"\r\n"
                  "\"a, b\",46.0080,-89.7000\r\n"
                  "c,46.0120,-89.6990\r\n"
                  "land,46.0200,-89.6990\r\n");
    fclose(file);
}

static void set_up(void)
{
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    cr_redirect_stdout();
    cr_redirect_stderr();
}

TestSuite(chart_command, .init = set_up, .timeout = 60);

Test(chart_command, refuses_a_wrong_call)
{
    cr_assert_eq(call("chart"), 2);
    cr_assert_eq(call("chart a --lake="), 2);
    cr_assert_eq(call("chart a --depth-sign sideways"), 2);
    cr_assert_eq(call("chart a --depth-unit inches"), 2);
    cr_assert_eq(call("chart a --crs WGS84"), 2);
    cr_assert_eq(call("chart a --out b"), 2);
    cr_assert_eq(call("chart a --at 91,0"), 2);
    cr_assert_eq(call("chart a --sample b --json"), 2);
    cr_assert_eq(call("chart a --no-such-option"), 2);
    cr_assert_eq(call("chart a --cell 0"), 2);
    cr_assert_eq(call("chart a --cell 5cm"), 2);
    cr_assert_eq(call("chart a a"), 2);
    cr_assert_eq(call("chart /nonexistent/map"), 1);
}

/* 13 contours and 18.288 m: read off the map with ogrinfo. */
Test(chart_command, json_in_si_units)
{
    static const char *const members[] = {"source",  "lake",        "depth_field", "depth_unit",
                                          "crs",     "unit_reason", "contours",    "deepest_m",
                                          "area_m2", "cell_m",      "warnings",    "sources",
                                          "hazards", "covers",      "soundings",   "sigma_m"};
    json_t *all, *contours;
    char *text;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    cr_assert_eq(call("chart %1$s " SPARKLING "--json"), 0);
    text = text_of(cr_get_redirected_stdout());
    all = json_loads(text, 0, NULL);
    cr_assert_not_null(all, "%s", text);
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        cr_assert_not_null(json_object_get(all, members[i]), "%s", members[i]);
    cr_assert_str_eq(json_string_value(json_array_get(json_object_get(all, "sources"), 0)), map);
    cr_assert_eq(json_array_size(json_object_get(all, "sources")), 1);
    cr_assert_eq(json_integer_value(json_object_get(all, "soundings")), 0);
    cr_assert_eq(json_array_size(json_object_get(all, "hazards")), 0);
    contours = json_object_get(all, "contours");
    cr_assert_eq(json_array_size(contours), 13);
    cr_assert_float_eq(json_real_value(json_object_get(all, "deepest_m")), 18.288, 1e-9);
    for (size_t i = 0; i < 13; i++) {
        const json_t *one = json_array_get(contours, i);

        cr_assert_float_eq(json_real_value(json_object_get(one, "depth_m")), 1.524 * (double)i,
                           1e-6);
        cr_assert_gt(json_real_value(json_object_get(one, "length_m")), 1000);
    }
    json_decref(all);
    free(text);
}

Test(chart_command, cells_of_a_size)
{
    json_t *all;
    char *text;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    cr_assert_eq(call("chart %1$s " SPARKLING "--json --cell 5m"), 0);
    text = text_of(cr_get_redirected_stdout());
    all = json_loads(text, 0, NULL);
    cr_assert_not_null(all, "%s", text);
    cr_assert_float_eq(json_real_value(json_object_get(all, "cell_m")), 5, 1e-9);
    json_decref(all);
    free(text);
}

Test(chart_command, summary_on_stdout_and_warnings_on_stderr)
{
    char *text;

    lw_test_data(map, sizeof map, "lakes/wingra_bathy.shp");
    cr_assert_eq(call("chart %1$s --crs EPSG:3070 --depth-field ID --depth-unit ft"), 0);
    text = text_of(cr_get_redirected_stdout());
    cr_assert_eq(strncmp(text, "4 contour depths, 2 to 12 ft, from ID in feet", 45), 0, "%s", text);
    free(text);
    text = text_of(cr_get_redirected_stderr());
    cr_assert_not_null(strstr(text, "warning: the map has no shore"), "%s", text);
    free(text);
}

Test(chart_command, what_cannot_be_done_is_status_1)
{
    char *text;

    lw_test_data(map, sizeof map, "lakes/sparkling-z.shp");
    cr_assert_eq(call("chart %1$s --depth-field Z"), 1);
    text = text_of(cr_get_redirected_stderr());
    cr_assert_not_null(strstr(text, "--depth-unit m to confirm"), "%s", text);
    free(text);
}

/* The written surface as GDAL reads it, at the places that --sample gives depths for. */
Test(chart_command, samples_and_the_surface_agree)
{
    char *text, *line, *save = NULL, theirs[200];

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    write_points();
    cr_assert_eq(call("chart %1$s " SPARKLING "--surface %2$s/s.tif --sample %2$s/points.csv"), 0);
    text = text_of(cr_get_redirected_stdout());
    line = strtok_r(text, "\n", &save);
    cr_assert_str_eq(line, "\xef\xbb\xbfname,lat_deg,\"lon_deg\",depth_m");
    line = strtok_r(NULL, "\n", &save);
    cr_assert_eq(strncmp(line, "\"a, b\",46.0080,-89.7000,", 24), 0, "%s", line);
    output_of("gdallocationinfo -valonly -wgs84 '%2$s/s.tif' -89.7000 46.0080", theirs,
              sizeof theirs);
    /* GDAL gives the cell, we interpolate: within what the bottom falls in a cell. */
    cr_assert_float_eq(strtod(line + 24, NULL), strtod(theirs, NULL), 0.5, "%s and %s", line,
                       theirs);
    line = strtok_r(NULL, "\n", &save);
    output_of("gdallocationinfo -valonly -wgs84 '%2$s/s.tif' -89.6990 46.0120", theirs,
              sizeof theirs);
    cr_assert_float_eq(strtod(strrchr(line, ',') + 1, NULL), strtod(theirs, NULL), 0.5, "%s and %s",
                       line, theirs);
    line = strtok_r(NULL, "\n", &save);
    cr_assert_str_eq(line, "land,46.0200,-89.6990,");
    free(text);
    output_of(
        "gdalinfo -stats --config GDAL_PAM_ENABLED NO '%2$s/s.tif' | grep -c 'NoData Value=nan'",
        theirs, sizeof theirs);
    cr_assert_eq(atoi(theirs), 1);
}

Test(chart_command, contour_as_geojson_for_others)
{
    char theirs[300];
    json_t *all;
    char path[400];

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    cr_assert_eq(call("chart %1$s " SPARKLING "--contour 9ft --out %2$s/nine.geojson"), 0);
    snprintf(path, sizeof path, "%s/nine.geojson", folder);
    all = json_load_file(path, 0, NULL);
    cr_assert_not_null(all);
    json_decref(all);
    output_of("ogrinfo -ro -so -al '%2$s/nine.geojson' | grep -c -E "
              "'^Feature Count: 1$|^Geometry: Line String$|^depth_m: Real'",
              theirs, sizeof theirs);
    cr_assert_eq(atoi(theirs), 3);
    cr_assert_eq(call("chart %1$s " SPARKLING "--contour 90ft --out %2$s/none.geojson"), 1);
}

Test(chart_command, points_file_without_its_columns)
{
    char path[400];
    FILE *file;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    snprintf(path, sizeof path, "%s/points.csv", folder);
    file = fopen(path, "w");
    fprintf(file, "x,y\n1,2\n");
    fclose(file);
    cr_assert_eq(call("chart %1$s " SPARKLING "--sample %2$s/points.csv"), 1);
    file = fopen(path, "w");
    fprintf(file, "lon_deg,lat_deg\n-89.7,north\n");
    fclose(file);
    cr_assert_eq(call("chart %1$s " SPARKLING "--sample %2$s/points.csv"), 1);
}

/* A map copied into the scratch folder as m.geojson must come out of the call as it was. */
static void spared(const char *format, int status)
{
    char was[400], now[400];
    char *a, *b;
    FILE *from, *to;

    lw_test_data(map, sizeof map, "lakes/sparkling-lines-negative-feet.geojson");
    snprintf(was, sizeof was, "%s", map);
    snprintf(now, sizeof now, "%s/m.geojson", folder);
    from = fopen(was, "r");
    cr_assert_not_null(from);
    a = text_of(from);
    to = fopen(now, "w");
    cr_assert_not_null(to);
    fputs(a, to);
    fclose(to);
    fclose(from);
    cr_assert_eq(call(format), status, "%s", format);
    from = fopen(now, "r");
    cr_assert_not_null(from, "%s", format);
    b = text_of(from);
    cr_assert_str_eq(a, b, "%s", format);
    fclose(from);
    free(a);
    free(b);
}

Test(chart_command, never_writes_over_what_it_reads)
{
    char from[400], to[400];

    snprintf(from, sizeof from, "%s/m.geojson", folder);
    spared("chart %2$s/m.geojson --lips %2$s/m.geojson", 2);
    spared("chart %2$s/m.geojson --picture %2$s/./m.geojson", 2);
    spared("chart %2$s/m.geojson --surface %2$s/m.geojson", 2);
    spared("chart %2$s/m.geojson --contour 10ft --out %2$s/m.geojson", 2);
    spared("chart %1$s --add-track %2$s/m.geojson --lips %2$s/m.geojson", 2);
    spared("chart %1$s --sample %2$s/m.geojson --lips %2$s/m.geojson", 2);
    spared("plan --map %2$s/m.geojson --depth 10ft --out %2$s/m.geojson", 2);
    snprintf(to, sizeof to, "%s/link.geojson", folder);
    cr_assert_eq(symlink(from, to), 0);
    spared("chart %2$s/m.geojson --lips %2$s/link.geojson", 2);
    spared("chart %2$s/link.geojson --lips %2$s/m.geojson", 2);
    /* what is not there yet but would be read with the map from then on */
    spared("chart %2$s/m.geojson --picture %2$s/m.prj", 2);
    snprintf(to, sizeof to, "%s/m.prj", folder);
    cr_assert_neq(access(to, F_OK), 0);
    spared("chart %2$s/m.geojson --lips %2$s/a --picture %2$s/a", 2);
}

Test(chart_command, parts_of_a_shapefile_are_spared)
{
    char made[8];

    lw_test_data(map, sizeof map, "lakes/wingra_bathy.shp");
    map[strlen(map) - 4] = '\0';
    /* a copy: should the map be written to after all, it is not the outside data's */
    output_of("cp %1$s.shp %1$s.dbf %1$s.shx %2$s/", made, sizeof made);
    snprintf(map, sizeof map, "%s/wingra_bathy", folder);
    cr_assert_eq(call("chart %1$s.shp --picture %1$s.dbf"), 2);
    cr_assert_eq(call("chart %1$s.shp --picture %1$s.shx"), 2);
    cr_assert_eq(call("chart %1$s.shp --picture %1$s.cpg"), 2);
    cr_assert_eq(call("chart %1$s.shp --contour 2ft --out %2$s/none/w.geojson"
                      " --crs EPSG:3070 --depth-field ID --depth-unit ft"),
                 1);
}

Test(chart_command, where_nothing_can_be_written)
{
    static const char *const option[] = {"--surface", "--lips", "--picture",
                                         "--contour 10ft --out"};
    static const char *const place[] = {"%2$s/none/x", "%2$s", "/proc/x", "/dev/full"};
    char format[400], path[400], *text;
    struct stat st;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < (i ? 4 : 3); k++) { /* a surface never to a device, see below */
            snprintf(format, sizeof format, "chart %%1$s " SPARKLING "%s %s", option[i], place[k]);
            cr_assert_eq(call(format), 1, "%s", format);
        }
    text = text_of(cr_get_redirected_stderr());
    cr_assert_not_null(strstr(text, "cannot be written"), "%s", text);
    free(text);
    /* it once took the place of /dev/full */
    snprintf(path, sizeof path, "%s/pipe", folder);
    cr_assert_eq(mkfifo(path, 0600), 0);
    cr_assert_eq(call("chart %1$s " SPARKLING "--surface %2$s/pipe"), 1);
    cr_assert_eq(stat(path, &st), 0);
    cr_assert(S_ISFIFO(st.st_mode), "a pipe was replaced by a file");
}

static size_t columns_of(const char *text, size_t n)
{
    size_t columns = 0;

    for (size_t k = 0; k < n; k++)
        columns += ((unsigned char)text[k] & 0xC0) != 0x80;
    return columns;
}

Test(chart_command, lips_as_a_table)
{
    char path[400], *text, *line;
    json_t *all;
    size_t rows = 0, lips = 0;

    lw_test_data(map, sizeof map, "lakes/crystal.kmz");
    snprintf(path, sizeof path, "%s/lips.geojson", folder);
    cr_assert_eq(call("chart %1$s --lips %2$s/lips.geojson"), 0);
    text = text_of(cr_get_redirected_stdout());
    all = json_load_file(path, 0, NULL);
    cr_assert_not_null(all);
    for (size_t i = 0; i < json_array_size(json_object_get(all, "features")); i++)
        lips += json_object_get(json_object_get(json_array_get(json_object_get(all, "features"), i),
                                                "properties"),
                                "depths_m") != NULL;
    line = strstr(text, "    lip      depth   drop   break   length  off by  along it\n");
    cr_assert_not_null(line, "%s", text);
    for (; *line; line = strchr(line, '\n') + 1) {
        rows += strstr(line, "+-") && strstr(line, "+-") < strchr(line, '\n');
        cr_assert_leq(columns_of(line, strcspn(line, "\n")), 80, "%s", line);
    }
    cr_assert_gt(lips, 3);
    cr_assert_eq(rows, lips);
    json_decref(all);
    free(text);
}

Test(chart_command, lips_with_the_sign)
{
    char path[400], *text;
    FILE *file;

    snprintf(path, sizeof path, "%s/lipwalk", folder);
    mkdir(path, 0700);
    snprintf(path, sizeof path, "%s/lipwalk/lipwalk.conf", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fputs("glyphs = utf8\n", file);
    fclose(file);
    lw_test_data(map, sizeof map, "lakes/crystal.kmz");
    cr_assert_eq(call("chart %1$s --lips /dev/null"), 0);
    text = text_of(cr_get_redirected_stdout());
    cr_assert_not_null(strstr(text, "±"), "%s", text);
    cr_assert_null(strstr(text, "+-"), "%s", text);
    free(text);
}
