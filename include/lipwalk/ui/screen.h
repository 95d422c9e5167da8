/* The screens: each an ops table {title, draw, handle}. */
#ifndef LIPWALK_UI_SCREEN_H
#define LIPWALK_UI_SCREEN_H

#include "lipwalk/ui/canvas.h"
#include "lipwalk/ui/view.h"

struct lw_screen {
    const char *title;
    void (*draw)(const struct lw_view *view, const struct lw_ui *ui, struct lw_canvas *canvas);
    /* Takes a key that no question wanted and that is the screen's own; false: not mine, look it up
     * in the key table. */
    bool (*handle)(const struct lw_view *view, struct lw_ui *ui, int code, struct lw_act *act);
};
/* The screen's operations, static. */
const struct lw_screen *lw_screen(enum lw_screen_id which);

/* The strip, no question, no end of a beat set. */
void lw_ui_clear(struct lw_ui *ui);
/* Draws the frame: the emergency screen when frozen, the far read in place of the strip when the
 * canvas is smaller than 80x24, else the screen now chosen; then the question or the message line
 * on the bottom row. Below 40x12 it says what size is needed, and still the most important line.
 * Turns the strip's page first where the boat has left it (ui->page_from_m). */
void lw_ui_draw(const struct lw_view *view, struct lw_ui *ui, struct lw_canvas *canvas);
/* Takes one key through question, screen and table, in that order. Tab, ? and e have switched the
 * screen when it returns; LW_ACT_EDGE comes only when a depth was entered (ui->depth_text), and
 * LW_ACT_BEAT when a beat and its ends were settled (beat_chosen, from_m, to_m). LW_KEY_RESIZE
 * comes back as LW_ACT_REDRAW. */
struct lw_act lw_ui_key(const struct lw_view *view, struct lw_ui *ui, int code);

#endif
