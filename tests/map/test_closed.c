/* Areas closed by local rules: read, understood, kept in the cache, refused with a sentence. */
#include <math.h>

#include "lipwalk/map/import.h"
#include "lipwalk/plan/care.h"
#include "lw_test.h"

static char folder[200], areas[300];
static struct lw_import_report report;
static struct lw_error err;

static void set_up(void)
{
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
    snprintf(areas, sizeof areas, "%s/closed.geojson", folder);
}

static void write_areas(const char *features)
{
    FILE *f = fopen(areas, "w");

    cr_assert_not_null(f);
    fprintf(f, "{\"type\":\"FeatureCollection\",\"features\":[%s]}", features);
    fclose(f);
}

/* Sparkling Lake, with the areas. */
static int open_lake(struct lw_chart **chart, const char *closed)
{
    static char map[300];
    struct lw_import_options options;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    lw_import_options_clear(&options);
    options.map[0].path = map;
    options.maps = 1;
    options.at = (struct lw_ll){46.0088, -89.6997};
    options.closed[0] = closed;
    options.closeds = 1;
    *chart = NULL;
    err.text[0] = '\0';
    if (lw_chart_import(&options, &report, &err))
        return -1;
    return lw_chart_open(report.cache_path, chart, &err);
}

static bool warned(const char *words)
{
    for (int i = 0; i < report.warnings; i++)
        if (strstr(report.warning[i], words))
            return true;
    return false;
}

static bool closed_at(const struct lw_chart *chart, double lat, double lon, bool fishing)
{
    return lw_care_closed(chart, lw_frame_to_en(&chart->frame, (struct lw_ll){lat, lon}),
                          fishing) >= 0;
}

#define BAY                                                                                        \
    "{\"type\":\"Feature\",\"properties\":{\"name\":\"Spawning bay\\u001b[2J\",\"closed\":"        \
    "\"to fishing until May\"},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":"                \
    "[[[-89.7005,46.0138],[-89.699,46.0138],[-89.699,46.0149],[-89.7005,46.0149],"                 \
    "[-89.7005,46.0138]],[[-89.7,46.0142],[-89.6995,46.0142],[-89.6995,46.0145],"                  \
    "[-89.7,46.0145],[-89.7,46.0142]]]}}"
#define SHORE                                                                                      \
    "{\"type\":\"Feature\",\"properties\":{\"Restriction\":\"No boats\"},\"geometry\":"            \
    "{\"type\":\"MultiPolygon\",\"coordinates\":[[[[-89.698,46.004],[-89.697,46.004],"             \
    "[-89.697,46.005],[-89.698,46.005],[-89.698,46.004]]]]}}"
#define ISLET                                                                                      \
    "{\"type\":\"Feature\",\"properties\":{\"rule\":\"NO ENTRY\"},\"geometry\":"                   \
    "{\"type\":\"Polygon\",\"coordinates\":[[[-89.7,46.008],[-89.699,46.008],[-89.699,46.009],"    \
    "[-89.7,46.009],[-89.7,46.008]]]}}"
#define FAR                                                                                        \
    "{\"type\":\"Feature\",\"properties\":{},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":"  \
    "[[[10,50],[10.01,50],[10.01,50.01],[10,50.01],[10,50]]]}}"

Test(closed, says_what_is_closed_to_whom, .init = set_up)
{
    struct lw_chart *chart;

    write_areas(BAY "," SHORE "," ISLET "," FAR);
    for (int again = 0; again < 2; again++) { /* the second time from the cache */
        cr_assert_eq(open_lake(&chart, areas), 0, "%s", err.text);
        cr_assert_eq(report.from_cache, again == 1);
        cr_assert(warned("3 closed areas") && warned("local regulations decide"));
        cr_assert_eq(chart->features.closeds, 4, "three, and one hole");
        cr_assert(closed_at(chart, 46.014, -89.7003, true), "the bay");
        cr_assert_not(closed_at(chart, 46.014, -89.7003, false), "boats may pass");
        cr_assert_not(closed_at(chart, 46.01435, -89.69975, true), "its hole");
        cr_assert(closed_at(chart, 46.0045, -89.6975, false));
        cr_assert_not(closed_at(chart, 46.0045, -89.6975, true));
        cr_assert(closed_at(chart, 46.0085, -89.6995, true));
        cr_assert(closed_at(chart, 46.0085, -89.6995, false));
        cr_assert_not(closed_at(chart, 46.0105, -89.6995, true));
        cr_assert(strstr(chart->features.closed[0].words, "Spawning bay"));
        cr_assert_null(strchr(chart->features.closed[0].words, '\033'));
        lw_chart_free(chart);
    }
    write_areas(BAY); /* the content counts, not the name */
    cr_assert_eq(open_lake(&chart, areas), 0, "%s", err.text);
    cr_assert_not(report.from_cache);
    cr_assert_eq(chart->features.closeds, 2);
    lw_chart_free(chart);
}

Test(closed, warns_of_areas_elsewhere, .init = set_up)
{
    struct lw_chart *chart;

    write_areas(FAR);
    cr_assert_eq(open_lake(&chart, areas), 0, "%s", err.text);
    cr_assert(warned("none of the 1 closed area of"));
    cr_assert_eq(chart->features.closeds, 0);
    lw_chart_free(chart);
}

/* Hostile and useless files end in a sentence that names them, never in a chart without the rule.
 */
Test(closed, refuses_what_it_cannot_read, .init = set_up)
{
    static const char *const name[] = {"malformed/geojson/linestring.geojson",
                                       "malformed/geojson/nullvalues.geojson",
                                       "malformed/geojson/point.geojson"};
    struct lw_chart *chart;
    char path[300];

    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        lw_test_data(path, sizeof path, name[i]);
        cr_assert_eq(open_lake(&chart, path), -1, "%s was taken", name[i]);
        cr_assert(strstr(err.text, strrchr(name[i], '/') + 1), "%s", err.text);
    }
    cr_assert_eq(open_lake(&chart, "/nowhere/areas.geojson"), -1);
    cr_assert(strstr(err.text, "/nowhere/areas.geojson"), "%s", err.text);
    write_areas("{\"type\":\"Feature\"");
    cr_assert_eq(open_lake(&chart, areas), -1);
    cr_assert(strstr(err.text, "closed.geojson"), "%s", err.text);
}
