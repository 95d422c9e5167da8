/* The options that pick and override a map. */
#include "lipwalk/cmd/map_args.h"

#include <string.h>

void lw_map_args_init(struct lw_map_args *args)
{
    struct lw_import_options *o = &args->options;
    const struct lw_arg table[LW_MAP_ARGS] = {
        {"at", LW_ARG_LAT_LON, &o->at, "LAT,LON", "a place on the wanted lake", LW_LENGTH},
        {"lake", LW_ARG_TEXT, &o->lake, "NAME", "the lake's name or id in the map", LW_LENGTH},
        {"crs", LW_ARG_TEXT, &o->crs, "EPSG:CODE", "the map's coordinate system", LW_LENGTH},
        {"depth-field", LW_ARG_TEXT, &o->depth_field, "NAME",
         "the attribute with the depths; Z: the geometry's height", LW_LENGTH},
        {"depth-unit", LW_ARG_TEXT, &o->depth_unit, "UNIT", "ft, m, ftUS, cm or fathom", LW_LENGTH},
        {"depth-sign", LW_ARG_TEXT, &args->sign, "down|up", "which way depths count in the map",
         LW_LENGTH},
        {"water-level", LW_ARG_QUANTITY, &o->water_level_m, "LEVEL",
         "the map holds elevations: the water's", LW_LENGTH},
        {"stage", LW_ARG_QUANTITY, &o->stage_m, "HEIGHT", "today's level above the map's datum",
         LW_LENGTH},
    };

    memset(args, 0, sizeof *args);
    lw_import_options_clear(o);
    memcpy(args->table, table, sizeof table);
}

int lw_map_args_check(struct lw_map_args *args, struct lw_error *err)
{
    if (!args->sign)
        args->options.sign = LW_SIGN_AUTO;
    else if (strcmp(args->sign, "down") == 0)
        args->options.sign = LW_SIGN_DOWN;
    else if (strcmp(args->sign, "up") == 0)
        args->options.sign = LW_SIGN_UP;
    else
        return lw_fail(err, "--depth-sign wants down or up, not \"%s\"", args->sign);
    if (args->options.lake && !*args->options.lake)
        return lw_fail(err, "--lake wants the lake's name or id in the map");
    return lw_import_options_check(&args->options, err);
}

int lw_map_args_open(const struct lw_map_args *args, struct lw_chart **chart,
                     struct lw_import_report *report, struct lw_error *err)
{
    if (!args->options.map)
        return lw_fail(err, "no map was given");
    if (lw_chart_import(&args->options, report, err))
        return -1;
    return lw_chart_open(report->cache_path, chart, err);
}
