/* The plan file: there and back without loss, RFC 7946's rules, an outside reader, refusals. */
#include <jansson.h>

#include "lake.h"
#include "lipwalk/plan/file.h"

static char *slurp(const char *path)
{
    FILE *f = fopen(path, "r");
    char *text = calloc(1, 8000000);

    cr_assert_not_null(f, "%s", path);
    cr_assert_gt(fread(text, 1, 7999999, f), 0);
    fclose(f);
    return text;
}

static void path_in(char to[static 300], const char *folder, const char *name)
{
    snprintf(to, 300, "%s/%s", folder, name);
}

static void there_and_back(const struct lw_plan *plan, const char *folder)
{
    char one[300], two[300], *first, *second;
    struct lw_plan *back = NULL;
    struct lw_error err = {""};

    path_in(one, folder, "one.geojson");
    path_in(two, folder, "two.geojson");
    cr_assert_eq(lw_plan_write(plan, one, &err), 0, "%s", err.text);
    cr_assert_eq(lw_plan_read(one, &back, &err), 0, "%s", err.text);
    cr_assert_eq(lw_plan_write(back, two, &err), 0, "%s", err.text);
    first = slurp(one);
    second = slurp(two);
    cr_assert(strcmp(first, second) == 0, "%s and %s differ", one, two);
    free(first);
    free(second);

    cr_assert_eq(back->edge.n, plan->edge.n);
    cr_assert_eq(back->edge.closed, plan->edge.closed);
    cr_assert_eq(back->hold.n, plan->hold.n);
    cr_assert_eq(back->hold.line[0].closed, plan->hold.line[0].closed);
    cr_assert_eq(back->belt.n, plan->belt.n);
    cr_assert_eq(back->stations, plan->stations);
    cr_assert_eq(back->casts, plan->casts);
    cr_assert_eq(back->deep_left, plan->deep_left);
    cr_assert_eq(back->params.hold_deep, plan->params.hold_deep);
    cr_assert_eq(back->params.backward, plan->params.backward);
    cr_assert_eq(back->params.retrieve_mps, plan->params.retrieve_mps);
    cr_assert_eq(back->detours, plan->detours);
    cr_assert_eq(back->mades, plan->mades);
    cr_assert_eq(back->warnings, plan->warnings);
    cr_assert_str_eq(back->lake, plan->lake);
    cr_assert_str_eq(back->map, plan->map);
    cr_assert_eq(isnan(back->params.from_m), isnan(plan->params.from_m));
    cr_assert_float_eq(back->params.standoff_m, plan->params.standoff_m, 1e-12);
    cr_assert_float_eq(back->beat_to_m, plan->beat_to_m, 1e-9);
    for (size_t i = 0; i < plan->casts; i++) {
        cr_assert_lt(lw_en_distance(back->cast[i].to, plan->cast[i].to), 2e-5);
        cr_assert_eq(back->cast[i].crosses_edge, plan->cast[i].crosses_edge);
        cr_assert_eq(back->station[back->cast[i].station - 1].at.e_m, back->cast[i].from.e_m);
    }
    for (size_t i = 0; i < plan->detours; i++) {
        cr_assert_eq(back->detour[i].why, plan->detour[i].why);
        cr_assert_eq(back->detour[i].way.n, plan->detour[i].way.n);
        cr_assert_str_eq(back->detour[i].words, plan->detour[i].words);
    }
    for (size_t i = 0; i < plan->mades; i++)
        cr_assert_lt(lw_en_distance(back->made[i].to, plan->made[i].to), 2e-5);
    for (size_t i = 0; i < plan->stations; i++)
        cr_assert_eq(back->station[i].cast0, plan->station[i].cast0);
    cr_assert_float_eq(lw_plan_offset(back, plan->station[0].at).off_m,
                       lw_plan_offset(plan, plan->station[0].at).off_m, 1e-4);
    lw_plan_free(back);
}

static struct lw_plan *shore_plan(struct lw_chart *chart, bool deep)
{
    struct lw_plan_params params = lake_params();

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    params.hold_deep = deep;
    return lake_plan(chart, &params);
}

/* The plan anew with casts made, and two detours, one of them without a way. */
static void made_and_round(const struct lw_chart *chart, struct lw_plan **plan)
{
    struct lw_made made[2] = {{(*plan)->cast[0].from, (*plan)->cast[0].to, 2.4},
                              {(*plan)->cast[1].from, (*plan)->cast[1].to, 2.5}};
    struct lw_plan_params params = (*plan)->params;
    struct lw_plan *anew = NULL;
    struct lw_error err = {""};

    params.backward = true;
    params.minutes = 30;
    cr_assert_eq(lw_plan_remake(chart, *plan, &params, made, 2, &anew, &err), 0, "%s", err.text);
    lw_plan_free(*plan);
    for (size_t i = 0; i < anew->detours; i++)
        lw_line_free(&anew->detour[i].way);
    free(anew->detour);
    anew->detour = calloc(2, sizeof *anew->detour);
    anew->detours = 2;
    anew->detour[0] = (struct lw_detour){.why = LW_DETOUR_SHALLOW,
                                         .words = "2 ft of water over \"the bar\"",
                                         .from_m = 10,
                                         .to_m = 25.5,
                                         .after = 1,
                                         .length_m = 31.25};
    cr_assert_eq(lw_line_copy(&anew->detour[0].way, &anew->hold.line[0]), 0);
    anew->detour[1] = (struct lw_detour){
        .why = LW_DETOUR_BEND, .words = "bends", .from_m = 30, .to_m = 40, .length_m = NAN};
    *plan = anew;
}

