/* The import step by step: lake, depth rule, contours, chart, report. */
#include "build.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "depth_field.h"
#include "lake.h"
#include "lipwalk/base/text.h"
#include "reader.h"
#include "waters.h"

#define COLUMNS_MAX 400
#define OFF_TOLD_M  50.0 /* a place on the bank is meant well; one farther off may be a slip */

/* Adds a warning to the report; those beyond LW_WARNINGS_MAX are lost. */
static void __attribute__((format(printf, 2, 3)))
warn(struct lw_import_report *report, const char *format, ...)
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

/* The attributes as columns, the geometry's height as one more. */
struct table {
    struct lw_depth_column column[COLUMNS_MAX + 1];
    double *value; /* column after column */
    size_t columns;
};

static enum lw_depth_unit text_unit(const struct lw_raw *raw, size_t field)
{
    enum lw_depth_unit common = LW_UNIT_NONE, unit;
    double value;

    for (size_t i = 0; i < raw->features; i++) {
        const char *text = raw->feature[i].text[field];

        if (!text || !lw_depth_text(text, &value, &unit))
            continue;
        if (unit == LW_UNIT_NONE || (common != LW_UNIT_NONE && unit != common))
            return LW_UNIT_NONE;
        common = unit;
    }
    return common;
}

static int make_table(const struct lw_raw *raw, struct table *table, struct lw_error *err)
{
    size_t n = raw->features, fields = raw->fields < COLUMNS_MAX ? raw->fields : COLUMNS_MAX;
    double *value = malloc((fields + 1) * (n + 1) * sizeof *value);

    memset(table, 0, sizeof *table);
    if (!value)
        return lw_fail(err, "out of memory for the map's attributes");
    table->value = value;
    for (size_t k = 0; k < fields; k++, value += n) {
        for (size_t i = 0; i < n; i++)
            value[i] = raw->feature[i].value[k];
        table->column[table->columns++] = (struct lw_depth_column){raw->field[k], value, n,
                                                                   text_unit(raw, k)};
    }
    if (raw->has_z) {
        for (size_t i = 0; i < n; i++)
            value[i] = raw->feature[i].z;
        table->column[table->columns++] = (struct lw_depth_column){"Z", value, n, LW_UNIT_NONE};
    }
    return 0;
}

/* How many depths the contours have, to 1 mm; they are in order of depth. */
static size_t distinct_depths(const struct lw_chart *chart)
{
    size_t n = 0;

    for (size_t i = 0; i < chart->contours; i++)
        n += i == 0 || chart->contour[i].depth_m - chart->contour[i - 1].depth_m > 1e-3;
    return n;
}

static void print_depth(char *to, size_t size, double depth_m, const struct lw_depth_rule *rule)
{
    char text[32];

    lw_text_number(text, sizeof text, round(depth_m / rule->unit_m * 1e4) / 1e4, 6);
    snprintf(to, size, "%s", text);
}

static void report_features(const struct lw_waters *waters, const struct lw_raw *raw,
                            struct lw_import_report *report)
{
    size_t open = 0;

    if (waters->without_depth)
        warn(report, "%zu contours without a depth were left out", waters->without_depth);
    if (waters->above_water)
        warn(report, "%zu contours above the water were left out", waters->above_water);
    if (waters->outside)
        warn(report,
             "%zu lines that do not close and lie in no closed contour were left "
             "out: the water may reach farther than shown",
             waters->outside);
    if (waters->off_m > OFF_TOLD_M)
        warn(report, "the place given by --at lies %.0f m outside the nearest water",
             waters->off_m);
    if (raw->skipped)
        warn(report, "%zu features that are no lines or areas were left out", raw->skipped);
    for (size_t i = 0; i < waters->contours; i++)
        open += !waters->contour[i].line.closed;
    if (open)
        warn(report,
             "%zu lines do not close even joined end to end: between them the "
             "depth is less sure",
             open);
}

/* "58.4", "1410" */
static void print_hectares(char *to, size_t size, double area_m2)
{
    double ha = area_m2 / 1e4;

    snprintf(to, size, "%.*f", ha >= 100 ? 0 : ha >= 10 ? 1 : 2, ha);
}

