/* Polylines in local metres: length, along, off, nearest, cut.
 *
 * `along_m` is surveyors' chainage from the first vertex. A closed line repeats its first vertex
 * as its last and `closed` is set; along is then taken modulo the length. `left_m` is the signed
 * distance from the line, positive to the left of increasing along. */
#ifndef LIPWALK_GEO_LINE_H
#define LIPWALK_GEO_LINE_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/geo/point.h"

struct lw_line {
    struct lw_en *p; /* p[n], owned */
    size_t n, cap;
    bool closed;
};
struct lw_lines {
    struct lw_line *line; /* line[n], owned */
    size_t n, cap;
};

struct lw_near {
    double dist_m;   /* >= 0 */
    double left_m;   /* signed: + left of increasing along; |left_m| == dist_m */
    double along_m;  /* of the nearest point */
    struct lw_en at; /* the nearest point itself */
    size_t segment;  /* it lies between p[segment] and p[segment + 1] */
    bool past_end;   /* the nearest point is an end of an open line and the place lies beyond it */
};

int lw_line_add(struct lw_line *line, struct lw_en at);           /* 0, or -1 when memory ran out */
int lw_line_copy(struct lw_line *to, const struct lw_line *from); /* deep; `to` is overwritten */
void lw_line_free(struct lw_line *line);                          /* frees and zeroes */
int lw_lines_take(struct lw_lines *lines, struct lw_line *line);  /* moves `line` to the end */
void lw_lines_free(struct lw_lines *lines);

/* Metres; 0 for fewer than two vertices. */
double lw_line_length(const struct lw_line *line);
double lw_line_area(const struct lw_line *line); /* of a closed line, signed: + counter-clockwise */
bool lw_line_contains(const struct lw_line *ring, struct lw_en at); /* even-odd */
void lw_line_reverse(struct lw_line *line);
void lw_line_clean(struct lw_line *line); /* drops repeated vertices (< 1 mm apart) */

/* Squared distance in m2 from `at` to the straight stretch a..b. */
double lw_segment_dist2(struct lw_en a, struct lw_en b, struct lw_en at);
/* Whether a..b and p..q meet, ends included; *share (may be NULL) is how far along a..b, 0..1. */
bool lw_segments_meet(struct lw_en a, struct lw_en b, struct lw_en p, struct lw_en q,
                      double *share);

/* Nearest point of the line (n >= 2) to `at`. The sign at a vertex follows the mean of the two
 * adjoining directions. */
struct lw_near lw_line_nearest(const struct lw_line *line, struct lw_en at);

/* The point at along_m (clamped on an open line, wrapped on a closed one) and, where bearing_deg is
 * not NULL, the direction of increasing along there. */
struct lw_en lw_line_at(const struct lw_line *line, double along_m, double *bearing_deg);
/* The direction of increasing along, averaged over +- half_m about along_m. */
double lw_line_bearing(const struct lw_line *line, double along_m, double half_m);

/* Copies the stretch from_m .. to_m into `out` (open). On a closed line to_m may exceed the length
 * (it runs on through the start); a stretch of the whole length or more gives the whole ring,
 * starting at from_m, closed. */
int lw_line_cut(const struct lw_line *line, double from_m, double to_m, struct lw_line *out,
                struct lw_error *err);
/* Copies with vertices no more than step_m apart. */
int lw_line_densify(const struct lw_line *line, double step_m, struct lw_line *out,
                    struct lw_error *err);

/* Many nearest-point questions to one line: a grid over its segments. The line must outlive it.
 * Answers equal lw_line_nearest's. */
struct lw_line_index;
struct lw_line_index *lw_line_index_new(const struct lw_line *line, double cell_m);
/* As lw_line_nearest. */
struct lw_near lw_line_index_nearest(const struct lw_line_index *index, struct lw_en at);
/* NULL is no fault. */
void lw_line_index_free(struct lw_line_index *index);

#endif
