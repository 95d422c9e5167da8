/* The sheet of paper: where the lake lies on it, at which scale, and what is taken already. */
#ifndef LIPWALK_SRC_SHARE_PICTURE_PAGE_H
#define LIPWALK_SRC_SHARE_PICTURE_PAGE_H

#include <stdbool.h>

#include "lipwalk/chart/chart.h"
#include "picture_svg.h"

struct box { /* on the page, mm, y down */
    double x0, y0, x1, y1;
};
struct page {
    double w, h;         /* A4, upright or across */
    struct box map;      /* the frame about the lake */
    double mm_per_m;     /* paper over ground: its inverse by 1000 is the scale */
    struct lw_en middle; /* what lies in the middle of the frame */
};

/* The sheet, upright or across, that gives the larger scale. `picture` has water. */
struct page page_for(const struct lw_chart *chart);
struct mm page_of(const struct page *page, struct lw_en at);
struct lw_en page_to_en(const struct page *page, struct mm at);
bool page_holds(const struct page *page, struct mm at); /* within the frame */

/* The line on the page, thinned to tol_mm; *p is owned by the caller. -1 when memory ran out. */
int page_line(const struct page *page, const struct lw_line *line, double tol_mm, struct mm **p,
              size_t *n);

/* What is on the page already, in squares of a third of a millimetre: lines, which lettering may
 * lie on at a pinch, and lettering, which nothing may lie on. */
enum { INK_LINE = 1, INK_TEXT = 2 };
struct ink {
    unsigned char *square; /* owned */
    int nx, ny;
    struct box map;
};
struct text_box { /* a text's place: its middle, turned clockwise */
    struct mm at;
    double angle_deg, w, h;
};
int ink_open(struct ink *ink, const struct page *page); /* -1 when memory ran out */
void ink_close(struct ink *ink);
void ink_line(struct ink *ink, const struct mm *p, size_t n, int kind);
void ink_text(struct ink *ink, const struct text_box *box);
/* How many squares with lines the text would lie on; -1: on other lettering, or out of the frame.
 */
int ink_cost(const struct ink *ink, const struct text_box *box);

/* Width of a text in a plain sans-serif face of that size, by rule of thumb. */
double text_width(const char *text, double size_mm);
/* A place for a text of box->w about at_mm along p[n], turned along the line so that it reads
 * upright: on the line, or so far to the right (left: negative) of all of it. False where the
 * line is too bent. */
bool text_along(const struct mm *p, size_t n, double at_mm, double aside_mm, struct text_box *box);
double mm_length(const struct mm *p, size_t n);
/* The point at that length along p[n] (clamped). */
struct mm mm_at(const struct mm *p, size_t n, double at_mm);

#endif
