/* `lipwalk plan`: a casting plan from a lake map, without a screen. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "json_out.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/cmd/plan_params.h"
#include "lipwalk/plan/file.h"
#include "lipwalk/plan/passes.h"
#include "lipwalk/plan/plan.h"
#include "lipwalk/share/gpx.h"

#define NAME         "plan"
#define COUNT(array) (sizeof(array) / sizeof *(array))

struct wish { /* what was asked for */
    struct lw_conf conf;
    struct lw_map_args map;
    struct lw_ll near;
    double depth_m, length_m, minutes_s, water_c, wind_mps, wind_from_deg;
    const char *path, *side, *wind;
    struct lw_arg_texts out;
    bool lip, backward, json;
};

static bool ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);

    return n > m && strcmp(text + n - m, end) == 0;
}

/* 0, or the exit status of a wrong call. */
static int check(struct wish *wish)
{
    struct lw_error err = {""};

    if (wish->map.map.n == 0)
        return lw_cmd_usage(NAME, "which map? give --map FILE; see --help");
    if (isnan(wish->depth_m) == !wish->lip)
        return lw_cmd_usage(NAME, "which edge? give its depth, for example --depth 10ft, or --lip");
    if (wish->depth_m < 0)
        return lw_cmd_usage(NAME, "--depth wants a depth below the water, such as 10ft");
    if (wish->length_m <= 0)
        return lw_cmd_usage(NAME, "--length wants a length above 0, such as 400m");
    if (wish->minutes_s < 60)
        return lw_cmd_usage(NAME, "--minutes wants a minute or more, such as 40min");
    if (wish->wind && lw_cmd_wind(wish->wind, lw_conf_units(&wish->conf), &wish->wind_mps,
                                  &wish->wind_from_deg, &err))
        return lw_cmd_usage(NAME, err.text);
    if (wish->wind && isnan(wish->wind_from_deg))
        return lw_cmd_usage(NAME, "--wind wants where it comes from too, such as 10mph@250");
    if (strcmp(wish->side, "deep") != 0 && strcmp(wish->side, "shallow") != 0)
        return lw_cmd_usage(NAME, "--side wants deep or shallow");
    for (int i = 0; i < wish->out.n; i++)
        if (!ends_with(wish->out.text[i], ".geojson") && !ends_with(wish->out.text[i], ".gpx")) {
            lw_fail(&err, "--out wants a name that ends in .geojson or .gpx, not \"%s\"",
                    wish->out.text[i]);
            return lw_cmd_usage(NAME, err.text);
        }
    if (lw_map_args_check(&wish->map, &wish->conf, &err))
        return lw_cmd_usage(NAME, err.text);
    for (int i = 0; i < wish->out.n; i++)
        if (lw_map_args_spared(&wish->map, "--out", wish->out.text[i], &err))
            return lw_cmd_usage(NAME, err.text);
    return 0;
}

static void fill(struct lw_plan_params *params, const struct wish *wish)
{
    lw_plan_params_from_conf(&wish->conf, params);
    params->depth_m = wish->depth_m;
    params->near = wish->near;
    params->length_m = wish->length_m;
    params->hold_deep = strcmp(wish->side, "deep") == 0;
    params->lip = wish->lip;
    params->backward = wish->backward;
    params->choose_way = !wish->backward;
    params->minutes = wish->minutes_s / 60;
    params->water_c = wish->water_c;
    params->wind_mps = wish->wind_mps;
    params->wind_from_deg = wish->wind_from_deg;
}

static int write_all(const struct wish *wish, const struct lw_plan *plan, struct lw_error *err)
{
    for (int i = 0; i < wish->out.n; i++) {
        const char *path = wish->out.text[i];

        if (ends_with(path, ".gpx") ? lw_gpx_write_plan(plan, lw_clock_system_utc_ms(), path, err)
                                    : lw_plan_write(plan, path, err))
            return -1;
    }
    return 0;
}

static double hold_length_m(const struct lw_plan *plan)
{
    double sum_m = 0;

    for (size_t i = 0; i < plan->hold.n; i++)
        sum_m += lw_line_length(&plan->hold.line[i]);
    return sum_m;
}

static json_t *detours(const struct lw_plan *plan)
{
    json_t *all = json_array();

    for (size_t i = 0; i < plan->detours; i++) {
        const struct lw_detour *d = &plan->detour[i];

        json_array_append_new(all,
                              json_pack("{s:s, s:s, s:f, s:f, s:o}", "why", lw_detour_name(d->why),
                                        "words", d->words, "from_m", d->from_m, "to_m", d->to_m,
                                        "way_m", json_out_number(d->length_m)));
    }
    return all;
}

