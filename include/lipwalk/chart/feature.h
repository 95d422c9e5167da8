/* What a map holds beside depths: hazards, and cover and bottom.
 *
 * A place is a line of one vertex, a ring is an area, an open line is a line (a weed edge). */
#ifndef LIPWALK_CHART_FEATURE_H
#define LIPWALK_CHART_FEATURE_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/geo/line.h"

enum lw_hazard_kind {
    LW_HAZARD_ROCK,        /* S-57 UWTROC */
    LW_HAZARD_WRECK,       /* WRECKS */
    LW_HAZARD_OBSTRUCTION, /* OBSTRN: stumps, piles, cribs */
    LW_HAZARD_KINDS
};
struct lw_hazard {
    enum lw_hazard_kind kind;
    struct lw_line line;
    double depth_m; /* of the water over it, at the chart's level; NaN unknown */
    char words[64]; /* its name or remark in the map, cleaned; "" none */
};
const char *lw_hazard_name(enum lw_hazard_kind kind); /* "rock", ... */
/* The kind that a word from a map means ("stump", "UWTROC", "Wreck"); -1 none. */
int lw_hazard_of(const char *word);

enum lw_cover_kind {
    LW_COVER_ROCK,
    LW_COVER_GRAVEL,
    LW_COVER_SAND,
    LW_COVER_MUD,
    LW_COVER_WEED,
    LW_COVER_WOOD,
    LW_COVER_KINDS
};
struct lw_cover {
    enum lw_cover_kind kind;
    struct lw_line line;
    bool crew; /* marked by the crew, not in the map */
};
const char *lw_cover_name(enum lw_cover_kind kind); /* "rock", ... */
/* The kind that a word from a map means ("boulders", "Cobble", "vegetation"); -1 none. */
int lw_cover_of(const char *word);

/* An area closed by local rules, from a polygon file of the crew's. */
struct lw_closed {
    bool fishing, boating; /* closed to which; a file that does not say closes to fishing */
    struct lw_line ring;   /* closed ring; a polygon's holes are rings with `hole` set, behind it */
    bool hole;
    char words[64]; /* its name or remark, cleaned; "" none */
};

struct lw_features {
    struct lw_hazard *hazard; /* hazard[hazards], owned, lines and all */
    size_t hazards, hazard_cap;
    struct lw_cover *cover; /* cover[covers], owned, lines and all */
    size_t covers, cover_cap;
    struct lw_closed *closed; /* closed[closeds], owned, rings and all */
    size_t closeds, closed_cap;
};
/* Each moves `line` to the end of its list; 0, or -1 when memory ran out. */
int lw_features_add_hazard(struct lw_features *features, const struct lw_hazard *hazard);
int lw_features_add_cover(struct lw_features *features, const struct lw_cover *cover);
int lw_features_add_closed(struct lw_features *features, const struct lw_closed *closed);
void lw_features_free(struct lw_features *features); /* frees and zeroes */

/* The cover at a place: the smallest area about it, else the nearest place or line within near_m;
 * -1 none. `which` (may be NULL) gets its number. */
int lw_features_cover_at(const struct lw_features *features, struct lw_en at, double near_m,
                         size_t *which);
/* How far a place is from a feature's line: 0 inside an area; infinite from a line without a
 * vertex. `nearest` (may be NULL) gets its nearest point, inside an area the place itself. */
double lw_feature_distance(const struct lw_line *line, struct lw_en at, struct lw_en *nearest);

#endif
