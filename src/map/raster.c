/* Grids of depth: places and cells. */
#include "raster.h"

#include <math.h>
#include <stdlib.h>

#include "raster_parts.h"
#include "scratch.h"

bool lw_raster_is(const char *map)
{
    static const char *const endings[] = {"tif", "tiff", "asc", "grd", "nc", "img"};

    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        if (lw_scratch_is(map, endings[i]))
            return true;
    return false;
}

int lw_raster_read(const struct lw_map_file *file, const struct lw_import_options *options,
                   struct lw_source *out, struct lw_error *err)
{
    struct lw_raster *raster = calloc(1, sizeof *raster);
    struct lw_raster_says says = {0};

    if (!raster)
        return lw_fail(err, "out of memory");
    out->raster = raster; /* freed with the source */
    if (lw_raster_open(file, options, out, raster, &says, err))
        return -1;
    return lw_raster_understand(file, &says, out, raster, err);
}

void lw_raster_free(struct lw_raster *raster)
{
    if (!raster)
        return;
    if (raster->to_ll)
        OCTDestroyCoordinateTransformation(raster->to_ll);
    if (raster->from_ll)
        OCTDestroyCoordinateTransformation(raster->from_ll);
    if (raster->from)
        OSRDestroySpatialReference(raster->from);
    if (raster->wgs84)
        OSRDestroySpatialReference(raster->wgs84);
    free(raster->raw);
    free(raster);
}

double lw_raster_depth(const struct lw_raster *raster, float raw)
{
    return lw_depth_of(&raster->rule, (double)raw);
}

bool lw_raster_wet(const struct lw_raster *raster, size_t cell)
{
    return lw_raster_depth(raster, raster->raw[cell]) > LW_RASTER_SHORE_M;
}

int lw_raster_place(const struct lw_raster *raster, double column, double row, struct lw_ll *at)
{
    const double *gt = raster->gt;
    double c = column + raster->x0, r = row + raster->y0;
    double x = gt[0] + c * gt[1] + r * gt[2], y = gt[3] + c * gt[4] + r * gt[5];

    if (!OCTTransform(raster->to_ll, 1, &x, &y, NULL))
        return -1;
    if (x > 180)
        x -= 360;
    else if (x < -180)
        x += 360;
    *at = (struct lw_ll){y, x};
    return lw_ll_known(*at) ? 0 : -1;
}

int lw_raster_where(const struct lw_raster *raster, struct lw_ll at, double *column, double *row)
{
    const double *inv = raster->inv;
    double x = at.lon_deg, y = at.lat_deg;

    if (!lw_ll_known(at) || !OCTTransform(raster->from_ll, 1, &x, &y, NULL) || !isfinite(x) ||
        !isfinite(y))
        return -1;
    if (raster->geographic) /* a grid of 0..360, or one across the date line */
        x = raster->middle + remainder(x - raster->middle, 360);
    *column = inv[0] + x * inv[1] + y * inv[2] - raster->x0;
    *row = inv[3] + x * inv[4] + y * inv[5] - raster->y0;
    return 0;
}

void lw_raster_steps(const struct lw_raster *raster, double *column_m, double *row_m)
{
    double c = raster->w / 2.0, r = raster->h / 2.0;
    struct lw_ll middle, right, down;

    *column_m = *row_m = NAN;
    if (lw_raster_place(raster, c, r, &middle) || lw_raster_place(raster, c + 1, r, &right) ||
        lw_raster_place(raster, c, r + 1, &down))
        return;
    lw_geodesic(middle, right, column_m, NULL);
    lw_geodesic(middle, down, row_m, NULL);
}

int lw_raster_cells(const struct lw_source *source, const struct lw_ll *at, size_t n,
                    double *depth_m, struct lw_error *err)
{
    const struct lw_raster *raster = source->raster;

    if (!raster)
        return lw_fail(err, "%s is no grid", source->file->path);
    for (size_t i = 0; i < n; i++) {
        double column, row;

        depth_m[i] = NAN;
        if (lw_raster_where(raster, at[i], &column, &row) || !(column >= 0 && row >= 0) ||
            column >= raster->w || row >= raster->h)
            continue;
        depth_m[i] = lw_raster_depth(raster,
                                     raster->raw[(size_t)row * (size_t)raster->w + (size_t)column]);
        if (depth_m[i] < 0)
            depth_m[i] = NAN; /* land */
    }
    return 0;
}

int lw_raster_points(struct lw_source *source, const struct lw_box *box, double every_m,
                     struct lw_error *err)
{
    const struct lw_raster *raster = source->raster;
    double column_m, row_m;
    int step_x, step_y;

    if (!raster)
        return lw_fail(err, "%s is no grid", source->file->path);
    lw_raster_steps(raster, &column_m, &row_m);
    if (!(column_m > 0 && row_m > 0))
        return lw_fail(err, "%s: the size of its cells cannot be told", source->file->path);
    step_x = (int)fmin(fmax(1, ceil(every_m / column_m - 1e-6)), raster->w);
    step_y = (int)fmin(fmax(1, ceil(every_m / row_m - 1e-6)), raster->h);
    for (int y = step_y / 2; y < raster->h; y += step_y)
        for (int x = step_x / 2; x < raster->w; x += step_x) {
            size_t cell = (size_t)y * (size_t)raster->w + (size_t)x;
            struct lw_ll at;

            if (!lw_raster_wet(raster, cell) || lw_raster_place(raster, x + 0.5, y + 0.5, &at) ||
                at.lat_deg < box->lat_min || at.lat_deg > box->lat_max ||
                at.lon_deg < box->lon_min || at.lon_deg > box->lon_max)
                continue;
            if (lw_source_add_point(source, at, lw_raster_depth(raster, raster->raw[cell])))
                return lw_fail(err, "%s: out of memory for its cells", source->file->path);
        }
    return 0;
}
