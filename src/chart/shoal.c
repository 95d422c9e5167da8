#include "shoal.h"

#include <math.h>
#include <stdlib.h>

#define SAME_M       1e-3
#define INDEX_CELL_M 20.0

struct lw_shoals {
    const struct lw_contour *contour;
    const struct lw_bands *bands;
    struct shoal {
        struct lw_line_index *ring; /* over the band's ring, made when first asked for */
        size_t child, sibling;      /* the first ring straight inside, and the next beside; or 0 */
    } shoal[];
};

struct lw_shoals *lw_shoals_new(const struct lw_contour *contour, const struct lw_bands *bands)
{
    struct lw_shoals *shoals = calloc(1,
                                      sizeof *shoals + (bands->bands + 1) * sizeof *shoals->shoal);

    if (!shoals)
        return NULL;
    shoals->contour = contour;
    shoals->bands = bands;
    for (size_t k = 1; k < bands->bands; k++) { /* the largest ring is nobody's child */
        int32_t parent = bands->band[k].parent;

        if (parent < 0)
            continue;
        shoals->shoal[k].sibling = shoals->shoal[parent].child;
        shoals->shoal[parent].child = k;
    }
    return shoals;
}

void lw_shoals_free(struct lw_shoals *shoals)
{
    if (!shoals)
        return;
    for (size_t k = 0; k < shoals->bands->bands; k++)
        lw_line_index_free(shoals->shoal[k].ring);
    free(shoals);
}

static double depth_of(const struct lw_shoals *shoals, size_t k)
{
    return shoals->contour[shoals->bands->band[k].contour].depth_m;
}

static double distance(struct lw_shoals *shoals, size_t k, struct lw_en at)
{
    struct shoal *shoal = &shoals->shoal[k];

    if (!shoal->ring)
        shoal->ring = lw_line_index_new(&shoals->contour[shoals->bands->band[k].contour].line,
                                        INDEX_CELL_M);
    return shoal->ring ? lw_line_index_nearest(shoal->ring, at).dist_m : NAN;
}

double lw_shoals_floor(struct lw_shoals *shoals, size_t k, struct lw_en at)
{
    const struct lw_band *band = &shoals->bands->band[k];
    double own_m = depth_of(shoals, k), floor_m = own_m, least_m = own_m, border_m = NAN;

    if (band->parent >= 0 && own_m < depth_of(shoals, (size_t)band->parent) + SAME_M)
        return band->lo_m; /* itself a shoal, or as deep as what it lies on */
    for (size_t c = shoals->shoal[k].child; c; c = shoals->shoal[c].sibling) {
        double top_m = depth_of(shoals, c), off_m;

        if (top_m > own_m - SAME_M)
            continue;
        if (isnan(border_m))
            border_m = distance(shoals, k, at);
        off_m = distance(shoals, c, at);
        if (isnan(border_m) || isnan(off_m))
            return NAN;
        least_m = fmin(least_m, top_m);
        if (off_m < border_m) /* nearer to the shoal than half-way */
            floor_m = fmin(floor_m,
                           own_m - (own_m - top_m) * (border_m - off_m) / (border_m + off_m));
    }
    /* A line that does not close may say that the bottom is higher yet. */
    return band->lo_m < least_m - SAME_M ? band->lo_m : floor_m;
}
