/* Names that surveys use for places (common practice, no source), and what values tell. */
#include "table_columns.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"

enum role { ROLE_NONE, ROLE_LAT, ROLE_LON, ROLE_X, ROLE_Y, ROLE_EASTING, ROLE_NORTHING, ROLES };

static const struct {
    const char *word; /* lower case, letters only; a name begins with it, or is all of it */
    enum role role;
    bool whole;
} words[] = {
    {"latitude", ROLE_LAT, false},
    {"longitude", ROLE_LON, false},
    {"lat", ROLE_LAT, true},
    {"lon", ROLE_LON, true},
    {"long", ROLE_LON, true},
    {"lng", ROLE_LON, true},
    {"latdd", ROLE_LAT, true},
    {"londd", ROLE_LON, true},
    {"longdd", ROLE_LON, true},
    {"latdeg", ROLE_LAT, true},
    {"londeg", ROLE_LON, true},
    {"longdeg", ROLE_LON, true},
    {"latwgs", ROLE_LAT, true},
    {"lonwgs", ROLE_LON, true},
    {"longwgs", ROLE_LON, true},
    {"ylat", ROLE_LAT, true},
    {"xlon", ROLE_LON, true},
    {"xlong", ROLE_LON, true},
    {"gpslat", ROLE_LAT, true},
    {"gpslon", ROLE_LON, true},
    {"gpslatitude", ROLE_LAT, true},
    {"breite", ROLE_LAT, true},
    {"gpslongitude", ROLE_LON, true},
    {"x", ROLE_X, true},
    {"y", ROLE_Y, true},
    {"xcoord", ROLE_X, true},
    {"ycoord", ROLE_Y, true},
    {"pointx", ROLE_X, true},
    {"pointy", ROLE_Y, true},
    {"coordx", ROLE_X, true},
    {"coordy", ROLE_Y, true},
    {"easting", ROLE_EASTING, false},
    {"northing", ROLE_NORTHING, false},
    {"utme", ROLE_EASTING, false},
    {"utmn", ROLE_NORTHING, false},
    {"utmx", ROLE_EASTING, false},
    {"utmy", ROLE_NORTHING, false},
    {"east", ROLE_EASTING, true},
    {"north", ROLE_NORTHING, true},
    {"rechtswert", ROLE_EASTING, false},
    {"hochwert", ROLE_NORTHING, false},
};

static enum role role_of(const char *name)
{
    char letters[64];
    size_t n = 0;

    for (; *name && n + 1 < sizeof letters; name++)
        if (isalpha((unsigned char)*name))
            letters[n++] = (char)tolower((unsigned char)*name);
    letters[n] = '\0';
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (words[i].whole ? strcmp(letters, words[i].word) == 0
                           : strncmp(letters, words[i].word, strlen(words[i].word)) == 0)
            return words[i].role;
    return ROLE_NONE;
}

int lw_table_spread(struct lw_table_columns *table, struct lw_error *err)
{
    double *sorted = malloc((table->n + 1) * sizeof *sorted);

    if (!sorted)
        return lw_fail(err, "out of memory");
    for (int i = 0; i < table->columns; i++) {
        struct lw_table_column *c = &table->column[i];
        size_t n = 0;

        for (size_t k = 0; k < table->n; k++)
            if (!isnan(c->value[k]))
                sorted[n++] = c->value[k];
        qsort(sorted, n, sizeof *sorted, lw_number_order);
        c->low = n ? sorted[n / 20] : NAN;
        c->high = n ? sorted[n - 1 - n / 20] : NAN;
    }
    free(sorted);
    return 0;
}

static bool same_values(const struct lw_table_columns *table, int a, int b)
{
    for (size_t i = 0; i < table->n; i++) {
        double x = table->column[a].value[i], y = table->column[b].value[i];

        if (!(x == y || (isnan(x) && isnan(y))))
            return false;
    }
    return true;
}

static void list_names(const struct lw_table_columns *table, char *to, size_t size)
{
    *to = '\0';
    for (int i = 0; i < table->columns; i++)
        lw_text_add(to, size, "%s%s", i ? ", " : "", table->column[i].name);
}

/* First column of each role. Two of one role must say the same: names are often given twice. */
static int by_name(const struct lw_table_columns *table, const char *map, int role[ROLES],
                   struct lw_error *err)
{
    for (int i = 0; i < ROLES; i++)
        role[i] = -1;
    for (int i = 0; i < table->columns; i++) {
        enum role r = role_of(table->column[i].name);

        if (r == ROLE_NONE || table->column[i].known == 0)
            continue;
        if (role[r] < 0)
            role[r] = i;
        else if (!same_values(table, role[r], i))
            return lw_fail(err,
                           "%s has two columns for the same thing, %s (column %d) and %s (column "
                           "%d), with different values: take one of them out or rename it",
                           map, table->column[role[r]].name, role[r] + 1, table->column[i].name,
                           i + 1);
    }
    return 0;
}

