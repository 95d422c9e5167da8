#include "lipwalk/ui/key.h"

#define MARK(code, who, kind, name, help)                                                          \
    {                                                                                              \
        code, LW_ACT_MARK, who, kind, name, help                                                   \
    }
#define KEY(code, action, name, help)                                                              \
    {                                                                                              \
        code, action, -1, LW_MARK_KINDS, name, help                                                \
    }

/* Marks: the same finger of either hand means the same thing, index finger first. */
static const struct lw_key keys[] = {
    MARK('f', 0, LW_MARK_BITE, "f", "bite"),
    MARK('d', 0, LW_MARK_FISH, "d", "fish"),
    MARK('s', 0, LW_MARK_FOLLOW, "s", "follow"),
    MARK('a', 0, LW_MARK_SNAG, "a", "snag"),
    MARK('v', 0, LW_MARK_WEED, "v", "weed"),
    MARK('c', 0, LW_MARK_ROCK, "c", "rock"),
    MARK('x', 0, LW_MARK_BOTTOM, "x", "bottom change"),
    MARK('z', 0, LW_MARK_NOTE, "z", "note"),
    MARK('j', 1, LW_MARK_BITE, "j", "bite"),
    MARK('k', 1, LW_MARK_FISH, "k", "fish"),
    MARK('l', 1, LW_MARK_FOLLOW, "l", "follow"),
    MARK(';', 1, LW_MARK_SNAG, ";", "snag"),
    MARK('m', 1, LW_MARK_WEED, "m", "weed"),
    MARK(',', 1, LW_MARK_ROCK, ",", "rock"),
    MARK('.', 1, LW_MARK_BOTTOM, ".", "bottom change"),
    MARK('/', 1, LW_MARK_NOTE, "/", "note"),
    KEY(' ', LW_ACT_CAST, "Space", "the cast shown was made"),
    KEY(LW_KEY_BACKSPACE, LW_ACT_UNDO, "Backspace", "take back last mark or cast"),
    KEY('0', LW_ACT_EMERGENCY, "0", "EMERGENCY: freeze position"),
    KEY('n', LW_ACT_STATION_NEXT, "n", "next station"),
    KEY('b', LW_ACT_STATION_BACK, "b", "station before"),
    KEY('o', LW_ACT_END_DWELL, "o", "the dwell is over"),
    KEY('1', LW_ACT_RETURN_DONE, "1 2 3", "return: done, snooze, drop"),
    KEY('2', LW_ACT_RETURN_SNOOZE, "2", NULL),
    KEY('3', LW_ACT_RETURN_DROP, "3", NULL),
    KEY('e', LW_ACT_EDGE, "e", "choose an edge by depth"),
    KEY('i', LW_ACT_DRIVE, "i", "drive an edge: start, end"),
    KEY('h', LW_ACT_LIP_HERE, "h", "the lip is under the boat now"),
    KEY('u', LW_ACT_COMPARE, "u", "compare sounder with the map"),
    KEY('p', LW_ACT_ANEW, "p", "plan anew for what is left"),
    KEY('w', LW_ACT_WIND, "w", "type in the wind"),
    KEY('t', LW_ACT_WATER, "t", "type in the water temperature"),
    KEY(LW_KEY_TAB, LW_ACT_NEXT_SCREEN, "Tab", "next screen"),
    KEY('?', LW_ACT_HELP, "?", "this help, and back"),
    KEY(LW_KEY_ESC, LW_ACT_MAP, "Esc", "stop, restart reading the map"),
    KEY(0x0c, LW_ACT_REDRAW, "Ctrl-L", "draw the screen anew"),
    KEY('q', LW_ACT_QUIT, "q", "quit"),
};

const struct lw_key *lw_keys(size_t *n)
{
    *n = sizeof keys / sizeof keys[0];
    return keys;
}

const struct lw_key *lw_key_find(int code)
{
    /* Caps Lock folds letters only, but a hand on Shift folds the marks beside them too. '?' is
     * Shift with '/' and stays help: it is the one sign that everybody tries. */
    if (code >= 'A' && code <= 'Z')
        code += 'a' - 'A';
    else if (code == ':')
        code = ';';
    else if (code == '<')
        code = ',';
    else if (code == '>')
        code = '.';
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        if (keys[i].code == code)
            return &keys[i];
    return NULL;
}
