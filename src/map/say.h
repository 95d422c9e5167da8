/* What is told of an import: the summary and the warnings. */
#ifndef LIPWALK_SRC_MAP_SAY_H
#define LIPWALK_SRC_MAP_SAY_H

#include "choose.h"
#include "lipwalk/map/import.h"

/* Adds a warning to the report; those beyond LW_WARNINGS_MAX are lost. */
void lw_say_warn(struct lw_import_report *report, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Each file's own warnings, with its name where there are several files. */
void lw_say_sources(const struct lw_gather *gather, struct lw_import_report *report);
/* What was left out or is not sure of the water chosen. limit: it ends where its data end. */
void lw_say_water(const struct lw_waters *waters, const struct lw_import_options *options,
                  struct lw_import_report *report);

/* What of one file went into the chart, at the map's own level. */
struct lw_say_file {
    size_t depths;          /* distinct depths of its contours */
    double least_m, most_m; /* of them */
    size_t soundings;       /* inside the water */
    double shallow_m, deep_m;
    size_t hazards, covers;
};
/* Fills source->said: "13 contour depths, 0 to 18.288 m, from Depth_m in metres (...), ...". */
void lw_say_file(struct lw_source *source, const struct lw_say_file *what);
void lw_say_summary(const struct lw_chart *chart, const struct lw_gather *gather, double stage_m,
                    struct lw_import_report *report);

#endif
