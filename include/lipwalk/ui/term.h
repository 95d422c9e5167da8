/* The terminal for people: the only file that knows curses. */
#ifndef LIPWALK_UI_TERM_H
#define LIPWALK_UI_TERM_H

#include <stdbool.h>

#include "lipwalk/base/error.h"
#include "lipwalk/conf/theme.h"
#include "lipwalk/ui/canvas.h"

struct lw_term;

/* Takes the terminal over. Fails with a sentence when there is none or TERM is unknown. glyphs:
 * "auto" asks the locale, "utf8", "ascii". The terminal is given back by lw_term_close, and on a
 * fatal signal by lw_term_restore (safe in a signal handler). */
int lw_term_open(const struct lw_theme *theme, const char *glyphs, struct lw_term **out,
                 struct lw_error *err);
void lw_term_close(struct lw_term *term);
void lw_term_restore(void);

/* Columns and rows now. */
void lw_term_size(const struct lw_term *term, int *w, int *h);
/* Only bytes 32..126 can be shown. */
bool lw_term_ascii(const struct lw_term *term);
/* Shows the canvas; only what changed is sent. */
void lw_term_show(struct lw_term *term, const struct lw_canvas *canvas);
void lw_term_redraw(struct lw_term *term); /* all anew at the next show */
/* The next key (Unicode or enum lw_key_code), -1 when none waits. Never blocks. */
int lw_term_key(struct lw_term *term);
/* What to poll() for keys. */
int lw_term_fd(const struct lw_term *term);
/* Rings. */
void lw_term_bell(struct lw_term *term);

#endif