static void summarise(const struct lw_chart *chart, const struct lw_depth_rule *rule,
                      double stage_m, double shallowest_m, struct lw_import_report *report)
{
    char from[32], to[32], area[32], stage[64] = "";
    size_t depths = distinct_depths(chart);

    print_depth(from, sizeof from, chart->contour[0].depth_m, rule);
    print_depth(to, sizeof to, chart->deepest_m, rule);
    print_hectares(area, sizeof area, chart->area_m2);
    if (stage_m != 0)
        snprintf(stage, sizeof stage, " with the water at %+.2f m", stage_m);
    lw_text_copy(report->summary, sizeof report->summary, "");
    lw_text_add(report->summary, sizeof report->summary,
                "%s%s%zu contour depth%s, %s to %s %s%s, from %s in %s (%s), %s; %s; %s ha of "
                "water, cells of %g m",
                chart->lake, *chart->lake ? ": " : "", depths, depths == 1 ? "" : "s", from, to,
                lw_depth_unit_name(rule->unit), stage, chart->depth_field,
                lw_depth_unit_plural(rule->unit), rule->reason, rule->sign, chart->crs, area,
                chart->grid.cell_m);
    if (shallowest_m > 1e-3) {
        print_depth(from, sizeof from, shallowest_m, rule);
        warn(report,
             "the map has no shore (no contour at 0): water is what lies inside its "
             "outermost contour, at %s %s",
             from, lw_depth_unit_name(rule->unit));
    }
}

static void describe(struct lw_chart *chart, const struct lw_import_options *options,
                     const char *name, const struct lw_depth_column *column,
                     const struct lw_depth_rule *rule, const struct lw_reader *reader)
{
    lw_text_clean(chart->lake, sizeof chart->lake, name);
    lw_text_clean(chart->source, sizeof chart->source, options->map[0].path);
    lw_text_clean(chart->depth_field, sizeof chart->depth_field, column->name);
    lw_text_copy(chart->unit, sizeof chart->unit, lw_depth_unit_name(rule->unit));
    lw_text_copy(chart->unit_reason, sizeof chart->unit_reason, rule->reason);
    lw_text_copy(chart->crs, sizeof chart->crs, lw_reader_crs(reader));
}

/* A contour's depth as a chart: everything after the file has been read. */
static int make_chart(const struct lw_import_options *options, const struct lw_reader *reader,
                      const struct lw_raw *raw, const char *name, struct lw_chart *chart,
                      struct lw_import_report *report, struct lw_error *err)
{
    struct table *table = calloc(1, sizeof *table);
    struct lw_depth_rule rule;
    struct lw_waters waters = {0};
    double shallowest_m = INFINITY; /* of the map itself, before the stage */
    int status = -1;

    if (!table)
        return lw_fail(err, "out of memory for the map's attributes");
    if (make_table(raw, table, err) ||
        lw_depth_choose(table->column, table->columns, &options->map[0], &rule, err) ||
        lw_waters_make(raw, table->column[rule.column].value, &rule, &waters, err) ||
        lw_waters_choose(&waters, options, *name != '\0', err))
        goto done;
    for (int i = 0; i < rule.warnings; i++)
        warn(report, "%s", rule.warning[i]);
    report_features(&waters, raw, report);
    chart->frame = waters.frame;
    chart->contour = waters.contour;
    chart->contours = waters.contours;
    for (size_t i = 0; i < chart->contours; i++)
        shallowest_m = fmin(shallowest_m, chart->contour[i].depth_m);
    waters.contour = NULL;
    waters.contours = 0;
    describe(chart, options, name, &table->column[rule.column], &rule, reader);
    if (lw_chart_assemble(chart, options->cell_m, options->stage_m, err))
        goto done;
    summarise(chart, &rule, options->stage_m, shallowest_m, report);
    status = 0;
done:
    lw_waters_free(&waters);
    free(table->value);
    free(table);
    return status;
}

int lw_chart_build(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart **out, struct lw_import_report *report, struct lw_error *err)
{
    struct lw_reader *reader = NULL;
    struct lw_raw raw = {0};
    struct lw_chart *chart = calloc(1, sizeof *chart);
    char name[64];
    int status = -1;

    if (!chart)
        return lw_fail(err, "out of memory");
    if (lw_reader_open(options->map[0].path, scratch, options, &reader, err) ||
        lw_lake_read(reader, options, &raw, name, err))
        goto done;
    if (*lw_reader_note(reader))
        warn(report, "%s", lw_reader_note(reader));
    if (make_chart(options, reader, &raw, name, chart, report, err))
        goto done;
    *out = chart;
    chart = NULL;
    status = 0;
done:
    lw_chart_free(chart);
    lw_raw_free(&raw);
    lw_reader_close(reader);
    return status;
}
