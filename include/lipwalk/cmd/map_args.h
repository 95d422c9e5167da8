/* The options that pick a lake from a map file and override what was recognised in it: the same for
 * `chart`, `plan`, `cue`, `rehearse` and the on-water screen. */
#ifndef LIPWALK_CMD_MAP_ARGS_H
#define LIPWALK_CMD_MAP_ARGS_H

#include "lipwalk/chart/chart.h"
#include "lipwalk/chart/import.h"
#include "lipwalk/cmd/args.h"

#define LW_MAP_ARGS 8
struct lw_map_args {
    struct lw_import_options options; /* options.map is set by the caller */
    const char *sign;                 /* "down", "up" as typed */
    struct lw_arg table[LW_MAP_ARGS]; /* --at --lake --crs --depth-field --depth-unit --depth-sign
                                         --water-level --stage, pointing into this struct */
};
/* Clears the options and fills the table; `args` must stay where it is. */
void lw_map_args_init(struct lw_map_args *args);
/* Turns what was typed (sign) into options and checks them. -1 with a sentence for a wrong call. */
int lw_map_args_check(struct lw_map_args *args, struct lw_error *err);
/* Imports the map (or finds its cache) and opens it. */
int lw_map_args_open(const struct lw_map_args *args, struct lw_chart **chart,
                     struct lw_import_report *report, struct lw_error *err);

#endif
