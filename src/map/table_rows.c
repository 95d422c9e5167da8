/* Lines and fields of a text file. */
#include "table_rows.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "depth_field.h"
#include "lipwalk/base/text.h"

#define LINE_MAX_BYTES 65536

struct lw_rows {
    FILE *file;
    const char *path;
    long line;
    bool after_cr; /* a CR ended the last line: a LF that follows belongs to it */
    char text[LINE_MAX_BYTES];
};

int lw_rows_open(const char *path, struct lw_rows **out, struct lw_error *err)
{
    struct lw_rows *rows = calloc(1, sizeof *rows);
    unsigned char mark[3] = {0};
    struct stat st;
    size_t n;

    if (!rows)
        return lw_fail(err, "out of memory");
    rows->path = path;
    if (stat(path, &st) || (S_ISREG(st.st_mode) && !(rows->file = fopen(path, "re")))) {
        lw_fail(err, "%s cannot be opened: %s", path, strerror(errno));
        goto failed;
    }
    if (!rows->file) {
        lw_fail(err, "%s is not a file: give the file itself", path);
        goto failed;
    }
    n = fread(mark, 1, 3, rows->file);
    if (n >= 2 && ((mark[0] == 0xff && mark[1] == 0xfe) || (mark[0] == 0xfe && mark[1] == 0xff))) {
        lw_fail(err, "%s is text in UTF-16: save it as UTF-8 or plain text", path);
        goto failed;
    }
    if (!(n == 3 && memcmp(mark, "\xef\xbb\xbf", 3) == 0))
        rewind(rows->file);
    *out = rows;
    return 0;
failed:
    lw_rows_close(rows);
    return -1;
}

void lw_rows_close(struct lw_rows *rows)
{
    if (rows && rows->file)
        fclose(rows->file);
    free(rows);
}

long lw_rows_line(const struct lw_rows *rows)
{
    return rows->line;
}

int lw_rows_next(struct lw_rows *rows, char **line, struct lw_error *err)
{
    size_t n = 0;
    bool any = false;
    int c;

    while ((c = getc_unlocked(rows->file)) != EOF) {
        bool rest = rows->after_cr && c == '\n';

        rows->after_cr = false;
        if (rest)
            continue;
        any = true;
        if (c == '\r' || c == '\n') {
            rows->after_cr = c == '\r';
            break;
        }
        if (c == '\0')
            return lw_fail(err,
                           "%s, line %ld: it holds a zero byte, so it is no text: check the "
                           "file's kind",
                           rows->path, rows->line + 1);
        if (n + 1 < sizeof rows->text)
            rows->text[n++] = (char)c;
    }
    if (c == EOF && ferror(rows->file))
        return lw_fail(err, "%s cannot be read: %s", rows->path, strerror(errno));
    rows->text[n] = '\0';
    rows->line += any;
    *line = rows->text;
    return any;
}

static bool ends_field(char c, char separator)
{
    return c == '\0' || c == separator || (separator == ' ' && c == '\t');
}

int lw_row_split(char *line, char separator, char *field[LW_FIELDS_MAX])
{
    int n = 0;
    char *p = line;

    for (;;) {
        char *to, *start;
        bool last;

        while (*p == ' ' || (*p == '\t' && separator != '\t'))
            p++;
        if (separator == ' ' && *p == '\0')
            return n;
        to = start = p;
        if (*p == '"') { /* "" inside is one quote */
            for (p++; *p && !(*p == '"' && p[1] != '"'); p++) {
                p += *p == '"';
                *to++ = *p;
            }
            p += *p == '"';
        }
        while (!ends_field(*p, separator))
            *to++ = *p++;
        last = *p == '\0';
        *to = '\0';
        while (to > start && isspace((unsigned char)to[-1]))
            *--to = '\0';
        field[n++] = start;
        if (last || n == LW_FIELDS_MAX)
            return n;
        p++;
    }
}

const char *lw_row_comment(const char *line, char separator)
{
    while (*line == ' ' || *line == '\t')
        line++;
    if (*line == '#' || *line == '%' || *line == '!' || (*line == ';' && separator != ';'))
        return line + 1;
    return line[0] == '/' && line[1] == '/' ? line + 2 : NULL;
}

static bool is_gap(const char *field)
{
    static const char *const words[] = {"", "nan", "na", "n/a", "null", "none", "-", "--", "*"};

    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcasecmp(field, words[i]) == 0)
            return true;
    return false;
}

/* Plain decimals of up to 15 digits, as nearly all of a survey's millions are: the digits as a
 * whole number and the power of ten are both exact, so that their quotient is the nearest double.
 */
static bool plain_decimal(const char *text, double *value)
{
    static const double tens[] = {1,   1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                  1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    bool minus = *text == '-', point = false;
    long long whole = 0;
    int digits = 0, behind = 0;

    for (text += minus; *text; text++) {
        if (*text == '.' && !point) {
            point = true;
        } else if (*text >= '0' && *text <= '9' && ++digits <= 15) {
            whole = 10 * whole + (*text - '0');
            behind += point;
        } else {
            return false;
        }
    }
    *value = (minus ? -(double)whole : (double)whole) / tens[behind];
    return digits > 0;
}

enum lw_value lw_field_value(const char *field, bool decimal_comma, double *value, int *unit)
{
    char text[64];
    enum lw_depth_unit found = LW_UNIT_NONE;
    size_t n = strlen(field);
    char *comma;

    *value = NAN;
    *unit = (int)LW_UNIT_NONE;
    if (plain_decimal(field, value))
        return LW_VALUE_NUMBER;
    *value = NAN;
    if (is_gap(field))
        return LW_VALUE_GAP;
    if (n >= sizeof text)
        return LW_VALUE_TEXT;
    memcpy(text, field, n + 1);
    comma = decimal_comma ? strchr(text, ',') : NULL;
    if (comma)
        *comma = '.';
    if (lw_text_to_number(text, value))
        return LW_VALUE_NUMBER;
    if (lw_depth_text(text, value, &found)) {
        *unit = (int)found;
        return LW_VALUE_NUMBER;
    }
    if (n > 1 && strchr("NSEWnsew", text[n - 1])) {
        bool minus = strchr("SWsw", text[n - 1]) != NULL;

        text[n - 1] = '\0';
        if (lw_text_to_number(text, value) && *value >= 0) {
            *value = minus ? -*value : *value;
            return LW_VALUE_NUMBER;
        }
    }
    *value = NAN;
    return LW_VALUE_TEXT;
}
