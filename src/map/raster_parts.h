/* Inside a depth grid: its values as the file has them, where they lie, how they become depths. */
#ifndef LIPWALK_SRC_MAP_RASTER_PARTS_H
#define LIPWALK_SRC_MAP_RASTER_PARTS_H

#include <gdal.h>
#include <ogr_srs_api.h>

#include "depth_field.h"
#include "raster.h"

/* Shallower cells are land: grids hold 0 on land, or the dust of a computation (1e-14). */
#define LW_RASTER_SHORE_M 1e-3

/* Rows run as in the file: row 0 is the first one of the window, wherever north is. */
struct lw_raster {
    float *raw; /* raw[row * w + column] in the file's unit, NaN none; owned */
    int w, h;   /* the window that was read */
    int x0, y0; /* its first cell in the file */
    int file_w, file_h;
    double gt[6];  /* file columns and rows to map coordinates, as GDAL's geotransform */
    double inv[6]; /* and back */
    bool geographic;
    double middle; /* longitude of the middle of a geographic grid, to wrap others to */
    OGRSpatialReferenceH from, wgs84;
    OGRCoordinateTransformationH to_ll, from_ll;
    /* how to understand the values */
    struct lw_depth_rule rule;
    bool land_valued; /* land has values of its own: the shore is where the depth is 0 */
    bool zero_land;   /* cells of 0 are land */
    double step_m;    /* the values are whole multiples of it: rounded; 0 none */
};

struct lw_raster_says { /* what the file says of its values */
    char name[64];      /* the variable's or band's name, "" none */
    char about[128];    /* its long name or description */
    char unit[32];      /* "m", "US survey foot" ... */
    int positive;       /* CF's attribute `positive`: 1 up, -1 down, 0 not said */
    bool map_in_feet;   /* the map coordinates are */
};

/* Opens, checks and reads the values of the one band that is meant. `why` gets GDAL's last words.
 */
int lw_raster_open(const struct lw_map_file *file, const struct lw_import_options *options,
                   struct lw_source *out, struct lw_raster *raster, struct lw_raster_says *says,
                   struct lw_error *err);
/* Tells unit, sign and land from the values and from what the file says. */
int lw_raster_understand(const struct lw_map_file *file, const struct lw_raster_says *says,
                         struct lw_source *out, struct lw_raster *raster, struct lw_error *err);

/* Depth of a raw value, NaN where it is none or 0 stands for land; land with a value: negative. */
double lw_raster_depth(const struct lw_raster *raster, float raw);
/* The place of (column, row) in cells of the window, (0.5, 0.5) being the middle of the first; -1
 * when the map's coordinate system has none. */
int lw_raster_place(const struct lw_raster *raster, double column, double row, struct lw_ll *at);
int lw_raster_where(const struct lw_raster *raster, struct lw_ll at, double *column, double *row);
/* Ground distance of a column's and of a row's step at the middle of the window. */
void lw_raster_steps(const struct lw_raster *raster, double *column_m, double *row_m);

/* mark[row * w + column]: LW_WET_CHOSEN where the cell belongs to the water that is meant: the one
 * at or nearest to `at`, else the largest. stage_m: today's level above the grid's. */
enum { LW_WET_DRY, LW_WET_SEEN, LW_WET_CHOSEN };
struct lw_raster_water {
    unsigned char *mark; /* owned */
    size_t cells;        /* of the chosen one */
    bool rivals; /* where the largest was taken: another has at least a twentieth of its cells */
    int x_min, x_max, y_min, y_max;
    double off_m; /* how far `at` lies from it; 0 */
};
int lw_raster_water_choose(const struct lw_raster *raster, struct lw_ll at, double stage_m,
                           const char *map, struct lw_raster_water *out, struct lw_error *err);
/* Sets the chart's frame and grid about the water, of cells of wish_m (NaN: half the grid's step,
 * but no more than 4 million cells, or than the grid has itself); their values are not filled in.
 */
int lw_raster_lay(struct lw_source *source, const struct lw_raster *raster,
                  const struct lw_raster_water *water, double wish_m, struct lw_chart *chart,
                  struct lw_error *err);
/* Water of the window, the chosen or not. */
bool lw_raster_wet(const struct lw_raster *raster, size_t cell);

#endif
