/* A plan on a real lake, judged from the written file alone, by geodesics. */
#include <jansson.h>
#include <math.h>

#include "lipwalk/map/import.h"
#include "lipwalk/plan/file.h"
#include "lw_test.h"

#define FT   0.3048
#define MOST 20000

struct places {
    struct lw_ll at[MOST];
    size_t n;
};

static struct lw_ll place(const json_t *pair)
{
    return (struct lw_ll){json_number_value(json_array_get(pair, 1)),
                          json_number_value(json_array_get(pair, 0))};
}

static void collect(const json_t *coordinates, struct places *to)
{
    for (size_t i = 0; i < json_array_size(coordinates); i++) {
        cr_assert_lt(to->n, MOST);
        to->at[to->n++] = place(json_array_get(coordinates, i));
    }
}

/* Distance in metres to every segment of a line, each seen in the azimuthal frame about `at`, in
 * which distances from `at` are geodesic ones. Only segments with an end within reach_m count. */
static double geodesic_distance(const struct places *line, struct lw_ll at, double reach_m)
{
    double least_m = INFINITY;
    struct lw_en before = {NAN, NAN};

    for (size_t i = 0; i < line->n; i++) {
        struct lw_en now = {NAN, NAN};
        double dist_m, bearing_deg;

        /* A degree of latitude is at least 110.5 km, one of longitude here 77 km. */
        if (fabs(line->at[i].lat_deg - at.lat_deg) * 110500 < reach_m &&
            fabs(line->at[i].lon_deg - at.lon_deg) * 70000 < reach_m) {
            lw_geodesic(at, line->at[i], &dist_m, &bearing_deg);
            now.e_m = dist_m * sin(bearing_deg * M_PI / 180);
            now.n_m = dist_m * cos(bearing_deg * M_PI / 180);
        }
        if (!isnan(before.e_m) && !isnan(now.e_m)) {
            double e = now.e_m - before.e_m, n = now.n_m - before.n_m, square = e * e + n * n;
            double t = square > 0 ? -(before.e_m * e + before.n_m * n) / square : 0;

            t = fmin(1, fmax(0, t));
            least_m = fmin(least_m, hypot(before.e_m + t * e, before.n_m + t * n));
        }
        before = now;
    }
    return least_m;
}

static void open_lake(struct lw_chart **chart, const char *folder)
{
    static char map[300];
    struct lw_import_options options;
    static struct lw_import_report report;
    struct lw_error err = {""};

    setenv("XDG_CACHE_HOME", folder, 1);
    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    lw_import_options_clear(&options);
    options.map[0].path = map;
    options.maps = 1;
    options.at = (struct lw_ll){46.0088, -89.6997};
    cr_assert_eq(lw_chart_import(&options, &report, &err), 0, "%s", err.text);
    cr_assert_eq(lw_chart_open(report.cache_path, chart, &err), 0, "%s", err.text);
}

static struct lw_plan_params wanted(void)
{
    struct lw_plan_params p;

    lw_plan_params_clear(&p);
    p.depth_m = 10 * FT;
    p.near = (struct lw_ll){46.0145, -89.6997};
    p.length_m = 400;
    p.standoff_m = 35 * FT;
    p.cast_m = 80 * FT;
    p.fan_half_deg = 65;
    p.bow_min_deg = 20;
    p.bow_max_deg = 160;
    p.draft_m = 0.6;
    p.clearance_m = 3;
    p.berth_m = 10;
    p.boat_mps = 0.36;
    p.retrieve_mps = 0.46;
    p.coverage = 0.95;
    p.lip_worth = 2;
    p.fall_factor = 1;
    p.above_m = 0.3;
    p.swath_m = 8 * FT;
    p.up_m = 20 * FT;
    p.past_m = 10 * FT;
    p.min_depth_m = 3 * FT;
    p.move_s = 20;
    p.cast_s = 10;
    return p;
}

