/* A text file as rows of fields: line ends of all kinds, byte-order mark, quotes, comments.
 *
 * One row is one line, whatever the quotes: a stray one must not swallow the rest of the file. */
#ifndef LIPWALK_SRC_MAP_TABLE_ROWS_H
#define LIPWALK_SRC_MAP_TABLE_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"

#define LW_FIELDS_MAX 256 /* fields beyond are not looked at */

struct lw_rows;
int lw_rows_open(const char *path, struct lw_rows **out, struct lw_error *err);
void lw_rows_close(struct lw_rows *rows); /* NULL is no fault */
/* 1 and the next line without its end, to be used until the next call; 0 at the end; -1. Lines
 * longer than 64 kB come cut there. */
int lw_rows_next(struct lw_rows *rows, char **line, struct lw_error *err);
long lw_rows_line(const struct lw_rows *rows); /* number of the last line, from 1 */

/* Splits the line in place at tabs, ';', ',', '|', or at white space for ' '. Fields are trimmed,
 * quotes taken off. Returns how many there are. */
int lw_row_split(char *line, char separator, char *field[LW_FIELDS_MAX]);
/* What stands before a comment's text; NULL when the line is none. ';' alone begins one only where
 * it does not separate. */
const char *lw_row_comment(const char *line, char separator);

enum lw_value { LW_VALUE_NUMBER, LW_VALUE_GAP, LW_VALUE_TEXT };
/* Reads a field: a number, perhaps with a unit or hemisphere letter; or a word for "nothing" (NaN,
 * empty, NA, ...). decimal_comma: "2,5" is 2.5. `unit` as lw_depth_text's, in an int. */
enum lw_value lw_field_value(const char *field, bool decimal_comma, double *value, int *unit);

#endif
