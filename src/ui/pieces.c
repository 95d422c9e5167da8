/* Fitting words into rows. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "side.h"

void ui_pieces_add(struct ui_pieces *pieces, enum lw_role role, int rank, const char *format, ...)
{
    va_list args;

    if (pieces->n >= UI_PIECES)
        return;
    va_start(args, format);
    vsnprintf(pieces->piece[pieces->n].text, sizeof pieces->piece[0].text, format, args);
    va_end(args);
    if (!pieces->piece[pieces->n].text[0])
        return;
    pieces->piece[pieces->n].role = role;
    pieces->piece[pieces->n++].rank = rank;
}

static void drop_worst(struct ui_pieces *pieces)
{
    int worst = 0;

    for (int i = 1; i < pieces->n; i++)
        if (pieces->piece[i].rank >= pieces->piece[worst].rank)
            worst = i;
    pieces->n--;
    memmove(&pieces->piece[worst], &pieces->piece[worst + 1],
            (size_t)(pieces->n - worst) * sizeof pieces->piece[0]);
}

/* Lays them out; draws when canvas is not NULL. Returns the rows used. */
static int lay_out(struct lw_canvas *canvas, int x, int y, int w, int gap,
                   const struct ui_pieces *pieces)
{
    int row = 0, at = 0;

    for (int i = 0; i < pieces->n; i++) {
        int width = lw_canvas_width(pieces->piece[i].text);

        if (at > 0 && at + gap + width > w)
            row++, at = 0;
        if (at > 0)
            at += gap;
        if (canvas)
            lw_canvas_text(canvas, x + at, y + row, pieces->piece[i].role, pieces->piece[i].text);
        at += width;
    }
    return row + 1;
}

void ui_pieces_draw(struct lw_canvas *canvas, int x, int y, int w, int rows, int gap,
                    const struct ui_pieces *pieces)
{
    struct ui_pieces kept = *pieces;

    while (kept.n > 1 && lay_out(NULL, 0, 0, w, gap, &kept) > rows)
        drop_worst(&kept);
    lay_out(canvas, x, y, w, gap, &kept);
}

/* The length in bytes of the next row of a wrapped text. */
static size_t row_bytes(const char *text, int w)
{
    size_t fits = 0, n = 0;
    char row[1024];

    for (;;) {
        size_t word = strcspn(text + n + (n > 0), " ") + (n > 0);

        if (n + word >= sizeof row)
            break;
        memcpy(row, text, n + word);
        row[n + word] = '\0';
        if (lw_canvas_width(row) > w)
            break;
        n += word;
        fits = n;
        if (!text[n])
            break;
    }
    if (fits == 0) { /* one word wider than the row: cut */
        while (text[fits] && fits < (size_t)w)
            fits++;
        while (fits > 0 && ((unsigned char)text[fits] & 0xc0) == 0x80)
            fits--;
    }
    return fits > 0 ? fits : 1;
}

int ui_wrap_rows(int w, const char *text)
{
    int rows = 0;

    while (*text) {
        text += row_bytes(text, w);
        text += strspn(text, " ");
        rows++;
    }
    return rows;
}

int ui_wrap(struct lw_canvas *canvas, int x, int y, int w, int rows, enum lw_role role,
            const char *text)
{
    int row = 0;

    while (*text && row < rows) {
        size_t n = row_bytes(text, w);

        lw_canvas_print(canvas, x, y + row++, role, "%.*s", (int)n, text);
        text += n;
        text += strspn(text, " ");
    }
    return row;
}
