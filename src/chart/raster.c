/* Grids of depth: opening and understanding. */
#include "raster.h"

#include <math.h>
#include <stdlib.h>

#include "scratch.h"

struct lw_raster {
    int nx, ny;
};

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
    (void)options;
    (void)out;
    return lw_fail(err, "%s: depth grids cannot be read yet", file->path);
}

void lw_raster_free(struct lw_raster *raster)
{
    free(raster);
}

int lw_raster_chart(const struct lw_source *source, const struct lw_import_options *options,
                    struct lw_chart *chart, struct lw_error *err)
{
    (void)options;
    (void)chart;
    return lw_fail(err, "%s: depth grids cannot be read yet", source->file->path);
}

int lw_raster_points(struct lw_source *source, const struct lw_box *box, double every_m,
                     struct lw_error *err)
{
    (void)box;
    (void)every_m;
    return lw_fail(err, "%s: depth grids cannot be read yet", source->file->path);
}

int lw_raster_cells(const struct lw_source *source, const struct lw_ll *at, size_t n,
                    double *depth_m, struct lw_error *err)
{
    (void)at;
    (void)depth_m;
    (void)n;
    return lw_fail(err, "%s: depth grids cannot be read yet", source->file->path);
}
