#include "anew.h"

#include <math.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define LEAST_S 60

struct tokens {
    char text[256];
    char *rest;
};

static char *next(struct tokens *t)
{
    return strtok_r(NULL, " ,\t", &t->rest);
}

/* The value behind a word: "30ft", or "30 ft" in two. */
static int value(struct tokens *t, const char *word, enum lw_quantity quantity, enum lw_units units,
                 double *to, struct lw_error *err)
{
    const char *text = next(t);

    if (!text)
        return lw_fail(err, "\"%s\" wants a value behind it, such as %s 30ft", word, word);
    return lw_units_parse(text, quantity, units, to, err);
}

static int side(struct tokens *t, bool *deep, struct lw_error *err)
{
    const char *text = next(t);

    if (!text || (strcmp(text, "deep") != 0 && strcmp(text, "shallow") != 0))
        return lw_fail(err, "\"side\" wants deep or shallow behind it");
    *deep = strcmp(text, "deep") == 0;
    return 0;
}

static int minutes(const char *text, enum lw_units units, double *to, struct lw_error *err)
{
    double s;

    if (lw_units_parse(text, LW_DURATION, units, &s, err))
        return -1;
    if (s < LEAST_S)
        return lw_fail(err, "a plan wants a minute at least, not \"%s\"", text);
    *to = s / 60;
    return 0;
}

static int take(struct tokens *t, const char *word, enum lw_units units, struct lw_plan_params *p,
                struct lw_error *err)
{
    if (strcmp(word, "off") == 0)
        return value(t, word, LW_LENGTH, units, &p->standoff_m, err);
    if (strcmp(word, "depth") == 0) {
        p->lip = false;
        return value(t, word, LW_DEPTH, units, &p->depth_m, err);
    }
    if (strcmp(word, "cast") == 0)
        return value(t, word, LW_LENGTH, units, &p->cast_m, err);
    if (strcmp(word, "side") == 0)
        return side(t, &p->hold_deep, err);
    if (strcmp(word, "back") == 0) {
        p->backward = !p->backward;
        return 0;
    }
    if (strcmp(word, "all") == 0) {
        p->minutes = NAN;
        return 0;
    }
    if (word[0] >= '0' && word[0] <= '9')
        return minutes(word, units, &p->minutes, err);
    return lw_fail(err,
                   "\"%s\" is none of: off 30ft, depth 8ft, cast 70ft, side shallow, back, 40min, "
                   "all",
                   word);
}

int anew_read(const char *text, enum lw_units units, struct lw_plan_params *params,
              struct lw_error *err)
{
    struct lw_plan_params p = *params;
    struct tokens t;

    if (!lw_text_copy(t.text, sizeof t.text, text))
        return lw_fail(err, "that is longer than %zu characters: shorten it", sizeof t.text - 1);
    for (char *word = strtok_r(t.text, " ,\t", &t.rest); word; word = next(&t))
        if (take(&t, word, units, &p, err))
            return -1;
    *params = p;
    return 0;
}
