#include "lipwalk/feed/nmea.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"

/* The standard says 82; receivers with more decimals send longer ones, and they are sound. */
#define SENTENCE_MAX 200
#define FIELDS_MAX   32

struct fields {
    char text[SENTENCE_MAX]; /* the body between $ and *, commas replaced by ends of string */
    const char *at[FIELDS_MAX];
    int n;
};

static const char *field(const struct fields *f, int i)
{
    return i < f->n ? f->at[i] : "";
}

static char letter(const struct fields *f, int i)
{
    const char *text = field(f, i);

    return text[0] != '\0' && text[1] == '\0' ? text[0] : '\0';
}

static double number(const struct fields *f, int i)
{
    const char *text = field(f, i);
    double value;

    if (text[0] == '\0' || strspn(text, "0123456789.+-") != strlen(text) ||
        !lw_text_to_number(text, &value))
        return NAN;
    return value;
}

static double number_within(const struct fields *f, int i, double lo, double hi)
{
    double value = number(f, i);

    return value >= lo && value <= hi ? value : NAN;
}

/* A bearing of 0 to 360; 360 itself is sent by some and means 0. */
static double bearing(const struct fields *f, int i)
{
    double deg = number_within(f, i, 0.0, 360.0);

    return deg >= 360.0 ? 0.0 : deg;
}

/* A deviation or variation followed by E or W: + east. */
static double east_west(const struct fields *f, int i)
{
    double deg = number_within(f, i, 0.0, 180.0);
    char side = letter(f, i + 1);

    if (side == 'E')
        return deg;
    return side == 'W' ? -deg : NAN;
}

/* "hhmmss.sss"; a leap second's 60 is allowed. */
static double time_of_day(const struct fields *f, int i)
{
    double value = number_within(f, i, 0.0, 235960.999);
    double hour, minute, second;

    if (isnan(value) || strcspn(field(f, i), ".") != 6)
        return NAN;
    hour = floor(value / 10000.0);
    minute = floor(fmod(value, 10000.0) / 100.0);
    second = fmod(value, 100.0);
    if (minute > 59.0 || second >= 61.0)
        return NAN;
    return hour * 3600.0 + minute * 60.0 + second;
}

/* Degrees and minutes "dddmm.mmm" and the hemisphere after it. */
static double angle(const struct fields *f, int i, char plus, char minus, double limit)
{
    double value = number_within(f, i, 0.0, 18000.0);
    double whole = floor(value / 100.0);
    double minutes = value - whole * 100.0;
    double deg = whole + minutes / 60.0;
    char side = letter(f, i + 1);

    if (!(minutes < 60.0) || deg > limit)
        return NAN;
    if (side == plus)
        return deg;
    return side == minus ? -deg : NAN;
}

static struct lw_ll place(const struct fields *f, int i)
{
    struct lw_ll at = {angle(f, i, 'N', 'S', 90.0), angle(f, i + 2, 'E', 'W', 180.0)};

    if (isnan(at.lat_deg) || isnan(at.lon_deg))
        at.lat_deg = at.lon_deg = NAN;
    return at;
}

/* Knots in field i, else km/h in field j. */
static double knots_or_kmh(const struct fields *f, int i, int j)
{
    double knots = number_within(f, i, 0.0, 2000.0);

    if (!isnan(knots))
        return knots * LW_KN_MPS;
    return number_within(f, j, 0.0, 4000.0) / 3.6;
}

static void read_gga(const struct fields *f, struct lw_nmea *out)
{
    double quality = number_within(f, 6, 0.0, 9.0);

    out->time_of_day_s = time_of_day(f, 1);
    out->at = place(f, 2);
    out->valid = quality >= 1; /* NaN is not */
    out->hdop = number_within(f, 8, 0.0, 99.99);
    out->altitude_m = number(f, 9);
}

