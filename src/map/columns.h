/* Attributes of some features as columns of numbers, to choose the depth among them. */
#ifndef LIPWALK_SRC_MAP_COLUMNS_H
#define LIPWALK_SRC_MAP_COLUMNS_H

#include "depth_field.h"
#include "raw.h"

#define LW_COLUMNS_MAX 400

struct lw_columns {
    struct lw_depth_column column[LW_COLUMNS_MAX + 1]; /* the geometry's height comes last, as Z */
    size_t columns;
    double *value; /* column after column; owned */
};
/* Of raw's features row[0..rows). Names point into raw. Large: not for the stack of a thread. */
int lw_columns_make(const struct lw_raw *raw, const size_t *row, size_t rows,
                    struct lw_columns *out, struct lw_error *err);
void lw_columns_free(struct lw_columns *columns);

#endif
