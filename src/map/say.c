/* Sentences about an import. */
#include "say.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define OFF_TOLD_M 50.0 /* a place on the bank is meant well; one farther off may be a slip */

void lw_say_warn(struct lw_import_report *report, const char *format, ...)
{
    char text[600];
    va_list args;

    if (report->warnings >= LW_WARNINGS_MAX)
        return;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    lw_text_clean(report->warning[report->warnings++], sizeof report->warning[0], text);
}

void lw_say_sources(const struct lw_gather *gather, struct lw_import_report *report)
{
    for (int i = 0; i < gather->sources; i++) {
        const struct lw_source *s = &gather->source[i];

        for (int k = 0; k < s->warnings; k++)
            if (gather->sources > 1 && !strstr(s->warning[k], s->name))
                lw_say_warn(report, "%s: %s", s->name, s->warning[k]);
            else
                lw_say_warn(report, "%s", s->warning[k]);
    }
}

void lw_say_water(const struct lw_waters *waters, const struct lw_import_options *options,
                  struct lw_import_report *report)
{
    size_t open = 0;

    if (waters->without_depth)
        lw_say_warn(report, "%zu contours without a depth were left out", waters->without_depth);
    if (waters->above_water)
        lw_say_warn(report, "%zu contours above the water were left out", waters->above_water);
    if (waters->twice)
        lw_say_warn(report, "%zu contours that another of the maps has as well were left out",
                    waters->twice);
    if (waters->outside)
        lw_say_warn(report,
                    "%zu lines that do not close and lie in no closed contour were left "
                    "out: the water may reach farther than shown",
                    waters->outside);
    if (lw_ll_known(options->at) && waters->off_m > OFF_TOLD_M)
        lw_say_warn(report, "the place given by --at lies %.0f m outside the nearest water",
                    waters->off_m);
    for (size_t i = 0; i < waters->contours; i++)
        open += !waters->contour[i].line.closed;
    if (open && !waters->limit.n)
        lw_say_warn(report,
                    "%zu lines do not close even joined end to end: between them the "
                    "depth is less sure",
                    open);
    if (waters->limit.n)
        lw_say_warn(report,
                    "no shore is known all about: the water is shown to end where the map's "
                    "depths end");
}

static void print_depth(char *to, size_t size, double depth_m, const struct lw_source *source)
{
    double unit_m = source->unit_m > 0 ? source->unit_m : 1;

    lw_text_number(to, size, round(depth_m / unit_m * 1e4) / 1e4, 6);
}

static void add_range(struct lw_source *source, const char *what, size_t n, double from_m,
                      double to_m)
{
    char from[32], to[32];

    print_depth(from, sizeof from, from_m, source);
    print_depth(to, sizeof to, to_m, source);
    lw_text_add(source->said, sizeof source->said, "%s%zu %s%s, %s to %s %s",
                *source->said ? ", " : "", n, what, n == 1 ? "" : "s", from, to,
                *source->unit ? source->unit : "m");
}

static void add_count(struct lw_source *source, size_t n, const char *one, const char *more)
{
    if (n)
        lw_text_add(source->said, sizeof source->said, "%s%zu %s", *source->said ? "; " : "", n,
                    n == 1 ? one : more);
}

void lw_say_file(struct lw_source *source, const struct lw_say_file *what)
{
    static const char plural[][2][24] = {{"ft", "feet"},
                                         {"m", "metres"},
                                         {"ftUS", "US survey feet"},
                                         {"cm", "centimetres"},
                                         {"fathom", "fathoms"}};
    const char *units = source->unit;
    bool own = *source->said; /* a table's or a grid's reader has said it */

    for (size_t i = 0; i < sizeof plural / sizeof *plural; i++)
        if (strcmp(source->unit, plural[i][0]) == 0)
            units = plural[i][1];
    if (!own && source->shore && what->depths)
        lw_text_add(source->said, sizeof source->said, "shore from %s", source->name);
    else if (!own && !source->shore && what->depths)
        add_range(source, "contour depth", what->depths, what->least_m, what->most_m);
    if (!own && what->soundings)
        add_range(source, "sounding", what->soundings, what->shallow_m, what->deep_m);
    if (!own && *source->depth_field && !source->shore && (what->depths || what->soundings))
        lw_text_add(source->said, sizeof source->said, ", from %s in %s (%s), %s",
                    source->depth_field, units, source->unit_reason, source->sign);
    add_count(source, what->hazards, "hazard", "hazards");
    add_count(source, what->covers, "place of bottom or cover", "places of bottom or cover");
    if (!*source->said)
        lw_text_add(source->said, sizeof source->said, "nothing more from %s", source->name);
    if (*source->crs)
        lw_text_add(source->said, sizeof source->said, "; %s", source->crs);
}

/* "58.4", "1410" */
static void print_hectares(char *to, size_t size, double area_m2)
{
    double ha = area_m2 / 1e4;

    snprintf(to, size, "%.*f", ha >= 100 ? 0 : ha >= 10 ? 1 : 2, ha);
}

void lw_say_summary(const struct lw_chart *chart, const struct lw_gather *gather, double stage_m,
                    struct lw_import_report *report)
{
    char area[32], end[160];
    size_t room;

    print_hectares(area, sizeof area, chart->area_m2);
    lw_text_copy(end, sizeof end, "");
    if (stage_m != 0 && !isnan(stage_m))
        lw_text_add(end, sizeof end, "; with the water at %+.2f m", stage_m);
    lw_text_add(end, sizeof end, "; %s ha of water, cells of %g m", area, chart->grid.cell_m);
    /* However many files there are, the end is told. */
    room = sizeof report->summary - strlen(end);
    lw_text_copy(report->summary, room, "");
    lw_text_add(report->summary, room, "%s%s", chart->lake, *chart->lake ? ": " : "");
    for (int i = 0; i < gather->sources; i++)
        lw_text_add(report->summary, room, "%s%s", i ? "; " : "", gather->source[i].said);
    lw_text_add(report->summary, sizeof report->summary, "%s", end);
}
