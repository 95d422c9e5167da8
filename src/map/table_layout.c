/* Separator, header and decimal sign of a text file, told from its first lines. */
#include "table_layout.h"

#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define LOOK_ROWS  100  /* the layout is told from */
#define LOOK_LINES 1000 /* comments and preamble among them */

static const char separators[] = "\t;,| "; /* the earlier, the surer */

/* How many of the lines have the number of fields that most have, from two on. */
static size_t agreement(char *const *line, size_t lines, char separator, int *fields)
{
    size_t of[LW_FIELDS_MAX + 1] = {0}, best = 0;
    char *field[LW_FIELDS_MAX];

    *fields = 0;
    for (size_t i = 0; i < lines; i++) {
        char *copy = strdup(line[i]);

        if (copy)
            of[lw_row_split(copy, separator, field)]++;
        free(copy);
    }
    for (int n = 2; n <= LW_FIELDS_MAX; n++)
        if (of[n] > best) {
            best = of[n];
            *fields = n;
        }
    return best;
}

/* The separator by which the lines agree best. A row needs three columns; two with a decimal comma
 * between ("49,5;-93,7") must not look like three, so the surer separators come first. */
static int find_separator(char *const *line, size_t lines, struct lw_table_layout *layout,
                          const char *map, struct lw_error *err)
{
    size_t best = 0;

    for (const char *s = separators; *s; s++) {
        int fields;
        size_t agree = agreement(line, lines, *s, &fields);

        if (fields >= 3 && agree > best) {
            best = agree;
            layout->separator = *s;
            layout->fields = fields;
        }
    }
    if (2 * best < lines || best == 0)
        return lw_fail(err,
                       "%s is no table of soundings: its lines do not fall into at least three "
                       "columns (place and depth) by tabs, semicolons, commas or spaces",
                       map);
    return 0;
}

/* Numbers such as 49,66: where commas do not separate, and no field has both signs. */
static bool has_decimal_commas(char *const *line, size_t lines, char separator)
{
    size_t commas = 0, points = 0;
    char *field[LW_FIELDS_MAX];

    for (size_t i = 0; separator != ',' && i < lines; i++) {
        char *copy = strdup(line[i]);
        int n = copy ? lw_row_split(copy, separator, field) : 0;

        for (int k = 0; k < n; k++) {
            const char *comma = strchr(field[k], ',');

            if (strspn(field[k], "+-0123456789,.") != strlen(field[k]))
                continue;
            commas += comma && !strchr(comma + 1, ',');
            points += strchr(field[k], '.') != NULL;
        }
        free(copy);
    }
    return commas > 0 && points == 0;
}

/* Whether the line names columns: the usual number of fields, none of them a number. */
static bool is_header(const char *line, const struct lw_table_layout *layout)
{
    char *field[LW_FIELDS_MAX], *copy = strdup(line);
    int n = copy ? lw_row_split(copy, layout->separator, field) : 0, texts = 0, unit;
    bool header = n == layout->fields;
    double value;

    for (int k = 0; k < n; k++) {
        enum lw_value kind = lw_field_value(field[k], layout->decimal_comma, &value, &unit);

        header = header && kind != LW_VALUE_NUMBER;
        texts += kind == LW_VALUE_TEXT;
    }
    free(copy);
    return header && texts >= 2;
}

static bool has_numbers(const char *line, const struct lw_table_layout *layout)
{
    char *field[LW_FIELDS_MAX], *copy = strdup(line);
    int n = copy ? lw_row_split(copy, layout->separator, field) : 0, numbers = 0, unit;
    double value;

    for (int k = 0; k < n; k++)
        numbers += lw_field_value(field[k], layout->decimal_comma, &value, &unit) ==
                   LW_VALUE_NUMBER;
    free(copy);
    return numbers >= 2;
}

/* The last line before the values that has the form of a header names the columns; a comment may
 * hold it ("# lon lat depth"). */
static void find_header(char *const *all, const long *number, size_t lines,
                        struct lw_table_layout *layout)
{
    for (size_t i = 0; i < lines && !layout->first; i++) {
        const char *comment = lw_row_comment(all[i], layout->separator);
        const char *text = comment ? comment : all[i];

        if (!comment && has_numbers(text, layout)) {
            layout->first = number[i];
        } else if (is_header(text, layout) && strlen(text) < sizeof layout->names) {
            strcpy(layout->names, text);
            layout->header = number[i];
        }
    }
}

int lw_table_layout_find(const char *path, struct lw_table_layout *out, struct lw_error *err)
{
    char *all[LOOK_LINES], *row[LOOK_ROWS], *line;
    long number[LOOK_LINES];
    size_t lines = 0, rows = 0;
    struct lw_rows *in = NULL;
    int status = lw_rows_open(path, &in, err), more = 1;

    while (status == 0 && lines < LOOK_LINES && rows < LOOK_ROWS &&
           (more = lw_rows_next(in, &line, err)) > 0) {
        if (line[strspn(line, " \t")] == '\0')
            continue;
        all[lines] = strdup(line);
        if (!all[lines]) {
            status = lw_fail(err, "out of memory");
            break;
        }
        number[lines] = lw_rows_line(in);
        /* not knowing the separator yet, ';' may begin a row with an empty field */
        if (!lw_row_comment(line, ';'))
            row[rows++] = all[lines];
        lines++;
    }
    status = status || more < 0 ? -1 : 0;
    if (status == 0 && rows == 0)
        status = lw_fail(err, "%s holds no rows: soundings with place and depth are needed", path);
    if (status == 0)
        status = find_separator(row, rows, out, path, err);
    if (status == 0) {
        char sample[48];

        out->decimal_comma = has_decimal_commas(row, rows, out->separator);
        find_header(all, number, lines, out);
        lw_text_clean(sample, sizeof sample, row[rows - 1]);
        if (!out->first)
            status = lw_fail(err,
                             "%s holds no row with two plain numbers (\"%s\"): places in decimal "
                             "degrees or metres, with depths, are needed",
                             path, sample);
    }
    for (size_t i = 0; i < lines; i++)
        free(all[i]);
    lw_rows_close(in);
    return status;
}

int lw_table_row(struct lw_rows *in, const struct lw_table_layout *layout,
                 char *field[LW_FIELDS_MAX], int *n, struct lw_error *err)
{
    char *line;
    int more;

    while ((more = lw_rows_next(in, &line, err)) > 0) {
        if (lw_rows_line(in) < layout->first || line[strspn(line, " \t")] == '\0' ||
            lw_row_comment(line, layout->separator))
            continue;
        *n = lw_row_split(line, layout->separator, field);
        return 1;
    }
    return more;
}
