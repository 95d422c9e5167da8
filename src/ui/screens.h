/* The ops tables of the screens, one a file. */
#ifndef LIPWALK_SRC_UI_SCREENS_H
#define LIPWALK_SRC_UI_SCREENS_H

#include "lipwalk/ui/screen.h"

extern const struct lw_screen ui_screen_strip, ui_screen_far, ui_screen_places, ui_screen_edge,
    ui_screen_help;
/* Not chosen by a key: shown while the position is frozen. */
void ui_emergency_draw(const struct lw_view *view, struct lw_canvas *canvas);

/* The bottom: a question, else trouble, notice, or the last mark and whose hand is whose. */
void ui_bottom(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas);
/* A key for the open question; false: none is open. */
bool ui_ask_key(struct lw_ui *ui, int code, struct lw_act *act);

#endif
