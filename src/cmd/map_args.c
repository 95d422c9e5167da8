/* The options that pick and override maps. */
#include "lipwalk/cmd/map_args.h"

#include <stdlib.h>
#include <string.h>

void lw_map_args_init(struct lw_map_args *args)
{
    struct lw_import_options *o = &args->options;
    const struct lw_arg table[LW_MAP_ARGS] = {
        {"map", LW_ARG_TEXTS, &args->map, "FILE",
         "a map of the lake: contours, shore, soundings, a depth grid, hazards; may be repeated",
         LW_LENGTH},
        {"at", LW_ARG_LAT_LON, &o->at, "LAT,LON", "a place on the wanted lake", LW_LENGTH},
        {"lake", LW_ARG_TEXT, &o->lake, "NAME", "the lake's name or id in the map", LW_LENGTH},
        {"crs", LW_ARG_TEXTS, &args->crs, "[FILE=]EPSG:CODE", "the map's coordinate system",
         LW_LENGTH},
        {"depth-field", LW_ARG_TEXTS, &args->depth_field, "[FILE=]NAME",
         "the attribute or column with the depths; Z: the geometry's height", LW_LENGTH},
        {"depth-unit", LW_ARG_TEXTS, &args->depth_unit, "[FILE=]UNIT", "ft, m, ftUS, cm or fathom",
         LW_LENGTH},
        {"depth-sign", LW_ARG_TEXTS, &args->sign, "[FILE=]down|up",
         "which way depths count in the map", LW_LENGTH},
        {"water-level", LW_ARG_TEXTS, &args->water_level, "[FILE=]LEVEL",
         "the map holds elevations: the water's", LW_LENGTH},
        {"stage", LW_ARG_QUANTITY, &o->stage_m, "HEIGHT", "today's level above the map's datum",
         LW_LENGTH},
        {"add-track", LW_ARG_TEXTS, &args->track, "FILE",
         "a journal, or a track with depths, to fold into the surface; may be repeated", LW_LENGTH},
    };

    memset(args, 0, sizeof *args);
    lw_import_options_clear(o);
    memcpy(args->table, table, sizeof table);
}

/* The text after "FILE=" when that names the file, the whole text when it names none of them; NULL
 * when it is another file's. */
static const char *meant_for(const struct lw_map_args *args, const char *path, const char *text)
{
    const char *slash = strrchr(path, '/'), *own = slash ? slash + 1 : path;

    for (int k = 0; k < args->map.n; k++) {
        const char *other = args->map.text[k], *s = strrchr(other, '/');
        const char *name[2] = {other, s ? s + 1 : other};

        for (int i = 0; i < 2; i++) {
            size_t n = strlen(name[i]);

            if (n && strncmp(text, name[i], n) == 0 && text[n] == '=')
                return strcmp(other, path) == 0 || strcmp(name[1], own) == 0 ? text + n + 1 : NULL;
        }
    }
    return text;
}

/* The last of the texts that is meant for the file; NULL none. */
static const char *choice(const struct lw_map_args *args, const struct lw_arg_texts *texts,
                          const char *path)
{
    const char *found = NULL;

    for (int i = 0; i < texts->n; i++) {
        const char *text = meant_for(args, path, texts->text[i]);

        found = text ? text : found;
    }
    return found;
}

static int fill_file(const struct lw_map_args *args, const struct lw_conf *conf, const char *path,
                     struct lw_map_file *file, struct lw_error *err)
{
    const char *sign = choice(args, &args->sign, path);
    const char *level = choice(args, &args->water_level, path);

    file->path = path;
    file->crs = choice(args, &args->crs, path);
    file->depth_field = choice(args, &args->depth_field, path);
    file->depth_unit = choice(args, &args->depth_unit, path);
    if (!sign)
        file->sign = LW_SIGN_AUTO;
    else if (strcmp(sign, "down") == 0)
        file->sign = LW_SIGN_DOWN;
    else if (strcmp(sign, "up") == 0)
        file->sign = LW_SIGN_UP;
    else
        return lw_fail(err, "--depth-sign wants down or up, not \"%s\"", sign);
    if (level &&
        lw_units_parse(level, LW_LENGTH, lw_conf_units(conf), &file->water_level_m, err))
        return -1;
    return 0;
}

int lw_map_args_check(struct lw_map_args *args, const struct lw_conf *conf, struct lw_error *err)
{
    if (args->map.n > LW_MAPS_MAX)
        return lw_fail(err, "no more than %d map files can be read together", LW_MAPS_MAX);
    for (int i = 0; i < args->map.n; i++) {
        if (!*args->map.text[i])
            return lw_fail(err, "a map file's name is empty");
        if (fill_file(args, conf, args->map.text[i], &args->options.map[i], err))
            return -1;
    }
    args->options.maps = args->map.n;
    if (args->options.lake && !*args->options.lake)
        return lw_fail(err, "--lake wants the lake's name or id in the map");
    return lw_import_options_check(&args->options, err);
}

int lw_map_args_open(struct lw_map_args *args, struct lw_chart **chart,
                     struct lw_import_report *report, struct lw_error *err)
{
    if (args->options.maps == 0)
        return lw_fail(err, "no map was given");
    if (lw_chart_import(&args->options, report, err))
        return -1;
    return lw_chart_open(report->cache_path, chart, err);
}
