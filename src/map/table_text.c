/* Soundings in text: how the file is laid out, then its rows. The file is gone through three times:
 * its beginning for the layout, all of it for a sample of its values, all of it for the soundings;
 * so that memory holds the soundings only. */
#include <math.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gdal.h"
#include "lipwalk/base/text.h"
#include "reader.h"
#include "table_columns.h"
#include "table_layout.h"
#include "table_points.h"

#define SAMPLE     4096 /* rows that the columns' meaning is told from */
#define BESIDE_DEG 3.0  /* systems are used a zone's half beyond their area; common practice */

struct text_job {
    const struct lw_map_file *file;
    struct lw_ll at; /* on the wanted lake; NaN */
    struct lw_source *out;
    struct lw_table_layout layout;
    struct lw_table_columns *table;
    struct lw_table_places places;
    OGRCoordinateTransformationH to_ll; /* NULL: WGS 84 degrees already */
    int depth;                          /* column */
};

static void name_columns(struct text_job *job)
{
    struct lw_table_columns *table = job->table;
    char *field[LW_FIELDS_MAX], names[sizeof job->layout.names];
    int n = 0;

    table->named = job->layout.header > 0;
    table->columns = job->layout.fields < LW_COLUMNS_MAX ? job->layout.fields : LW_COLUMNS_MAX;
    strcpy(names, job->layout.names);
    if (table->named)
        n = lw_row_split(names, job->layout.separator, field);
    for (int i = 0; i < table->columns; i++) {
        struct lw_table_column *c = &table->column[i];

        if (i < n && *field[i])
            lw_text_clean(c->name, sizeof c->name, field[i]);
        else
            snprintf(c->name, sizeof c->name, "column %d", i + 1);
    }
}

static void note(struct lw_table_columns *table, size_t row, char **field, int n,
                 bool decimal_comma)
{
    for (int i = 0; i < table->columns; i++) {
        struct lw_table_column *c = &table->column[i];
        int unit = 0;

        c->value[row] = NAN;
        if (i >= n ||
            lw_field_value(field[i], decimal_comma, &c->value[row], &unit) != LW_VALUE_NUMBER)
            continue;
        if (lw_table_none(c->value[row])) { /* the -9999 of gaps tell nothing of range and sign */
            c->value[row] = NAN;
            continue;
        }
        if (c->known && (enum lw_depth_unit)unit != c->unit)
            c->units_mixed = true;
        c->unit = (enum lw_depth_unit)unit;
        c->min = c->known ? fmin(c->min, c->value[row]) : c->value[row];
        c->max = c->known ? fmax(c->max, c->value[row]) : c->value[row];
        c->fractions += c->value[row] != floor(c->value[row]);
        c->known++;
    }
}

/* Rows spread over the whole file: when the sample is full, every second one goes. */
static int take_sample(struct text_job *job, struct lw_error *err)
{
    struct lw_table_columns *table = job->table;
    char *field[LW_FIELDS_MAX];
    struct lw_rows *in = NULL;
    size_t row = 0, stride = 1;
    int n, more = lw_rows_open(job->file->path, &in, err) ? -1 : 1;

    for (int i = 0; more > 0 && i < table->columns; i++)
        if (!(table->column[i].value = malloc(SAMPLE * sizeof(double))))
            more = lw_fail(err, "out of memory");
    while (more > 0 && (more = lw_table_row(in, &job->layout, field, &n, err)) > 0) {
        if (row++ % stride)
            continue;
        if (table->n == SAMPLE) {
            for (size_t k = 0; k < SAMPLE / 2; k++)
                for (int i = 0; i < table->columns; i++)
                    table->column[i].value[k] = table->column[i].value[2 * k];
            table->n = SAMPLE / 2;
            stride *= 2;
        }
        note(table, table->n, field, n, job->layout.decimal_comma);
        table->n++;
    }
    lw_rows_close(in);
    return more < 0 ? -1 : 0;
}