static bool may_be_degrees(const struct lw_table_column *c, double most)
{
    return c->known > 0 && c->low >= -fmin(most, 180) && c->high <= most && c->high - c->low < 20 &&
           2 * c->fractions > c->known;
}

static bool may_be_projected(const struct lw_table_column *c)
{
    return c->known > 0 && fmax(fabs(c->low), fabs(c->high)) > 1000 && c->high - c->low < 1e6 &&
           fabs(c->high) < 1e8;
}

static double off(const struct lw_table_column *lon, const struct lw_table_column *lat,
                  struct lw_ll at)
{
    double east = remainder((lon->low + lon->high) / 2 - at.lon_deg, 360);

    return hypot((lat->low + lat->high) / 2 - at.lat_deg, east * cos(at.lat_deg * M_PI / 180));
}

/* Two columns of degrees, either of which could be the latitude: the nearer order to the place that
 * the user gave; else x first in a bare x, y, z, and latitude first, as in ISO 6709, in a log. */
static struct lw_table_places settle_order(const struct lw_table_columns *table, int first,
                                           struct lw_ll at)
{
    const struct lw_table_column *a = &table->column[first], *b = a + 1;
    bool known = lw_ll_known(at), swapped = table->columns > 3;

    if (known)
        swapped = off(b, a, at) < off(a, b, at);
    return (struct lw_table_places){swapped ? first + 1 : first, swapped ? first : first + 1, true,
                                    !known};
}

/* Without names: the first two neighbours that look like degrees, or like metres. Which of the two
 * is latitude shows where the other goes beyond 90. */
static int by_value(const struct lw_table_columns *table, const char *map, int crs_degrees,
                    struct lw_ll at, struct lw_table_places *out, struct lw_error *err)
{
    for (int i = 0; crs_degrees != 0 && i + 1 < table->columns; i++) {
        const struct lw_table_column *a = &table->column[i], *b = a + 1;

        if (!may_be_degrees(a, 360) || !may_be_degrees(b, 360))
            continue;
        if (may_be_degrees(a, 90) && may_be_degrees(b, 90))
            *out = settle_order(table, i, at);
        else if (may_be_degrees(b, 90))
            *out = (struct lw_table_places){i, i + 1, true, false};
        else if (may_be_degrees(a, 90))
            *out = (struct lw_table_places){i + 1, i, true, false};
        else
            continue;
        return 0;
    }
    for (int i = 0; crs_degrees != 1 && i + 1 < table->columns; i++)
        if (may_be_projected(&table->column[i]) && may_be_projected(&table->column[i + 1])) {
            *out = (struct lw_table_places){i, i + 1, false, true};
            return 0;
        }
    return lw_fail(err,
                   "%s names no columns, and no two of its %d look like longitude and latitude: "
                   "give it a first line such as lat,lon,depth_m",
                   map, table->columns);
}

/* x and y may be either: their values, or the system given, tell. */
static bool xy_in_degrees(const struct lw_table_columns *table, int x, int y, int crs_degrees)
{
    if (crs_degrees >= 0)
        return crs_degrees == 1;
    return fabs(table->column[x].low) <= 360 && fabs(table->column[x].high) <= 360 &&
           fabs(table->column[y].low) <= 360 && fabs(table->column[y].high) <= 360;
}

int lw_table_find_places(const struct lw_table_columns *table, const char *map, int crs_degrees,
                         struct lw_ll at, struct lw_table_places *out, struct lw_error *err)
{
    int role[ROLES];
    char names[400];

    if (!table->named)
        return by_value(table, map, crs_degrees, at, out, err);
    if (by_name(table, map, role, err))
        return -1;
    if (role[ROLE_LAT] >= 0 && role[ROLE_LON] >= 0) {
        if (crs_degrees == 0 && role[ROLE_EASTING] >= 0 && role[ROLE_NORTHING] >= 0) {
            *out = (struct lw_table_places){role[ROLE_EASTING], role[ROLE_NORTHING], false, false};
            return 0;
        }
        if (crs_degrees == 0)
            return lw_fail(err,
                           "%s: the system given by --crs is no longitude and latitude, which its "
                           "columns %s and %s are by their names: leave --crs out, or rename them",
                           map, table->column[role[ROLE_LON]].name,
                           table->column[role[ROLE_LAT]].name);
        *out = (struct lw_table_places){role[ROLE_LON], role[ROLE_LAT], true, false};
        return 0;
    }
    if (role[ROLE_X] >= 0 && role[ROLE_Y] >= 0) {
        *out = (struct lw_table_places){
            role[ROLE_X], role[ROLE_Y],
            xy_in_degrees(table, role[ROLE_X], role[ROLE_Y], crs_degrees), false};
        return 0;
    }
    if (role[ROLE_EASTING] >= 0 && role[ROLE_NORTHING] >= 0) {
        *out = (struct lw_table_places){role[ROLE_EASTING], role[ROLE_NORTHING], false, false};
        return 0;
    }
    list_names(table, names, sizeof names);
    return lw_fail(err,
                   "%s: no columns for the place are recognised among %s: name them lat and lon, "
                   "or easting and northing with --crs",
                   map, names);
}