static void read_date(const char *text, struct lw_nmea *out)
{
    int day, month, year;

    if (strlen(text) != 6 || strspn(text, "0123456789") != 6 ||
        sscanf(text, "%2d%2d%2d", &day, &month, &year) != 3)
        return;
    if (day < 1 || day > 31 || month < 1 || month > 12)
        return;
    out->day = day;
    out->month = month;
    out->year = year < 80 ? 2000 + year : 1900 + year; /* the system began in 1980 */
}

static void read_rmc(const struct fields *f, struct lw_nmea *out)
{
    out->time_of_day_s = time_of_day(f, 1);
    out->valid = letter(f, 2) == 'A' && letter(f, 12) != 'N';
    out->at = place(f, 3);
    out->sog_mps = number_within(f, 7, 0.0, 2000.0) * LW_KN_MPS;
    out->cog_deg = bearing(f, 8);
    read_date(field(f, 9), out);
    out->variation_deg = east_west(f, 10);
}

static void read_gll(const struct fields *f, struct lw_nmea *out)
{
    out->at = place(f, 1);
    out->time_of_day_s = time_of_day(f, 5);
    out->valid = letter(f, 6) == 'A' && letter(f, 7) != 'N';
}

static void read_vtg(const struct fields *f, struct lw_nmea *out)
{
    out->valid = letter(f, 9) != 'N';
    if (!out->valid)
        return;
    out->cog_deg = bearing(f, 1);
    out->sog_mps = knots_or_kmh(f, 5, 7);
}

static void read_dbt(const struct fields *f, struct lw_nmea *out)
{
    out->depth_m = number_within(f, 3, 0.0, 12000.0);
    if (isnan(out->depth_m))
        out->depth_m = number_within(f, 1, 0.0, 40000.0) * LW_FT_M;
    if (isnan(out->depth_m))
        out->depth_m = number_within(f, 5, 0.0, 6600.0) * 6.0 * LW_FT_M;
}

static void read_dpt(const struct fields *f, struct lw_nmea *out)
{
    out->depth_m = number_within(f, 1, 0.0, 12000.0);
    out->depth_offset_m = number_within(f, 2, -100.0, 100.0);
}

static void read_mtw(const struct fields *f, struct lw_nmea *out)
{
    if (letter(f, 2) == 'C')
        out->water_c = number_within(f, 1, -5.0, 60.0);
}

static void read_mwv(const struct fields *f, struct lw_nmea *out)
{
    double unit;

    switch (letter(f, 4)) {
    case 'N':
        unit = LW_KN_MPS;
        break;
    case 'M':
        unit = 1.0;
        break;
    case 'K':
        unit = 1.0 / 3.6;
        break;
    case 'S':
        unit = LW_MPH_MPS;
        break;
    default:
        unit = NAN;
        break;
    }
    out->valid = letter(f, 5) == 'A';
    out->wind_true = letter(f, 2) == 'T';
    if (!out->valid || (letter(f, 2) != 'T' && letter(f, 2) != 'R'))
        return;
    out->wind_deg = bearing(f, 1);
    out->wind_mps = number_within(f, 3, 0.0, 500.0) * unit;
}

static void read_mwd(const struct fields *f, struct lw_nmea *out)
{
    out->wind_true = true;
    out->wind_deg = bearing(f, 1);
    out->wind_mps = number_within(f, 7, 0.0, 150.0);
    if (isnan(out->wind_mps))
        out->wind_mps = number_within(f, 5, 0.0, 300.0) * LW_KN_MPS;
}

static void read_hdt(const struct fields *f, struct lw_nmea *out)
{
    out->heading_true_deg = bearing(f, 1);
}

static void read_hdm(const struct fields *f, struct lw_nmea *out)
{
    out->heading_mag_deg = bearing(f, 1);
}

static void read_hdg(const struct fields *f, struct lw_nmea *out)
{
    out->heading_mag_deg = bearing(f, 1);
    out->deviation_deg = east_west(f, 2);
    out->variation_deg = east_west(f, 4);
}

static void read_vhw(const struct fields *f, struct lw_nmea *out)
{
    out->heading_true_deg = bearing(f, 1);
    out->heading_mag_deg = bearing(f, 3);
}

