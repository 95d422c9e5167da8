/* How a text file of soundings is laid out: separator, header, decimal sign; and its rows. */
#ifndef LIPWALK_SRC_MAP_TABLE_LAYOUT_H
#define LIPWALK_SRC_MAP_TABLE_LAYOUT_H

#include "table_rows.h"

struct lw_table_layout {
    char separator;
    int fields;  /* that most rows have */
    long header; /* line of the column names; 0 none */
    long first;  /* line of the first row with values */
    bool decimal_comma;
    char names[4096]; /* the header's text */
};
/* Tells the layout from the file's beginning. */
int lw_table_layout_find(const char *path, struct lw_table_layout *out, struct lw_error *err);
/* The next row with values, split: 1; 0 at the end; -1. The fields last until the next call. */
int lw_table_row(struct lw_rows *in, const struct lw_table_layout *layout,
                 char *field[LW_FIELDS_MAX], int *n, struct lw_error *err);

#endif
