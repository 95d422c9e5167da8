#include "lipwalk/ui/screen.h"

#include <math.h>
#include <string.h>

#include "large.h"
#include "screens.h"
#include "side.h"
#include "strip.h"
#include "words.h"

const struct lw_screen *lw_screen(enum lw_screen_id which)
{
    static const struct lw_screen *const screens[LW_SCREENS] = {
        [LW_SCREEN_STRIP] = &ui_screen_strip,   [LW_SCREEN_FAR] = &ui_screen_far,
        [LW_SCREEN_PLACES] = &ui_screen_places, [LW_SCREEN_EDGE] = &ui_screen_edge,
        [LW_SCREEN_HELP] = &ui_screen_help,
    };

    return screens[which];
}

void lw_ui_clear(struct lw_ui *ui)
{
    memset(ui, 0, sizeof *ui);
    ui->from_m = ui->to_m = NAN;
    ui->page_from_m = NAN;
}

static void draw_tiny(const struct lw_view *view, struct lw_canvas *canvas)
{
    char text[128];

    if (view->guidance->ok && view->plan)
        ui_words_side(text, sizeof text, view);
    else
        ui_words_no_guidance_big(text, sizeof text, view);
    lw_canvas_text(canvas, 0, 0, LW_ROLE_STRONG, text);
    ui_wrap(canvas, 0, 1, canvas->w, canvas->h - 2, LW_ROLE_TEXT,
            "this window is too small: 40 columns by 12 rows are the least");
}

static void turn_page(const struct lw_view *view, struct lw_ui *ui, const struct lw_canvas *canvas)
{
    struct ui_strip strip;

    if (ui_strip_on(&strip, view, canvas, ui->page_from_m) != 0)
        return;
    strip.from_m = ui->page_from_m;
    ui->page_from_m = ui_strip_turn(&strip, view->plan,
                                    view->guidance->ok ? view->guidance->along_m : NAN);
}

void lw_ui_draw(const struct lw_view *view, struct lw_ui *ui, struct lw_canvas *canvas)
{
    enum lw_screen_id which = ui->screen;

    lw_canvas_clear(canvas);
    if (which == LW_SCREEN_STRIP && (canvas->w < 80 || canvas->h < 24))
        which = LW_SCREEN_FAR;
    if (which == LW_SCREEN_STRIP)
        turn_page(view, ui, canvas);
    if (canvas->w < 40 || canvas->h < 12)
        draw_tiny(view, canvas);
    else if (view->frozen)
        ui_emergency_draw(view, canvas);
    else
        lw_screen(which)->draw(view, ui, canvas);
    ui_bottom(view, ui, canvas);
}

static void next_screen(struct lw_ui *ui)
{
    ui->screen = ui->screen == LW_SCREEN_STRIP ? LW_SCREEN_FAR
                 : ui->screen == LW_SCREEN_FAR ? LW_SCREEN_PLACES
                                               : LW_SCREEN_STRIP;
    ui->return_chosen = 0; /* elsewhere it is the first one that is shown */
}

static void help(struct lw_ui *ui)
{
    if (ui->screen == LW_SCREEN_HELP) {
        ui->screen = ui->before_help;
        return;
    }
    ui->before_help = ui->screen;
    ui->screen = LW_SCREEN_HELP;
    ui->help_top = 0;
}

struct lw_act lw_ui_key(const struct lw_view *view, struct lw_ui *ui, int code)
{
    struct lw_act act = {LW_ACT_NONE, NULL};
    const struct lw_screen *screen = lw_screen(ui->screen);
    const struct lw_key *key = lw_key_find(code);

    if (code == LW_KEY_RESIZE || (key && key->action == LW_ACT_REDRAW))
        return (struct lw_act){LW_ACT_REDRAW, key};
    if (ui_ask_key(ui, code, &act))
        return act;
    if (!view->frozen && screen->handle && screen->handle(view, ui, code, &act))
        return act;
    if (!key)
        return act;
    act = (struct lw_act){key->action, key};
    if (key->action != LW_ACT_NEXT_SCREEN && key->action != LW_ACT_HELP &&
        key->action != LW_ACT_EDGE)
        return act;
    /* the screen of an emergency stays until it is released */
    if (view->frozen)
        return (struct lw_act){LW_ACT_NONE, NULL};
    if (key->action == LW_ACT_NEXT_SCREEN) {
        next_screen(ui);
    } else if (key->action == LW_ACT_HELP) {
        help(ui);
    } else {
        ui->screen = LW_SCREEN_EDGE;
        ui->edge_field = LW_EDGE_DEPTH;
        ui->depth_text[0] = '\0';
        act.action = LW_ACT_NONE;
    }
    return act;
}