static const struct {
    char name[4];
    enum lw_nmea_kind kind;
    void (*read)(const struct fields *f, struct lw_nmea *out);
} readers[] = {
    {"GGA", LW_NMEA_GGA, read_gga}, {"RMC", LW_NMEA_RMC, read_rmc}, {"VTG", LW_NMEA_VTG, read_vtg},
    {"GLL", LW_NMEA_GLL, read_gll}, {"DBT", LW_NMEA_DBT, read_dbt}, {"DPT", LW_NMEA_DPT, read_dpt},
    {"MTW", LW_NMEA_MTW, read_mtw}, {"MWV", LW_NMEA_MWV, read_mwv}, {"MWD", LW_NMEA_MWD, read_mwd},
    {"HDT", LW_NMEA_HDT, read_hdt}, {"HDG", LW_NMEA_HDG, read_hdg}, {"HDM", LW_NMEA_HDM, read_hdm},
    {"VHW", LW_NMEA_VHW, read_vhw},
};

static void clear(struct lw_nmea *out)
{
    memset(out, 0, sizeof *out);
    out->kind = LW_NMEA_BAD;
    out->time_of_day_s = NAN;
    out->at.lat_deg = out->at.lon_deg = NAN;
    out->hdop = out->altitude_m = out->sog_mps = out->cog_deg = out->variation_deg = NAN;
    out->depth_m = out->depth_offset_m = out->water_c = NAN;
    out->wind_deg = out->wind_mps = NAN;
    out->heading_true_deg = out->heading_mag_deg = out->deviation_deg = NAN;
}

static int hex(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)toupper((unsigned char)c);
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* XOR of the `n` characters at text; -1 when one is not printable ASCII. */
static int checksum(const char *text, size_t n)
{
    int sum = 0;

    for (size_t i = 0; i < n; i++) {
        if (text[i] < ' ' || text[i] > '~')
            return -1;
        sum ^= text[i];
    }
    return sum;
}

/* The length of the body after '$' when the line is a sentence with a right checksum, else 0. */
static size_t sound_body(const char *line)
{
    size_t n;
    int high, low;

    if (line[0] != '$')
        return 0;
    n = strcspn(line + 1, "*\r\n");
    if (n == 0 || n >= SENTENCE_MAX || line[1 + n] != '*')
        return 0;
    high = hex(line[2 + n]);
    low = high < 0 ? -1 : hex(line[3 + n]);
    if (low < 0 || checksum(line + 1, n) != high * 16 + low)
        return 0;
    return line[4 + n + strspn(line + 4 + n, " \r\n")] == '\0' ? n : 0;
}

static void split(const char *body, size_t n, struct fields *f)
{
    memcpy(f->text, body, n);
    f->text[n] = '\0';
    f->n = 1;
    f->at[0] = f->text;
    for (char *c = f->text; *c; c++) {
        if (*c != ',')
            continue;
        *c = '\0';
        if (f->n < FIELDS_MAX)
            f->at[f->n++] = c + 1;
    }
}

struct lw_nmea lw_nmea_parse(const char *line)
{
    struct lw_nmea out;
    struct fields f;
    size_t n = sound_body(line);

    clear(&out);
    if (n == 0)
        return out;
    out.kind = LW_NMEA_OTHER;
    split(line + 1, n, &f);
    if (strlen(f.at[0]) != 5 || f.at[0][0] == 'P') /* $P...: a maker's own */
        return out;
    for (size_t i = 0; i < sizeof readers / sizeof readers[0]; i++) {
        if (strcmp(f.at[0] + 2, readers[i].name) == 0) {
            out.kind = readers[i].kind;
            readers[i].read(&f, &out);
        }
    }
    return out;
}

size_t lw_nmea_seal(char *sentence, size_t size)
{
    size_t n = strlen(sentence);
    int sum = n > 1 && sentence[0] == '$' ? checksum(sentence + 1, n - 1) : -1;

    if (sum < 0 || n + 6 > size)
        return 0;
    snprintf(sentence + n, size - n, "*%02X\r\n", (unsigned)sum);
    return n + 5;
}
