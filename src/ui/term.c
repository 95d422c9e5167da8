#include "lipwalk/ui/term.h"

#include <curses.h>
#include <langinfo.h>
#include <locale.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <term.h>
#include <termios.h>
#include <unistd.h>

#include "lipwalk/ui/key.h"

#define PAIRS_MAX 128

struct lw_term {
    SCREEN *screen;
    struct lw_theme theme;
    bool ascii, colour;
    struct {
        short fg, bg;
    } pair[PAIRS_MAX]; /* pair[i] is curses' pair i; 0 is the terminal's own */
    int pairs;
};

/* What a signal handler needs to give the terminal back: it gets no argument, so this is the one
 * place of the program with state of its own. */
static struct {
    volatile sig_atomic_t taken;
    struct termios before;
    char reset[256];
    size_t reset_n;
} given_back;

/* Adds a terminfo string without its "$<ms>" paddings: a handler cannot wait. */
static void add_reset(const char *name)
{
    const char *s = tigetstr(name);

    if (!s || s == (char *)-1)
        return;
    while (*s && given_back.reset_n + 1 < sizeof given_back.reset) {
        if (s[0] == '$' && s[1] == '<') {
            const char *end = strchr(s, '>');

            if (end) {
                s = end + 1;
                continue;
            }
        }
        given_back.reset[given_back.reset_n++] = *s++;
    }
}

static void remember_reset(void)
{
    given_back.reset_n = 0;
    add_reset("sgr0");
    add_reset("op");
    add_reset("rmkx");
    add_reset("cnorm");
    add_reset("rmcup");
    given_back.taken = 1;
}

void lw_term_restore(void)
{
    ssize_t written;

    if (!given_back.taken)
        return;
    given_back.taken = 0;
    written = write(STDOUT_FILENO, given_back.reset, given_back.reset_n);
    (void)written; /* nothing can be done about it here */
    tcsetattr(STDIN_FILENO, TCSANOW, &given_back.before);
}

static bool is_utf8(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

/* Ctrl-S must not freeze a screen that is steered by, nor Ctrl-Z put it out of sight. */
static void quiet_tty(void)
{
    struct termios tty;

    if (tcgetattr(STDIN_FILENO, &tty) != 0)
        return;
    tty.c_iflag &= (tcflag_t) ~(IXON | IXOFF);
    tty.c_cc[VSUSP] = _POSIX_VDISABLE;
    tty.c_cc[VQUIT] = _POSIX_VDISABLE;
    tcsetattr(STDIN_FILENO, TCSANOW, &tty);
    def_prog_mode();
}

int lw_term_open(const struct lw_theme *theme, const char *glyphs, struct lw_term **out,
                 struct lw_error *err)
{
    const char *name = getenv("TERM");
    struct lw_term *term;

    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) ||
        tcgetattr(STDIN_FILENO, &given_back.before) != 0)
        return lw_fail(err,
                       "standard input and output are not a terminal: start lipwalk in one, or "
                       "use `lipwalk cue` where there is no screen");
    term = calloc(1, sizeof *term);
    if (!term)
        return lw_fail(err, "no memory left to open the terminal");
    /* asked for by name, so the terminal can show it even if the locale was left at C */
    if (strcmp(glyphs, "utf8") == 0 && !is_utf8())
        setlocale(LC_CTYPE, "C.UTF-8");
    term->ascii = strcmp(glyphs, "ascii") == 0 || !is_utf8();
    term->theme = *theme;
    term->screen = newterm(NULL, stdout, stdin);
    if (!term->screen) {
        free(term);
        return lw_fail(err,
                       "the terminal type TERM=%s is not known here: set TERM to what your "
                       "terminal is, for example xterm, or install ncurses-term",
                       name ? name : "");
    }
    if (!tigetstr("cup")) { /* "dumb" would show nothing at all */
        endwin();
        delscreen(term->screen);
        free(term);
        return lw_fail(err,
                       "a terminal of type TERM=%s cannot place text on its screen: set TERM to "
                       "what your terminal is, for example xterm, or use `lipwalk cue`",
                       name ? name : "");
    }
    remember_reset();
    cbreak();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    set_escdelay(25);
    curs_set(0);
    quiet_tty();
    term->colour = theme->colour && has_colors();
    term->pairs = 1;
    if (term->colour) {
        start_color();
        use_default_colors();
    }
    *out = term;
    return 0;
}

void lw_term_close(struct lw_term *term)
{
    if (!term)
        return;
    if (given_back.taken) {
        endwin();
        given_back.taken = 0;
        tcsetattr(STDIN_FILENO, TCSANOW, &given_back.before);
    }
    delscreen(term->screen);
    free(term);
}

void lw_term_size(const struct lw_term *term, int *w, int *h)
{
    (void)term;
    getmaxyx(stdscr, *h, *w);
}

bool lw_term_ascii(const struct lw_term *term)
{
    return term->ascii;
}

