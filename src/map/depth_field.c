/* Choosing the depth attribute, its unit and its sign. */
#include "depth_field.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "depth_pattern.h"
#include "lipwalk/base/text.h"

enum kind { KIND_ABS, KIND_DEPTH, KIND_CONTOUR, KIND_HEIGHT, KIND_ELEVATION, KIND_NAME, KIND_ID };

/* What agencies call it: common practice, no source. Words are looked for anywhere in the name,
 * letters only, lower case; `whole` ones must be all of it. */
static const struct word {
    const char *word;
    int rank;
    enum kind kind;
    bool whole;
    enum lw_depth_unit unit; /* that publishers of this word use */
} depth_words[] = {
    {"absdepth", 1, KIND_ABS, false, LW_UNIT_NONE},
    {"depth", 3, KIND_DEPTH, false, LW_UNIT_NONE},
    {"dybde", 3, KIND_DEPTH, false, LW_UNIT_M},
    {"syvyys", 3, KIND_DEPTH, false, LW_UNIT_M},
    {"djup", 3, KIND_DEPTH, false, LW_UNIT_M},
    {"tiefe", 3, KIND_DEPTH, false, LW_UNIT_M},
    {"valdco", 3, KIND_DEPTH, true, LW_UNIT_M},
    {"drval", 3, KIND_DEPTH, true, LW_UNIT_M},
    {"bathy", 4, KIND_DEPTH, false, LW_UNIT_NONE},
    {"isobath", 4, KIND_DEPTH, false, LW_UNIT_NONE},
    {"contour", 5, KIND_CONTOUR, false, LW_UNIT_NONE},
    {"elev", 6, KIND_ELEVATION, false, LW_UNIT_NONE},
    {"ele", 6, KIND_ELEVATION, true, LW_UNIT_NONE},
    {"navd", 6, KIND_ELEVATION, false, LW_UNIT_NONE},
    {"z", 7, KIND_HEIGHT, true, LW_UNIT_NONE},
    {"zvalue", 6, KIND_HEIGHT, true, LW_UNIT_NONE},
    {"cgd", 6, KIND_ELEVATION, true, LW_UNIT_NONE},
    {"name", 8, KIND_NAME, true, LW_UNIT_NONE},
    {"description", 8, KIND_NAME, true, LW_UNIT_NONE},
    {"label", 8, KIND_NAME, true, LW_UNIT_NONE},
    {"id", 9, KIND_ID, true, LW_UNIT_NONE},
};
#define RANK_ASKED 8 /* from here on only --depth-field makes it count */

/* Lake-level figures ("MAX_DEPTH") that are no contour's depth. */
static const char *const not_contours[] = {"max", "mean", "avg", "average", "min"};

static const struct word *word_of(const char *attribute)
{
    char letters[64];
    size_t n = 0;
    const struct word *best = NULL;

    for (const char *p = attribute; *p && n + 1 < sizeof letters; p++)
        if (isalpha((unsigned char)*p))
            letters[n++] = (char)tolower((unsigned char)*p);
    letters[n] = '\0';
    for (size_t i = 0; i < sizeof not_contours / sizeof *not_contours; i++)
        if (strncmp(letters, not_contours[i], strlen(not_contours[i])) == 0)
            return NULL;
    for (size_t i = 0; i < sizeof depth_words / sizeof *depth_words; i++) {
        const struct word *w = &depth_words[i];
        bool hit = w->whole ? strcmp(letters, w->word) == 0 : strstr(letters, w->word) != NULL;

        if (hit && (!best || w->rank < best->rank))
            best = w;
    }
    return best;
}

int lw_depth_rank(const char *attribute)
{
    const struct word *w = word_of(attribute);

    if (!w)
        return 0;
    if (w->rank == 3 && lw_depth_unit_of_name(attribute) != LW_UNIT_NONE)
        return 2;
    return w->rank;
}

double lw_depth_of(const struct lw_depth_rule *rule, double value)
{
    double v = value * rule->unit_m;

    if (!isnan(rule->level_m))
        return rule->level_m - v;
    if (rule->magnitude)
        return fabs(v);
    return (rule->up ? -v : v) + 0.0; /* -0 is 0 */
}

static void warn(struct lw_depth_rule *rule, const char *text)
{
    if (rule->warnings < 2)
        lw_text_copy(rule->warning[rule->warnings++], sizeof rule->warning[0], text);
}

static enum lw_depth_unit column_unit(const struct lw_depth_column *column)
{
    enum lw_depth_unit unit = lw_depth_unit_of_name(column->name);

    return unit != LW_UNIT_NONE ? unit : column->unit;
}

static bool usable(const struct lw_depth_column *column, const struct lw_depth_stats *stats)
{
    /* One value on many features is a figure of the lake, not of the contour. */
    return stats->known > 0 && (stats->min < stats->max || column->n < 3);
}

