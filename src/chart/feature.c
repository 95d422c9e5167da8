/* Hazards, cover and bottom: keeping them, and asking what lies at a place. */
#include "lipwalk/chart/feature.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"

int lw_features_add_hazard(struct lw_features *features, const struct lw_hazard *hazard)
{
    if (lw_array_room(&features->hazard, features->hazards, &features->hazard_cap))
        return -1;
    features->hazard[features->hazards++] = *hazard;
    return 0;
}

int lw_features_add_cover(struct lw_features *features, const struct lw_cover *cover)
{
    if (lw_array_room(&features->cover, features->covers, &features->cover_cap))
        return -1;
    features->cover[features->covers++] = *cover;
    return 0;
}

int lw_features_add_closed(struct lw_features *features, const struct lw_closed *closed)
{
    if (lw_array_room(&features->closed, features->closeds, &features->closed_cap))
        return -1;
    features->closed[features->closeds++] = *closed;
    return 0;
}

void lw_features_free(struct lw_features *features)
{
    for (size_t i = 0; i < features->hazards; i++)
        lw_line_free(&features->hazard[i].line);
    for (size_t i = 0; i < features->covers; i++)
        lw_line_free(&features->cover[i].line);
    for (size_t i = 0; i < features->closeds; i++)
        lw_line_free(&features->closed[i].ring);
    free(features->closed);
    free(features->hazard);
    free(features->cover);
    memset(features, 0, sizeof *features);
}

double lw_feature_distance(const struct lw_line *line, struct lw_en at, struct lw_en *nearest)
{
    struct lw_en there = at;
    double dist_m = 0;

    if (line->n == 0) {
        dist_m = INFINITY;
    } else if (line->n == 1) {
        there = line->p[0];
        dist_m = lw_en_distance(at, there);
    } else if (!line->closed || !lw_line_contains(line, at)) {
        struct lw_near near = lw_line_nearest(line, at);

        there = near.at;
        dist_m = near.dist_m;
    }
    if (nearest)
        *nearest = there;
    return dist_m;
}

int lw_features_cover_at(const struct lw_features *features, struct lw_en at, double near_m,
                         size_t *which)
{
    size_t best = features->covers;
    double least_m2 = INFINITY, nearest_m = near_m;

    for (size_t i = 0; i < features->covers; i++) {
        const struct lw_line *line = &features->cover[i].line;
        double area_m2;

        if (!line->closed || !lw_line_contains(line, at))
            continue;
        area_m2 = fabs(lw_line_area(line));
        if (area_m2 < least_m2) {
            least_m2 = area_m2;
            best = i;
        }
    }
    for (size_t i = 0; i < features->covers && isinf(least_m2); i++) {
        double dist_m;

        if (features->cover[i].line.closed) /* an area ends where it ends */
            continue;
        dist_m = lw_feature_distance(&features->cover[i].line, at, NULL);
        if (dist_m <= nearest_m) {
            nearest_m = dist_m;
            best = i;
        }
    }
    if (best == features->covers)
        return -1;
    if (which)
        *which = best;
    return (int)features->cover[best].kind;
}
