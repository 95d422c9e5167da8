/* Contours of one or more maps in local metres, and which of them belong to one water. */
#ifndef LIPWALK_SRC_MAP_WATERS_H
#define LIPWALK_SRC_MAP_WATERS_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "raw.h"

struct lw_waters_part { /* of one file */
    const struct lw_raw *lines;
    const double *line_m; /* line_m[lines->features]: depths; NaN none */
    const struct lw_raw *limit;
};
struct lw_waters_note { /* of a contour */
    bool hole;          /* it is one of an area; until repeated rings are dropped */
    size_t part;        /* which file it is from */
};
struct lw_waters {
    struct lw_frame frame;
    struct lw_contour *contour; /* contour[contours], by depth, owned; a limit has a depth of NaN
                                   and comes last, until a water is chosen */
    size_t contours, cap;
    struct lw_waters_note *note; /* note[contours], owned */
    struct lw_lines limit;       /* rings (even-odd) where the water chosen ends without a shore */
    size_t without_depth, above_water; /* features left out */
    size_t twice;                      /* rings left out that another file has as well */
    size_t outside;                    /* lines left out that do not close and lie in no ring */
    double off_m;                      /* how far `at` lies outside the water chosen; 0 */
    double deepest_m;                  /* 0: none */
};
/* Lines of one file are joined where they meet, rings that say what another says are dropped. The
 * frame lies about `middle`. */
int lw_waters_make(const struct lw_waters_part *part, size_t parts, struct lw_ll middle,
                   struct lw_waters *out, struct lw_error *err);
/* Moves closed lines to the limits. -1 without memory. */
int lw_waters_add_limit(struct lw_waters *waters, struct lw_lines *lines);

struct lw_waters_wish {
    struct lw_ll at; /* a place on the water wanted, or near it; NaN: there must be but one */
    bool named;      /* all contours bear one lake's name, and belong together */
    const char *map; /* for sentences */
};
/* Keeps the contours of that water and moves the frame to its middle. A limit is kept only where no
 * shore or contour lies about it. */
int lw_waters_choose(struct lw_waters *waters, const struct lw_waters_wish *wish,
                     struct lw_error *err);
void lw_waters_free(struct lw_waters *waters);

#endif
