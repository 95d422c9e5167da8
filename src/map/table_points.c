/* Soundings counted, added, and said. */
#include "table_points.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define DEEPEST_M       12000.0 /* deeper than any sea: a slip */
#define IMPOSSIBLE_MOST 0.1 /* a column whose values break its meaning so often is mislabelled */

void lw_table_bad(struct lw_table_tally *tally, long line, const char *text)
{
    if (tally->bad++ == 0) {
        tally->first_bad = line;
        lw_text_clean(tally->bad_text, sizeof tally->bad_text, text);
    }
}

bool lw_table_none(double raw)
{
    return isnan(raw) || raw == -9999 || raw == 9999 || raw == -99999 || raw == 99999 ||
           raw == -32768 || fabs(raw) > 1e30;
}

int lw_table_add(struct lw_source *out, const struct lw_depth_rule *rule, struct lw_ll at,
                 double raw, struct lw_table_tally *tally, struct lw_error *err)
{
    double depth_m;

    /* A receiver without a fix writes 0, 0. */
    if (lw_table_none(raw) || (at.lat_deg == 0 && at.lon_deg == 0)) {
        tally->gaps++;
        return 0;
    }
    if (at.lon_deg > 180) {
        at.lon_deg -= 360;
        tally->turned++;
    }
    depth_m = lw_depth_of(rule, raw);
    if (depth_m < 0) {
        tally->above++;
        return 0;
    }
    if (depth_m > DEEPEST_M) {
        tally->gaps++;
        return 0;
    }
    tally->good++;
    return lw_source_add_point(out, at, depth_m) ? lw_fail(err,
                                                           "%s: out of memory after %zu "
                                                           "soundings",
                                                           out->file->path, out->points)
                                                 : 0;
}

static int refuse(const struct lw_source *out, const struct lw_table_tally *t, const char *row,
                  struct lw_error *err)
{
    const char *map = out->file->path;
    size_t rows = t->good + t->gaps + t->bad + t->above + t->impossible;

    if (t->impossible && (double)t->impossible > IMPOSSIBLE_MOST * (double)rows)
        return lw_fail(err, "%s, %s %ld: %s", map, row, t->first_impossible, t->impossible_text);
    if (t->bad > t->good + t->gaps + t->above)
        return lw_fail(err,
                       "%s: %zu of %zu %ss cannot be read as soundings, the first of them %s %ld "
                       "(\"%s\"): check that the file is whole and its columns are named",
                       map, t->bad, rows, row, row, t->first_bad, t->bad_text);
    if (t->good == 0)
        return lw_fail(err,
                       "%s holds no sounding: of %zu %ss %zu have no depth or place, %zu lie above "
                       "the water; check --depth-field and --depth-sign",
                       map, rows, row, t->gaps, t->above);
    return 0;
}

int lw_table_finish(struct lw_source *out, const struct lw_depth_rule *rule,
                    const struct lw_table_tally *t, const char *row, struct lw_error *err)
{
    double least = INFINITY, most = -INFINITY;
    char from[32], to[32];

    if (refuse(out, t, row, err))
        return -1;
    for (size_t i = 0; i < out->points; i++) {
        least = fmin(least, out->point[i].depth_m);
        most = fmax(most, out->point[i].depth_m);
    }
    lw_text_number(from, sizeof from, round(least / rule->unit_m * 1e4) / 1e4, 6);
    lw_text_number(to, sizeof to, round(most / rule->unit_m * 1e4) / 1e4, 6);
    lw_text_copy(out->unit, sizeof out->unit, lw_depth_unit_name(rule->unit));
    lw_text_copy(out->unit_reason, sizeof out->unit_reason, rule->reason);
    out->unit_m = rule->unit_m;
    lw_text_copy(out->sign, sizeof out->sign, rule->sign);
    *out->said = '\0';
    lw_text_add(out->said, sizeof out->said, "%zu soundings, %s to %s %s, from %s in %s (%s), %s",
                out->points, from, to, lw_depth_unit_name(rule->unit), out->depth_field,
                lw_depth_unit_plural(rule->unit), rule->reason, rule->sign);
    for (int i = 0; i < rule->warnings; i++)
        lw_source_warn(out, "%s: %s", out->name, rule->warning[i]);
    if (t->bad)
        lw_source_warn(out,
                       "%s: %zu %s%s left out that could not be read, the first of them "
                       "%s %ld (\"%s\")",
                       out->name, t->bad, row, t->bad == 1 ? "" : "s", row, t->first_bad,
                       t->bad_text);
    if (t->impossible)
        lw_source_warn(out,
                       "%s: %zu %s%s left out for an impossible place, the first of them "
                       "%s %ld",
                       out->name, t->impossible, row, t->impossible == 1 ? "" : "s", row,
                       t->first_impossible);
    if (t->gaps)
        lw_source_warn(out, "%s: %zu %s%s left out: no depth or no place", out->name, t->gaps, row,
                       t->gaps == 1 ? "" : "s");
    if (t->above)
        lw_source_warn(out, "%s: %zu %s%s left out: above the water", out->name, t->above, row,
                       t->above == 1 ? "" : "s");
    if (t->other_unit)
        lw_source_warn(out, "%s: the depth of %zu %s%s read in a unit of its own", out->name,
                       t->other_unit, row, t->other_unit == 1 ? " is" : "s is");
    if (t->turned)
        lw_source_warn(out, "%s: longitudes beyond 180 are read as degrees west", out->name);
    return 0;
}
