/* Lake names in attributes. */
#include "lake_name.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"

/* What agencies call it, best first; looked for in the letters of the name. Common practice, no
 * source. */
static const struct {
    const char *word;
    bool whole, id;
} words[] = {
    {"lakename", false, false},  {"waterbodyname", false, false}, {"wbname", false, false},
    {"waterbod", false, false},  {"gnisname", false, false},      {"watername", false, false},
    {"reservoir", false, false}, {"lakeid", false, true},         {"dowlknum", false, true},
    {"dow", true, true},         {"wbic", false, true},           {"nhdid", false, true},
    {"lagoslakei", false, true}, {"lake", true, false},           {"name", true, false},
};
#define WORDS (sizeof words / sizeof *words)

static size_t word_rank(const char *field)
{
    char letters[64];
    size_t n = 0;

    for (; *field && n + 1 < sizeof letters; field++)
        if (isalpha((unsigned char)*field))
            letters[n++] = (char)tolower((unsigned char)*field);
    letters[n] = '\0';
    for (size_t i = 0; i < WORDS; i++)
        if (words[i].whole ? strcmp(letters, words[i].word) == 0
                           : strstr(letters, words[i].word) != NULL)
            return i;
    return WORDS;
}

bool lw_lake_name_may(const char *field)
{
    return word_rank(field) < WORDS;
}

/* A "Name" that is a number, or different on each contour, names contours and not lakes. */
static bool names_lakes(const struct lw_raw *raw, size_t field)
{
    size_t filled = 0, numbers = 0, same_as_before = 0;
    const char *before = NULL;
    enum lw_depth_unit unit;
    double depth;

    for (size_t i = 0; i < raw->features; i++) {
        const char *text = raw->feature[i].text[field];

        if (!text || !*text)
            continue;
        filled++;
        numbers += lw_depth_text(text, &depth, &unit); /* "20", "20 ft" */
        same_as_before += before && strcasecmp(text, before) == 0;
        before = text;
    }
    if (!filled || 2 * filled < raw->features)
        return false;
    return word_rank(raw->field[field]) < WORDS - 1 ||
           (4 * numbers < filled && (filled == 1 || same_as_before > 0));
}

struct lw_lake_name lw_lake_name_find(const struct lw_raw *raw)
{
    struct lw_lake_name how = {-1, -1};
    size_t best_name = WORDS, best_id = WORDS;
    int name = -1, id = -1;

    for (size_t k = 0; k < raw->fields; k++) {
        size_t rank = word_rank(raw->field[k]);

        if (rank == WORDS || !names_lakes(raw, k))
            continue;
        if (words[rank].id && rank < best_id) {
            best_id = rank;
            id = (int)k;
        } else if (!words[rank].id && rank < best_name) {
            best_name = rank;
            name = (int)k;
        }
    }
    /* Ids tell two lakes of one name apart. */
    how.key = id >= 0 ? id : name;
    how.extra = id >= 0 ? name : -1;
    return how;
}

const char *lw_lake_name_of(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i)
{
    const char *text = how->key < 0 ? NULL : raw->feature[i].text[how->key];

    return text && *text ? text : NULL;
}

void lw_lake_name_print(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i,
                        char to[64])
{
    const char *key = lw_lake_name_of(how, raw, i);
    const char *extra = how->extra < 0 ? NULL : raw->feature[i].text[how->extra];

    lw_text_copy(to, 64, "");
    if (extra && *extra && key)
        lw_text_add(to, 64, "%s (%s)", extra, key);
    else if (key)
        lw_text_copy(to, 64, key);
}

bool lw_lake_name_matches(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i,
                          const char *wanted, bool whole)
{
    const int field[2] = {how->key, how->extra};

    for (int k = 0; k < 2; k++) {
        const char *text = field[k] < 0 ? NULL : raw->feature[i].text[field[k]];

        if (text && (whole ? strcasecmp(text, wanted) == 0 : strcasestr(text, wanted) != NULL))
            return true;
    }
    return false;
}

static int by_text(const void *a, const void *b)
{
    return strcasecmp(*(const char *const *)a, *(const char *const *)b);
}

size_t lw_lake_name_list(const struct lw_lake_name *how, const struct lw_raw *raw, const bool *only,
                         char *to, size_t size)
{
    const char **all = calloc(raw->features + 1, sizeof *all);
    size_t n = 0, distinct = 0, shown = 0;

    lw_text_copy(to, size, "");
    for (size_t i = 0; all && i < raw->features; i++) {
        const char *text = lw_lake_name_of(how, raw, i);

        if (text && (!only || only[i]))
            all[n++] = text;
    }
    if (n)
        qsort(all, n, sizeof *all, by_text);
    for (size_t i = 0; i < n; i++) {
        if (i && strcasecmp(all[i], all[i - 1]) == 0)
            continue;
        distinct++;
        if (shown < 8) {
            lw_text_add(to, size, "%s%.40s", shown ? ", " : "", all[i]);
            shown++;
        }
    }
    if (distinct > shown)
        lw_text_add(to, size, " and %zu more", distinct - shown);
    free(all);
    return distinct;
}
