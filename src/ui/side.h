/* The lines beside the strip: unboxed, grouped by the question they answer. */
#ifndef LIPWALK_SRC_UI_SIDE_H
#define LIPWALK_SRC_UI_SIDE_H

#include "lipwalk/ui/canvas.h"
#include "lipwalk/ui/view.h"

/* A line is made of pieces; what does not fit is left out, the highest rank first. */
#define UI_PIECES 12
struct ui_pieces {
    int n;
    struct {
        char text[128];
        enum lw_role role;
        int rank; /* 0 stays longest */
    } piece[UI_PIECES];
};
void ui_pieces_add(struct ui_pieces *pieces, enum lw_role role, int rank, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* Draws them from x on within `rows` rows of `w` cells, gap cells apart; a piece is never split
 * unless it is alone and too wide. */
void ui_pieces_draw(struct lw_canvas *canvas, int x, int y, int w, int rows, int gap,
                    const struct ui_pieces *pieces);

/* Draws a sentence over as many rows as it needs, at most `rows`; returns the rows used. */
int ui_wrap(struct lw_canvas *canvas, int x, int y, int w, int rows, enum lw_role role,
            const char *text);
/* Rows that it needs. */
int ui_wrap_rows(int w, const char *text);

/* Row 0: lake, edge, fix, weekday and clock. */
void ui_header(const struct lw_view *view, struct lw_canvas *canvas);
/* The four questions from row y on; returns the first row below. How many rows they take depends
 * only on the canvas, so that nothing below jumps. */
int ui_questions(const struct lw_view *view, struct lw_canvas *canvas, int y);
int ui_questions_rows(const struct lw_canvas *canvas);
/* A rule over the whole width, with words near its ends; "" none. */
void ui_rule(struct lw_canvas *canvas, int y, const char *left, const char *right);

#endif