static json_t *order(const struct lw_plan *plan)
{
    struct lw_pass pass[LW_PASSES];
    size_t n = lw_passes(plan, pass);
    json_t *all = json_array();

    for (size_t i = 0; i < n; i++)
        json_array_append_new(all,
                              json_pack("{s:s, s:b, s:o, s:o, s:s}", "pass",
                                        lw_pass_name(pass[i].kind), "backward", pass[i].backward,
                                        "depth_m", json_out_number(pass[i].depth_m), "minutes",
                                        json_out_number(pass[i].minutes), "words", pass[i].words));
    return all;
}

static int print_json(const struct wish *wish, const struct lw_plan *plan,
                      const struct lw_import_report *report, struct lw_error *err)
{
    const struct lw_plan_params *params = &plan->params;
    json_t *warnings = json_array(), *out = json_array(), *all;

    for (int i = 0; i < report->warnings; i++)
        json_array_append_new(warnings, json_string(report->warning[i]));
    for (int i = 0; i < plan->warnings; i++)
        json_array_append_new(warnings, json_string(plan->warning[i]));
    for (int i = 0; i < wish->out.n; i++)
        json_array_append_new(out, json_string(wish->out.text[i]));
    all = json_pack(
        "{s:s, s:s, s:o, s:b, s:f, s:b, s:f, s:f, s:f, s:s, s:f, s:i, s:f, s:i, s:i, "
        "s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
        "lake", plan->lake, "map", plan->map, "depth_m", json_out_number(params->depth_m), "lip",
        params->lip, "edge_length_m", lw_line_length(&plan->edge), "edge_closed", plan->edge.closed,
        "beat_from_m", plan->beat_from_m, "length_m", lw_plan_beat_length(plan), "standoff_m",
        params->hold_deep ? params->standoff_m : -params->standoff_m, "deep_side",
        plan->deep_left ? "left" : "right", "cast_m", params->cast_m, "hold_parts",
        (int)plan->hold.n, "hold_length_m", hold_length_m(plan), "stations", (int)plan->stations,
        "casts", (int)plan->casts, "minutes", plan->minutes, "coverage",
        json_out_number(plan->coverage), "reachable", json_out_number(plan->reachable), "worth",
        json_out_number(plan->worth), "detours", detours(plan), "order", order(plan), "out", out,
        "warnings", warnings);
    if (json_out_print(all, JSON_REAL_PRECISION(15)))
        return lw_fail(err, "the plan could not be printed as JSON");
    return 0;
}

/* People's length of the last call with the same slot. */
struct people {
    enum lw_units units;
    char text[12][32];
};

static const char *length(struct people *people, int slot, double m, int decimals)
{
    lw_units_print(people->text[slot], sizeof people->text[slot], m, LW_LENGTH, people->units,
                   decimals);
    return people->text[slot];
}

static void print_text(const struct wish *wish, const struct lw_plan *plan,
                       const struct lw_import_report *report)
{
    const struct lw_plan_params *params = &plan->params;
    struct people p = {.units = lw_conf_units(&wish->conf)};
    int small = p.units == LW_METRIC; /* decimals of a length of a few metres */
    struct lw_pass pass[LW_PASSES];
    size_t passes;
    char depth[32];

    lw_units_print_edge(depth, sizeof depth, params->depth_m, p.units);
    printf("%s\n", report->summary);
    printf("edge       %s deep, %s of its %s%s\n", depth,
           length(&p, 1, lw_plan_beat_length(plan), 0),
           length(&p, 2, lw_line_length(&plan->edge), 0), plan->edge.closed ? ", a ring" : "");
    printf("hold line  %s off it on the %s side, %s in %zu part%s\n",
           length(&p, 3, params->standoff_m, small), params->hold_deep ? "deep" : "shallow",
           length(&p, 4, hold_length_m(plan), 0), plan->hold.n, plan->hold.n == 1 ? "" : "s");
    printf("stations   %zu: %zu casts of up to %s, about %.0f minutes\n", plan->stations,
           plan->casts, length(&p, 6, params->cast_m, small), plan->minutes);
    if (!isnan(plan->coverage))
        printf("belt       from %s up the flat to %s past the edge: %.0f %% of it within a swath "
               "of %s\n",
               length(&p, 7, params->up_m, small), length(&p, 8, params->past_m, small),
               100 * plan->coverage, length(&p, 9, params->swath_m, small));
    passes = lw_passes(plan, pass);
    for (size_t i = 0; i < passes; i++)
        printf("%-10s %zu %s\n", i ? "" : "order", i + 1, pass[i].words);
    for (size_t i = 0; i < plan->detours; i++)
        printf("detour     %s\n", plan->detour[i].words);
    for (int i = 0; i < report->warnings; i++)
        printf("warning    %s\n", report->warning[i]);
    for (int i = 0; i < plan->warnings; i++)
        printf("warning    %s\n", plan->warning[i]);
    for (int i = 0; i < wish->out.n; i++) {
        char name[512];

        lw_text_clean(name, sizeof name, wish->out.text[i]);
        printf("written    %s\n", name);
    }
    printf("Not for navigation. Local seasons, sanctuaries and regulations come first.\n");
}