/* "10" means the tenth column, where none is called so. */
static const char *wanted_field(const struct text_job *job, char *number, size_t size)
{
    const char *wanted = job->file->depth_field;

    if (!wanted || !*wanted || strspn(wanted, "0123456789") != strlen(wanted) || strlen(wanted) > 3)
        return wanted;
    for (int i = 0; i < job->table->columns; i++)
        if (strcasecmp(job->table->column[i].name, wanted) == 0)
            return wanted;
    if (atoi(wanted) < 1 || atoi(wanted) > job->table->columns)
        return wanted;
    snprintf(number, size, "%s", job->table->column[atoi(wanted) - 1].name);
    return number;
}

static bool may_be_depth(const struct text_job *job, int i)
{
    const struct lw_table_column *c = &job->table->column[i];

    return i != job->places.x && i != job->places.y && c->known > 0 && c->min < c->max;
}

/* Without names, the depth is the one column left over. */
static int lone_column(const struct text_job *job, const char **name, struct lw_error *err)
{
    const struct lw_table_columns *table = job->table;
    char list[300] = "";
    int left = 0, last = 0;
    bool fractions = false; /* depths have them where clocks and counters have not */

    for (int i = 0; i < table->columns; i++)
        fractions = fractions || (may_be_depth(job, i) && table->column[i].fractions > 0);
    for (int i = 0; i < table->columns; i++) {
        const struct lw_table_column *c = &table->column[i];

        if (!may_be_depth(job, i) || (fractions && c->fractions == 0))
            continue;
        left++;
        last = i;
        lw_text_add(list, sizeof list, "%s%d (%.6g to %.6g)", *list ? ", " : "", i + 1, c->min,
                    c->max);
    }
    *name = table->column[last].name;
    if (left == 1)
        return 0;
    return left ? lw_fail(err,
                          "%s names no columns, and its depths could be in any of the columns %s: "
                          "give --depth-field with the number of the right one, and --depth-unit",
                          job->file->path, list)
                : lw_fail(err, "%s holds places, but no column that could be depths",
                          job->file->path);
}

static int choose_depth(struct text_job *job, struct lw_depth_rule *rule, struct lw_error *err)
{
    struct lw_depth_column column[LW_COLUMNS_MAX];
    int origin[LW_COLUMNS_MAX];
    struct lw_map_file file = *job->file;
    char number[64];
    size_t n = 0;

    for (int i = 0; i < job->table->columns; i++) {
        const struct lw_table_column *c = &job->table->column[i];

        if (i == job->places.x || i == job->places.y)
            continue;
        origin[n] = i;
        column[n++] = (struct lw_depth_column){c->name, c->value, job->table->n,
                                               c->units_mixed ? LW_UNIT_NONE : c->unit};
    }
    file.depth_field = wanted_field(job, number, sizeof number);
    if (!file.depth_field && !job->table->named && lone_column(job, &file.depth_field, err))
        return -1;
    if (lw_depth_choose(column, n, &file, rule, err))
        return -1;
    job->depth = origin[rule->column];
    lw_text_copy(job->out->depth_field, sizeof job->out->depth_field,
                 job->table->column[job->depth].name);
    return 0;
}

