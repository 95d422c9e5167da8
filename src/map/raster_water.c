/* Which water of a grid is meant. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "raster_parts.h"

#define RIVAL 20 /* a water of so small a part of the largest needs no word */

struct todo {
    const struct lw_raster *raster;
    double stage_m; /* today's level above the grid's */
    size_t *cell;
    size_t n, cap;
};

static bool wet(const struct todo *todo, size_t cell)
{
    return lw_raster_depth(todo->raster, todo->raster->raw[cell]) + todo->stage_m >
           LW_RASTER_SHORE_M;
}

static int put(struct todo *todo, size_t cell)
{
    if (lw_array_room(&todo->cell, todo->n, &todo->cap))
        return -1;
    todo->cell[todo->n++] = cell;
    return 0;
}

/* Puts the first cell of each run of `from` cells in the columns x0..x1 of a row. */
static int put_runs(const unsigned char *mark, unsigned char from, int x0, int x1, int y,
                    struct todo *todo)
{
    const struct lw_raster *raster = todo->raster;
    size_t row = (size_t)y * (size_t)raster->w;
    bool in_run = false;

    if (y < 0 || y >= raster->h)
        return 0;
    for (int x = x0; x <= x1; x++) {
        size_t cell = row + (size_t)x;
        bool fits = mark[cell] == from && wet(todo, cell);

        if (fits && !in_run && put(todo, cell))
            return -1;
        in_run = fits;
    }
    return 0;
}

/* Marks the water that hangs together by cell sides with `start` as `to`, run by run; all of it
 * must be marked `from`. Counts its cells; -1 memory. */
static long flood(size_t start, unsigned char from, unsigned char to, struct todo *todo,
                  struct lw_raster_water *water)
{
    const struct lw_raster *raster = todo->raster;
    unsigned char *mark = water->mark;
    size_t w = (size_t)raster->w;
    long cells = 0;

    todo->n = 0;
    if (put(todo, start))
        return -1;
    while (todo->n) {
        size_t cell = todo->cell[--todo->n];
        int y = (int)(cell / w), x0 = (int)(cell % w), x1 = x0;
        size_t row = (size_t)y * w;

        if (mark[cell] != from)
            continue;
        while (x0 > 0 && mark[row + (size_t)x0 - 1] == from && wet(todo, row + (size_t)x0 - 1))
            x0--;
        while (x1 + 1 < raster->w && mark[row + (size_t)x1 + 1] == from &&
               wet(todo, row + (size_t)x1 + 1))
            x1++;
        memset(mark + row + (size_t)x0, to, (size_t)(x1 - x0 + 1));
        cells += x1 - x0 + 1;
        if (to == LW_WET_CHOSEN) {
            water->x_min = x0 < water->x_min ? x0 : water->x_min;
            water->x_max = x1 > water->x_max ? x1 : water->x_max;
            water->y_min = y < water->y_min ? y : water->y_min;
            water->y_max = y > water->y_max ? y : water->y_max;
        }
        if (put_runs(mark, from, x0, x1, y - 1, todo) || put_runs(mark, from, x0, x1, y + 1, todo))
            return -1;
    }
    return cells;
}

/* The water cell nearest to `at`; SIZE_MAX where there is none. */
static size_t nearest(const struct todo *todo, struct lw_ll at, double *off_m)
{
    const struct lw_raster *raster = todo->raster;
    double column_m, row_m, column, row, best = INFINITY;
    size_t found = SIZE_MAX;

    lw_raster_steps(raster, &column_m, &row_m);
    if (lw_raster_where(raster, at, &column, &row))
        return SIZE_MAX;
    for (int y = 0; y < raster->h; y++)
        for (int x = 0; x < raster->w; x++) {
            double dx = fmax(0, fabs(x + 0.5 - column) - 0.5) * column_m;
            double dy = fmax(0, fabs(y + 0.5 - row) - 0.5) * row_m;
            size_t cell = (size_t)y * (size_t)raster->w + (size_t)x;

            if (dx * dx + dy * dy < best && wet(todo, cell)) {
                best = dx * dx + dy * dy;
                found = cell;
            }
        }
    *off_m = sqrt(best);
    return found;
}

int lw_raster_water_choose(const struct lw_raster *raster, struct lw_ll at, double stage_m,
                           const char *map, struct lw_raster_water *out, struct lw_error *err)
{
    size_t cells = (size_t)raster->w * (size_t)raster->h, start = SIZE_MAX;
    struct todo todo = {.raster = raster, .stage_m = stage_m};
    long most = 0, second = 0;
    int status = -1;

    *out = (struct lw_raster_water){
        .x_min = raster->w, .x_max = -1, .y_min = raster->h, .y_max = -1};
    out->mark = calloc(cells, 1);
    if (!out->mark)
        goto memory;
    if (lw_ll_known(at)) {
        start = nearest(&todo, at, &out->off_m);
    } else {
        for (size_t k = 0; k < cells; k++) {
            long n;

            if (out->mark[k] != LW_WET_DRY || !wet(&todo, k))
                continue;
            n = flood(k, LW_WET_DRY, LW_WET_SEEN, &todo, out);
            if (n < 0)
                goto memory;
            second = n > most ? most : n > second ? n : second;
            if (n > most) {
                most = n;
                start = k;
            }
        }
    }
    if (start == SIZE_MAX) {
        lw_fail(err, "%s holds no water near the place given by --at", map);
        goto done;
    }
    most = flood(start, out->mark[start], LW_WET_CHOSEN, &todo, out);
    if (most < 0)
        goto memory;
    out->cells = (size_t)most;
    out->rivals = RIVAL * second >= most;
    status = 0;
    goto done;
memory:
    lw_fail(err, "%s: out of memory for %d by %d cells", map, raster->w, raster->h);
done:
    free(todo.cell);
    if (status) {
        free(out->mark);
        out->mark = NULL;
    }
    return status;
}
