/* One picture in the making, and the parts that draw it: each fills a layer of its own. */
#ifndef LIPWALK_SRC_SHARE_PICTURE_PARTS_H
#define LIPWALK_SRC_SHARE_PICTURE_PARTS_H

#include "lipwalk/share/picture.h"
#include "picture_page.h"
#include "picture_svg.h"

#define BANDS_MAX 8
#define HALO      "stroke=\"#fff\" stroke-linejoin=\"round\" stroke-opacity=\"0.85\""

struct drawn { /* a contour as it lies on the page */
    struct mm *p;
    size_t n;
    double depth_m;
    bool closed, index, shore;
};
struct sheet {
    const struct lw_picture *picture;
    const struct lw_chart *chart;
    struct page page;
    struct ink ink;
    /* The surface in squares large enough to see: east and north in tenths of a millimetre from the
     * middle of the frame, the bottom drawn on by one square over the land beside it. */
    struct lw_grid small;
    double deepest_m; /* of the surface */
    double band_m;    /* the tint's bands are so deep each */
    int bands;
    struct drawn *line; /* line[lines], owned */
    size_t lines, line_cap;
    double gap_m; /* between contours drawn, NaN where they follow no rule */
    int every;    /* each so-many-th depth of the map is drawn */
    bool traced;  /* the contours come from the surface */
    bool rimmed;  /* the water ends at the rings of the shallowest contour */
    bool shored;  /* some of its end is mapped shore ... */
    bool cut;     /* ... some is only the end of the depths */
    size_t lips_shown, places_shown, hazards_out;
    struct svg tint, cover, contour, lip, hazard;
};

/* "9", "4.6": a depth as a bare number of the crew's units. */
void depth_number(char *to, size_t size, double depth_m, enum lw_units units);
/* The tone of band k: one hue, lighter is shallower. */
void tint_colour(const struct sheet *sheet, int k, char to[8]);

/* Each so-many-th contour is a heavy one: the fifth; of 5s and 2.5s the fourth, for 20 and 10 to be
 * heavy. */
int heavy_every(const struct sheet *sheet);
/* "r", "(r)": the letter of a cover, the crew's own in brackets. */
const char *cover_letter(enum lw_cover_kind kind, bool crew);

/* The small grid's unit is a tenth of a millimetre: lw_chart_trace drops lines under 5 units. */
#define PER_MM 10.0
size_t cell_of(const struct lw_grid *grid, int i, int j);
int grid_like(const struct lw_grid *from, struct lw_grid *to); /* depths not set; -1: no memory */
/* A line of the small grid on the page; *p is the caller's. -1 when memory ran out. */
int small_line(const struct sheet *sheet, const struct lw_line *line, struct mm **p, size_t *n);
void small_path(const struct sheet *sheet, struct svg *svg, const struct lw_line *line);
/* Whether a contour is drawn as the water's end. Known after sheet_rim. */
bool is_shore(const struct sheet *sheet, double depth_m);

/* Each draws into its layer; -1 with a sentence. In this order: what may lie on nothing first. */
int sheet_surface(struct sheet *sheet, struct lw_error *err); /* small, deepest_m, bands, tint */
/* Part of the above: the water's end, and its rings as path commands into `outline`. `water`: like
 * small, the share of water in each square. */
int sheet_rim(struct sheet *sheet, const struct lw_grid *water, struct svg *outline,
              struct lw_error *err);
int sheet_contours(struct sheet *sheet, struct lw_error *err); /* line, inked */
int sheet_lips(struct sheet *sheet, struct lw_error *err);
void sheet_hazards(struct sheet *sheet);
void sheet_contour_labels(struct sheet *sheet);
void sheet_cover(struct sheet *sheet);

/* About the map. */
void sheet_head(const struct sheet *sheet, struct svg *svg);
void sheet_frame(const struct sheet *sheet, struct svg *svg); /* degrees and minutes */
void sheet_foot(const struct sheet *sheet, struct svg *svg);  /* scale, legend, caution */

#endif
