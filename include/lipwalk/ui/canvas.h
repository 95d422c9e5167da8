/* A screen's worth of cells. Screens draw into it; a driver shows it; tests read it as text. */
#ifndef LIPWALK_UI_CANVAS_H
#define LIPWALK_UI_CANVAS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/conf/theme.h"

struct lw_cell {
    uint32_t ch;  /* Unicode; 0: the right half of a wide one */
    uint8_t role; /* enum lw_role */
    uint8_t tint; /* the role whose background shows where the cell's own role has that of ordinary
                     words; LW_ROLE_TEXT: none */
    bool reverse;
};
struct lw_canvas {
    int w, h;
    bool ascii;           /* only bytes 32..126 may be put; others become the nearest ASCII */
    struct lw_cell *cell; /* cell[y * w + x], owned */
};
int lw_canvas_size(struct lw_canvas *canvas, int w, int h); /* clears too; 0 or -1 no memory */
void lw_canvas_clear(struct lw_canvas *canvas);
void lw_canvas_free(struct lw_canvas *canvas);

/* Draws UTF-8 from x on; what is outside is cut; control characters and bidirectional overrides
 * become '?', combining characters are left out. Cells keep their tint. Returns the x after the
 * last cell. */
int lw_canvas_text(struct lw_canvas *canvas, int x, int y, enum lw_role role, const char *utf8);
int lw_canvas_print(struct lw_canvas *canvas, int x, int y, enum lw_role role, const char *format,
                    ...) __attribute__((format(printf, 5, 6)));
/* The same, ending before x_end (right-aligned); returns the x of its first cell. */
int lw_canvas_right(struct lw_canvas *canvas, int x_end, int y, enum lw_role role,
                    const char *utf8);
/* One character (no wide one); outside the canvas nothing happens. */
void lw_canvas_put(struct lw_canvas *canvas, int x, int y, enum lw_role role, uint32_t ch);
/* The same character in w cells to the right. */
void lw_canvas_fill(struct lw_canvas *canvas, int x, int y, int w, enum lw_role role, uint32_t ch);
/* Lays the background of a role under w cells; what is drawn over them later keeps it. */
void lw_canvas_tint(struct lw_canvas *canvas, int x, int y, int w, enum lw_role role);
void lw_canvas_reverse(struct lw_canvas *canvas, int x, int y, int w); /* turns cells about */
/* Cells that a UTF-8 text takes. */
int lw_canvas_width(const char *utf8);
/* Big figures: characters of "0123456789 .-+ABCDEFGHIJKLMNOPQRSTUVWXYZ'%:" as blocks `scale` times
 * 5 rows high. Returns the columns used (or needed, with canvas NULL). */
int lw_canvas_big(struct lw_canvas *canvas, int x, int y, enum lw_role role, int scale,
                  const char *text);
/* One row of cells as UTF-8, trailing blanks trimmed; `to` is always terminated. */
void lw_canvas_row(const struct lw_canvas *canvas, int y, char *to, size_t size);
/* The whole canvas as lines of UTF-8 with '\n', trailing blanks trimmed. Caller frees. */
char *lw_canvas_dump(const struct lw_canvas *canvas);

#endif
