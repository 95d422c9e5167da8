/* Depths at the places of a CSV file (RFC 4180, one row a line). */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "chart_out.h"
#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "lipwalk/map/cells.h"

#define FIELDS_MAX 256

/* Splits a copy of the row in place; quotes are taken off. Returns the number of fields. */
static int split(char *row, char *field[FIELDS_MAX])
{
    int n = 0;
    char *to = row;
    bool quoted = false;

    field[n++] = row;
    for (const char *p = row;; p++) {
        if (*p == '"' && quoted && p[1] == '"')
            *to++ = *p++;
        else if (*p == '"')
            quoted = !quoted;
        else if (*p == '\0' || (*p == ',' && !quoted)) {
            bool end = *p == '\0';

            *to++ = '\0';
            if (end || n == FIELDS_MAX)
                return n;
            field[n++] = to;
        } else
            *to++ = *p;
    }
}

static void cut_line_end(char *row)
{
    row[strcspn(row, "\r\n")] = '\0';
}

static int find_columns(char *heading, int *lon, int *lat, const char *path, struct lw_error *err)
{
    char *field[FIELDS_MAX];
    int n;

    if (strncmp(heading, "\xef\xbb\xbf", 3) == 0)
        heading += 3;
    n = split(heading, field);
    *lon = *lat = -1;
    for (int i = 0; i < n; i++) {
        const char *name = lw_text_trim(field[i]);

        if (strcasecmp(name, "lon_deg") == 0)
            *lon = i;
        else if (strcasecmp(name, "lat_deg") == 0)
            *lat = i;
    }
    if (*lon < 0 || *lat < 0)
        return lw_fail(err,
                       "%s: the first line must name the columns, with lon_deg and lat_deg "
                       "among them",
                       path);
    return 0;
}

struct rows {
    char **text; /* text[n], owned */
    struct lw_ll *at;
    double *depth_m;
    size_t n, cap, at_cap, depth_cap;
};

static void free_rows(struct rows *rows)
{
    for (size_t i = 0; i < rows->n; i++)
        free(rows->text[i]);
    free(rows->text);
    free(rows->at);
    free(rows->depth_m);
}

static int add_row(struct rows *rows, const char *row, int lon, int lat, const char *path,
                   long line, struct lw_error *err)
{
    char *copy = strdup(row), *field[FIELDS_MAX];
    struct lw_ll at;
    int n;

    if (!copy || lw_array_room(&rows->text, rows->n, &rows->cap) ||
        lw_array_room(&rows->at, rows->n, &rows->at_cap) ||
        lw_array_room(&rows->depth_m, rows->n, &rows->depth_cap)) {
        free(copy);
        return lw_fail(err, "out of memory");
    }
    n = split(copy, field);
    if (lon >= n || lat >= n || !lw_text_to_number(field[lon], &at.lon_deg) ||
        !lw_text_to_number(field[lat], &at.lat_deg) || !lw_ll_known(at)) {
        free(copy);
        return lw_fail(err, "%s, line %ld: lon_deg and lat_deg must be degrees", path, line);
    }
    strcpy(copy, row);
    rows->text[rows->n] = copy;
    rows->at[rows->n++] = at;
    return 0;
}

/* A grid's own cells have the digits of the file's numbers; others what a depth needs. */
static int look_up(const struct lw_chart *chart, const struct lw_import_options *options,
                   struct rows *rows, int *digits, struct lw_error *err)
{
    *digits = 6;
    if (lw_chart_is_grid(options)) {
        *digits = 9;
        return lw_chart_cells(options, rows->at, rows->n, rows->depth_m, err);
    }
    for (size_t i = 0; i < rows->n; i++)
        rows->depth_m[i] = lw_chart_depth(chart, lw_frame_to_en(&chart->frame, rows->at[i]));
    return 0;
}

/* The rows as they came, each with its depth. */
static void print_rows(const char *heading, const struct rows *rows, int digits)
{
    printf("%s,depth_m\n", heading);
    for (size_t i = 0; i < rows->n; i++) {
        char depth[32] = "";

        if (!isnan(rows->depth_m[i]))
            lw_text_number(depth, sizeof depth, rows->depth_m[i], digits);
        printf("%s,%s\n", rows->text[i], depth);
    }
}

int lw_chart_sample(const struct lw_chart *chart, const struct lw_import_options *options,
                    const char *path, struct lw_error *err)
{
    FILE *file = fopen(path, "re");
    char *row = NULL, *heading = NULL, *copy;
    size_t size = 0;
    int lon, lat, digits, status = -1;
    struct rows rows = {0};
    long line = 1;

    if (!file)
        return lw_fail(err, "%s cannot be opened: %s", path, strerror(errno));
    if (getline(&row, &size, file) < 0) {
        if (ferror(file)) /* a folder opens but cannot be read */
            lw_fail(err, "%s cannot be read: %s", path, strerror(errno));
        else
            lw_fail(err, "%s is empty: a first line that names the columns is needed", path);
        goto done;
    }
    cut_line_end(row);
    heading = strdup(row);
    copy = strdup(row);
    status = copy && heading ? find_columns(copy, &lon, &lat, path, err)
                             : lw_fail(err, "out of memory");
    free(copy);
    while (status == 0 && getline(&row, &size, file) >= 0) {
        line++;
        cut_line_end(row);
        if (*row)
            status = add_row(&rows, row, lon, lat, path, line, err);
    }
    if (status == 0)
        status = look_up(chart, options, &rows, &digits, err);
    if (status == 0)
        print_rows(heading, &rows, digits);
done:
    free_rows(&rows);
    free(heading);
    free(row);
    fclose(file);
    return status;
}