/* The system of the places: WGS 84 for degrees, else what --crs says. */
static int settle_crs(struct text_job *job, OGRSpatialReferenceH from, struct lw_error *err)
{
    OGRSpatialReferenceH wgs84;
    const struct lw_table_column *column = job->table->column;

    if (!job->places.degrees && !from)
        return lw_fail(err,
                       "%s: its places, %s %.8g to %.8g and %s %.8g to %.8g, are no longitude and "
                       "latitude: give --crs with the EPSG code that the publisher names, such as "
                       "--crs EPSG:26915",
                       job->file->path, column[job->places.x].name, column[job->places.x].low,
                       column[job->places.x].high, column[job->places.y].name,
                       column[job->places.y].low, column[job->places.y].high);
    if (!from) {
        snprintf(job->out->crs, sizeof job->out->crs,
                 "EPSG:4326 (WGS 84, as nothing else is said)");
        return 0;
    }
    snprintf(job->out->crs, sizeof job->out->crs, "EPSG:%d (%.90s)", lw_reader_epsg(job->file->crs),
             OSRGetName(from));
    wgs84 = lw_crs_wgs84();
    job->to_ll = OCTNewCoordinateTransformation(from, wgs84);
    OSRDestroySpatialReference(wgs84);
    return job->to_ll ? 0
                      : lw_fail(err, "%s: --crs %s cannot be turned into longitude and latitude",
                                job->file->path, job->file->crs);
}

static bool in_area(const struct text_job *job, const double area[4], int x_column, int y_column)
{
    const struct lw_table_column *cx = &job->table->column[x_column],
                                 *cy = &job->table->column[y_column];
    double x = (cx->low + cx->high) / 2, y = (cy->low + cy->high) / 2;

    return OCTTransform(job->to_ll, 1, &x, &y, NULL) && x > area[0] - BESIDE_DEG &&
           x < area[2] + BESIDE_DEG && y > area[1] - BESIDE_DEG && y < area[3] + BESIDE_DEG;
}

/* A system far from the places, or northings taken for eastings: both give a lake of the wrong
 * shape at a place where the system is not in use. */
static int check_area(struct text_job *job, OGRSpatialReferenceH from, struct lw_error *err)
{
    struct lw_table_places *p = &job->places;
    double area[4]; /* west, south, east, north */
    const char *name = NULL;

    if (!job->to_ll || !OSRGetAreaOfUse(from, &area[0], &area[1], &area[2], &area[3], &name) ||
        area[0] < -180 || area[0] > area[2] || in_area(job, area, p->x, p->y))
        return 0;
    if (!job->table->named && in_area(job, area, p->y, p->x)) {
        *p = (struct lw_table_places){p->y, p->x, p->degrees, true};
        return 0;
    }
    return lw_fail(err,
                   "%s: with --crs %s its places lie outside the area that system is in use in "
                   "(%.60s): check the code, and that its columns are not exchanged",
                   job->file->path, job->file->crs, name ? name : "");
}

static int find_places(struct text_job *job, struct lw_error *err)
{
    OGRSpatialReferenceH from = NULL;
    const char *wanted = job->file->crs;
    int degrees = -1, status;

    OSRSetPROJEnableNetwork(0);
    if (wanted) {
        from = lw_crs_wanted(wanted, err);
        if (!from)
            return -1;
        OSRSetAxisMappingStrategy(from, OAMS_TRADITIONAL_GIS_ORDER);
        degrees = OSRIsGeographic(from) ? 1 : 0;
    }
    status = lw_table_find_places(job->table, job->file->path, degrees, job->at, &job->places, err);
    if (status == 0)
        status = settle_crs(job, from, err);
    if (status == 0)
        status = check_area(job, from, err);
    if (status == 0 && job->places.guessed)
        lw_source_warn(
            job->out,
            "%s names no columns: columns %d and %d are taken as %s; %sa first line with names "
            "settles it",
            job->out->name, job->places.x + 1, job->places.y + 1,
            job->places.degrees ? "longitude and latitude" : "easting and northing",
            job->places.degrees ? "--at LAT,LON on the lake, or " : "");
    if (from)
        OSRDestroySpatialReference(from);
    return status;
}

static void impossible(const struct text_job *job, double x, double y, long line,
                       struct lw_table_tally *tally)
{
    const struct lw_table_column *column = job->table->column;
    bool lat = fabs(y) > 90;