static int run(struct wish *wish)
{
    struct lw_import_report report = {.warnings = 0};
    struct lw_plan_params params;
    struct lw_chart *chart = NULL;
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};
    int rc = 1;

    fill(&params, wish);
    if (lw_map_args_open_shown(&wish->map, NAME, &chart, &report, &err) ||
        lw_plan_make(chart, &params, &plan, &err) ||
        lw_plan_improve(plan, lw_plan_rounds(plan), &err) || write_all(wish, plan, &err))
        goto fail;
    if (!wish->json)
        print_text(wish, plan, &report);
    else if (print_json(wish, plan, &report, &err))
        goto fail;
    rc = lw_cmd_done(NAME);
    goto done;
fail:
    rc = lw_cmd_fail(NAME, &err);
done:
    lw_plan_free(plan);
    lw_chart_free(chart);
    return rc;
}

int lw_cmd_plan(int argc, char **argv)
{
    struct wish wish = {.near = {NAN, NAN},
                        .depth_m = NAN,
                        .length_m = NAN,
                        .minutes_s = NAN,
                        .water_c = NAN,
                        .wind_mps = NAN,
                        .wind_from_deg = NAN,
                        .side = "deep"};
    struct lw_conf *conf = &wish.conf;
    const struct lw_arg table[] = {
        {"depth", LW_ARG_QUANTITY, &wish.depth_m, "DEPTH", "of the edge: 9ft, 3m", LW_DEPTH},
        {"lip", LW_ARG_FLAG, &wish.lip, NULL, "the edge is a lip found on the bottom", 0},
        {"near", LW_ARG_LAT_LON, &wish.near, "LAT,LON",
         "the beat lies about the edge's nearest point to here; else the longest edge's start", 0},
        {"length", LW_ARG_QUANTITY, &wish.length_m, "LENGTH", "of the beat; else the whole edge",
         LW_LENGTH},
        {"side", LW_ARG_TEXT, &wish.side, "SIDE", "deep or shallow: where the boat holds (deep)",
         0},
        {"minutes", LW_ARG_QUANTITY, &wish.minutes_s, "TIME",
         "the most worth within so long, instead of a coverage: 40min", LW_DURATION},
        {"wind", LW_ARG_TEXT, &wish.wind, "SPEED@FROM", "shortens and lengthens casts: 10mph@250",
         0},
        {"water-temp", LW_ARG_QUANTITY, &wish.water_c, "TEMP", "for the count-down: 50F", LW_TEMP},
        {"backward", LW_ARG_FLAG, &wish.backward, NULL, "stations from the far end of the beat", 0},
        {"out", LW_ARG_TEXTS, &wish.out, "FILE", "PLAN.geojson or PLAN.gpx; may be repeated", 0},
        {"json", LW_ARG_FLAG, &wish.json, NULL, "print one JSON object in SI units", 0},
    };
    const enum lw_setting_number settings[] = {
        LW_SET_STANDOFF,    LW_SET_CAST,      LW_SET_CO_CAST,   LW_SET_HEAD,     LW_SET_SWATH,
        LW_SET_UP,          LW_SET_PAST,      LW_SET_MIN_DEPTH, LW_SET_DRAFT,    LW_SET_CLEARANCE,
        LW_SET_BERTH,       LW_SET_COVERAGE,  LW_SET_LIP_WORTH, LW_SET_FAN_HALF, LW_SET_BOW_MIN,
        LW_SET_BOW_MAX,     LW_SET_MOVE_TIME, LW_SET_CAST_TIME, LW_SET_RETRIEVE, LW_SET_BOAT_SPEED,
        LW_SET_FALL_FACTOR, LW_SET_ABOVE};
    struct lw_arg overrides[COUNT(settings)];
    struct lw_call call = {.name = NAME,
                           .usage = "--map FILE --depth DEPTH|--lip [options]",
                           .summary = "Makes a casting plan: the edge nearest to a place, the "
                                      "line to hold off it, stations and the casts that cover the "
                                      "belt along it in the fewest minutes.",
                           .arg = {table, overrides, wish.map.table},
                           .args = {COUNT(table), COUNT(settings), LW_MAP_ARGS},
                           .conf = conf};
    int status;

    lw_cmd_conf(conf, NULL);
    lw_map_args_init(&wish.map);
    lw_args_of_settings(overrides, settings, COUNT(settings), conf);
    status = lw_args_read(&call, argc, argv);
    if (status >= 0)
        return status;
    status = check(&wish);
    return status ? status : run(&wish);
}
