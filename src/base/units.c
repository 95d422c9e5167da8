#include "lipwalk/base/units.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "lipwalk/base/text.h"

#define LONGEST_VALUE 64 /* of a value as typed */

/* One name of one unit: SI = (value + shift) * factor. */
struct unit {
    enum lw_quantity quantity;
    const char *name;
    double factor, shift;
};

static const struct unit units[] = {
    {LW_LENGTH, "ft", LW_FT_M, 0},      {LW_LENGTH, "foot", LW_FT_M, 0},
    {LW_LENGTH, "feet", LW_FT_M, 0},    {LW_LENGTH, "m", 1, 0},
    {LW_LENGTH, "metre", 1, 0},         {LW_LENGTH, "metres", 1, 0},
    {LW_LENGTH, "meter", 1, 0},         {LW_LENGTH, "meters", 1, 0},
    {LW_LENGTH, "yd", 0.9144, 0},       {LW_LENGTH, "mi", 1609.344, 0},
    {LW_LENGTH, "nmi", 1852, 0},        {LW_LENGTH, "km", 1000, 0},
    {LW_LENGTH, "cm", 0.01, 0},         {LW_LENGTH, "in", 0.0254, 0},
    {LW_LENGTH, "fathom", 1.8288, 0},   {LW_LENGTH, "fathoms", 1.8288, 0},
    {LW_SPEED, "mph", LW_MPH_MPS, 0},   {LW_SPEED, "kn", LW_KN_MPS, 0},
    {LW_SPEED, "km/h", 1 / 3.6, 0},     {LW_SPEED, "kmh", 1 / 3.6, 0},
    {LW_SPEED, "ft/s", LW_FT_M, 0},     {LW_SPEED, "m/s", 1, 0},
    {LW_MASS, "oz", 0.028349523125, 0}, {LW_MASS, "lb", 0.45359237, 0},
    {LW_MASS, "g", 0.001, 0},           {LW_MASS, "kg", 1, 0},
    {LW_TEMP, "F", 1 / 1.8, -32},       {LW_TEMP, "C", 1, 0},
    {LW_TEMP, "K", 1, -273.15},         {LW_DURATION, "s", 1, 0},
    {LW_DURATION, "sec", 1, 0},         {LW_DURATION, "min", 60, 0},
    {LW_DURATION, "h", 3600, 0},        {LW_ANGLE, "deg", 1, 0},
    {LW_RATIO, "%", 0.01, 0},
};

/* What a bare number means and what people read; "" where there is no unit. */
static const struct {
    const char *us, *metric;
    const char *accepted; /* for the sentence */
} quantities[] = {
    [LW_LENGTH] = {"ft", "m", "ft, yd, mi, nmi, in, fathom, m, km or cm"},
    [LW_DEPTH] = {"ft", "m", "ft, yd, mi, nmi, in, fathom, m, km or cm"},
    [LW_SPEED] = {"mph", "km/h", "mph, kn, km/h, ft/s or m/s"},
    [LW_MASS] = {"oz", "g", "oz, lb, g or kg"},
    [LW_TEMP] = {"F", "C", "F, C or K"},
    [LW_DURATION] = {"min", "min", "s, min or h, or hours and minutes as 2h30 or 2:30"},
    [LW_ANGLE] = {"deg", "deg", "deg"},
    [LW_RATIO] = {"", "", "% or none"},
    [LW_COUNT] = {"", "", "none"},
};

static const struct unit *find_unit(enum lw_quantity quantity, const char *name)
{
    enum lw_quantity of = quantity == LW_DEPTH ? LW_LENGTH : quantity;

    /* No two units of one quantity differ by case alone, so "10 FT" and "60f" are taken too. */
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (units[i].quantity == of && strcasecmp(units[i].name, name) == 0)
            return &units[i];
    return NULL;
}

/* Splits "10.5 m" into "10.5" and "m": the number ends where no more of it can follow. */
static void split(const char *text, char number[LONGEST_VALUE], char name[LONGEST_VALUE])
{
    size_t n = strspn(text, "+-0123456789./");
    const char *rest;

    /* An exponent only where digits follow it. */
    if ((text[n] == 'e' || text[n] == 'E') && n > 0) {
        size_t sign = text[n + 1] == '+' || text[n + 1] == '-';
        size_t more = strspn(text + n + 1 + sign, "0123456789");

        if (more)
            n += 1 + sign + more;
    }
    snprintf(number, LONGEST_VALUE, "%.*s", (int)n, text);
    rest = text + n;
    while (*rest == ' ' || *rest == '\t')
        rest++;
    snprintf(name, LONGEST_VALUE, "%s", rest);
}

/* A plain number, or a fraction such as "5/16" where sizes are named so. */
static bool read_number(const char *number, enum lw_quantity quantity, double *out)
{
    const char *slash = strchr(number, '/');
    char top[LONGEST_VALUE];
    double over, under;

    if (!slash)
        return lw_text_to_number(number, out);
    if (quantity != LW_MASS && quantity != LW_LENGTH && quantity != LW_DEPTH)
        return false;
    snprintf(top, sizeof top, "%.*s", (int)(slash - number), number);
    if (!lw_text_to_number(top, &over) || !lw_text_to_number(slash + 1, &under) || under <= 0)
        return false;
    *out = over / under;
    return isfinite(*out);
}

