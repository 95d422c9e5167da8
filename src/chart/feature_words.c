/* What maps call hazards, and cover and bottom. */
#include <ctype.h>
#include <string.h>

#include "lipwalk/chart/feature.h"

struct word {
    const char *word;
    int kind;
};

/* Object classes of S-57 (IHO, appendix A, from memory), and plain words: common practice, no
 * source. A word counts in the singular and the plural. */
static const struct word hazards[] = {
    {"uwtroc", LW_HAZARD_ROCK},
    {"rock", LW_HAZARD_ROCK},
    {"reef", LW_HAZARD_ROCK},
    {"wrecks", LW_HAZARD_WRECK},
    {"wreck", LW_HAZARD_WRECK},
    {"shipwreck", LW_HAZARD_WRECK},
    {"obstrn", LW_HAZARD_OBSTRUCTION},
    {"obstruction", LW_HAZARD_OBSTRUCTION},
    {"hazard", LW_HAZARD_OBSTRUCTION},
    {"danger", LW_HAZARD_OBSTRUCTION},
    {"snag", LW_HAZARD_OBSTRUCTION},
    {"stump", LW_HAZARD_OBSTRUCTION},
    {"stumpfield", LW_HAZARD_OBSTRUCTION},
    {"deadhead", LW_HAZARD_OBSTRUCTION},
    {"pile", LW_HAZARD_OBSTRUCTION},
    {"piling", LW_HAZARD_OBSTRUCTION},
    {"crib", LW_HAZARD_OBSTRUCTION},
};
static const struct word covers[] = {
    {"rock", LW_COVER_ROCK},     {"rocky", LW_COVER_ROCK},      {"boulder", LW_COVER_ROCK},
    {"stone", LW_COVER_ROCK},    {"rubble", LW_COVER_ROCK},     {"bedrock", LW_COVER_ROCK},
    {"ledge", LW_COVER_ROCK},    {"riprap", LW_COVER_ROCK},     {"gravel", LW_COVER_GRAVEL},
    {"cobble", LW_COVER_GRAVEL}, {"pebble", LW_COVER_GRAVEL},   {"shingle", LW_COVER_GRAVEL},
    {"sand", LW_COVER_SAND},     {"sandy", LW_COVER_SAND},      {"mud", LW_COVER_MUD},
    {"muddy", LW_COVER_MUD},     {"muck", LW_COVER_MUD},        {"silt", LW_COVER_MUD},
    {"clay", LW_COVER_MUD},      {"marl", LW_COVER_MUD},        {"organic", LW_COVER_MUD},
    {"weed", LW_COVER_WEED},     {"weedy", LW_COVER_WEED},      {"weedbed", LW_COVER_WEED},
    {"wedklp", LW_COVER_WEED},   {"vegetation", LW_COVER_WEED}, {"macrophyte", LW_COVER_WEED},
    {"plant", LW_COVER_WEED},    {"milfoil", LW_COVER_WEED},    {"pondweed", LW_COVER_WEED},
    {"cabbage", LW_COVER_WEED},  {"coontail", LW_COVER_WEED},   {"bulrush", LW_COVER_WEED},
    {"reed", LW_COVER_WEED},     {"lilypad", LW_COVER_WEED},    {"grass", LW_COVER_WEED},
    {"wood", LW_COVER_WOOD},     {"timber", LW_COVER_WOOD},     {"brush", LW_COVER_WOOD},
    {"log", LW_COVER_WOOD},      {"tree", LW_COVER_WOOD},       {"brushpile", LW_COVER_WOOD},
};
#define COUNT(list) (sizeof(list) / sizeof *(list))

static int find(const struct word *list, size_t n, const char *word)
{
    size_t length = strlen(word);

    for (size_t i = 0; i < n; i++) {
        size_t own = strlen(list[i].word);

        if (strncmp(word, list[i].word, own) == 0 &&
            (length == own || (length == own + 1 && word[own] == 's')))
            return list[i].kind;
    }
    return -1;
}

/* The next run of letters of *text, lower case; false at the end. */
static bool next_word(const char **text, char *to, size_t size)
{
    size_t n = 0;

    while (**text && !isalpha((unsigned char)**text))
        (*text)++;
    for (; isalpha((unsigned char)**text); (*text)++)
        if (n + 1 < size)
            to[n++] = (char)tolower((unsigned char)**text);
    to[n] = '\0';
    return n > 0;
}

/* The first word of the text that is known: "Boulders and sand" is rock. Words run together count
 * as one too ("weed_bed"), and a text of more than eight words is a sentence, not a kind. */
static int first_of(const struct word *list, size_t n, const char *text)
{
    char word[40], joined[80] = "";
    const char *at = text;
    int words = 0, kind = -1;

    while (next_word(&at, word, sizeof word)) {
        if (++words > 8)
            return -1;
        if (kind < 0)
            kind = find(list, n, word);
        if (strlen(joined) + strlen(word) + 1 < sizeof joined)
            strcat(joined, word);
    }
    return kind >= 0 ? kind : find(list, n, joined);
}

int lw_hazard_of(const char *word)
{
    return first_of(hazards, COUNT(hazards), word);
}

int lw_cover_of(const char *word)
{
    return first_of(covers, COUNT(covers), word);
}

const char *lw_hazard_name(enum lw_hazard_kind kind)
{
    static const char *const name[LW_HAZARD_KINDS] = {"rock", "wreck", "obstruction"};

    return (unsigned)kind < LW_HAZARD_KINDS ? name[kind] : "";
}

const char *lw_cover_name(enum lw_cover_kind kind)
{
    static const char *const name[LW_COVER_KINDS] = {"rock", "gravel", "sand",
                                                     "mud",  "weed",   "wood"};

    return (unsigned)kind < LW_COVER_KINDS ? name[kind] : "";
}
