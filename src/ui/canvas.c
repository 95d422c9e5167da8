#include "lipwalk/ui/canvas.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

int lw_canvas_size(struct lw_canvas *canvas, int w, int h)
{
    if (w < 1)
        w = 1;
    if (h < 1)
        h = 1;
    if (!canvas->cell || w != canvas->w || h != canvas->h) {
        struct lw_cell *cell = calloc((size_t)w * (size_t)h, sizeof *cell);

        if (!cell)
            return -1;
        free(canvas->cell);
        canvas->cell = cell;
        canvas->w = w;
        canvas->h = h;
    }
    lw_canvas_clear(canvas);
    return 0;
}

void lw_canvas_clear(struct lw_canvas *canvas)
{
    for (int i = 0; i < canvas->w * canvas->h; i++)
        canvas->cell[i] = (struct lw_cell){.ch = ' ', .role = LW_ROLE_TEXT, .tint = LW_ROLE_TEXT};
}

void lw_canvas_free(struct lw_canvas *canvas)
{
    free(canvas->cell);
    canvas->cell = NULL;
    canvas->w = canvas->h = 0;
}

/* The next code point, U+FFFD for a byte that starts none; moves *text past it. */
static uint32_t next_code(const char **text)
{
    const unsigned char *p = (const unsigned char *)*text;
    uint32_t ch = p[0], least;
    int more;

    if (ch < 0x80) {
        *text += 1;
        return ch;
    }
    if (ch >= 0xc2 && ch <= 0xdf)
        more = 1, ch &= 0x1f, least = 0x80;
    else if (ch >= 0xe0 && ch <= 0xef)
        more = 2, ch &= 0x0f, least = 0x800;
    else if (ch >= 0xf0 && ch <= 0xf4)
        more = 3, ch &= 0x07, least = 0x10000;
    else {
        *text += 1;
        return 0xfffd;
    }
    for (int i = 1; i <= more; i++) {
        if ((p[i] & 0xc0) != 0x80) { /* also the terminating NUL */
            *text += 1;
            return 0xfffd;
        }
        ch = (ch << 6) | (p[i] & 0x3f);
    }
    *text += more + 1;
    return ch < least || ch > 0x10ffff || (ch >= 0xd800 && ch <= 0xdfff) ? 0xfffd : ch;
}

/* Characters that steer a terminal or turn the order of the text around. */
static bool steers(uint32_t ch)
{
    return ch < 0x20 || (ch >= 0x7f && ch < 0xa0) || ch == 0x061c || ch == 0x200e || ch == 0x200f ||
           (ch >= 0x2028 && ch <= 0x202e) || (ch >= 0x2066 && ch <= 0x2069) || ch == 0xfeff ||
           ch == 0xfffd;
}

/* The nearest ASCII, one for one, so that columns stay where they are. */
static uint32_t to_ascii(uint32_t ch)
{
    static const char latin1[] = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty";
    static const char extended[] = /* U+0100 to U+017F */
        "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLlLlNnNnNnnNnOoOoOoOoRrRrRr"
        "Ss"
        "SsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

    if (ch >= 0x20 && ch < 0x7f)
        return ch;
    if (ch >= 0xc0 && ch <= 0xff)
        return (uint32_t)(unsigned char)latin1[ch - 0xc0];
    if (ch >= 0x100 && ch <= 0x17f)
        return (uint32_t)(unsigned char)extended[ch - 0x100];
    switch (ch) {
    case 0xa0:
        return ' ';
    case 0xb0: /* degree */
        return 'o';
    case 0xb1: /* plus-minus */
        return '~';
    case 0xb7: /* middle dot */
        return '.';
    case 0x2013:
    case 0x2014:
    case 0x2500: /* light bar */
    case 0x2501: /* heavy bar */
        return '-';
    case 0x2018:
    case 0x2019:
        return '\'';
    case 0x201c:
    case 0x201d:
        return '"';
    case 0x2502: /* light upright */
        return '|';
    case 0x2550: /* double bar */
        return '=';
    case 0x2588: /* full block */
    case 0x2591: /* light shade */
        return '#';
    case 0x25b2: /* triangle up */
        return '^';
    case 0x25cb: /* circle */
        return '+';
    default:
        return '?';
    }
}

static int width_of(uint32_t ch)
{
    int w;

    if (steers(ch) || ch < 0x7f)
        return 1; /* what steers is shown as '?' */
    w = wcwidth((wchar_t)ch);
    /* the C locale knows no width beyond ASCII; the glyphs that we draw ourselves are narrow */
    return w < 0 && to_ascii(ch) != '?' ? 1 : w;
}

static void set_cell(struct lw_canvas *canvas, int x, int y, enum lw_role role, uint32_t ch)
{
    struct lw_cell *cell = &canvas->cell[y * canvas->w + x];

    /* half of a wide character that is written over leaves a blank for its other half */
    if (cell->ch == 0 && x > 0)
        cell[-1].ch = ' ';
    if (x + 1 < canvas->w && cell[1].ch == 0)
        cell[1].ch = ' ';
    cell->reverse = canvas->ascii && ch == 0x2588;
    cell->ch = canvas->ascii ? to_ascii(ch) : ch;
    cell->role = (uint8_t)role;
}

