/* Themes: a colour and attributes for each role, from an INI file in themes/ or compiled in. */
#ifndef LIPWALK_CONF_THEME_H
#define LIPWALK_CONF_THEME_H

#include <stdbool.h>

#include "lipwalk/base/error.h"

/* X(ENUM, "name", "what it colours") */
#define LW_THEME_ROLES(X)                                                                          \
    X(TEXT, "text", "ordinary words")                                                              \
    X(DIM, "dim", "what matters less: rules, ticks, old marks")                                    \
    X(STRONG, "strong", "figures to read from afar")                                               \
    X(GOOD, "good", "on the hold line")                                                            \
    X(WARN, "warn", "off the hold line, late, stale")                                              \
    X(ALARM, "alarm", "no position, emergency, not saved")                                         \
    X(EDGE, "edge", "the edge on the strip")                                                       \
    X(HOLD, "hold", "the hold line")                                                               \
    X(BELT, "belt", "worked cells and the belt's ticks")                                           \
    X(BOAT, "boat", "the boat")                                                                    \
    X(CAST, "cast", "numbered landings and stations")                                              \
    X(MARK, "mark", "marks")                                                                       \
    X(PLACE, "place", "places, dwell bracket, returns")                                            \
    X(KEY, "key", "key letters in help")                                                           \
    X(SHALLOW, "shallow", "tint of shallow water")                                                 \
    X(MIDDLE, "middle", "tint of middle depths")                                                   \
    X(DEEP, "deep", "tint of deep water")

enum lw_role {
#define X(e, n, h) LW_ROLE_##e,
    LW_THEME_ROLES(X)
#undef X
        LW_ROLES
};
struct lw_style {
    int fg, bg; /* -1 terminal's own, 0..7 basic, 8..255 palette */
    bool bold, reverse, underline;
};
struct lw_theme {
    char name[32];
    struct lw_style style[LW_ROLES];
    bool colour; /* false: attributes only (theme without colour, or NO_COLOR) */
};

/* The compiled-in theme `plain`, with NO_COLOR looked at. */
void lw_theme_default(struct lw_theme *theme);
/* Reads NAME.theme from $XDG_CONFIG_HOME/lipwalk/themes, the installed folder, then ./themes; a
 * NAME with '/' is a path; on -1 `theme` is as it was. A role that a file leaves out looks like its
 * `text`. "plain" needs no file. Errors name the file and line. Lines look like
 * `warn = white on red bold`; colours: default, the eight names, or 0..255. */
int lw_theme_load(const char *name, struct lw_theme *theme, struct lw_error *err);

#endif
