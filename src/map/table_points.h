/* Soundings on their way from rows or GPX elements into a source. */
#ifndef LIPWALK_SRC_MAP_TABLE_POINTS_H
#define LIPWALK_SRC_MAP_TABLE_POINTS_H

#include "depth_field.h"
#include "source.h"

struct lw_table_tally {                    /* of rows, or of points of a GPX */
    size_t good, gaps, bad, above, turned; /* turned: longitudes of 180..360 */
    size_t other_unit;                     /* depths with a unit of their own */
    size_t impossible;                     /* places that the columns' meaning forbids */
    long first_bad, first_impossible;      /* line or number of the first of each */
    char bad_text[64];                     /* what was found there */
    char impossible_text[200];
};
void lw_table_bad(struct lw_table_tally *tally, long line, const char *text);

/* NaN, or a number that stands for "none", such as -9999. */
bool lw_table_none(double raw);
/* Adds one sounding by the rule; `raw` NaN or a stand-in for "none" (-9999, ...) is a gap. */
int lw_table_add(struct lw_source *out, const struct lw_depth_rule *rule, struct lw_ll at,
                 double raw, struct lw_table_tally *tally, struct lw_error *err);
/* Fails where too little was good; else fills what is said, and warns of the rest. `row`: "line" or
 * "point". */
int lw_table_finish(struct lw_source *out, const struct lw_depth_rule *rule,
                    const struct lw_table_tally *tally, const char *row, struct lw_error *err);

/* The readers of the two kinds. */
int lw_table_read_text(const struct lw_map_file *file, struct lw_ll at, struct lw_source *out,
                       struct lw_error *err);
int lw_table_read_gpx(const struct lw_map_file *file, struct lw_source *out, struct lw_error *err);

#endif
