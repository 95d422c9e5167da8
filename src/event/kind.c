/* The kinds of marks and events, and their names. */
#include <ctype.h>

#include "lipwalk/event/event.h"

const struct lw_mark_info *lw_mark_info(enum lw_mark_kind kind)
{
    static const struct lw_mark_info marks[LW_MARK_KINDS] = {
        [LW_MARK_BITE] = {"bite", 'b', true, true},
        [LW_MARK_FISH] = {"fish", 'f', true, true},
        [LW_MARK_FOLLOW] = {"follow", 'o', false, true},
        [LW_MARK_SNAG] = {"snag", 's', false, false},
        [LW_MARK_WEED] = {"weed", 'w', false, false},
        [LW_MARK_ROCK] = {"rock", 'r', false, false},
        [LW_MARK_BOTTOM] = {"bottom change", 'c', false, false},
        [LW_MARK_NOTE] = {"note", 'n', false, false},
    };

    return (size_t)kind < LW_MARK_KINDS ? &marks[kind] : NULL;
}

/* One letter as names are compared: case, '-' and '_' make no difference on a wet keyboard. */
static int name_letter(char c)
{
    return c == '-' || c == '_' ? ' ' : tolower((unsigned char)c);
}

static bool name_same(const char *a, const char *b)
{
    while (*a && name_letter(*a) == name_letter(*b)) {
        a++;
        b++;
    }
    return name_letter(*a) == name_letter(*b);
}

int lw_mark_kind_of(const char *name)
{
    if (name_same(name, "bottom"))
        return LW_MARK_BOTTOM;
    for (int kind = 0; kind < LW_MARK_KINDS; kind++)
        if (name_same(name, lw_mark_info((enum lw_mark_kind)kind)->name))
            return kind;
    return -1;
}

const char *lw_event_kind_name(enum lw_event_kind kind)
{
    static const char *const names[LW_EV_KINDS] = {
        [LW_EV_TRIP] = "trip",   [LW_EV_TRIP_END] = "trip-end",   [LW_EV_TRACK] = "track",
        [LW_EV_MARK] = "mark",   [LW_EV_WORDS] = "words",         [LW_EV_UNDO] = "undo",
        [LW_EV_CAST] = "cast",   [LW_EV_DWELL_END] = "dwell-end", [LW_EV_RETURN] = "return",
        [LW_EV_CALL] = "call",   [LW_EV_SETTING] = "setting",     [LW_EV_PLAN] = "plan",
        [LW_EV_DRIVE] = "drive", [LW_EV_FREEZE] = "freeze",       [LW_EV_CLOCK] = "clock",
    };

    return (size_t)kind < LW_EV_KINDS ? names[kind] : NULL;
}
