/* Units of depth as maps write them: in attribute names, in text, in options. */
#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"

static const struct {
    enum lw_depth_unit unit;
    double metres;
    const char *name, *plural;
} units[LW_UNITS_N] = {
    {LW_UNIT_NONE, NAN, "", "no unit"},
    {LW_UNIT_M, 1.0, "m", "metres"},
    {LW_UNIT_CM, 0.01, "cm", "centimetres"},
    {LW_UNIT_FT, LW_FT_M, "ft", "feet"},
    {LW_UNIT_FTUS, LW_US_SURVEY_FT_M, "ftUS", "US survey feet"},
    {LW_UNIT_FATHOM, 6 * LW_FT_M, "fathom", "fathoms"},
};

static const struct {
    const char *word;
    enum lw_depth_unit unit;
    bool cut; /* may be cut short by DBF's ten characters, to no less than three */
} words[] = {
    {"m", LW_UNIT_M, false},
    {"meters", LW_UNIT_M, true},
    {"metres", LW_UNIT_M, true},
    {"meter", LW_UNIT_M, true},
    {"metre", LW_UNIT_M, true},
    {"mtr", LW_UNIT_M, false},
    {"mtrs", LW_UNIT_M, false},
    {"cm", LW_UNIT_CM, false},
    {"centimetres", LW_UNIT_CM, true},
    {"centimeters", LW_UNIT_CM, true},
    {"ft", LW_UNIT_FT, false},
    {"feet", LW_UNIT_FT, true},
    {"foot", LW_UNIT_FT, true},
    {"'", LW_UNIT_FT, false},
    {"ftus", LW_UNIT_FTUS, false},
    {"usft", LW_UNIT_FTUS, false},
    {"ussurveyfoot", LW_UNIT_FTUS, false},
    {"ussurveyfeet", LW_UNIT_FTUS, false},
    {"fathoms", LW_UNIT_FATHOM, true},
    {"fathom", LW_UNIT_FATHOM, true},
    {"fm", LW_UNIT_FATHOM, false},
};

double lw_depth_unit_m(enum lw_depth_unit unit)
{
    return units[unit].metres;
}

const char *lw_depth_unit_name(enum lw_depth_unit unit)
{
    return units[unit].name;
}

const char *lw_depth_unit_plural(enum lw_depth_unit unit)
{
    return units[unit].plural;
}

/* `text` holds letters only, lower case. */
static enum lw_depth_unit from_word(const char *text, bool allow_cut)
{
    size_t n = strlen(text);

    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (strcmp(text, words[i].word) == 0)
            return words[i].unit;
        if (allow_cut && words[i].cut && n >= 3 && strncmp(text, words[i].word, n) == 0)
            return words[i].unit;
    }
    return LW_UNIT_NONE;
}

enum lw_depth_unit lw_depth_unit_from(const char *text)
{
    char word[16];
    size_t n = 0;

    for (; *text; text++) {
        if (isspace((unsigned char)*text) || *text == '.' || *text == '-')
            continue;
        if (n + 1 >= sizeof word)
            return LW_UNIT_NONE;
        word[n++] = (char)tolower((unsigned char)*text);
    }
    word[n] = '\0';
    return from_word(word, false);
}

/* The last word of the name: split at anything but letters, and where lower case turns to upper
 * ("DepthFt"); or what is left of a known stem ("DEPTHM", "depthft"). */
enum lw_depth_unit lw_depth_unit_of_name(const char *attribute)
{
    static const char *const stems[] = {"depth", "dybde", "contour", "elev", "navd88", "z"};
    char last[64] = "";
    size_t n = 0;
    bool lower_before = false;

    for (const char *p = attribute; *p; p++) {
        unsigned char c = (unsigned char)*p;
        bool fresh = !isalpha(c) || (isupper(c) && lower_before);

        if (fresh)
            n = 0;
        if (isalpha(c) && n + 1 < sizeof last)
            last[n++] = (char)tolower(c);
        lower_before = islower(c) != 0;
        if (n)
            last[n] = '\0';
    }
    if (from_word(last, strpbrk(attribute, "_ -.") != NULL) != LW_UNIT_NONE) {
        /* A name that is only a unit's word ("M", "METER") says nothing of depth. */
        return strlen(last) < strlen(attribute) ? from_word(last, true) : LW_UNIT_NONE;
    }
    for (size_t i = 0; i < sizeof stems / sizeof *stems; i++) {
        size_t k = strlen(stems[i]);
        const char *at = strstr(last, stems[i]);

        if (at && at[k] && (k > 1 || at == last)) {
            const char *rest = at + k;

            if (strncmp(rest, "in", 2) == 0)
                rest += 2;
            return from_word(rest, true);
        }
    }
    return LW_UNIT_NONE;
}

bool lw_depth_text(const char *text, double *value, enum lw_depth_unit *unit)
{
    char number[48];
    size_t n;

    *unit = LW_UNIT_NONE;
    while (isspace((unsigned char)*text))
        text++;
    n = strspn(text, "+-0123456789.");
    if (n == 0 || n >= sizeof number)
        return false;
    memcpy(number, text, n);
    number[n] = '\0';
    if (!lw_text_to_number(number, value))
        return false;
    text += n;
    while (isspace((unsigned char)*text))
        text++;
    if (!*text)
        return true;
    *unit = lw_depth_unit_from(text);
    return *unit != LW_UNIT_NONE;
}