Test(real_lake, keeps_the_standoff_in_the_written_file, .timeout = 120)
{
    static struct places edge, hold;
    struct lw_plan_params params = wanted();
    struct lw_chart *chart;
    struct lw_plan *plan;
    struct lw_error err = {""};
    char folder[200], path[300];
    json_t *root, *features;
    double worst_m = 0;
    size_t casts = 0;

    lw_test_scratch(folder, sizeof folder);
    open_lake(&chart, folder);
    cr_assert_eq(lw_plan_make(chart, &params, &plan, &err), 0, "%s", err.text);
    snprintf(path, sizeof path, "%s/plan.geojson", folder);
    cr_assert_eq(lw_plan_write(plan, path, &err), 0, "%s", err.text);
    root = json_load_file(path, 0, NULL);
    features = json_object_get(root, "features");
    for (size_t i = 0; i < json_array_size(features); i++) {
        json_t *feature = json_array_get(features, i), *p = json_object_get(feature, "properties");
        json_t *c = json_object_get(json_object_get(feature, "geometry"), "coordinates");
        const char *role = json_string_value(json_object_get(p, "role"));

        if (strcmp(role, "edge") == 0)
            collect(c, &edge);
        else if (strcmp(role, "hold") == 0)
            collect(c, &hold);
    }
    cr_assert_gt(hold.n, 300); /* 400 m with a vertex a metre */
    for (size_t i = 0; i < hold.n; i++) {
        double dist_m = geodesic_distance(&edge, hold.at[i], 500);

        worst_m = fmax(worst_m, fabs(dist_m - 10.668));
        cr_assert_gt(lw_chart_depth(chart, lw_frame_to_en(&chart->frame, hold.at[i])), 10 * FT,
                     "hold vertex %zu is not on the deep side", i);
    }
    cr_assert_lt(worst_m, 0.1, "a hold vertex is %g m from its standoff", worst_m);
    cr_log_info("hold line: %zu vertices, greatest deviation %.6f m", hold.n, worst_m);

    for (size_t i = 0; i < json_array_size(features); i++) {
        json_t *feature = json_array_get(features, i), *p = json_object_get(feature, "properties");
        json_t *c = json_object_get(json_object_get(feature, "geometry"), "coordinates");
        double length_m, bearing_deg;
        bool on_station = false;

        if (strcmp(json_string_value(json_object_get(p, "role")), "cast") != 0)
            continue;
        casts++;
        lw_geodesic(place(json_array_get(c, 0)), place(json_array_get(c, 1)), &length_m,
                    &bearing_deg);
        cr_assert_leq(length_m, 80 * FT + 0.001);
        cr_assert_float_eq(
            lw_bearing_turn(bearing_deg, json_number_value(json_object_get(p, "bearing_deg"))), 0,
            0.05);
        for (size_t k = 0; k < json_array_size(features) && !on_station; k++) {
            json_t *other = json_array_get(features, k);
            json_t *q = json_object_get(other, "properties");

            on_station = strcmp(json_string_value(json_object_get(q, "role")), "station") == 0 &&
                         json_equal(json_object_get(q, "order"), json_object_get(p, "station")) &&
                         json_equal(
                             json_object_get(json_object_get(other, "geometry"), "coordinates"),
                             json_array_get(c, 0));
        }
        cr_assert(on_station, "cast %zu does not start on its station", casts);
    }
    cr_assert_gt(casts, 100);
    json_decref(root);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(real_lake, can_be_planned_all_round, .timeout = 120)
{
    struct lw_plan_params params = wanted();
    struct lw_chart *chart;
    struct lw_plan *plan;
    struct lw_error err = {""};
    char folder[200];
    size_t n = 0;
    struct lw_beat beat[8];

    lw_test_scratch(folder, sizeof folder);
    open_lake(&chart, folder);
    params.length_m = NAN;
    cr_assert_eq(lw_plan_make(chart, &params, &plan, &err), 0, "%s", err.text);
    cr_assert(plan->edge.closed);
    cr_assert_float_eq(lw_plan_beat_length(plan), lw_line_length(&plan->edge), 1e-6);
    for (size_t i = 1; i < plan->stations; i++)
        cr_assert_geq(plan->station[i].along_m, plan->station[i - 1].along_m - 1e-3);
    cr_assert_eq(lw_plan_beats(chart, params.depth_m, params.near, beat, 8, &n, &err), 0);
    cr_assert_geq(n, 1);
    cr_assert_float_eq(beat[0].length_m, lw_plan_beat_length(plan), 1e-3);
    lw_plan_free(plan);
    lw_chart_free(chart);
}