    if (tally->impossible++)
        return;
    tally->first_impossible = line;
    if (!job->places.degrees)
        snprintf(tally->impossible_text, sizeof tally->impossible_text,
                 "the place %.8g, %.8g is not possible in the system given by --crs", x, y);
    else
        snprintf(tally->impossible_text, sizeof tally->impossible_text,
                 "column %.40s holds %.8g, which is no %s%s",
                 column[lat ? job->places.y : job->places.x].name, lat ? y : x,
                 lat ? "latitude" : "longitude",
                 lat && fabs(y) <= 360 && fabs(x) <= 90
                     ? ": it looks exchanged with the longitude's; put the names right"
                     : ": name the columns rightly, or give --crs if they are metres");
}

static int read_row(struct text_job *job, char **field, int n, long line,
                    const struct lw_depth_rule *rule, struct lw_table_tally *tally,
                    struct lw_error *err)
{
    const int from[3] = {job->places.x, job->places.y, job->depth};
    double value[3], x, y;
    int unit = LW_UNIT_NONE, gaps = 0;

    for (int k = 0; k < 3; k++) {
        enum lw_value kind = LW_VALUE_TEXT;

        if (from[k] < n)
            kind = lw_field_value(field[from[k]], job->layout.decimal_comma, &value[k], &unit);
        if (kind == LW_VALUE_TEXT) {
            lw_table_bad(tally, line, from[k] < n ? field[from[k]] : "too few columns");
            return 0;
        }
        gaps += kind == LW_VALUE_GAP;
    }
    if (gaps) {
        tally->gaps++;
        return 0;
    }
    x = value[0];
    y = value[1];
    if ((job->places.degrees && !(fabs(y) <= 90 && x >= -180 && x <= 360)) ||
        (job->to_ll && !OCTTransform(job->to_ll, 1, &x, &y, NULL)) ||
        !(fabs(y) <= 90 && x >= -180 && x <= 360)) {
        impossible(job, value[0], value[1], line, tally);
        return 0;
    }
    if (unit != LW_UNIT_NONE && unit != (int)rule->unit) { /* "12 ft" among metres */
        value[2] *= lw_depth_unit_m((enum lw_depth_unit)unit) / rule->unit_m;
        tally->other_unit++;
    }
    return lw_table_add(job->out, rule, (struct lw_ll){y, x}, value[2], tally, err);
}

static int read_soundings(struct text_job *job, const struct lw_depth_rule *rule,
                          struct lw_error *err)
{
    struct lw_table_tally tally = {0};
    char *field[LW_FIELDS_MAX];
    struct lw_rows *in = NULL;
    int n, more = lw_rows_open(job->file->path, &in, err) ? -1 : 1;

    while (more > 0 && (more = lw_table_row(in, &job->layout, field, &n, err)) > 0)
        if (read_row(job, field, n, lw_rows_line(in), rule, &tally, err))
            more = -1;
    lw_rows_close(in);
    return more < 0 ? -1 : lw_table_finish(job->out, rule, &tally, "line", err);
}

int lw_table_read_text(const struct lw_map_file *file, struct lw_ll at, struct lw_source *out,
                       struct lw_error *err)
{
    struct text_job job = {.file = file, .at = at, .out = out};
    struct lw_depth_rule rule;
    int status = -1;

    job.table = calloc(1, sizeof *job.table);
    if (!job.table)
        return lw_fail(err, "out of memory");
    if (lw_table_layout_find(file->path, &job.layout, err))
        goto done;
    name_columns(&job);
    if (take_sample(&job, err) || lw_table_spread(job.table, err) || find_places(&job, err) ||
        choose_depth(&job, &rule, err) || read_soundings(&job, &rule, err))
        goto done;
    if (job.layout.decimal_comma)
        lw_source_warn(out, "%s: commas are read as decimal points", out->name);
    status = 0;
done:
    for (int i = 0; i < job.table->columns; i++)
        free(job.table->column[i].value);
    if (job.to_ll)
        OCTDestroyCoordinateTransformation(job.to_ll);
    free(job.table);
    return status;
}
