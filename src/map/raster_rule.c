/* What a grid's values mean: unit, sign, land. As with contours, what is not said is asked for; but
 * a grid without a unit is read as metres, with a warning, for so are those of nearly all
 * publishers (common practice, no source). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "depth_pattern.h"
#include "lipwalk/base/text.h"
#include "raster_parts.h"

#define SAMPLE    4096    /* values that patterns are looked for in */
#define ALONE     2.0     /* a false land value is this many times as far from 0 as any other */
#define SHALLOW   20.0    /* a grid of depths reaches up to at least this, in its unit */
#define DEEPEST_M 12000.0 /* deeper than any sea */
#define STEEPEST  0.5     /* no lake's bed has such a mean slope; common practice, no source */
#define FEW_SHARE 0.01

#define DIGITS  "0123456789"
#define LETTERS "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
#define UNSAID  "not said: grids are nearly always in metres"

struct tally {
    double min, max; /* of all values known */
    double least;    /* smallest |value| other than 0 */
    size_t known, none, negative, zero, positive;
};

static void count(const struct lw_raster *raster, struct tally *t)
{
    size_t cells = (size_t)raster->w * (size_t)raster->h;

    *t = (struct tally){.min = INFINITY, .max = -INFINITY, .least = INFINITY};
    for (size_t k = 0; k < cells; k++) {
        double v = (double)raster->raw[k];

        if (isnan(v)) {
            t->none++;
            continue;
        }
        t->known++;
        t->min = v < t->min ? v : t->min;
        t->max = v > t->max ? v : t->max;
        t->negative += v < 0;
        t->positive += v > 0;
        t->zero += v == 0;
        if (v != 0 && fabs(v) < t->least)
            t->least = fabs(v);
    }
}

/* Values that stand for "land" or "nothing" without being declared so, such as the 9999 of grids
 * that went through a land mask. */
static void drop_false_values(struct lw_raster *raster, struct lw_source *out)
{
    static const float known[] = {9999, -9999, 99999, -99999, 32767, -32768, -32767, 65535};
    enum { N = sizeof known / sizeof *known };
    size_t cells = (size_t)raster->w * (size_t)raster->h, found[N] = {0};
    double most = 0;

    for (size_t k = 0; k < cells; k++) {
        int i;

        for (i = 0; i < N && raster->raw[k] != known[i]; i++)
            ;
        if (i < N)
            found[i]++;
        else if (fabs((double)raster->raw[k]) > most) /* not where it is NaN */
            most = fabs((double)raster->raw[k]);
    }
    for (int i = 0; i < N; i++) {
        if (!found[i] || !(fabs((double)known[i]) > ALONE * most))
            continue;
        for (size_t k = 0; k < cells; k++)
            if (raster->raw[k] == known[i])
                raster->raw[k] = NAN;
        lw_source_warn(out,
                       "%s: %zu cells hold %g, which it does not declare as no data: they are "
                       "taken as land",
                       out->name, found[i], (double)known[i]);
    }
}

/* Evenly picked values, for patterns. */
static size_t pick(const struct lw_raster *raster, double *to)
{
    size_t cells = (size_t)raster->w * (size_t)raster->h, step = cells / SAMPLE + 1, n = 0;

    for (size_t k = 0; k < cells && n < SAMPLE; k += step)
        if (isfinite(raster->raw[k]))
            to[n++] = (double)raster->raw[k];
    return n;
}

/* 0 when the values are whole multiples of nothing. */
static double rounding(const double *value, size_t n)
{
    static const double steps[] = {1, 0.5, 0.25, 0.1, 0.05, 0.01, 0.001};

    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        size_t k = 0;

        for (; k < n; k++) {
            double times = value[k] / steps[i];

            if (fabs(times - nearbyint(times)) > 1e-3 + 2e-7 * fabs(times))
                break;
        }
        if (k == n && n > 1)
            return steps[i];
    }
    return 0;
}

/* The file's name without folder and ending: publishers put "depth_ft" there. */
static void stem_of(const struct lw_source *out, char *to, size_t size)
{
    char *dot;

    lw_text_copy(to, size, out->name);
    dot = strrchr(to, '.');
    if (dot)
        *dot = '\0';
}

static bool has_word(const char *text, const char *const *words)
{
    for (; *words; words++)
        if (strcasestr(text, *words))
            return true;
    return false;
}

enum called { CALLED_NOTHING, CALLED_DEPTH, CALLED_ELEVATION };

