/* Looking for words in the letters of a name. DBF cuts names at ten characters. */
#include "vector_words.h"

#include <ctype.h>
#include <stddef.h>
#include <string.h>

static void letters_of(const char *name, char *to, size_t size)
{
    size_t n = 0;

    for (; *name && n + 1 < size; name++)
        if (isalpha((unsigned char)*name))
            to[n++] = (char)tolower((unsigned char)*name);
    to[n] = '\0';
}

static bool holds_one(const char *name, const char *const *word)
{
    char letters[64];

    letters_of(name, letters, sizeof letters);
    for (; *word; word++)
        if (strstr(letters, *word))
            return true;
    return false;
}

static bool is_one(const char *name, const char *const *word)
{
    char letters[64];

    letters_of(name, letters, sizeof letters);
    for (; *word; word++)
        if (strcmp(letters, *word) == 0)
            return true;
    return false;
}

bool lw_word_is_kind(const char *attribute)
{
    static const char *const part[] = {"hazard", "obstruct", "objclass", NULL};
    static const char *const whole[] = {
        "type",       "kind",         "class", "category", "feature", "featuretyp", "featuretype",
        "featurecla", "featureclass", "ftype", "acronym",  "code",    NULL};

    return holds_one(attribute, part) || is_one(attribute, whole);
}

bool lw_word_is_bottom(const char *attribute)
{
    static const char *const part[] = {"bottom",   "substr",  "sediment", "cover", "veget",
                                       "material", "habitat", "plant",    NULL};
    static const char *const whole[] = {"weed",   "weeds",  "veg", "vegtype",
                                        "natsur", "natqua", NULL};

    return holds_one(attribute, part) || is_one(attribute, whole);
}

bool lw_word_is_remark(const char *attribute)
{
    static const char *const part[] = {"remark", "comment", "descr", "note", "label", NULL};
    static const char *const whole[] = {"name", "objnam", "inform", "info", NULL};

    return holds_one(attribute, part) || is_one(attribute, whole);
}

bool lw_word_is_shore(const char *layer)
{
    static const char *const part[] = {"shore", "outline", "boundary",  "waterbod", "coast",
                                       "lake",  "island",  "hydro",     "pond",     "reservoir",
                                       "bank",  "water",   "perimeter", NULL};

    return holds_one(layer, part);
}

bool lw_word_is_island(const char *layer)
{
    static const char *const part[] = {"island", NULL};

    return holds_one(layer, part);
}

bool lw_word_is_map(const char *layer)
{
    static const char *const part[] = {"contour",   "bathy",  "depth", "sounding",
                                       "isobath",   "survey", "lake",  "pond",
                                       "reservoir", "river",  "shore", NULL};

    return holds_one(layer, part);
}
