/* Attributes to columns. */
#include "columns.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "table_points.h"

/* The unit that every text of the attribute says. */
static enum lw_depth_unit text_unit(const struct lw_raw *raw, const size_t *row, size_t rows,
                                    size_t field)
{
    enum lw_depth_unit common = LW_UNIT_NONE, unit;
    double value;

    for (size_t i = 0; i < rows; i++) {
        const char *text = raw->feature[row[i]].text[field];

        if (!text || !lw_depth_text(text, &value, &unit))
            continue;
        if (unit == LW_UNIT_NONE || (common != LW_UNIT_NONE && unit != common))
            return LW_UNIT_NONE;
        common = unit;
    }
    return common;
}

/* The -9999 of a gap is no depth. */
static double or_none(double value)
{
    return lw_table_none(value) ? NAN : value;
}

int lw_columns_make(const struct lw_raw *raw, const size_t *row, size_t rows,
                    struct lw_columns *out, struct lw_error *err)
{
    size_t fields = raw->fields < LW_COLUMNS_MAX ? raw->fields : LW_COLUMNS_MAX;
    double *value = malloc((fields + 1) * (rows + 1) * sizeof *value);
    bool has_z = false;

    memset(out, 0, sizeof *out);
    if (!value)
        return lw_fail(err, "out of memory for the map's attributes");
    out->value = value;
    for (size_t k = 0; k < fields; k++, value += rows) {
        for (size_t i = 0; i < rows; i++)
            value[i] = or_none(raw->feature[row[i]].value[k]);
        out->column[out->columns++] = (struct lw_depth_column){raw->field[k], value, rows,
                                                               text_unit(raw, row, rows, k)};
    }
    for (size_t i = 0; i < rows; i++) {
        value[i] = or_none(raw->feature[row[i]].z);
        has_z = has_z || value[i] == value[i];
    }
    if (has_z)
        out->column[out->columns++] = (struct lw_depth_column){"Z", value, rows, LW_UNIT_NONE};
    return 0;
}

void lw_columns_free(struct lw_columns *columns)
{
    free(columns->value);
    memset(columns, 0, sizeof *columns);
}