/* Reads digits at *s, at most four of them. */
static bool whole(const char **s, double *out)
{
    size_t n = strspn(*s, "0123456789");

    if (n == 0 || n > 4)
        return false;
    *out = 0;
    for (; n > 0; n--, (*s)++)
        *out = *out * 10 + (**s - '0');
    return true;
}

/* "2h30", "2h30min", "2:30". */
static bool read_hours_minutes(const char *text, double *out_s)
{
    const char *s = text;
    double hours, minutes;

    if (!whole(&s, &hours) || (*s != ':' && *s != 'h'))
        return false;
    s++;
    while (*s == ' ')
        s++;
    if (!whole(&s, &minutes) || minutes >= 60)
        return false;
    if (*s && strcmp(s, "min") != 0 && strcmp(s, "m") != 0)
        return false;
    *out_s = hours * 3600 + minutes * 60;
    return true;
}

/* Whether `out_si` was read from the trimmed text. */
static bool read_value(const char *text, enum lw_quantity quantity, enum lw_units bare,
                       double *out_si)
{
    char number[LONGEST_VALUE], name[LONGEST_VALUE];
    const struct unit *unit;
    double value;

    if (quantity == LW_DURATION && read_hours_minutes(text, out_si))
        return true;
    split(text, number, name);
    if (!read_number(number, quantity, &value))
        return false;
    if (!name[0])
        lw_text_copy(name, sizeof name, lw_units_name(quantity, bare));
    if (quantity == LW_COUNT && (name[0] || value != floor(value)))
        return false;
    unit = name[0] ? find_unit(quantity, name) : NULL;
    if (name[0] && !unit)
        return false;
    *out_si = unit ? (value + unit->shift) * unit->factor : value;
    return isfinite(*out_si);
}

int lw_units_parse(const char *text, enum lw_quantity quantity, enum lw_units bare, double *out_si,
                   struct lw_error *err)
{
    char buf[LONGEST_VALUE];
    const char *bare_name = lw_units_name(quantity, bare);
    double si;

    if (lw_text_copy(buf, sizeof buf, text) && read_value(lw_text_trim(buf), quantity, bare, &si)) {
        *out_si = si;
        return 0;
    }
    if (quantity == LW_COUNT)
        return lw_fail(err, "\"%s\" is not a whole number: give one without a unit",
                       text ? text : "");
    return lw_fail(err, "\"%s\" cannot be read: give a number and a unit (%s)%s%s",
                   text ? text : "", quantities[quantity].accepted,
                   bare_name[0] ? "; a bare number counts as " : "", bare_name);
}

double lw_units_from_si(double si, enum lw_quantity quantity, enum lw_units system)
{
    const char *name = lw_units_name(quantity, system);
    const struct unit *unit = name[0] ? find_unit(quantity, name) : NULL;

    return unit ? si / unit->factor - unit->shift : si;
}

const char *lw_units_name(enum lw_quantity quantity, enum lw_units system)
{
    return system == LW_METRIC ? quantities[quantity].metric : quantities[quantity].us;
}

void lw_units_print(char *to, size_t size, double si, enum lw_quantity quantity,
                    enum lw_units system, int decimals)
{
    const char *name = lw_units_name(quantity, system);
    double value = lw_units_from_si(si, quantity, system);
    double half = 0.5 * pow(10, -decimals);

    if (size == 0)
        return;
    if (!isfinite(value)) {
        lw_text_copy(to, size, "--");
        return;
    }
    if (fabs(value) < half) /* no "-0 ft" */
        value = 0;
    snprintf(to, size, "%.*f%s%s", decimals, value, name[0] ? " " : "", name);
}

void lw_units_print_edge(char *to, size_t size, double depth_m, enum lw_units system)
{
    double depth = lw_units_from_si(depth_m, LW_DEPTH, system);

    lw_units_print(to, size, depth_m, LW_DEPTH, system, fabs(depth - nearbyint(depth)) > 0.05);
}

int lw_units_parse_lat_lon(const char *text, double *lat_deg, double *lon_deg, struct lw_error *err)
{
    const char *comma = text ? strchr(text, ',') : NULL;
    char first[LONGEST_VALUE] = "";
    double lat, lon;

    if (comma && comma - text < LONGEST_VALUE)
        snprintf(first, sizeof first, "%.*s", (int)(comma - text), text);
    if (!comma || !lw_text_to_number(first, &lat) || !lw_text_to_number(comma + 1, &lon))
        return lw_fail(err,
                       "\"%s\" is not a position: give decimal degrees, latitude first, such as "
                       "46.0088,-89.6997",
                       text ? text : "");
    if (fabs(lat) > 90)
        return lw_fail(err,
                       "\"%s\": latitude %g is outside -90 to 90; give the latitude first, then "
                       "the longitude",
                       text, lat);
    if (lon < -180 || lon > 360)
        return lw_fail(err, "\"%s\": longitude %g is outside -180 to 360; correct it", text, lon);
    *lat_deg = lat;
    *lon_deg = lon > 180 ? lon - 360 : lon;
    return 0;
}
