/* The keys: one table feeds input and the help on `?`.
 *
 * Letters count the same with Caps Lock on. Two people mark from two sides: the angler with the
 * left hand's home row and the row under it, the co-angler with the right hand's, mirror-wise, so
 * that the same finger means the same thing on both hands. */
#ifndef LIPWALK_UI_KEY_H
#define LIPWALK_UI_KEY_H

#include <stddef.h>

#include "lipwalk/event/event.h"

enum lw_key_code { /* beyond Unicode: what is not a character */
                   LW_KEY_ENTER = 0x110000,
                   LW_KEY_ESC,
                   LW_KEY_BACKSPACE,
                   LW_KEY_TAB,
                   LW_KEY_UP,
                   LW_KEY_DOWN,
                   LW_KEY_LEFT,
                   LW_KEY_RIGHT,
                   LW_KEY_RESIZE,
                   LW_KEY_PAGE_UP,
                   LW_KEY_PAGE_DOWN
};

enum lw_action {
    LW_ACT_NONE,
    LW_ACT_MARK,        /* who and kind in the row */
    LW_ACT_CAST,        /* space: the shown cast was made */
    LW_ACT_UNDO,        /* Backspace: take back the last mark or cast */
    LW_ACT_EMERGENCY,   /* 0: freeze the position; again, confirmed: release */
    LW_ACT_NEXT_SCREEN, /* Tab */
    LW_ACT_HELP,        /* ? */
    LW_ACT_EDGE,        /* e: choose an edge */
    LW_ACT_DRIVE,       /* i: start, end recording an edge by driving it */
    LW_ACT_LIP_HERE,    /* h: the lip is under the boat now */
    LW_ACT_COMPARE,     /* u: the sounder with the map: today's level, a shift */
    LW_ACT_MAP,         /* Esc: stop reading the map; read it again */
    LW_ACT_STATION_NEXT,
    LW_ACT_STATION_BACK, /* n, b */
    LW_ACT_END_DWELL,    /* o: the dwell is over */
    LW_ACT_RETURN_DONE,
    LW_ACT_RETURN_SNOOZE,
    LW_ACT_RETURN_DROP, /* 1 2 3, the chosen return */
    LW_ACT_WIND,        /* w: type in the wind */
    LW_ACT_WATER,       /* t: type in the water temperature */
    LW_ACT_ANEW,        /* p: plan anew, with other wishes or for what is left */
    LW_ACT_REDRAW,      /* Ctrl-L */
    LW_ACT_QUIT,        /* q, confirmed */
    /* given by screens and questions, not bound to a key */
    LW_ACT_ANSWER, /* a question was answered: see struct lw_ask */
    LW_ACT_BEAT,   /* the edge screen settled on a beat */
    LW_ACT_LEVEL   /* the level was asked about */
};

struct lw_key {
    int code; /* a lower-case character or enum lw_key_code */
    enum lw_action action;
    int who;                /* marks: 0 angler, 1 co-angler; else -1 */
    enum lw_mark_kind kind; /* marks */
    const char *name;       /* "Space", "f" */
    const char *help;       /* NULL: said by the row before */
};
/* The whole table, in the order of the help. */
const struct lw_key *lw_keys(size_t *n);
/* The row for a code (letters folded to lower case); NULL if none. */
const struct lw_key *lw_key_find(int code);

#endif
