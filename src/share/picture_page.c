#include "picture_page.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/geo/thin.h"

/* ISO 216 */
#define A4_SHORT 210.0
#define A4_LONG  297.0

#define EDGE    10.0 /* printers leave up to so much blank; from memory */
#define HEAD    26.0
#define FOOT    52.0 /* legend and caution */
#define DEGREES 4.0  /* the degrees' lettering beside the frame */
#define AROUND  5.0  /* land left about the water */

/* The water's box in metres: the cells with a depth, and the shore that runs between them. */
static void water_box(const struct lw_chart *chart, struct lw_en *lo, struct lw_en *hi)
{
    const struct lw_grid *grid = &chart->grid;
    int j0 = grid->nx, j1 = -1, i0 = grid->ny, i1 = -1;

    for (int i = 0; i < grid->ny; i++)
        for (int j = 0; j < grid->nx; j++) {
            if (isnan(grid->depth_m[(size_t)i * (size_t)grid->nx + (size_t)j]))
                continue;
            j0 = j < j0 ? j : j0;
            j1 = j > j1 ? j : j1;
            i0 = i < i0 ? i : i0;
            i1 = i > i1 ? i : i1;
        }
    *lo = (struct lw_en){grid->e0_m + (j0 - 0.5) * grid->cell_m,
                         grid->n0_m + (i0 - 0.5) * grid->cell_m};
    *hi = (struct lw_en){grid->e0_m + (j1 + 0.5) * grid->cell_m,
                         grid->n0_m + (i1 + 0.5) * grid->cell_m};
}

static struct page page_sized(double w, double h, struct lw_en lo, struct lw_en hi)
{
    struct page page = {.w = w,
                        .h = h,
                        .map = {EDGE + DEGREES, HEAD, w - EDGE, h - FOOT},
                        .middle = {(lo.e_m + hi.e_m) / 2, (lo.n_m + hi.n_m) / 2}};

    page.mm_per_m = fmin((page.map.x1 - page.map.x0 - 2 * AROUND) / (hi.e_m - lo.e_m),
                         (page.map.y1 - page.map.y0 - 2 * AROUND) / (hi.n_m - lo.n_m));
    return page;
}

struct page page_for(const struct lw_chart *chart)
{
    struct lw_en lo, hi;
    struct page upright, across;

    water_box(chart, &lo, &hi);
    upright = page_sized(A4_SHORT, A4_LONG, lo, hi);
    across = page_sized(A4_LONG, A4_SHORT, lo, hi);
    return across.mm_per_m > upright.mm_per_m ? across : upright;
}

struct mm page_of(const struct page *page, struct lw_en at)
{
    return (struct mm){
        (page->map.x0 + page->map.x1) / 2 + (at.e_m - page->middle.e_m) * page->mm_per_m,
        (page->map.y0 + page->map.y1) / 2 - (at.n_m - page->middle.n_m) * page->mm_per_m};
}

struct lw_en page_to_en(const struct page *page, struct mm at)
{
    return (struct lw_en){
        page->middle.e_m + (at.x - (page->map.x0 + page->map.x1) / 2) / page->mm_per_m,
        page->middle.n_m - (at.y - (page->map.y0 + page->map.y1) / 2) / page->mm_per_m};
}

bool page_holds(const struct page *page, struct mm at)
{
    return at.x >= page->map.x0 && at.x <= page->map.x1 && at.y >= page->map.y0 &&
           at.y <= page->map.y1;
}

int page_line(const struct page *page, const struct lw_line *line, double tol_mm, struct mm **p,
              size_t *n)
{
    struct lw_line thin;

    *p = NULL;
    *n = 0;
    if (lw_line_thin(line, tol_mm / page->mm_per_m, &thin, NULL))
        return -1;
    *p = calloc(thin.n + 1, sizeof **p);
    if (*p)
        for (size_t i = 0; i < thin.n; i++)
            if (isfinite(thin.p[i].e_m) && isfinite(thin.p[i].n_m))
                (*p)[(*n)++] = page_of(page, thin.p[i]);
    lw_line_free(&thin);
    return *p ? 0 : -1;
}

double mm_length(const struct mm *p, size_t n)
{
    double sum = 0;

    for (size_t i = 1; i < n; i++)
        sum += hypot(p[i].x - p[i - 1].x, p[i].y - p[i - 1].y);
    return sum;
}

struct mm mm_at(const struct mm *p, size_t n, double at_mm)
{
    for (size_t i = 1; i < n; i++) {
        double step = hypot(p[i].x - p[i - 1].x, p[i].y - p[i - 1].y);

        if (at_mm <= step) {
            double t = step > 0 ? fmax(at_mm, 0) / step : 0;

            return (struct mm){p[i - 1].x + t * (p[i].x - p[i - 1].x),
                               p[i - 1].y + t * (p[i].y - p[i - 1].y)};
        }
        at_mm -= step;
    }
    return p[n - 1];
}
