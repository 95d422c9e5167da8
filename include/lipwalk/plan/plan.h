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
    double depth_m; /* of the edge; NaN for a driven edge and for a lip (its middle depth then) */
    bool lip;       /* the edge is a lip found on the surface, not a contour */
    struct lw_ll near;   /* the beat is centred on the edge's nearest point to it; NaN: the longest
                            edge, from its start */
    double from_m, to_m; /* the beat's ends by along of the edge; NaN: centred, `length_m` long */
    double length_m;     /* NaN: the whole edge */
    double standoff_m;   /* > 0 */
    bool hold_deep;      /* hold line on the deep side (true), or up on the flat */
    bool backward;       /* stations are worked against increasing along */
    bool choose_way;     /* `backward` is set by the wind where one is known: into it; not kept in
                            the file */
    double cast_m;       /* the longest cast in still air */
    double fan_half_deg; /* no cast is farther than this from square to the edge, */
    double bow_min_deg, bow_max_deg; /* nor nearer to the bow or the stern than these, the bow along
                                        the hold line in the direction worked */
    double swath_m, up_m, past_m, min_depth_m;
    double draft_m, clearance_m, berth_m; /* as struct lw_care */
    double move_s;                        /* a stop: moving on, settling */
    double boat_mps;                      /* along the hold line between stations */
    double cast_s;                        /* handling of one cast: throw, count-down, unhooking */
    double retrieve_mps;
    double coverage;  /* wanted share of what of the belt can be covered, 0..1 */
    double minutes;   /* or: the most worth within so long; NaN: not asked */
    double lip_worth; /* worth of a place at the edge beside one at the belt's border (1: alike) */
    double head_kg, fall_factor, above_m;    /* of the rig: NaN head unknown; wanted height over the
                                                bottom */
    double wind_mps, wind_from_deg, water_c; /* NaN unknown */
    enum lw_units units; /* of the lengths in warnings and sentences; not kept in the file */
};
/* Every number NaN, the hold line on the deep side, not backward, no lip, US units. */
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
    struct {
        double lip_m;   /* from the station to where it crosses the edge; NaN it does not */
        double belt_s;  /* seconds of the retrieve within the belt */
        double count_s; /* count-down to the wanted height over the bottom at the landing; NaN */
        double least_m, most_m; /* depths along the retrieve; NaN unknown */
    } facts;
};

/* Why the boat cannot stay on the hold line from one part to the next, and the way round. */
enum lw_detour_why {
    LW_DETOUR_LAND,
    LW_DETOUR_CLOSED,
    LW_DETOUR_HAZARD,
    LW_DETOUR_SHALLOW,
    LW_DETOUR_FAR_SHORE, /* the far bank's own edge is nearer than the standoff */
    LW_DETOUR_BEND,      /* the edge bends or comes back too close for a line at the standoff */
    LW_DETOUR_WHYS
};
const char *lw_detour_name(enum lw_detour_why why); /* "land", "closed", ...: for files */
struct lw_detour {
    enum lw_detour_why why;
    char words[160];     /* a clause for people, with figures */
    double from_m, to_m; /* along that has no hold line */
    int after;          /* the way leaves the end of hold part number `after` (from 1) for the next;
                           0: before the first part or behind the last, no way then */
    struct lw_line way; /* over water deep enough for the draft; n 0: none is known */
    double length_m;    /* of the way; NaN none */
};
/* A cast that was made, whatever plan it came from: its water stays worked. */
struct lw_made {
    struct lw_en from, to;
    double swath_m;
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
    struct lw_detour *detour; /* detour[detours], by from_m; owned */
    size_t detours;
    struct lw_made *made; /* made[mades], casts made before this plan was made anew; owned */
    size_t mades;
    double coverage;  /* share of the belt within half a swath of a cast, planned or made, 0..1 */
    double reachable; /* share of the belt that casts from the hold line can cover at all */
    double worth;     /* as coverage, weighted toward the edge by lip_worth */
    double minutes;   /* stops, casts and the way from the first station to the last */
    double edge_sigma_m;  /* the edge's own uncertainty */
    char warning[8][200]; /* gaps of the hold line and the like, in words */
    int warnings;
    struct lw_line_index *index; /* over `edge`; made with the plan, used by lw_plan_offset */
    struct lw_fan_work *work;    /* what improving needs; NULL once settled or when read */
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
/* The same edge with other parameters, on the water: another standoff, side, direction, cast, time
 * or depth (another edge then, the one nearest to the old beat). Casts made are old->made and
 * `made[mades]`; what they worked is not asked for again. */
int lw_plan_remake(const struct lw_chart *chart, const struct lw_plan *old,
                   const struct lw_plan_params *params, const struct lw_made *made, size_t mades,
                   struct lw_plan **out, struct lw_error *err);
/* A plan can be used as it was made; `rounds` of improvement make it no longer, never worse, the
 * same every time. Only on a plan that was made or remade in this process and whose chart lives;
 * does nothing on one that was read. lw_plan_settle ends it and frees what it needed. */
int lw_plan_improve(struct lw_plan *plan, size_t rounds, struct lw_error *err);
void lw_plan_settle(struct lw_plan *plan);
/* Rounds after which little is left to gain: by the beat's length. */
size_t lw_plan_rounds(const struct lw_plan *plan);
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
