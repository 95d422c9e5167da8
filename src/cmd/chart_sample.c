/* Depths at the places of a CSV file (RFC 4180, one row a line). */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "chart_out.h"
#include "lipwalk/base/text.h"

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

/* Prints the row as it came, and the depth. */
static int sample_row(const struct lw_chart *chart, char *row, int lon, int lat, const char *path,
                      long line, struct lw_error *err)
{
    char *copy = strdup(row), *field[FIELDS_MAX], depth[32] = "";
    struct lw_ll at;
    double depth_m;
    int n;

    if (!copy)
        return lw_fail(err, "out of memory");
    n = split(copy, field);
    if (lon >= n || lat >= n || !lw_text_to_number(field[lon], &at.lon_deg) ||
        !lw_text_to_number(field[lat], &at.lat_deg) || !lw_ll_known(at)) {
        free(copy);
        return lw_fail(err, "%s, line %ld: lon_deg and lat_deg must be degrees", path, line);
    }
    free(copy);
    depth_m = lw_chart_depth(chart, lw_frame_to_en(&chart->frame, at));
    if (!isnan(depth_m))
        lw_text_number(depth, sizeof depth, depth_m, 6);
    printf("%s,%s\n", row, depth);
    return 0;
}

int lw_chart_sample(const struct lw_chart *chart, const char *path, struct lw_error *err)
{
    FILE *file = fopen(path, "re");
    char *row = NULL, *copy;
    size_t size = 0;
    int lon, lat, status = -1;
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
    copy = strdup(row);
    status = copy ? find_columns(copy, &lon, &lat, path, err) : lw_fail(err, "out of memory");
    free(copy);
    if (status)
        goto done;
    printf("%s,depth_m\n", row);
    while (status == 0 && getline(&row, &size, file) >= 0) {
        line++;
        cut_line_end(row);
        if (*row)
            status = sample_row(chart, row, lon, lat, path, line, err);
    }
done:
    free(row);
    fclose(file);
    return status;
}
