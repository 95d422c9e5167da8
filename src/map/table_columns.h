/* Which columns of a table hold the place, from their names or else from their values. */
#ifndef LIPWALK_SRC_MAP_TABLE_COLUMNS_H
#define LIPWALK_SRC_MAP_TABLE_COLUMNS_H

#include "depth_field.h"
#include "lipwalk/base/error.h"
#include "lipwalk/geo/point.h"

#define LW_COLUMNS_MAX 64

struct lw_table_column {
    char name[64];           /* "column 3" where the table has no header */
    double *value;           /* value[n] of the rows looked at; NaN none; owned by the table */
    enum lw_depth_unit unit; /* that stands behind every value, else NONE */
    bool units_mixed;
    double min, max;  /* of the known values */
    double low, high; /* all but the outermost twentieths: a slip of the pen must not decide */
    size_t known, fractions; /* how many are no whole numbers */
};
struct lw_table_columns {
    struct lw_table_column column[LW_COLUMNS_MAX];
    int columns;
    size_t n; /* rows looked at */
    bool named;
};
struct lw_table_places {
    int x, y;     /* columns of longitude or easting, and latitude or northing */
    bool degrees; /* longitude and latitude */
    bool guessed; /* from the values: the order x, y was assumed */
};
/* Fills low and high. */
int lw_table_spread(struct lw_table_columns *table, struct lw_error *err);
/* crs_degrees: 1: the user gave a geographic system, 0: a projected one, -1: none. `at`, where
 * known, settles the order of two columns without names. */
int lw_table_find_places(const struct lw_table_columns *table, const char *map, int crs_degrees,
                         struct lw_ll at, struct lw_table_places *out, struct lw_error *err);

#endif