/* A sentence that lists the attributes to choose from. */
static int ask_field(const struct lw_depth_column *column, size_t columns, const char *map,
                     struct lw_error *err)
{
    char list[400] = "";
    const struct lw_depth_column *id = NULL;
    struct lw_depth_stats stats;

    for (size_t i = 0; i < columns; i++) {
        const struct word *w = word_of(column[i].name);

        lw_depth_stats(&stats, column[i].value, column[i].n);
        if (!stats.known || !usable(&column[i], &stats))
            continue;
        lw_text_add(list, sizeof list, "%s%s", *list ? ", " : "", column[i].name);
        if (w && w->rank >= RANK_ASKED && usable(&column[i], &stats) && !id)
            id = &column[i];
    }
    if (id) {
        char looks[120];
        enum lw_depth_unit like;

        lw_depth_stats(&stats, id->value, id->n);
        like = column_unit(id);
        lw_depth_looks(looks, sizeof looks, &stats, &like);
        return lw_fail(err,
                       "%s has no depth attribute; %s holds %g to %g, which could be depths (%s): "
                       "give --depth-field %s --depth-unit %s to confirm",
                       map, id->name, stats.min, stats.max, looks, id->name,
                       like == LW_UNIT_NONE ? "ft (or m)" : lw_depth_unit_name(like));
    }
    if (*list)
        return lw_fail(err,
                       "%s has no depth attribute that could be recognised: give --depth-field "
                       "with one of %s, and --depth-unit",
                       map, list);
    return lw_fail(err,
                   "%s has no attribute with numbers, and no heights, that could be depths: a map "
                   "with a depth for each contour is needed",
                   map);
}

/* Two attributes for the same thing must agree, each in its unit; a wrong unit is a silent factor
 * of 3.28. Whole feet beside metres may be rounded by half a foot (2.5 m beside 8 ft). */
static int check_twin(const struct lw_depth_column *a, enum lw_depth_unit unit_a,
                      const struct lw_depth_column *b, enum lw_depth_unit unit_b, const char *map,
                      struct lw_error *err)
{
    double step_a = lw_depth_unit_m(unit_a), step_b = lw_depth_unit_m(unit_b);
    double slack = 0.55 *
                   fmax(unit_a == LW_UNIT_M ? 0.02 : step_a, unit_b == LW_UNIT_M ? 0.02 : step_b);

    for (size_t i = 0; i < a->n; i++) {
        double da = fabs(a->value[i]) * step_a, db = fabs(b->value[i]) * step_b;

        if (fabs(da - db) > slack)
            return lw_fail(err,
                           "%s contradicts itself: feature %zu has %s = %g and %s = %g, which are "
                           "not the same depth; give --depth-field with the right one",
                           map, i + 1, a->name, a->value[i], b->name, b->value[i]);
    }
    return 0;
}

static int find_column(const struct lw_depth_column *column, size_t columns, const char *map,
                       const struct lw_map_file *file, size_t *out, struct lw_error *err)
{
    enum lw_depth_unit wanted = file->depth_unit ? lw_depth_unit_from(file->depth_unit)
                                                 : LW_UNIT_NONE;
    int best = 1000;
    struct lw_depth_stats stats;

    if (file->depth_field) {
        for (size_t i = 0; i < columns; i++)
            if (strcasecmp(column[i].name, file->depth_field) == 0) {
                lw_depth_stats(&stats, column[i].value, column[i].n);
                if (!stats.known)
                    return lw_fail(err, "%s: the attribute %s holds no numbers here", map,
                                   column[i].name);
                *out = i;
                return 0;
            }
        return lw_fail(err, "%s has no attribute %s: check --depth-field", map, file->depth_field);
    }
    for (size_t i = 0; i < columns; i++) {
        int score = 4 * lw_depth_rank(column[i].name);
        enum lw_depth_unit unit = column_unit(&column[i]);

        lw_depth_stats(&stats, column[i].value, column[i].n);
        if (score == 0 || !usable(&column[i], &stats))
            continue;
        /* A name like "20 ft" on every feature says all; "20" alone, or an ID, must be confirmed.
         */
        if (score >= 4 * RANK_ASKED && column[i].unit == LW_UNIT_NONE)
            continue;
        /* Among equals the wanted unit, else metres, else any unit. */
        if (wanted != LW_UNIT_NONE ? unit == wanted : unit == LW_UNIT_M)
            score -= 2;
        else if (unit != LW_UNIT_NONE)
            score -= 1;
        if (score < best) {
            best = score;
            *out = i;
        }
    }
    return best < 1000 ? 0 : ask_field(column, columns, map, err);
}

