/* Between which depths each cell lies: from the contour rings that enclose it, the innermost first.
 *
 * Rings are contours that close, from lines or from areas. They nest; areas without holes lie on
 * one another, so a shoal or an island is a ring of its own on a deeper one. */
#ifndef LIPWALK_CHART_BAND_H
#define LIPWALK_CHART_BAND_H

#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"

struct lw_bands {
    int32_t *label; /* label[ny * nx]: the innermost ring about the cell's centre, or -1 */
    struct lw_band {
        size_t contour;              /* which one in the list given */
        int32_t parent;              /* the innermost ring about it, or -1 */
        bool land;                   /* an island */
        bool lo_guessed, hi_guessed; /* no ring or line says so: one more step, at most */
        double area_m2, lo_m, hi_m;  /* depths inside it and outside its own inner rings */
    } * band;                        /* band[bands], by falling area */
    size_t bands;
};
/* The grid's e0, n0, cell, nx, ny say where; its depths are not read. */
int lw_bands_make(const struct lw_contour *contour, size_t contours, const struct lw_grid *grid,
                  struct lw_bands *out, struct lw_error *err);
void lw_bands_free(struct lw_bands *bands);
/* Water inside the outermost rings, islands taken off. */
double lw_bands_area(const struct lw_bands *bands);

#endif