Test(file, comes_back_the_same)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    char folder[200];

    lw_test_scratch(folder, sizeof folder);
    for (int deep = 0; deep < 2; deep++) {
        plan = shore_plan(chart, deep);
        there_and_back(plan, folder);
        lw_plan_free(plan);
    }
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240}); /* rings, warnings */
    params.cast_m = 15;
    plan = lake_plan(chart, &params);
    cr_assert_gt(plan->warnings, 0);
    there_and_back(plan, folder);
    lw_plan_free(plan);
    plan = shore_plan(chart, true);
    made_and_round(chart, &plan);
    there_and_back(plan, folder);
    lw_plan_free(plan);
    lw_plan_params_clear(&params);
    params = lake_params();
    params.depth_m = NAN;
    plan = lake_straight(150, &params); /* no map: nulls */
    there_and_back(plan, folder);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

static double ring_area(const json_t *ring) /* shoelace in degrees: only the sign counts */
{
    double sum = 0;

    for (size_t i = 0; i + 1 < json_array_size(ring); i++) {
        const json_t *a = json_array_get(ring, i), *b = json_array_get(ring, i + 1);

        sum += json_real_value(json_array_get(a, 0)) * json_real_value(json_array_get(b, 1)) -
               json_real_value(json_array_get(b, 0)) * json_real_value(json_array_get(a, 1));
    }
    return sum / 2;
}

/* RFC 7946: 3.1.1 order longitude, latitude; 3.1.6 rings of four or more positions, closed, outer
 * counter-clockwise, holes clockwise; 4 no crs; 3.2 members of a Feature. */
static void check_rfc(const char *path, size_t features)
{
    json_t *root = json_load_file(path, 0, NULL), *all = json_object_get(root, "features");

    cr_assert_str_eq(json_string_value(json_object_get(root, "type")), "FeatureCollection");
    cr_assert_null(json_object_get(root, "crs"));
    cr_assert_eq(json_array_size(all), features);
    for (size_t i = 0; i < features; i++) {
        json_t *feature = json_array_get(all, i), *g = json_object_get(feature, "geometry");
        json_t *c = json_object_get(g, "coordinates"), *at = c;

        cr_assert_str_eq(json_string_value(json_object_get(feature, "type")), "Feature");
        cr_assert(json_is_object(json_object_get(feature, "properties")));
        while (json_is_array(json_array_get(at, 0)))
            at = json_array_get(at, 0);
        cr_assert_float_eq(json_real_value(json_array_get(at, 0)), -89.7, 0.02);
        cr_assert_float_eq(json_real_value(json_array_get(at, 1)), 46.2, 0.02);
        if (strcmp(json_string_value(json_object_get(g, "type")), "Polygon") != 0)
            continue;
        for (size_t k = 0; k < json_array_size(c); k++) {
            json_t *ring = json_array_get(c, k);

            cr_assert_geq(json_array_size(ring), 4);
            cr_assert(json_equal(json_array_get(ring, 0),
                                 json_array_get(ring, json_array_size(ring) - 1)));
            cr_assert_eq(ring_area(ring) > 0, k == 0);
        }
    }
    json_decref(root);
}

Test(file, keeps_the_rules_of_geojson)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_error err = {""};
    struct lw_plan *plan;
    char folder[200], path[300], command[700], line[300];
    long count = -1;
    FILE *info;

    lw_test_scratch(folder, sizeof folder);
    path_in(path, folder, "plan.geojson");
    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    plan = lake_plan(chart, &params); /* an annulus: one polygon with a hole */
    cr_assert_eq(lw_plan_write(plan, path, &err), 0, "%s", err.text);
    cr_assert_eq(plan->belt.n, 2);
    check_rfc(path, 1 + plan->hold.n + 1 + plan->stations + plan->casts);

    /* An outside reader counts the same (GDAL's ogrinfo). */
    snprintf(command, sizeof command, "ogrinfo -ro -so -al %s", path);
    info = popen(command, "r");
    cr_assert_not_null(info);
    while (fgets(line, sizeof line, info))
        sscanf(line, "Feature Count: %ld", &count);
    cr_assert_eq(pclose(info), 0);
    cr_assert_eq(count, (long)(1 + plan->hold.n + 1 + plan->stations + plan->casts + plan->detours));
    lw_plan_free(plan);
    lw_chart_free(chart);
}

