/* The steps of finding lips, in their order; inside the chart room only.
 *
 * smooth -> ridge (single places on a ridge of bending) -> link (lines of places) -> measure (each
 * vertex by its fall line) -> place (points and inside turns). */
#ifndef LIPWALK_SRC_CHART_LIP_PARTS_H
#define LIPWALK_SRC_CHART_LIP_PARTS_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/chart/lip.h"

/* How finely the data allow to look. */
struct lw_lip_scale {
    double smooth_m;   /* sigma of the Gaussian before anything is differentiated */
    double unit;       /* 1; less on a pond: all the lengths below shrink with it */
    double interval_m; /* between mapped contours; 0 where soundings lie between them */
    bool sparse;       /* the contours lie too far apart to say between them how the bottom bends */
    double strong, weak;      /* contrasts of slope that start a line and that carry it on */
    double probe_m;           /* the slopes are compared so far up and down the fall line */
    double shortest_m, gap_m; /* of the lines of places: the least length, the widest gap */
    double least_m;           /* of a measured lip's length, unless it closes */
    double least_depth_m;
    double along_m, across_m; /* sigmas of the second smoothing, in the line's own frame */
    double step_m;            /* between the vertices of a line */
    double *level;            /* level[levels]: the mapped depths, each once, rising; owned */
    size_t levels;
};
int lw_lip_scale_of(const struct lw_chart *chart, struct lw_lip_scale *out, struct lw_error *err);
void lw_lip_scale_free(struct lw_lip_scale *scale);

/* The smoothed bottom, drawn on behind the shore so that the shore itself is no bend. */
struct lw_lip_field {
    const struct lw_grid *grid;
    float *depth_m; /* like the grid's, without NaN; owned */
};
int lw_lip_smooth(const struct lw_grid *grid, double sigma_m, struct lw_lip_field *out,
                  struct lw_error *err);
void lw_lip_field_free(struct lw_lip_field *field);
bool lw_lip_wet(const struct lw_grid *grid, struct lw_en at); /* its cell has a depth */
/* Depth and fall (per metre, toward the deep) of the smoothed bottom, clamped at the grid's rim. */
double lw_lip_depth(const struct lw_lip_field *field, struct lw_en at);
struct lw_en lw_lip_fall(const struct lw_lip_field *field, struct lw_en at);

struct lw_lip_spot {
    int cell;             /* row * nx + column */
    struct lw_en at;      /* where the bend is greatest, to a part of a cell */
    float fall_e, fall_n; /* toward the deep, unit length */
    float bend;           /* as a contrast of slope */
    int next, back;       /* neighbours on the line, deep side to the left; -1 none */
};
struct lw_lip_spots {
    struct lw_lip_spot *p; /* p[n], owned, by cell */
    size_t n, cap;
};
int lw_lip_ridge(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                 struct lw_lip_spots *out, struct lw_error *err);

/* Lines with a vertex each step_m or so, longest first. */
int lw_lip_link(const struct lw_lip_field *field, const struct lw_lip_scale *scale,
                struct lw_lip_spots *spots, struct lw_lines *out, struct lw_error *err);

/* Smooths along the line over sigma_m and gives it a vertex each step_m or so. */
int lw_lip_even_out(const struct lw_line *raw, double sigma_m, double step_m, struct lw_line *out);

/* Moves the line to the greatest bend of the bottom smoothed along it. */
int lw_lip_sharpen(const struct lw_chart *chart, const struct lw_lip_scale *scale,
                   struct lw_line *line, struct lw_error *err);

/* Moves the line's vertices to where their fall lines say and measures them. */
int lw_lip_measure(const struct lw_chart *chart, const struct lw_lip_field *field,
                   const struct lw_lip_scale *scale, const struct lw_line *line, struct lw_lip *out,
                   struct lw_error *err);

/* Says for each lip what it goes round; its flat lies up_m up the fall line. */
int lw_lip_name_kinds(const struct lw_lip_field *field, double up_m, struct lw_lips *lips,
                      struct lw_error *err);

/* Fills bend_per_m and finds the places. */
int lw_lip_places(const struct lw_lip_scale *scale, struct lw_lips *lips, struct lw_error *err);

#endif
