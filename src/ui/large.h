/* Sentences in big letters: the longest saying of a thing that fits. */
#ifndef LIPWALK_SRC_UI_LARGE_H
#define LIPWALK_SRC_UI_LARGE_H

#include "lipwalk/ui/canvas.h"
#include "lipwalk/ui/view.h"

/* Ways to say one thing, longest first; a figure and its word may differ in role. */
#define UI_SAYINGS 4
#define UI_PARTS   3
struct ui_large {
    int n;
    struct {
        char part[UI_PARTS][48]; /* drawn one after the other */
        enum lw_role role[UI_PARTS];
        int parts;
    } saying[UI_SAYINGS];
};
/* The columns that a saying takes at that scale. */
int ui_large_width(const struct ui_large *large, int saying, int scale);
/* The longest saying that fits in w at that scale; -1 none. */
int ui_large_fit(const struct ui_large *large, int w, int scale);
void ui_large_draw(struct lw_canvas *canvas, int x, int y, int scale, const struct ui_large *large,
                   int saying);

void ui_large_off(struct ui_large *to, const struct lw_view *view);      /* "38 FT OFF  3 OUT" */
void ui_large_off_only(struct ui_large *to, const struct lw_view *view); /* "38 FT OFF" */
void ui_large_steer(struct ui_large *to, const struct lw_view *view);    /* "STEER 2 O'CLOCK" */
void ui_large_side(struct ui_large *to, const struct lw_view *view);     /* "3 OUT  STEER 2" */
void ui_large_cast(struct ui_large *to, const struct lw_view *view);     /* "CAST 10 O'CLOCK" */

#endif