/* A palette number on a terminal of few colours: the nearest of the eight basic ones. */
static int basic_colour(int n)
{
    int level;

    if (n < 8 || n >= 256)
        return n;
    if (n < 16)
        return n - 8;
    if (n >= 232) /* greys */
        return n < 244 ? COLOR_BLACK : COLOR_WHITE;
    n -= 16; /* a 6 x 6 x 6 cube: red the slowest, blue the fastest */
    level = n / 36 > n / 6 % 6 ? n / 36 : n / 6 % 6;
    if (n % 6 > level)
        level = n % 6;
    if (level == 0)
        return COLOR_BLACK;
    return (n / 36 * 2 > level ? COLOR_RED : 0) | (n / 6 % 6 * 2 > level ? COLOR_GREEN : 0) |
           (n % 6 * 2 > level ? COLOR_BLUE : 0);
}

/* The pair of two colours, made when first wanted; 0 when there are no more. */
static int pair_of(struct lw_term *term, int fg, int bg)
{
    if (COLORS < 256) {
        fg = basic_colour(fg);
        bg = basic_colour(bg);
        if (fg == bg) /* two tones that fell together would hide the word */
            bg = -1;
    }
    if (fg < 0 && bg < 0)
        return 0;
    for (int i = 1; i < term->pairs; i++)
        if (term->pair[i].fg == fg && term->pair[i].bg == bg)
            return i;
    if (term->pairs >= PAIRS_MAX || term->pairs >= COLOR_PAIRS ||
        init_pair((short)term->pairs, (short)fg, (short)bg) == ERR)
        return 0;
    term->pair[term->pairs].fg = (short)fg;
    term->pair[term->pairs].bg = (short)bg;
    return term->pairs++;
}

static void style_of(struct lw_term *term, const struct lw_cell *cell, attr_t *attributes,
                     int *pair)
{
    const struct lw_style *style = &term->theme.style[cell->role];
    int bg = style->bg;
    bool reverse = style->reverse != cell->reverse;

    /* a tint is a tone between others: where there are only eight loud colours it is left out, and
     * what stands out by a background of its own keeps that */
    if (cell->tint != LW_ROLE_TEXT && bg == term->theme.style[LW_ROLE_TEXT].bg) {
        int tint = term->theme.style[cell->tint].bg;

        if (COLORS >= 256 || tint < 8)
            bg = tint;
    }
    *pair = term->colour ? pair_of(term, style->fg, bg) : 0;
    *attributes = (style->bold ? A_BOLD : 0) | (reverse ? A_REVERSE : 0) |
                  (style->underline ? A_UNDERLINE : 0);
}

void lw_term_show(struct lw_term *term, const struct lw_canvas *canvas)
{
    int w, h;

    getmaxyx(stdscr, h, w);
    if (w != canvas->w || h != canvas->h)
        erase();
    for (int y = 0; y < canvas->h && y < h; y++)
        for (int x = 0; x < canvas->w && x < w; x++) {
            const struct lw_cell *cell = &canvas->cell[y * canvas->w + x];
            wchar_t text[2] = {(wchar_t)cell->ch, 0};
            attr_t attributes;
            cchar_t cc;
            int pair;

            if (cell->ch == 0)
                continue;
            style_of(term, cell, &attributes, &pair);
            setcchar(&cc, text, attributes, (short)pair, NULL);
            mvadd_wch(y, x, &cc); /* ERR in the last corner, where it is drawn all the same */
        }
    refresh();
}

void lw_term_redraw(struct lw_term *term)
{
    (void)term;
    clearok(curscr, TRUE);
}

int lw_term_key(struct lw_term *term)
{
    wint_t ch;
    int got = get_wch(&ch);

    (void)term;
    if (got == ERR)
        return -1;
    if (got == OK) {
        switch (ch) {
        case '\r':
        case '\n':
            return LW_KEY_ENTER;
        case 27:
            return LW_KEY_ESC;
        case 8:
        case 127:
            return LW_KEY_BACKSPACE;
        case '\t':
            return LW_KEY_TAB;
        default:
            return (int)ch;
        }
    }
    switch (ch) {
    case KEY_ENTER:
        return LW_KEY_ENTER;
    case KEY_BACKSPACE:
    case KEY_DC:
        return LW_KEY_BACKSPACE;
    case KEY_UP:
        return LW_KEY_UP;
    case KEY_DOWN:
        return LW_KEY_DOWN;
    case KEY_LEFT:
        return LW_KEY_LEFT;
    case KEY_RIGHT:
        return LW_KEY_RIGHT;
    case KEY_PPAGE:
        return LW_KEY_PAGE_UP;
    case KEY_NPAGE:
        return LW_KEY_PAGE_DOWN;
    case KEY_RESIZE:
        return LW_KEY_RESIZE;
    default:
        return 0; /* a key without a meaning here; more may wait behind it */
    }
}

int lw_term_fd(const struct lw_term *term)
{
    (void)term;
    return STDIN_FILENO;
}

void lw_term_bell(struct lw_term *term)
{
    (void)term;
    beep();
}