static enum called called(const struct lw_raster_says *says, const struct lw_source *out)
{
    static const char *const heights[] = {"altitude", "topo", "height", "elev", NULL};
    char stem[256];
    const char *name[3] = {says->name, says->about, stem};

    stem_of(out, stem, sizeof stem);
    for (int i = 0; i < 3; i++) {
        int rank = lw_depth_rank(name[i]);

        if (has_word(name[i], heights))
            return CALLED_ELEVATION;
        if (rank >= 1 && rank <= 4)
            return CALLED_DEPTH;
        if (rank == 6)
            return CALLED_ELEVATION;
    }
    return CALLED_NOTHING;
}

static int ask_unit(const char *map, const struct tally *t, const char *why, struct lw_error *err)
{
    return lw_fail(
        err,
        "%s does not say the unit of its values (%.6g to %.6g)%s: give --depth-unit m or "
        "--depth-unit ft to confirm",
        map, t->min, t->max, why);
}

/* The unit in the file's name. Words with figures in them are left out: lake_1m.tif has cells of a
 * metre, and says nothing of depths. */
static enum lw_depth_unit unit_of_file(const struct lw_source *out)
{
    char stem[256];
    size_t end;

    stem_of(out, stem, sizeof stem);
    for (char *word = stem; *word; word += end) {
        size_t skip = strcspn(word, LETTERS DIGITS);

        word += skip;
        end = strspn(word, LETTERS DIGITS);
        if (strcspn(word, DIGITS) < end)
            memset(word, '_', end);
    }
    return lw_depth_unit_of_name(stem);
}

/* What the file itself says of the unit; NONE, or -1 for a unit that depths do not have. */
static int said_unit(const struct lw_raster_says *says, const struct lw_source *out,
                     struct lw_depth_rule *rule)
{
    enum lw_depth_unit unit;

    if (*says->unit) {
        unit = lw_depth_unit_from(says->unit);
        snprintf(rule->reason, sizeof rule->reason, "the file says %s", says->unit);
        return unit == LW_UNIT_NONE ? -1 : (int)unit;
    }
    unit = lw_depth_unit_of_name(says->name);
    if (unit != LW_UNIT_NONE) {
        snprintf(rule->reason, sizeof rule->reason, "its name %s says so", says->name);
        return (int)unit;
    }
    unit = unit_of_file(out);
    if (unit != LW_UNIT_NONE)
        snprintf(rule->reason, sizeof rule->reason, "the file's name says so");
    return (int)unit;
}

static int settle_unit(const struct lw_map_file *file, const struct lw_raster_says *says,
                       const struct tally *t, const double *value, size_t n, struct lw_source *out,
                       struct lw_depth_rule *rule, struct lw_error *err)
{
    int said = said_unit(says, out, rule);
    struct lw_depth_stats stats;
    enum lw_depth_unit like;
    char looks[120], why[200];

    if (file->depth_unit) {
        rule->unit = lw_depth_unit_from(file->depth_unit);
        if (rule->unit == LW_UNIT_NONE)
            return lw_fail(err, "--depth-unit %s: give ft, m, ftUS, cm or fathom",
                           file->depth_unit);
        if (said > 0 && (enum lw_depth_unit)said != rule->unit)
            lw_source_warn(out, "%s: %s, and is read as %s by --depth-unit", out->name,
                           rule->reason, lw_depth_unit_plural(rule->unit));
        snprintf(rule->reason, sizeof rule->reason, "given by --depth-unit");
        return 0;
    }
    if (said < 0) {
        snprintf(why, sizeof why, "; it says \"%s\", which is no unit of depth", says->unit);
        return ask_unit(file->path, t, why, err);
    }
    if (said > 0) {
        rule->unit = (enum lw_depth_unit)said;
        return 0;
    }
    lw_depth_stats(&stats, value, n);
    lw_depth_looks(looks, sizeof looks, &stats, &like);
    if (says->map_in_feet)
        return ask_unit(file->path, t, "; its map coordinates are in feet", err);
    if (like == LW_UNIT_FT) {
        snprintf(why, sizeof why, "; %s", looks);
        return ask_unit(file->path, t, why, err);
    }
    rule->unit = LW_UNIT_M;
    snprintf(rule->reason, sizeof rule->reason, UNSAID);
    lw_source_warn(out,
                   "%s does not say the unit of its values (%.6g to %.6g): they are read as "
                   "metres; give --depth-unit ft if they are feet",
                   out->name, t->min, t->max);
    return 0;
}

