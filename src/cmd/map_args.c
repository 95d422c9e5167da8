/* The options that pick and override maps. */
#include "lipwalk/cmd/map_args.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "tracks.h"

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
        {"closed", LW_ARG_TEXTS, &args->closed, "AREAS",
         "polygons of water closed to fishing or boats; may be repeated", LW_LENGTH},
    };

    memset(args, 0, sizeof *args);
    lw_import_options_clear(o);
    memcpy(args->table, table, sizeof table);
}

/* The text after "NAME=", or NULL. */
static const char *after(const char *text, const char *name)
{
    size_t n = strlen(name);

    return n && strncmp(text, name, n) == 0 && text[n] == '=' ? text + n + 1 : NULL;
}

/* Whether the text is meant for one of the files; else for all, and it may well hold a '='. */
static bool names_a_file(const struct lw_map_args *args, const char *text)
{
    for (int k = 0; k < args->map.n + args->track.n; k++) {
        const char *path = k < args->map.n ? args->map.text[k] : args->track.text[k - args->map.n];

        if (after(text, path) || after(text, lw_text_file_name(path)))
            return true;
    }
    return false;
}

/* The last of the texts that is meant for the file alone, else the last that is meant for all; NULL
 * none. For a track only what names it counts: what is said of a map in feet must not make feet of
 * a sounder's metres. */
static const char *choice(const struct lw_map_args *args, const struct lw_arg_texts *texts,
                          const char *path, bool track)
{
    const char *own = NULL, *any = NULL;

    for (int i = 0; i < texts->n; i++) {
        const char *text = after(texts->text[i], path);

        if (!text)
            text = after(texts->text[i], lw_text_file_name(path));
        if (text)
            own = text;
        else if (!names_a_file(args, texts->text[i]))
            any = texts->text[i];
    }
    return own || track ? own : any;
}

static int fill_file(const struct lw_map_args *args, const struct lw_conf *conf, const char *path,
                     bool track, struct lw_map_file *file, struct lw_error *err)
{
    const char *sign = choice(args, &args->sign, path, track);
    const char *level = choice(args, &args->water_level, path, track);

    file->path = path;
    file->crs = choice(args, &args->crs, path, track);
    file->depth_field = choice(args, &args->depth_field, path, track);
    file->depth_unit = choice(args, &args->depth_unit, path, track);
    if (!sign)
        file->sign = LW_SIGN_AUTO;
    else if (strcmp(sign, "down") == 0)
        file->sign = LW_SIGN_DOWN;
    else if (strcmp(sign, "up") == 0)
        file->sign = LW_SIGN_UP;
    else
        return lw_fail(err, "--depth-sign wants down or up, not \"%s\"", sign);
    if (level && lw_units_parse(level, LW_LENGTH, lw_conf_units(conf), &file->water_level_m, err))
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
        if (fill_file(args, conf, args->map.text[i], false, &args->options.map[i], err))
            return -1;
    }
    args->options.maps = args->map.n;
    if (args->closed.n > LW_CLOSED_MAX)
        return lw_fail(err, "no more than %d files of closed areas can be read", LW_CLOSED_MAX);
    for (int i = 0; i < args->closed.n; i++)
        args->options.closed[i] = args->closed.text[i];
    args->options.closeds = args->closed.n;
    for (int i = 0; i < args->track.n; i++) {
        args->track_file[i] = (struct lw_map_file){.water_level_m = NAN};
        if (fill_file(args, conf, args->track.text[i], true, &args->track_file[i], err))
            return -1;
    }
    if (args->options.lake && !*args->options.lake)
        return lw_fail(err, "--lake wants the lake's name or id in the map");
    return lw_import_options_check(&args->options, err);
}

int lw_map_args_spared(const struct lw_map_args *args, const char *option, const char *out,
                       struct lw_error *err)
{
    for (int i = 0; out && i < args->closed.n; i++)
        if (lw_map_owns(args->closed.text[i], out))
            return lw_fail(err, "%s %s would change the closed areas %s: give another name", option,
                           out, args->closed.text[i]);
    for (int i = 0; out && i < args->map.n + args->track.n; i++) {
        bool track = i >= args->map.n;
        const char *read = track ? args->track.text[i - args->map.n] : args->map.text[i];

        if (lw_map_owns(read, out))
            return lw_fail(err,
                           "%s %s would change the %s %s or what belongs to it: give another name",
                           option, out, track ? "track" : "map", read);
    }
    return 0;
}

static int import(struct lw_map_args *args, const struct tracks *tracks, struct lw_chart **chart,
                  struct lw_import_report *report, struct lw_error *err)
{
    struct lw_import_options *o = &args->options;
    int status;

    o->track = tracks->track;
    o->tracks = (int)tracks->tracks;
    o->crew = tracks->crew;
    o->crews = tracks->crews;
    status = lw_chart_import_open(o, report, chart, err);
    o->track = NULL;
    o->crew = NULL;
    o->tracks = 0;
    o->crews = 0;
    for (int i = 0; i < tracks->notes && report->warnings < LW_WARNINGS_MAX; i++)
        lw_text_copy(report->warning[report->warnings++], sizeof report->warning[0],
                     tracks->note[i]);
    return status;
}

int lw_map_args_open(struct lw_map_args *args, struct lw_chart **chart,
                     struct lw_import_report *report, struct lw_error *err)
{
    struct tracks tracks;
    int status;

    if (args->options.maps == 0)
        return lw_fail(err, "no map was given");
    status = tracks_read(args, &tracks, err);
    if (status == 0)
        status = import(args, &tracks, chart, report, err);
    tracks_free(&tracks);
    return status;
}
