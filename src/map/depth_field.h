/* Which attribute of a map holds the depth, in which unit and with which sign.
 *
 * Pure: columns of numbers and their names in, a rule or a sentence out. The program proposes and
 * says why; a unit, a sign or a level that the map does not state is asked for, never guessed.
 * Names that agencies use (DEPTH, abs_depth, CONTOUR, dybde, SYVYYS, DJUP, TIEFE, ...) are common
 * practice, no source; DBF cuts them at ten characters, so unit words may be cut as well. */
#ifndef LIPWALK_SRC_MAP_DEPTH_FIELD_H
#define LIPWALK_SRC_MAP_DEPTH_FIELD_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/map/import.h"

enum lw_depth_unit {
    LW_UNIT_NONE,
    LW_UNIT_M,
    LW_UNIT_CM,
    LW_UNIT_FT,
    LW_UNIT_FTUS,
    LW_UNIT_FATHOM,
    LW_UNITS_N
};
double lw_depth_unit_m(enum lw_depth_unit unit);                 /* metres in one; NaN for NONE */
const char *lw_depth_unit_name(enum lw_depth_unit unit);         /* "ft" */
const char *lw_depth_unit_plural(enum lw_depth_unit unit);       /* "feet" */
enum lw_depth_unit lw_depth_unit_from(const char *text);         /* "ft", "Feet", "METERS", ... */
enum lw_depth_unit lw_depth_unit_of_name(const char *attribute); /* "Depth_ft", "DEPTH_METE" */

/* Reads "20", "-5", "20 FEET", "6.1 m", "20'". Returns false unless all of it is one number with at
 * most a unit after it. `unit` is NONE when there is none. */
bool lw_depth_text(const char *text, double *value, enum lw_depth_unit *unit);

struct lw_depth_column {
    const char *name;    /* of the attribute; "Z" for the height of the geometry */
    const double *value; /* value[n], one a feature; NaN: none, or not a number */
    size_t n;
    enum lw_depth_unit unit; /* unit found in the text of every value, or NONE */
};

struct lw_depth_rule {
    size_t column;
    double unit_m;
    enum lw_depth_unit unit;
    double level_m;   /* depth = level - value; NaN: values are depths */
    bool up;          /* depth = -value */
    bool magnitude;   /* depth = |value|: signs were mixed or the name says absolute */
    char reason[160]; /* why this unit */
    char sign[96];    /* "positive down", ... */
    char warning[2][256];
    int warnings;
};
/* The depth in metres, positive down, of a raw value. */
double lw_depth_of(const struct lw_depth_rule *rule, double value);

/* Chooses among the columns. The file's path is for sentences; its depth_field, depth_unit, sign
 * and water_level_m override. */
int lw_depth_choose(const struct lw_depth_column *column, size_t columns,
                    const struct lw_map_file *file, struct lw_depth_rule *out,
                    struct lw_error *err);

/* How much a name looks like a depth: lower is better, 0 none at all. */
int lw_depth_rank(const char *attribute);

#endif