/* Returns the columns it takes, drawn or cut. */
static int put_code(struct lw_canvas *canvas, int x, int y, enum lw_role role, uint32_t ch)
{
    int w = width_of(ch);

    if (w == 0)
        return 0;
    if (w < 0 || steers(ch))
        ch = '?', w = 1;
    if (y < 0 || y >= canvas->h)
        return w;
    if (w == 1) {
        if (x >= 0 && x < canvas->w)
            set_cell(canvas, x, y, role, ch);
        return 1;
    }
    if (canvas->ascii) { /* as many '?' as columns, so that what follows keeps its place */
        for (int i = 0; i < 2; i++)
            if (x + i >= 0 && x + i < canvas->w)
                set_cell(canvas, x + i, y, role, '?');
        return 2;
    }
    if (x >= 0 && x + 1 < canvas->w) {
        set_cell(canvas, x, y, role, ch);
        set_cell(canvas, x + 1, y, role, ' ');
        canvas->cell[y * canvas->w + x].ch = ch; /* the blank just wiped it when x + 1 was a half */
        canvas->cell[y * canvas->w + x + 1].ch = 0;
    } else if (x + 1 == canvas->w || x == -1) {
        set_cell(canvas, x < 0 ? 0 : x, y, role, ' ');
    }
    return 2;
}

int lw_canvas_text(struct lw_canvas *canvas, int x, int y, enum lw_role role, const char *utf8)
{
    while (*utf8 && x < canvas->w)
        x += put_code(canvas, x, y, role, next_code(&utf8));
    return x < canvas->w ? x : canvas->w;
}

int lw_canvas_print(struct lw_canvas *canvas, int x, int y, enum lw_role role, const char *format,
                    ...)
{
    char text[1024];
    va_list args;

    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return lw_canvas_text(canvas, x, y, role, text);
}

int lw_canvas_right(struct lw_canvas *canvas, int x_end, int y, enum lw_role role, const char *utf8)
{
    int x = x_end - lw_canvas_width(utf8);

    lw_canvas_text(canvas, x, y, role, utf8);
    return x;
}

void lw_canvas_put(struct lw_canvas *canvas, int x, int y, enum lw_role role, uint32_t ch)
{
    put_code(canvas, x, y, role, ch);
}

void lw_canvas_fill(struct lw_canvas *canvas, int x, int y, int w, enum lw_role role, uint32_t ch)
{
    for (int i = 0; i < w; i++)
        lw_canvas_put(canvas, x + i, y, role, ch);
}

void lw_canvas_tint(struct lw_canvas *canvas, int x, int y, int w, enum lw_role role)
{
    for (int i = x; i < x + w; i++)
        if (i >= 0 && i < canvas->w && y >= 0 && y < canvas->h)
            canvas->cell[y * canvas->w + i].tint = (uint8_t)role;
}

void lw_canvas_reverse(struct lw_canvas *canvas, int x, int y, int w)
{
    for (int i = x; i < x + w; i++)
        if (i >= 0 && i < canvas->w && y >= 0 && y < canvas->h) {
            struct lw_cell *cell = &canvas->cell[y * canvas->w + i];

            cell->reverse = !cell->reverse;
        }
}

int lw_canvas_width(const char *utf8)
{
    int w = 0;

    while (*utf8) {
        int one = width_of(next_code(&utf8));

        w += one < 0 ? 1 : one;
    }
    return w;
}

/* Writes ch as UTF-8; returns the bytes. */
static size_t encode(char to[4], uint32_t ch)
{
    if (ch < 0x80) {
        to[0] = (char)ch;
        return 1;
    }
    if (ch < 0x800) {
        to[0] = (char)(0xc0 | (ch >> 6));
        to[1] = (char)(0x80 | (ch & 0x3f));
        return 2;
    }
    if (ch < 0x10000) {
        to[0] = (char)(0xe0 | (ch >> 12));
        to[1] = (char)(0x80 | ((ch >> 6) & 0x3f));
        to[2] = (char)(0x80 | (ch & 0x3f));
        return 3;
    }
    to[0] = (char)(0xf0 | (ch >> 18));
    to[1] = (char)(0x80 | ((ch >> 12) & 0x3f));
    to[2] = (char)(0x80 | ((ch >> 6) & 0x3f));
    to[3] = (char)(0x80 | (ch & 0x3f));
    return 4;
}

void lw_canvas_row(const struct lw_canvas *canvas, int y, char *to, size_t size)
{
    size_t n = 0, keep = 0;

    for (int x = 0; y >= 0 && y < canvas->h && x < canvas->w; x++) {
        uint32_t ch = canvas->cell[y * canvas->w + x].ch;
        char code[4];
        size_t bytes;

        if (ch == 0)
            continue;
        bytes = encode(code, ch);
        if (n + bytes >= size)
            break;
        memcpy(to + n, code, bytes);
        n += bytes;
        if (ch != ' ')
            keep = n;
    }
    if (size > 0)
        to[keep] = '\0';
}

char *lw_canvas_dump(const struct lw_canvas *canvas)
{
    size_t row = 4 * (size_t)canvas->w + 1, n = 0;
    char *text = malloc((row + 1) * (size_t)canvas->h + 1);

    if (!text)
        return NULL;
    for (int y = 0; y < canvas->h; y++) {
        lw_canvas_row(canvas, y, text + n, row);
        n += strlen(text + n);
        text[n++] = '\n';
    }
    text[n] = '\0';
    return text;
}