/* Compares the chosen column with its twins; notes one that agrees. */
static int compare_twins(const struct lw_depth_column *column, size_t columns, size_t chosen,
                         enum lw_depth_unit unit, const char *map, char *agrees, size_t size,
                         struct lw_error *err)
{
    const struct word *w = word_of(column[chosen].name);

    if (!w || (w->kind != KIND_DEPTH && w->kind != KIND_ABS))
        return 0;
    for (size_t i = 0; i < columns; i++) {
        const struct word *other = word_of(column[i].name);
        enum lw_depth_unit twin = column_unit(&column[i]);
        struct lw_depth_stats stats;

        lw_depth_stats(&stats, column[i].value, column[i].n);
        if (i == chosen || !other || !usable(&column[i], &stats) ||
            (other->kind != KIND_DEPTH && other->kind != KIND_ABS))
            continue;
        if (twin == LW_UNIT_NONE)
            twin = unit;
        if (check_twin(&column[chosen], unit, &column[i], twin, map, err))
            return -1;
        lw_text_add(agrees, size, "; %s agrees", column[i].name);
    }
    return 0;
}

/* The form of the Minnesota DNR's contour maps: DEPTH negative, its magnitude beside it in
 * abs_depth. They are in feet (the agency's published data). Told only where every feature has both
 * and the values are the whole multiples of 5 or 10 that contours in feet have. */
static bool in_dnr_form(const struct lw_depth_column *column, size_t columns)
{
    const struct lw_depth_column *depth = NULL, *magnitude = NULL;
    struct lw_depth_stats stats;
    enum lw_depth_unit like;
    char looks[120];

    for (size_t i = 0; i < columns; i++) {
        if (strcasecmp(column[i].name, "DEPTH") == 0)
            depth = &column[i];
        else if (strcasecmp(column[i].name, "abs_depth") == 0)
            magnitude = &column[i];
    }
    if (!depth || !magnitude || depth->n != magnitude->n)
        return false;
    lw_depth_stats(&stats, depth->value, depth->n);
    lw_depth_looks(looks, sizeof looks, &stats, &like);
    if (like != LW_UNIT_FT || stats.negative == 0)
        return false;
    for (size_t i = 0; i < depth->n; i++)
        if (!(depth->value[i] == -magnitude->value[i]))
            return false;
    return true;
}

static int settle_unit(const struct lw_depth_column *all, size_t columns, size_t chosen,
                       const char *map, const struct lw_map_file *file, struct lw_depth_rule *out,
                       struct lw_error *err)
{
    const struct lw_depth_column *column = &all[chosen];
    const struct word *w = word_of(column->name);
    enum lw_depth_unit said = lw_depth_unit_of_name(column->name);
    struct lw_depth_stats stats;
    char looks[120], warning[256];

    if (said == LW_UNIT_NONE && w && column->unit == LW_UNIT_NONE)
        said = w->unit;
    if (file->depth_unit) {
        out->unit = lw_depth_unit_from(file->depth_unit);
        if (out->unit == LW_UNIT_NONE)
            return lw_fail(err, "--depth-unit %s: give ft, m, ftUS, cm or fathom",
                           file->depth_unit);
        if (said != LW_UNIT_NONE && said != out->unit) {
            snprintf(warning, sizeof warning,
                     "%.60s says %s by its name, and is read as %s by --depth-unit", column->name,
                     lw_depth_unit_plural(said), lw_depth_unit_plural(out->unit));
            warn(out, warning);
        }
        snprintf(out->reason, sizeof out->reason, "given by --depth-unit");
    } else if (column->unit != LW_UNIT_NONE) {
        out->unit = column->unit;
        snprintf(out->reason, sizeof out->reason, "the values say %s",
                 lw_depth_unit_plural(out->unit));
    } else if (said != LW_UNIT_NONE) {
        out->unit = said;
        snprintf(out->reason, sizeof out->reason, "the name says %s", lw_depth_unit_plural(said));
        if (w && w->unit == said)
            snprintf(out->reason, sizeof out->reason,
                     "maps with an attribute of this name are in metres");
    } else if (w && (w->kind == KIND_DEPTH || w->kind == KIND_ABS) && in_dnr_form(all, columns)) {
        out->unit = LW_UNIT_FT;
        snprintf(out->reason, sizeof out->reason,
                 "DEPTH negative beside abs_depth is the Minnesota DNR's form, in feet");
    } else {
        enum lw_depth_unit like;

        lw_depth_stats(&stats, column->value, column->n);
        lw_depth_looks(looks, sizeof looks, &stats, &like);
        return lw_fail(err,
                       "%s does not say the unit of %s (%g to %g); %s: give --depth-unit %s to "
                       "confirm",
                       map, column->name, stats.min, stats.max, looks,
                       like == LW_UNIT_NONE ? "ft or --depth-unit m" : lw_depth_unit_name(like));
    }
    out->unit_m = lw_depth_unit_m(out->unit);
    return 0;
}

