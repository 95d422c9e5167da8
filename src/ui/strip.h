/* The strip: the beat unrolled straight, along to the right, off up and down (deep side down). */
#ifndef LIPWALK_SRC_UI_STRIP_H
#define LIPWALK_SRC_UI_STRIP_H

#include "lipwalk/ui/canvas.h"
#include "lipwalk/ui/view.h"

/* Where a page of the beat lies on the canvas. */
struct ui_strip {
    int x, y, w, h; /* the cells of the water; the along axis is the row below */
    double from_m, m_per_col;
    double m_per_row;
    int edge_row;      /* the row of off 0, counted from y */
    double hold_off_m; /* signed */
};

/* Sets the frame of the plan's beat for a room of w x h cells at (x, y), the page chosen by
 * from_m (NaN: the first). */
void ui_strip_frame(struct ui_strip *strip, const struct lw_plan *plan, int x, int y, int w, int h,
                    double from_m);
double ui_strip_page_m(const struct ui_strip *strip);
int ui_strip_pages(const struct ui_strip *strip, const struct lw_plan *plan);
int ui_strip_page_number(const struct ui_strip *strip, const struct lw_plan *plan); /* from 1 */
/* Where the page should begin for a boat at along_m (NaN: unknown): from_m itself while the boat is
 * within the inner nine tenths of that page, so that a boat at a page's end turns it once and not
 * at every wave; pages overlap by three tenths. */
double ui_strip_turn(const struct ui_strip *strip, const struct lw_plan *plan, double along_m);

/* Cells, counted from the canvas's corner; they may lie outside of the strip. */
int ui_strip_col(const struct ui_strip *strip, double along_m);
int ui_strip_row(const struct ui_strip *strip, double off_m);
double ui_strip_along(const struct ui_strip *strip, int col); /* of a cell's centre */
double ui_strip_off(const struct ui_strip *strip, int row);
bool ui_strip_holds(const struct ui_strip *strip, int col, int row);
/* A recorded place on the strip (the map shift applied). False when it is unknown or off the page;
 * cheap for what is far from the page. */
bool ui_strip_place(const struct ui_strip *strip, const struct lw_view *view, struct lw_ll at,
                    int *col, int *row);

/* A place of the plan in the chart's frame, and back: they differ when a plan is used with another
 * map. */
struct lw_en ui_strip_to_chart(const struct lw_view *view, struct lw_en at);
struct lw_en ui_strip_to_plan(const struct lw_view *view, struct lw_en at);

/* Whether a place in the plan's frame can be on the page: cheap, against the nearest point of a
 * long edge. */
bool ui_strip_near(const struct ui_strip *strip, const struct lw_plan *plan, struct lw_en at);

/* strip_water.c: tint, belt, worked cells, edge, hold line, the axes. */
void ui_strip_water(const struct ui_strip *strip, const struct lw_view *view,
                    struct lw_canvas *canvas);
/* strip_cover.c: what the map has on the bottom. The hazards' signs, before all that moves. */
#define UI_HAZARD '!'
void ui_strip_hazards(const struct ui_strip *strip, const struct lw_view *view,
                      struct lw_canvas *canvas);
/* The words for hazards and cover, last: where there is room. */
void ui_strip_cover(const struct ui_strip *strip, const struct lw_view *view,
                    struct lw_canvas *canvas);
/* strip_things.c: stations, landings, marks, places, dwell bracket, boat. */
void ui_strip_things(const struct ui_strip *strip, const struct lw_view *view,
                     struct lw_canvas *canvas);

/* strip.c: where the strip goes on a canvas; -1 when there is no room or no plan. */
int ui_strip_on(struct ui_strip *strip, const struct lw_view *view, const struct lw_canvas *canvas,
                double page_from_m);

#endif