static int ask_level(const char *map, const struct tally *t, const struct lw_depth_rule *rule,
                     struct lw_error *err)
{
    return lw_fail(err,
                   "%s: its values (%.6g to %.6g %s) look like elevations, not depths: give "
                   "--water-level with the level of the water surface on the same datum, or "
                   "--depth-sign down if they are depths",
                   map, t->min == 0 ? t->least : t->min, t->max, lw_depth_unit_name(rule->unit));
}

static int settle_mixed(const struct lw_map_file *file, enum called name, const struct tally *t,
                        struct lw_source *out, struct lw_depth_rule *rule, struct lw_error *err)
{
    size_t few = t->negative < t->positive ? t->negative : t->positive;

    if (name == CALLED_DEPTH && (double)few > FEW_SHARE * (double)(t->negative + t->positive))
        return lw_fail(err,
                       "%s has %zu cells above 0 and %zu below, so the sign of its depths is not "
                       "clear: give --depth-sign down or --depth-sign up",
                       file->path, t->positive, t->negative);
    rule->up = name != CALLED_DEPTH || t->negative > t->positive;
    snprintf(rule->sign, sizeof rule->sign,
             rule->up ? "heights: below 0 is water, above is land"
                      : "positive down, negative is land");
    if (name == CALLED_NOTHING)
        lw_source_warn(out,
                       "%s has %zu cells below 0, read as water, and %zu above, read as land; "
                       "give --depth-sign down if it is the other way round",
                       out->name, t->negative, t->positive);
    return 0;
}

static int settle_sign(const struct lw_map_file *file, const struct lw_raster_says *says,
                       const struct tally *t, struct lw_source *out, struct lw_depth_rule *rule,
                       struct lw_error *err)
{
    enum called name = called(says, out);

    rule->level_m = NAN;
    if (!isnan(file->water_level_m)) {
        rule->level_m = file->water_level_m;
        snprintf(rule->sign, sizeof rule->sign, "elevations under the given water level");
        return 0;
    }
    if (file->sign != LW_SIGN_AUTO || (says->positive && t->negative)) {
        rule->up = file->sign == LW_SIGN_AUTO ? says->positive > 0 : file->sign == LW_SIGN_UP;
        snprintf(rule->sign, sizeof rule->sign, "positive %s by %s", rule->up ? "up" : "down",
                 file->sign == LW_SIGN_AUTO ? "the file's own word" : "--depth-sign");
        return 0;
    }
    if (t->negative && t->positive)
        return settle_mixed(file, name, t, out, rule, err);
    if (t->negative) {
        rule->up = true;
        snprintf(rule->sign, sizeof rule->sign, "negative below the water");
        return 0;
    }
    if (says->positive >= 0 && (says->positive > 0 || name == CALLED_ELEVATION ||
                                (t->least > SHALLOW && name != CALLED_DEPTH)))
        return ask_level(file->path, t, rule, err);
    snprintf(rule->sign, sizeof rule->sign, "positive down");
    return 0;
}

/* Bed elevations with 0 about the lake: under a given level that 0 would be a bottomless pit. */
static void drop_false_zeros(struct lw_raster *raster, const struct tally *t, struct lw_source *out)
{
    size_t cells = (size_t)raster->w * (size_t)raster->h;

    if (isnan(raster->rule.level_m) || !t->zero || t->negative ||
        !(t->least > SHALLOW && t->least > t->max - t->least))
        return;
    for (size_t k = 0; k < cells; k++)
        if (raster->raw[k] == 0)
            raster->raw[k] = NAN;
    lw_source_warn(out, "%s: %zu cells hold 0, far below all others: they are taken as land",
                   out->name, t->zero);
}

/* Mean slope between neighbours in a row of wet cells, rise over run. */
static double mean_slope(const struct lw_raster *raster)
{
    double column_m, row_m, sum = 0;
    size_t n = 0, w = (size_t)raster->w;

    lw_raster_steps(raster, &column_m, &row_m);
    for (size_t k = 0; k + 1 < w * (size_t)raster->h; k++)
        if ((k + 1) % w && lw_raster_wet(raster, k) && lw_raster_wet(raster, k + 1)) {
            sum += fabs(lw_raster_depth(raster, raster->raw[k]) -
                        lw_raster_depth(raster, raster->raw[k + 1]));
            n++;
        }
    return n ? sum / (double)n / column_m : 0;
}