/* Bed elevations of a reservoir lie far from 0 and close together; depths reach to the shore. What
 * is called a depth must lie far indeed: a map may hold only its deep part. One sentence asks for
 * the unit too, where that is not known. */
static int ask_level(const struct lw_depth_column *column, const char *map,
                     const struct lw_map_file *file, enum lw_depth_unit unit, struct lw_error *err)
{
    const struct word *w = word_of(column->name);
    bool named_depth = w && (w->kind == KIND_DEPTH || w->kind == KIND_ABS);
    struct lw_depth_stats s;
    enum lw_depth_unit like = unit;
    char looks[120], also[160] = "";

    lw_depth_stats(&s, column->value, column->n);
    /* Heights from 0 down are depths with a minus, whatever they are called. */
    if (s.max <= 0 && -s.max <= fmax(s.max - s.min, 20))
        return 0;
    if (!isnan(file->water_level_m) || file->sign != LW_SIGN_AUTO ||
        !((w && w->kind == KIND_ELEVATION) ||
          s.min > fmax((named_depth ? 4 : 1) * (s.max - s.min), named_depth ? 50 : 20)))
        return 0;
    if (unit == LW_UNIT_NONE) {
        lw_depth_looks(looks, sizeof looks, &s, &like);
        snprintf(also, sizeof also, ", and their unit is not said: give --depth-unit %s as well",
                 like == LW_UNIT_NONE ? "ft or m" : lw_depth_unit_name(like));
    }
    return lw_fail(err,
                   "%s: %s (%g to %g%s%s) looks like elevations, not depths: give --water-level "
                   "with the level of the water surface on the same datum, or --depth-sign down if "
                   "they are depths%s",
                   map, column->name, s.min, s.max, unit == LW_UNIT_NONE ? "" : " ",
                   lw_depth_unit_name(unit), also);
}

static int settle_sign(const struct lw_depth_column *column, const char *map,
                       const struct lw_map_file *file, struct lw_depth_rule *out,
                       struct lw_error *err)
{
    const struct word *w = word_of(column->name);
    struct lw_depth_stats s;
    char warning[256];
    size_t minor;

    lw_depth_stats(&s, column->value, column->n);
    out->level_m = NAN;
    if (!isnan(file->water_level_m)) {
        out->level_m = file->water_level_m;
        snprintf(out->sign, sizeof out->sign, "elevations under the given water level");
        return 0;
    }
    if (file->sign != LW_SIGN_AUTO) {
        out->up = file->sign == LW_SIGN_UP;
        snprintf(out->sign, sizeof out->sign, "positive %s by --depth-sign",
                 out->up ? "up" : "down");
        return 0;
    }
    if (w && w->kind == KIND_ABS) {
        out->magnitude = true;
        snprintf(out->sign, sizeof out->sign, "positive down, as the name says");
        return 0;
    }
    if (s.negative == 0) {
        snprintf(out->sign, sizeof out->sign, "positive down");
        return 0;
    }
    out->up = s.negative >= s.positive;
    minor = out->up ? s.positive : s.negative;
    if (minor == 0) {
        snprintf(out->sign, sizeof out->sign, "negative below the water");
        return 0;
    }
    if (4 * minor > s.negative + s.positive)
        return lw_fail(err,
                       "%s: %s has %zu values above 0 and %zu below, so its sign is not clear: "
                       "give --depth-sign down or --depth-sign up",
                       map, column->name, s.positive, s.negative);
    out->magnitude = true;
    snprintf(out->sign, sizeof out->sign, "mixed signs read as depths, most are %s",
             out->up ? "negative" : "positive");
    snprintf(warning, sizeof warning,
             "%.60s has %zu values of the other sign among %zu: all are read as depths below the "
             "water; --depth-sign %s reads them with their sign",
             column->name, minor, s.known, out->up ? "up" : "down");
    warn(out, warning);
    return 0;
}

int lw_depth_choose(const struct lw_depth_column *column, size_t columns,
                    const struct lw_map_file *file, struct lw_depth_rule *out, struct lw_error *err)
{
    const char *map = file->path;
    char agrees[120] = "";
    size_t chosen = 0;
    int unit_known;

    memset(out, 0, sizeof *out);
    out->level_m = NAN;
    if (find_column(column, columns, map, file, &chosen, err))
        return -1;
    out->column = chosen;
    unit_known = settle_unit(column, columns, chosen, map, file, out, err) == 0;
    if (ask_level(&column[chosen], map, file, out->unit, err) || !unit_known)
        return -1;
    if (!file->depth_field &&
        compare_twins(column, columns, chosen, out->unit, map, agrees, sizeof agrees, err))
        return -1;
    lw_text_add(out->reason, sizeof out->reason, "%s", agrees);
    return settle_sign(&column[chosen], map, file, out, err);
}
