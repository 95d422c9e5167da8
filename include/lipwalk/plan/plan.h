/* A casting plan: the edge, the beat on it, the hold line, stations and their fans.
 *
 * Everything is in the plan's own frame. `edge` is the whole connected line that the hold line is
 * measured from; the beat is the stretch beat_from_m .. beat_to_m of it. Along, as people and files
 * see it, runs from the start of the beat: along = edge along - beat_from_m (on a closed edge
 * modulo its length; beat_to_m may exceed the length). `off` is positive on the deep side. */
#ifndef LIPWALK_PLAN_PLAN_H
#define LIPWALK_PLAN_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/geo/line.h"
#include "lipwalk/geo/point.h"

struct lw_plan_params {
    double depth_m;      /* of the edge; NaN for a driven edge */
    struct lw_ll near;   /* the beat is centred on the edge's nearest point to it; NaN: the longest
                            edge, from its start */
    double from_m, to_m; /* the beat's ends by along of the edge; NaN: centred, `length_m` long */
    double length_m;     /* NaN: the whole edge */
    double standoff_m;   /* > 0 */
    bool hold_deep;      /* hold line on the deep side (true), or up on the flat */
    double cast_m, fan_half_deg, spacing_m, swath_m, up_m, past_m, min_depth_m;
    double move_s, cast_s;
    int fan_casts;
    enum lw_units units; /* of the lengths in warnings and sentences; not kept in the file */
};
/* Every number NaN, fan_casts 0, the hold line on the deep side, US units. */
void lw_plan_params_clear(struct lw_plan_params *params);

struct lw_station {
    struct lw_en at;
    double along_m;      /* of the nearest edge point, from the start of the beat */
    int order;           /* from 1 */
    size_t cast0, casts; /* its casts are cast[cast0 .. cast0 + casts) */
};
struct lw_cast {
    int station, order; /* both from 1 */
    struct lw_en from, to;
    double bearing_deg, length_m;
    double landing_depth_m; /* NaN unknown */
    bool crosses_edge;
};
struct lw_plan {
    struct lw_frame frame;
    struct lw_plan_params params;
    char lake[64], map[512];
    struct lw_line edge;
    double beat_from_m, beat_to_m;
    bool deep_left;       /* deep side to the left of increasing along */
    struct lw_lines hold; /* parts ordered by first along, monotone within */
    struct lw_lines belt; /* edge - up .. edge + past, along the beat: closed rings, an outer one
                             counter-clockwise, then its holes clockwise */
    struct lw_station *station;
    size_t stations;
    struct lw_cast *cast;
    size_t casts;
    double coverage;      /* share of the belt within half a swath of a cast, 0..1 */
    double minutes;       /* move and cast times summed */
    double edge_sigma_m;  /* the edge's own uncertainty */
    char warning[8][200]; /* gaps of the hold line and the like, in words */
    int warnings;
    struct lw_line_index *index; /* over `edge`; made with the plan, used by lw_plan_offset */
};

/* Makes a plan on the chart. NaN members of params must have been filled from the settings
 * (standoff, cast, ...), else it fails and names the member. Fails when there is no edge at that
 * depth, naming the chart's depth range, or no hold line. *out is the caller's to free. */
int lw_plan_make(const struct lw_chart *chart, const struct lw_plan_params *params,
                 struct lw_plan **out, struct lw_error *err);
/* The same from a line in the chart's frame that the boat drove, or (chart NULL) without a map:
 * then `deep_left` tells the deep side and depths are unknown. Takes a copy of the line. */
int lw_plan_from_line(const struct lw_chart *chart, const struct lw_frame *frame,
                      const struct lw_line *edge, bool deep_left,
                      const struct lw_plan_params *params, struct lw_plan **out,
                      struct lw_error *err);
/* NULL is no fault. */
void lw_plan_free(struct lw_plan *plan);

/* One of the edges that could be worked at a depth, for the choosing screen. */
struct lw_beat {
    double length_m;
    bool closed;
    double distance_m; /* from `from` to its nearest point; NaN when from is unknown */
    double bearing_deg;
    double nearest_along_m; /* along of that point */
    struct lw_ll nearest;
};
/* Lists the edges at depth_m, nearest first (longest first when `from` is unknown); beats[max]. */
int lw_plan_beats(const struct lw_chart *chart, double depth_m, struct lw_ll from,
                  struct lw_beat *beats, size_t max, size_t *n, struct lw_error *err);

/* Where a place is relative to the plan's edge. */
struct lw_offset_at {
    double off_m;   /* signed, + deep side */
    double along_m; /* from the start of the beat; negative before it */
    double along_bearing_deg;
    struct lw_en foot; /* the nearest point of the edge */
    bool past_end;     /* beyond an end of an open edge */
};
struct lw_offset_at lw_plan_offset(const struct lw_plan *plan, struct lw_en at);
/* The point at `along_m` from the start of the beat and `off_m` square to the edge. */
struct lw_en lw_plan_point(const struct lw_plan *plan, double along_m, double off_m);
/* Metres along the edge. */
double lw_plan_beat_length(const struct lw_plan *plan);

#endif