/* Replaces the first `from` of the file and reads it. */
static void broken(const char *good, const char *folder, const char *from, const char *to,
                   const char *words)
{
    const char *at = strstr(good, from);
    struct lw_error err = {""};
    struct lw_plan *plan = NULL;
    char path[300];
    FILE *f;

    cr_assert_not_null(at, "%s is not in the file", from);
    path_in(path, folder, "broken.geojson");
    f = fopen(path, "w");
    fprintf(f, "%.*s%s%s", (int)(at - good), good, to, at + strlen(from));
    fclose(f);
    cr_assert_eq(lw_plan_read(path, &plan, &err), -1, "%s -> %s was taken", from, to);
    cr_assert_null(plan);
    cr_assert(strstr(err.text, "broken.geojson") && strstr(err.text, words),
              "\"%s\" does not say \"%s\"", err.text, words);
}

Test(file, names_what_is_wrong)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan *plan = shore_plan(chart, true), *none;
    struct lw_error err = {""};
    char folder[200], path[300], *good;

    lw_test_scratch(folder, sizeof folder);
    path_in(path, folder, "plan.geojson");
    cr_assert_eq(lw_plan_write(plan, path, &err), 0, "%s", err.text);
    good = slurp(path);
    broken(good, folder, "\"lipwalk\"", "\"other\"", "no \"lipwalk\" member");
    broken(good, folder, "\"version\":2", "\"version\":9", "version 9");
    broken(good, folder, "\"standoff_m\"", "\"stand\"", "\"standoff_m\" is missing");
    broken(good, folder, "\"deep_side\":\"left\"", "\"deep_side\":\"up\"", "\"deep_side\"");
    broken(good, folder, "\"swath_m\":2.4384", "\"swath_m\":\"8ft\"", "\"swath_m\"");
    broken(good, folder, "\"cast_m\":24.384", "\"cast_m\":null", "\"cast_m\"");
    broken(good, folder, "\"frame_origin\"", "\"origin\"", "\"frame_origin\"");
    broken(good, folder, "\"role\":\"edge\"", "\"role\":\"rim\"", "role \"edge\"");
    broken(good, folder, "\"role\":\"hold\"", "\"role\":\"line\"", "role \"hold\"");
    broken(good, folder, "\"closed\":false", "\"closed\":true", "ring that ends where it starts");
    broken(good, folder, "\"along_m\"", "\"along\"", "(station): its \"along_m\"");
    broken(good, folder, "\"role\":\"cast\",\"station\":1,", "\"role\":\"cast\",\"station\":999,",
           "station 999");
    broken(good, folder, "\"role\":\"station\",\"order\":1,", "\"role\":\"station\",\"order\":2,",
           "not numbered");
    broken(good, folder, "[[-89.7", "[[-69.7", "within 200 km");
    broken(good, folder, "\"features\":[", "\"features\":[,", "line 3: not JSON");
    cr_assert_eq(lw_plan_read("/nonexistent/plan.geojson", &none, &err), -1);
    cr_assert(strstr(err.text, "/nonexistent/plan.geojson"), "%s", err.text);
    free(good);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(file, leaves_the_old_file_when_it_cannot_write)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = lake_straight(150, &params);
    struct lw_error err = {""};
    char folder[200], path[300];

    cr_assert_eq(lw_plan_write(plan, "/dev/full", &err), -1);
    cr_assert(strstr(err.text, "/dev/full"), "%s", err.text);
    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/none/plan.geojson", folder);
    cr_assert_eq(lw_plan_write(plan, path, &err), -1);
    cr_assert(strstr(err.text, "No such file"), "%s", err.text);
    lw_plan_free(plan);
}

Test(file, ignores_what_others_added)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = lake_straight(150, &params), *back = NULL;
    struct lw_error err = {""};
    char folder[200], path[300], *good, *at;
    FILE *f;

    lw_test_scratch(folder, sizeof folder);
    path_in(path, folder, "plan.geojson");
    cr_assert_eq(lw_plan_write(plan, path, &err), 0, "%s", err.text);
    good = slurp(path);
    at = strstr(good, "\"features\":[") + strlen("\"features\":[");
    f = fopen(path, "w");
    fprintf(f, "%.*s%s%s", (int)(at - good), good,
            "{\"type\":\"Feature\",\"properties\":{\"role\":\"buoy\"},\"geometry\":null},"
            "{\"type\":\"Feature\",\"properties\":null,\"geometry\":null},",
            at);
    fclose(f);
    cr_assert_eq(lw_plan_read(path, &back, &err), 0, "%s", err.text);
    cr_assert_eq(back->casts, plan->casts);
    lw_plan_free(back);
    lw_plan_free(plan);
    free(good);
}
