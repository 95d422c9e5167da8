/* The belt as square cells, numbered row by row: what casts work is told as runs of them.
 *
 * Only cells whose middle lies in the belt exist, so that a long beat costs by its belt and not by
 * the box about it. */
#ifndef LIPWALK_PLAN_CELLS_H
#define LIPWALK_PLAN_CELLS_H

#include <stddef.h>
#include <stdint.h>

#include "lipwalk/geo/line.h"

struct cell_span { /* cells side by side in a row: columns col0 .. col1 - 1, numbers from `first` */
    int32_t col0, col1;
    uint32_t first;
};
struct belt_cells {
    double e0_m, n0_m, cell_m; /* corner of cell (0, 0), the south-west one */
    size_t rows;
    size_t *row; /* row[rows + 1]: the spans of row r are span[row[r]] .. span[row[r + 1]) */
    struct cell_span *span;
    size_t n; /* cells */
};
struct cell_run {
    uint32_t first, n; /* cells first .. first + n - 1, */
    uint32_t row;      /* in this row, */
    int32_t col;       /* from this column on */
};

/* Cells of cell_m in the rings (even-odd); none where there is no ring. -1 when memory ran out. */
int cells_open(struct belt_cells *cells, const struct lw_lines *belt, double cell_m);
void cells_close(struct belt_cells *cells);
/* The middle of a cell of row and column. */
struct lw_en cells_middle(const struct belt_cells *cells, size_t row, int32_t col);
/* The cells whose middle lies within half_m of the straight stretch a..b, as runs into run[most]:
 * how many, in all (more than `most`: call again with more room). */
size_t cells_near(const struct belt_cells *cells, struct lw_en a, struct lw_en b, double half_m,
                  struct cell_run *run, size_t most);

#endif
