/* The options that name a lake's map files, pick the lake and override what was recognised: the
 * same for `chart`, `plan`, `cue`, `rehearse` and the on-water screen. */
#ifndef LIPWALK_CMD_MAP_ARGS_H
#define LIPWALK_CMD_MAP_ARGS_H

#include "lipwalk/chart/chart.h"
#include "lipwalk/cmd/args.h"
#include "lipwalk/map/import.h"

#define LW_MAP_ARGS 11
struct lw_map_args {
    struct lw_import_options options; /* filled by lw_map_args_check */
    struct lw_arg_texts map;          /* files, in the order typed */
    /* as typed: VALUE for all files, or FILE=VALUE for one (by its path or its own name) */
    struct lw_arg_texts crs, depth_field, depth_unit, sign, water_level;
    struct lw_arg_texts track; /* journals or files with the boat's own depths ... */
    struct lw_map_file track_file[LW_ARG_TEXTS_MAX]; /* ... and what overrides what is in them */
    struct lw_arg_texts closed;                      /* files of closed areas */
    struct lw_arg table[LW_MAP_ARGS]; /* --map --at --lake --crs --depth-field --depth-unit
                                         --depth-sign --water-level --stage --add-track --closed */
};
/* Clears the options and fills the table; `args` must stay where it is. */
void lw_map_args_init(struct lw_map_args *args);
/* Turns what was typed into options and checks them. -1 with a sentence for a wrong call. */
int lw_map_args_check(struct lw_map_args *args, const struct lw_conf *conf, struct lw_error *err);
/* Whether the file that `option` names may be written: -1 with a sentence where that would change a
 * map or a track that is read. To be called before anything is. NULL is no file. */
int lw_map_args_spared(const struct lw_map_args *args, const char *option, const char *out,
                       struct lw_error *err);
/* Reads the tracks, imports the maps (or finds their cache) and opens the chart. */
int lw_map_args_open(struct lw_map_args *args, struct lw_chart **chart,
                     struct lw_import_report *report, struct lw_error *err);
/* The same for the command `name` at a terminal: a long import shows how far it has come in a line
 * on stderr, which is wiped at the end, and Ctrl-C (or a TERM, a HUP) cancels it, says so and ends
 * the program as that signal does. Elsewhere nothing is shown. */
int lw_map_args_open_shown(struct lw_map_args *args, const char *name, struct lw_chart **chart,
                           struct lw_import_report *report, struct lw_error *err);

#endif
