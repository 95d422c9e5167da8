/* `lipwalk chart`: reads a map, says what was understood, and gives out depths and contours. */
#include <langinfo.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "chart_lips.h"
#include "chart_out.h"
#include "lipwalk/base/text.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/map/export.h"

#define NAME "chart"

struct wishes {
    const char *surface, *out, *sample, *picture, *lips;
    double contour_m;
    bool json, ascii;
    enum lw_units units;
};

/* Ctrl-C takes effect when the file is whole: no draft is left beside it. */
static int write_surface(const struct lw_chart *chart, const char *path, struct lw_error *err)
{
    sigset_t wait, before;
    int status;

    sigemptyset(&wait);
    sigaddset(&wait, SIGINT);
    sigaddset(&wait, SIGTERM);
    sigaddset(&wait, SIGHUP);
    sigprocmask(SIG_BLOCK, &wait, &before);
    status = lw_chart_export(chart, path, err);
    sigprocmask(SIG_SETMASK, &before, NULL);
    return status;
}

static int give_out(const struct lw_chart *chart, const struct lw_lips *lips,
                    const struct lw_import_report *report, const struct lw_map_args *map,
                    const struct wishes *wishes, struct lw_error *err)
{
    const struct lw_lips_words words = {wishes->units, wishes->ascii};
    bool talks = !wishes->sample && !wishes->json && (isnan(wishes->contour_m) || wishes->out);

    if (wishes->surface && write_surface(chart, wishes->surface, err))
        return -1;
    if (wishes->picture &&
        lw_chart_draw(chart, lips, map->options.stage_m, wishes->units, wishes->picture, err))
        return -1;
    if (!isnan(wishes->contour_m) &&
        lw_chart_write_contour(chart, wishes->contour_m, wishes->out, err))
        return -1;
    if (wishes->lips && !talks && lw_chart_write_lips(chart, lips, wishes->lips, NULL, err))
        return -1;
    if (wishes->sample)
        return lw_chart_sample(chart, &map->options, wishes->sample, err);
    if (wishes->json)
        return lw_chart_print_json(chart, report, &map->map, err);
    if (talks)
        lw_chart_print_text(chart, report);
    if (wishes->lips && talks)
        return lw_chart_write_lips(chart, lips, wishes->lips, &words, err);
    return 0;
}

/* No file that is read is written to, and none that is written is written twice. */
static int check_files(const struct lw_map_args *map, const struct wishes *wishes,
                       struct lw_error *err)
{
    const struct {
        const char *option, *path;
    } out[] = {{"--surface", wishes->surface},
               {"--out", wishes->out},
               {"--picture", wishes->picture},
               {"--lips", wishes->lips}};

    for (size_t i = 0; i < sizeof out / sizeof *out; i++) {
        if (!out[i].path)
            continue;
        if (lw_map_args_spared(map, out[i].option, out[i].path, err))
            return -1;
        if (wishes->sample && lw_map_owns(wishes->sample, out[i].path))
            return lw_fail(err, "%s %s would write over the places of --sample: give another name",
                           out[i].option, out[i].path);
        for (size_t k = 0; k < i; k++)
            if (out[k].path && strcmp(out[k].path, out[i].path) == 0 &&
                strncmp(out[i].path, "/dev/", 5) != 0)
                return lw_fail(err, "%s and %s both name %s: give each a file of its own",
                               out[k].option, out[i].option, out[i].path);
    }
    return 0;
}

/* As the screen chooses its glyphs. */
static bool is_ascii(const char *glyphs)
{
    return strcmp(glyphs, "ascii") == 0 ||
           (strcmp(glyphs, "utf8") != 0 && strcmp(nl_langinfo(CODESET), "UTF-8") != 0);
}

/* NULL when the call makes sense. */
static const char *check(const struct wishes *wishes)
{
    if (wishes->out && isnan(wishes->contour_m))
        return "--out needs --contour DEPTH";
    if (!isnan(wishes->contour_m) && !wishes->out && (wishes->json || wishes->sample))
        return "--contour needs --out FILE beside --json or --sample: both would go to stdout";
    if (wishes->sample && wishes->json)
        return "--sample and --json both go to stdout: give one of them";
    return NULL;
}

int lw_cmd_chart(int argc, char **argv)
{
    struct wishes wishes = {.contour_m = NAN};
    struct lw_map_args map;
    struct lw_conf conf;
    const struct lw_arg table[] = {
        {"surface", LW_ARG_TEXT, &wishes.surface, "OUT.tif",
         "write the surface: metres, positive down", LW_DEPTH},
        {"contour", LW_ARG_QUANTITY, &wishes.contour_m, "DEPTH", "the lines at this depth",
         LW_DEPTH},
        {"out", LW_ARG_TEXT, &wishes.out, "OUT.geojson", "where --contour goes (else stdout)",
         LW_DEPTH},
        {"picture", LW_ARG_TEXT, &wishes.picture, "OUT.svg",
         "draw the chart with its lips, to print for the ramp", LW_DEPTH},
        {"lips", LW_ARG_TEXT, &wishes.lips, "OUT.geojson",
         "find the lips, their points and inside turns; say them and write them", LW_DEPTH},
        {"sample", LW_ARG_TEXT, &wishes.sample, "POINTS.csv",
         "the rows with depth_m at lon_deg,lat_deg; of one grid, its own cells", LW_DEPTH},
        {"cell", LW_ARG_QUANTITY, &map.options.cell_m, "SIZE",
         "of the surface's cells, 0.5m for a small lake; else 2 m, coarser on a large one",
         LW_LENGTH},
        {"json", LW_ARG_FLAG, &wishes.json, NULL, "print one JSON object in SI units", LW_DEPTH},
    };
    struct lw_call call = {
        .name = NAME,
        .usage = "MAP... [options]",
        .summary = "Reads a lake map, says what was understood, builds and caches its surface.",
        .arg = {map.table, table},
        .args = {LW_MAP_ARGS, sizeof table / sizeof *table},
        .positional = &map.map,
        .conf = &conf};
    struct lw_import_report report;
    struct lw_chart *chart = NULL;
    struct lw_lips lips = {0};
    struct lw_error err = {""};
    const char *fault;
    char line[400];
    int status;

    lw_map_args_init(&map);
    lw_cmd_conf(&conf, NULL);
    status = lw_args_read(&call, argc, argv);
    if (status >= 0)
        return status;
    fault = map.map.n == 0 ? "give the map file: lipwalk chart MAP" : check(&wishes);
    if (fault)
        return lw_cmd_usage(NAME, fault);
    if (lw_map_args_check(&map, &conf, &err) || check_files(&map, &wishes, &err))
        return lw_cmd_usage(NAME, err.text);
    if (lw_map_args_open_shown(&map, NAME, &chart, &report, &err))
        return lw_cmd_fail(NAME, &err);
    for (int i = 0; i < report.warnings; i++) {
        lw_text_clean(line, sizeof line, report.warning[i]);
        fprintf(stderr, "lipwalk chart: warning: %s\n", line);
    }
    wishes.units = lw_conf_units(&conf);
    wishes.ascii = is_ascii(conf.text[LW_SET_GLYPHS]);
    status = (wishes.lips || wishes.picture) && lw_lips_find(chart, &lips, &err)
                 ? -1
                 : give_out(chart, &lips, &report, &map, &wishes, &err);
    lw_lips_free(&lips);
    lw_chart_free(chart);
    return status ? lw_cmd_fail(NAME, &err) : lw_cmd_done(NAME);
}