/* Centimetres taken for metres make cliffs of everything. */
static int check_slope(const struct lw_map_file *file, const struct lw_raster *raster,
                       const struct tally *t, struct lw_error *err)
{
    double slope = mean_slope(raster);
    char why[160];

    if (!(slope > STEEPEST))
        return 0;
    snprintf(why, sizeof why,
             "; as metres its bottom would fall %.1f m in 10 m on average, so "
             "that they may be centimetres (cm)",
             10 * slope);
    return ask_unit(file->path, t, why, err);
}

static void print_in_unit(char *to, size_t size, double depth_m, const struct lw_depth_rule *rule)
{
    lw_text_number(to, size, round(depth_m / rule->unit_m * 1e4) / 1e4, 6);
}

/* Range of the water, and what is land. */
static int look_at_depths(const struct lw_map_file *file, struct lw_raster *raster,
                          const struct tally *t, struct lw_source *out, struct lw_error *err)
{
    size_t cells = (size_t)raster->w * (size_t)raster->h, wet = 0, dry = 0;
    double least = INFINITY, most = 0;
    char from[32], to[32];

    for (size_t k = 0; k < cells; k++) {
        double depth_m = lw_raster_depth(raster, raster->raw[k]);

        dry += depth_m < -LW_RASTER_SHORE_M;
        if (!(depth_m > LW_RASTER_SHORE_M))
            continue;
        wet++;
        least = fmin(least, depth_m);
        most = fmax(most, depth_m);
    }
    raster->land_valued = dry > 0;
    raster->zero_land = !dry && isnan(raster->rule.level_m) && t->zero > 0;
    if (!wet)
        return lw_fail(err,
                       "%s holds no water: its values, %.6g to %.6g, read as %s; check "
                       "--depth-sign and --water-level",
                       file->path, t->min, t->max, raster->rule.sign);
    if (most > DEEPEST_M)
        return lw_fail(err,
                       "%s has a depth of %.6g m, deeper than any water: check --depth-unit, "
                       "--depth-sign and --water-level",
                       file->path, most);
    print_in_unit(from, sizeof from, least, &raster->rule);
    print_in_unit(to, sizeof to, most, &raster->rule);
    *out->said = '\0';
    lw_text_add(out->said, sizeof out->said,
                "%d by %d cells, depths %s to %s %s, from %.60s in %s "
                "(%s), %s%s",
                raster->w, raster->h, from, to, lw_depth_unit_name(raster->rule.unit),
                out->depth_field, lw_depth_unit_plural(raster->rule.unit), raster->rule.reason,
                raster->rule.sign, raster->zero_land ? ", 0 is land" : "");
    return 0;
}

int lw_raster_understand(const struct lw_map_file *file, const struct lw_raster_says *says,
                         struct lw_source *out, struct lw_raster *raster, struct lw_error *err)
{
    struct lw_depth_rule *rule = &raster->rule;
    struct tally t;
    double *value = malloc(SAMPLE * sizeof *value);
    size_t n;
    int status = -1;

    if (!value)
        return lw_fail(err, "out of memory");
    drop_false_values(raster, out);
    count(raster, &t);
    n = pick(raster, value);
    if (!t.known || (t.min == 0 && t.max == 0)) {
        lw_fail(err, "%s holds no depths: every cell is %s", file->path,
                t.known ? "0" : "without a value");
        goto done;
    }
    lw_text_copy(out->depth_field, sizeof out->depth_field, says->name);
    if (settle_unit(file, says, &t, value, n, out, rule, err))
        goto done;
    rule->unit_m = lw_depth_unit_m(rule->unit);
    if (settle_sign(file, says, &t, out, rule, err))
        goto done;
    drop_false_zeros(raster, &t, out);
    raster->step_m = rounding(value, n) * rule->unit_m;
    lw_text_copy(out->unit, sizeof out->unit, lw_depth_unit_name(rule->unit));
    lw_text_copy(out->unit_reason, sizeof out->unit_reason, rule->reason);
    out->unit_m = rule->unit_m;
    lw_text_copy(out->sign, sizeof out->sign, rule->sign);
    if (strcmp(rule->reason, UNSAID) == 0 && check_slope(file, raster, &t, err))
        goto done;
    status = look_at_depths(file, raster, &t, out, err);
done:
    free(value);
    return status;
}
