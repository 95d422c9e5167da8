/* The picture, read back with libxml2: distances, directions, lines and signs against a lake in
 * closed form, a cone 400 m across whose depth is 0.03 of the way from its shore. */
#include "lw_test.h"

#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>
#include <locale.h>
#include <math.h>

#include "lipwalk/share/picture.h"

#define RADIUS_M 400.0
#define SLOPE    0.03
#define CELL_M   4.0
#define SIDE     221
#define ISLE_M   60.0 /* radius of an island in the middle, where there is one */

static struct lw_line circle(struct lw_en middle, double radius_m)
{
    struct lw_line line = {.closed = true};

    for (int k = 0; k <= 360; k++)
        cr_assert_eq(lw_line_add(&line, lw_en_step(middle, -(k % 360), radius_m)), 0);
    return line;
}

static double cone(struct lw_en at)
{
    return (RADIUS_M - hypot(at.e_m, at.n_m)) * SLOPE;
}

static void add_contour(struct lw_chart *chart, double depth_m, double radius_m)
{
    chart->contour = realloc(chart->contour, (chart->contours + 1) * sizeof *chart->contour);
    chart->contour[chart->contours++] = (struct lw_contour){depth_m,
                                                            circle((struct lw_en){0, 0}, radius_m)};
}

/* Contours each 5 ft where `mapped`, the shore's two where there is an island, else none. */
static struct lw_chart *cone_lake(bool mapped, bool island)
{
    struct lw_chart *chart = calloc(1, sizeof *chart);
    struct lw_grid *grid = &chart->grid;

    chart->frame.origin = (struct lw_ll){46.0088, -89.6997};
    *grid = (struct lw_grid){-(SIDE / 2) * CELL_M, -(SIDE / 2) * CELL_M, CELL_M, SIDE, SIDE, 0, 0};
    grid->depth_m = calloc((size_t)SIDE * SIDE, sizeof *grid->depth_m);
    grid->sigma_m = calloc((size_t)SIDE * SIDE, sizeof *grid->sigma_m);
    for (int k = 0; k < SIDE * SIDE; k++) {
        struct lw_en at = {grid->e0_m + k % SIDE * CELL_M, grid->n0_m + k / SIDE * CELL_M};
        bool land = cone(at) < 0 || (island && hypot(at.e_m, at.n_m) < ISLE_M);

        grid->depth_m[k] = land ? NAN : (float)cone(at);
        grid->sigma_m[k] = land ? NAN : 0.3048f;
    }
    for (int k = 0; mapped && k * 5 * LW_FT_M < RADIUS_M * SLOPE; k++)
        add_contour(chart, k * 5 * LW_FT_M, RADIUS_M - k * 5 * LW_FT_M / SLOPE);
    if (island) {
        add_contour(chart, 0, RADIUS_M);
        add_contour(chart, 0, ISLE_M);
    }
    chart->deepest_m = mapped ? 35 * LW_FT_M : 0;
    chart->area_m2 = M_PI * RADIUS_M * RADIUS_M;
    strcpy(chart->lake, "Round Pond");
    strcpy(chart->source, "/home/somebody/maps/round.geojson, /tmp/rocks.csv");
    strcpy(chart->unit, "ft");
    strcpy(chart->unit_reason, "the name says feet");
    return chart;
}

static void add_hazard(struct lw_chart *chart, struct lw_ll at, double depth_m, const char *words)
{
    struct lw_hazard hazard = {.kind = LW_HAZARD_ROCK, .depth_m = depth_m};

    cr_assert_eq(lw_line_add(&hazard.line, lw_frame_to_en(&chart->frame, at)), 0);
    strcpy(hazard.words, words);
    cr_assert_eq(lw_features_add_hazard(&chart->features, &hazard), 0);
}

static void lake_free(struct lw_chart *chart)
{
    lw_features_free(&chart->features);
    for (size_t k = 0; k < chart->contours; k++)
        lw_line_free(&chart->contour[k].line);
    free(chart->contour);
    free(chart->grid.depth_m);
    free(chart->grid.sigma_m);
    free(chart);
}

/* ---- a picture that was read back ---- */

struct seen {
    xmlDocPtr doc;
    xmlXPathContextPtr context;
    char *text; /* the file as it is */
};

static void read_whole(const char *path, char **text)
{
    FILE *file = fopen(path, "r");
    size_t n = 0, cap = 8 << 20;

    cr_assert_not_null(file);
    *text = calloc(cap, 1);
    n = fread(*text, 1, cap - 1, file);
    cr_assert_lt(n, cap - 1, "a picture of under 8 MB");
    fclose(file);
}

static struct seen draw(const struct lw_picture *picture)
{
    char folder[256], path[300];
    struct lw_error err = {""};
    struct seen seen;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/picture.svg", folder);
    cr_assert_eq(lw_picture_write(picture, path, &err), 0, "%s", err.text);
    read_whole(path, &seen.text);
    seen.doc = xmlReadFile(path, NULL, XML_PARSE_NONET);
    cr_assert_not_null(seen.doc, "well formed");
    seen.context = xmlXPathNewContext(seen.doc);
    xmlXPathRegisterNs(seen.context, BAD_CAST "s", BAD_CAST "http://www.w3.org/2000/svg");
    unlink(path);
    rmdir(folder);
    return seen;
}

static void seen_free(struct seen *seen)
{
    xmlXPathFreeContext(seen->context);
    xmlFreeDoc(seen->doc);
    xmlCleanupParser();
    free(seen->text);
}

static double count(struct seen *seen, const char *path)
{
    char query[256];
    xmlXPathObjectPtr found;
    double n;

    snprintf(query, sizeof query, "count(%s)", path);
    found = xmlXPathEvalExpression(BAD_CAST query, seen->context);
    cr_assert_not_null(found, "%s", query);
    n = found->floatval;
    xmlXPathFreeObject(found);
    return n;
}

/* The string value of the first node, into `to`. */
static void value(struct seen *seen, const char *path, char *to, size_t size)
{
    char query[256];
    xmlXPathObjectPtr found;

    snprintf(query, sizeof query, "string(%s)", path);
    found = xmlXPathEvalExpression(BAD_CAST query, seen->context);
    cr_assert(found && found->stringval, "%s", query);
    cr_assert_lt(strlen((char *)found->stringval), size);
    strcpy(to, (char *)found->stringval);
    xmlXPathFreeObject(found);
}

static double number(struct seen *seen, const char *path)
{
    char text[64];

    value(seen, path, text, sizeof text);
    cr_assert_neq(text[0], '\0', "%s", path);
    return atof(text);
}

#define POINTS_MAX 20000
struct points {
    struct {
        double x, y;
        bool first; /* of a part of its own */
    } p[POINTS_MAX];
    int n;
};

/* The points of "Mx yLx yL...Z". */
static void read_path(const char *d, struct points *to)
{
    to->n = 0;
    while (*d) {
        char how = *d++;
        int used = 0;

        if (how == 'Z')
            continue;
        cr_assert(how == 'M' || how == 'L', "%c", how);
        cr_assert_lt(to->n, POINTS_MAX);
        to->p[to->n].first = how == 'M';
        cr_assert_eq(sscanf(d, "%lf %lf%n", &to->p[to->n].x, &to->p[to->n].y, &used), 2);
        to->n++;
        d += used;
    }
}

/* Where the sign of hazard k stands: the middle of its cross. */
static void cross(struct seen *seen, int k, double *x, double *y)
{
    static struct points points;
    char query[100], d[200];

    snprintf(query, sizeof query, "(//s:g[@id='hazards']/s:path[@stroke='#000'])[%d]/@d", k + 1);
    value(seen, query, d, sizeof d);
    read_path(d, &points);
    cr_assert_eq(points.n, 4);
    *x = (points.p[0].x + points.p[1].x) / 2;
    *y = (points.p[0].y + points.p[1].y) / 2;
}

/* Two rocks 500 m apart, south and north of the middle: from page to ground. */
struct ground {
    double x, y, mm_per_m;
};
#define SOUTH_M 250.0
static void add_rocks(struct lw_chart *chart)
{
    add_hazard(chart, lw_geodesic_to(chart->frame.origin, 180, SOUTH_M), 0.6096, "");
    add_hazard(chart, lw_geodesic_to(chart->frame.origin, 0, SOUTH_M), NAN, "");
}

static struct ground ground_of(struct seen *seen)
{
    double x0, y0, x1, y1;

    cross(seen, 0, &x0, &y0);
    cross(seen, 1, &x1, &y1);
    return (struct ground){(x0 + x1) / 2, (y0 + y1) / 2, hypot(x1 - x0, y1 - y0) / (2 * SOUTH_M)};
}

static struct lw_en at_ground(const struct ground *ground, double x, double y)
{
    return (struct lw_en){(x - ground->x) / ground->mm_per_m, (ground->y - y) / ground->mm_per_m};
}

/* ---- */

Test(picture, scale_bars_and_north_agree_with_the_geodesic)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US, .date = "2026-11-25"};
    struct seen seen;
    char words[64];
    double x0, y0, x1, y1, x2, y2, dist_m, mm_per_m;

    add_rocks(chart);
    add_hazard(chart, lw_geodesic_to(chart->frame.origin, 90, SOUTH_M), NAN, "");
    seen = draw(&picture);
    cross(&seen, 0, &x0, &y0);
    cross(&seen, 1, &x1, &y1);
    cross(&seen, 2, &x2, &y2);
    lw_geodesic(lw_geodesic_to(chart->frame.origin, 180, SOUTH_M),
                lw_geodesic_to(chart->frame.origin, 0, SOUTH_M), &dist_m, NULL);
    mm_per_m = hypot(x1 - x0, y1 - y0) / dist_m;
    cr_assert_float_eq(x0, x1, 0.02, "north is up the page");
    cr_assert_lt(y1, y0);
    cr_assert_gt(x2, x0 + 50, "and east to the right");
    value(&seen, "//s:g[@id='scale-us']/s:title", words, sizeof words);
    cr_assert_str_eq(words + strlen(words) - 3, " ft");
    cr_assert_float_eq(number(&seen, "//s:g[@id='scale-us']/s:rect[1]/@width") /
                           (atof(words) * 0.3048 * mm_per_m),
                       1, 0.005);
    value(&seen, "//s:g[@id='scale-metric']/s:title", words, sizeof words);
    cr_assert_float_eq(number(&seen, "//s:g[@id='scale-metric']/s:rect[1]/@width") /
                           (atof(words) * mm_per_m),
                       1, 0.005);
    value(&seen, "/s:svg/@width", words, sizeof words);
    cr_assert(strcmp(words, "210mm") == 0 || strcmp(words, "297mm") == 0, "a sheet of A4");
    cr_assert_eq(count(&seen, "/s:svg/@viewBox"), 1);
    seen_free(&seen);
    lake_free(chart);
}

/* All points of contours lie where the cone has their depth. */
static int check_contours(struct seen *seen, const char *group)
{
    static struct points points;
    static char d[1 << 19];
    struct ground ground = ground_of(seen);
    char query[200];
    int n, paths;

    snprintf(query, sizeof query, "//s:g[@id='%s']/s:path", group);
    paths = (int)count(seen, query);
    for (n = 1; n <= paths; n++) {
        double depth_m;

        snprintf(query, sizeof query, "(//s:g[@id='%s']/s:path)[%d]/s:title", group, n);
        depth_m = number(seen, query);
        snprintf(query, sizeof query, "(//s:g[@id='%s']/s:path)[%d]/@d", group, n);
        value(seen, query, d, sizeof d);
        read_path(d, &points);
        for (int k = 0; k < points.n; k++) {
            struct lw_en at = at_ground(&ground, points.p[k].x, points.p[k].y);
            double off_m = (cone(at) - depth_m) / SLOPE;

            cr_assert_lt(fabs(off_m), 0.9, "%g m off the line at %g m", off_m, depth_m);
        }
    }
    return paths;
}

Test(picture, mapped_contours_lie_where_they_are)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    struct seen seen;

    add_rocks(chart);
    seen = draw(&picture);
    /* 5 to 35 ft, of which 20 is heavy; the shore is drawn apart */
    cr_assert_eq(check_contours(&seen, "contours"), 6);
    cr_assert_eq(check_contours(&seen, "heavy-contours"), 1);
    for (int ft = 5; ft <= 35; ft += 5) {
        char query[100];

        snprintf(query, sizeof query, "//s:g[@id='depths']/s:text[.='%d']", ft);
        cr_assert_geq(count(&seen, query), 1, "%d is written", ft);
    }
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, a_surface_without_contours_gets_lines_of_its_own)
{
    struct lw_chart *chart = cone_lake(false, false);
    struct lw_picture picture = {.chart = chart, .units = LW_METRIC};
    struct seen seen;

    add_rocks(chart);
    seen = draw(&picture);
    cr_assert_geq(check_contours(&seen, "contours"), 9);
    cr_assert_geq(check_contours(&seen, "heavy-contours"), 2);
    cr_assert_not_null(strstr(seen.text, "depth line of the surface"));
    seen_free(&seen);
    lake_free(chart);
}

static double ring_area(const struct points *points)
{
    double sum = 0;
    int first = 0;

    for (int k = 0; k < points->n; k++) {
        int next = k + 1;

        if (points->p[k].first)
            first = k;
        if (next == points->n || points->p[next].first)
            next = first;
        sum += points->p[k].x * points->p[next].y - points->p[next].x * points->p[k].y;
    }
    return fabs(sum / 2);
}

Test(picture, tint_is_one_hue_darker_with_depth_and_covers_what_is_deeper)
{
    static struct points points;
    static char d[1 << 19];
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    struct seen seen;
    struct ground ground;
    double light = 1e9;
    int bands;

    add_rocks(chart);
    seen = draw(&picture);
    ground = ground_of(&seen);
    bands = (int)count(&seen, "//s:g[@id='tint']/s:path");
    cr_assert_eq(bands, 8, "12 m are 39.4 ft: eight bands of 5 ft");
    for (int k = 0; k < bands; k++) {
        char query[100], colour[20];
        double radius_m = RADIUS_M - k * 5 * LW_FT_M / SLOPE;
        unsigned rgb;

        snprintf(query, sizeof query, "(//s:g[@id='tint']/s:path)[%d]/@fill", k + 1);
        value(&seen, query, colour, sizeof colour);
        cr_assert_eq(sscanf(colour, "#%6x", &rgb), 1);
        cr_assert_lt(0.2126 * (rgb >> 16) + 0.7152 * (rgb >> 8 & 255) + 0.0722 * (rgb & 255),
                     light);
        light = 0.2126 * (rgb >> 16) + 0.7152 * (rgb >> 8 & 255) + 0.0722 * (rgb & 255);
        cr_assert((rgb >> 16) < (rgb >> 8 & 255) && (rgb >> 8 & 255) < (rgb & 255), "blue");
        snprintf(query, sizeof query, "(//s:g[@id='tint']/s:path)[%d]/@d", k + 1);
        value(&seen, query, d, sizeof d);
        read_path(d, &points);
        cr_assert_float_eq(ring_area(&points) / (ground.mm_per_m * ground.mm_per_m) /
                               (M_PI * radius_m * radius_m),
                           1, 0.02, "band %d", k);
    }
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, an_island_stays_white)
{
    static struct points points;
    static char d[1 << 19];
    struct lw_chart *mapped = cone_lake(false, true), *bare = cone_lake(false, true);
    const struct lw_chart *charts[] = {mapped, bare};

    for (size_t k = 0; k < bare->contours; k++)
        lw_line_free(&bare->contour[k].line);
    bare->contours = 0;
    for (int c = 0; c < 2; c++) {
        struct lw_picture picture = {.chart = charts[c], .units = LW_US};
        struct seen seen;
        struct ground ground;
        bool in = false;

        add_rocks(c ? bare : mapped);
        seen = draw(&picture);
        ground = ground_of(&seen);
        value(&seen, "//s:clipPath[@id='water']/s:path/@d", d, sizeof d);
        read_path(d, &points);
        for (int k = 0; k < points.n; k++) {
            struct lw_en at = at_ground(&ground, points.p[k].x, points.p[k].y);
            double r = hypot(at.e_m, at.n_m);

            in = in || r < 200;
            cr_assert_lt(fmin(fabs(r - RADIUS_M), fabs(r - ISLE_M)), c ? CELL_M : 1);
        }
        cr_assert(in, "the island's shore is there");
        value(&seen, "//s:clipPath[@id='water']/s:path/@clip-rule", d, sizeof d);
        cr_assert_str_eq(d, "evenodd");
        seen_free(&seen);
    }
    lake_free(mapped);
    lake_free(bare);
}

/* Only the east half is mapped: its shore is a line, and the straight cut is no shore. */
Test(picture, the_end_of_the_depths_is_not_drawn_as_shore)
{
    static struct points points;
    static char d[1 << 18];
    struct lw_chart *chart = cone_lake(false, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    struct lw_line *shore;
    struct ground ground;
    struct seen seen;

    for (int k = 0; k < SIDE * SIDE; k++)
        if (k % SIDE < SIDE / 2)
            chart->grid.depth_m[k] = NAN;
    add_contour(chart, 0, RADIUS_M);
    shore = &chart->contour[0].line; /* counter-clockwise from north: keep south to north */
    memmove(shore->p, shore->p + 180, 181 * sizeof *shore->p);
    shore->n = 181;
    shore->closed = false;
    add_rocks(chart);
    seen = draw(&picture);
    ground = ground_of(&seen);
    value(&seen, "//s:path[@id='shore']/@d", d, sizeof d);
    read_path(d, &points);
    for (int k = 0; k < points.n; k++) {
        struct lw_en at = at_ground(&ground, points.p[k].x, points.p[k].y);

        cr_assert_float_eq(hypot(at.e_m, at.n_m), RADIUS_M, 0.5);
        cr_assert_gt(at.e_m, -1);
    }
    value(&seen, "//s:path[@id='rim'][@stroke-dasharray]/@d", d, sizeof d);
    read_path(d, &points);
    cr_assert_gt(points.n, 1);
    for (int k = 0; k < points.n; k++) {
        struct lw_en at = at_ground(&ground, points.p[k].x, points.p[k].y);

        cr_assert_float_eq(at.e_m, 0, CELL_M, "along the cut");
    }
    cr_assert_not_null(strstr(seen.text, "shore, as mapped"));
    cr_assert_not_null(strstr(seen.text, "the water may not"));
    seen_free(&seen);
    lake_free(chart);
}

/* A lip along the ring at 150 m, its last quarter inferred, with a place of each kind. */
static struct lw_lips ring_lip(void)
{
    struct lw_line ring = circle((struct lw_en){0, 0}, 150);
    struct lw_lips lips = {.lip = calloc(1, sizeof *lips.lip),
                           .lips = 1,
                           .place = calloc(2, sizeof *lips.place),
                           .places = 2};
    struct lw_lip *lip = lips.lip;

    lip->n = ring.n;
    lip->closed = true;
    lip->p = calloc(ring.n, sizeof *lip->p);
    for (size_t k = 0; k < ring.n; k++)
        lip->p[k] = (struct lw_lip_point){.at = ring.p[k],
                                          .depth_m = 24.6 * LW_FT_M,
                                          .foot_m = 36 * LW_FT_M,
                                          .inferred = k > 270};
    lips.place[0].at = ring.p[40];
    lips.place[1].at = ring.p[130];
    lips.place[1].inside_turn = true;
    lw_line_free(&ring);
    return lips;
}

static void ring_lip_free(struct lw_lips *lips)
{
    free(lips->lip[0].p);
    free(lips->lip);
    free(lips->place);
}

Test(picture, lips_have_ticks_to_the_deep_side_and_dashes_where_inferred)
{
    static struct points points;
    static char d[1 << 18];
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_lips lips = ring_lip();
    struct lw_picture picture = {.chart = chart, .lips = &lips, .units = LW_US};
    struct ground ground;
    struct seen seen;
    int ticks = 0;

    add_rocks(chart);
    seen = draw(&picture);
    ground = ground_of(&seen);
    cr_assert_eq(count(&seen, "//s:g[@class='lip']"), 1);
    cr_assert_eq(count(&seen, "//s:g[@class='lip']/s:path"), 4, "two stretches, each with ticks");
    cr_assert_eq(count(&seen, "//s:g[@class='lip']/s:path[@stroke-dasharray]"), 1);
    cr_assert_eq(count(&seen, "//s:g[@class='lip']/s:path[3]/@stroke-dasharray"), 1);
    for (int k = 2; k <= 4; k += 2) {
        char query[80];

        snprintf(query, sizeof query, "//s:g[@class='lip']/s:path[%d]/@d", k);
        value(&seen, query, d, sizeof d);
        read_path(d, &points);
        for (int i = 0; i + 1 < points.n; i += 2, ticks++) {
            struct lw_en root = at_ground(&ground, points.p[i].x, points.p[i].y);
            struct lw_en tip = at_ground(&ground, points.p[i + 1].x, points.p[i + 1].y);

            cr_assert_lt(fabs(hypot(root.e_m, root.n_m) - 150), 1);
            cr_assert_gt(cone(tip), cone(root) + SLOPE * 2, "the tip lies deeper");
        }
    }
    cr_assert_gt(ticks, 40);
    cr_assert_geq(count(&seen, "//s:g[@id='lip-depths']/s:text[.='25 ft, drops 11']"), 1);
    cr_assert_eq(count(&seen, "//s:g[@id='places']/s:circle"), 2);
    cr_assert_geq(count(&seen, "//s:g[@id='places']/s:text[.='P']"), 1);
    cr_assert_geq(count(&seen, "//s:g[@id='places']/s:text[.='T']"), 1);
    cr_assert_eq(count(&seen, "//s:g[@id='legend']/s:text[contains(., 'ticks point to deep')]"), 1);
    seen_free(&seen);

    lips.lips = lips.places = 0;
    seen = draw(&picture);
    cr_assert_eq(count(&seen, "//s:g[@class='lip']"), 0);
    cr_assert_not_null(strstr(seen.text, "No lip was found"));
    seen_free(&seen);
    lips.lips = 1;
    ring_lip_free(&lips);
    lake_free(chart);
}

Test(picture, words_of_a_map_stay_words)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US, .date = "<b>"};
    struct seen seen;
    char title[200];

    strcpy(chart->lake, "<script>&\"'x\x1b[2J\xE2\x80\xAE\xEF\xBF\xBE");
    strcpy(chart->unit_reason, "</text><script>alert(1)</script>");
    add_hazard(chart, chart->frame.origin, 0.6096, "<image href='http://x'/>");
    seen = draw(&picture);
    value(&seen, "/s:svg/s:title", title, sizeof title);
    cr_assert_str_eq(title, "<script>&\"'x?[2J????");
    cr_assert_eq(count(&seen, "//*[local-name()='script' or local-name()='image' or "
                              "local-name()='use' or local-name()='a' or local-name()='style' or "
                              "local-name()='foreignObject']"),
                 0);
    cr_assert_eq(count(&seen, "//@*[contains(local-name(), 'href') or "
                              "starts-with(local-name(), 'on') or "
                              "(contains(., 'url(') and not(contains(., 'url(#')))]"),
                 0);
    cr_assert_eq(count(&seen, "//s:g[@id='hazards']/s:text[.=\"rock 2 ft, "
                              "<image href='http://x'/>\"]"),
                 2, "in words, over a halo");
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, says_whose_depths_and_how_sure)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US, .date = "2026-11-25"};
    struct seen seen;

    seen = draw(&picture);
    cr_assert_not_null(strstr(seen.text, ">Round Pond</text>"));
    cr_assert_not_null(strstr(seen.text, ">2026-11-25</text>"));
    cr_assert_not_null(strstr(seen.text, "Map: round.geojson, rocks.csv; its depths are in ft"));
    cr_assert_null(strstr(seen.text, "somebody"), "folders are the crew's own business");
    cr_assert_not_null(strstr(seen.text, "Depths in feet at the map&#39;s own water level"));
    cr_assert_not_null(strstr(seen.text, "±1 ft"));
    cr_assert_not_null(strstr(seen.text, "124 acres"), "pi 400 m squared");
    cr_assert_not_null(strstr(seen.text, "Not for navigation"));
    cr_assert_not_null(strstr(seen.text, "Life jackets on"));
    seen_free(&seen);

    picture.units = LW_METRIC;
    picture.stage_m = 0.5;
    for (size_t k = 0; k < chart->contours; k++)
        chart->contour[k].depth_m += 0.5;
    seen = draw(&picture);
    cr_assert_not_null(strstr(seen.text, "Depths in metres with the water 0.5 m above the map"));
    cr_assert_not_null(strstr(seen.text, "50.3 ha"));
    cr_assert_geq(count(&seen, "//s:g[@id='depths']/s:text[.='2']"), 1, "1.524 + 0.5");
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, cover_is_lettered_within_its_area_and_explained)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    struct lw_cover weed = {.kind = LW_COVER_WEED, .line = circle((struct lw_en){-200, 100}, 90)};
    struct lw_cover gravel = {.kind = LW_COVER_GRAVEL, .crew = true};
    struct ground ground;
    struct seen seen;
    int letters;

    add_rocks(chart);
    lw_line_add(&gravel.line, (struct lw_en){200, -100});
    cr_assert_eq(lw_features_add_cover(&chart->features, &weed), 0);
    cr_assert_eq(lw_features_add_cover(&chart->features, &gravel), 0);
    seen = draw(&picture);
    ground = ground_of(&seen);
    letters = (int)count(&seen, "//s:g[@id='cover']/s:text[.='w']");
    cr_assert_gt(letters, 10);
    for (int k = 1; k <= letters; k++) {
        char x[80], y[80];
        struct lw_en at;

        snprintf(x, sizeof x, "(//s:g[@id='cover']/s:text[.='w'])[%d]/@x", k);
        snprintf(y, sizeof y, "(//s:g[@id='cover']/s:text[.='w'])[%d]/@y", k);
        at = at_ground(&ground, number(&seen, x), number(&seen, y));
        cr_assert_lt(hypot(at.e_m + 200, at.n_m - 100), 95);
    }
    cr_assert_eq(count(&seen, "//s:g[@id='cover']/s:text[.='(g)']"), 1);
    cr_assert_eq(count(&seen, "//s:g[@id='legend']/s:text[.='w  weed']"), 1);
    cr_assert_eq(count(&seen, "//s:g[@id='legend']/s:text[.='r  rock']"), 0);
    cr_assert_eq(count(&seen, "//s:g[@id='legend']/s:text[contains(., 'by the crew')]"), 1);
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, same_chart_same_bytes)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_lips lips = ring_lip();
    struct lw_picture picture = {.chart = chart, .lips = &lips, .units = LW_METRIC};
    struct seen a, b;

    add_rocks(chart);
    a = draw(&picture);
    setlocale(LC_ALL, "de_DE.UTF-8"); /* a decimal comma, where it is installed */
    b = draw(&picture);
    setlocale(LC_ALL, "C");
    cr_assert_str_eq(a.text, b.text);
    cr_assert_lt(strlen(a.text), 300000);
    seen_free(&a);
    seen_free(&b);
    ring_lip_free(&lips);
    lake_free(chart);
}

/* Each contour is there twice, nearly on itself, and rocks lie on one of them. */
Test(picture, labels_lie_neither_on_each_other_nor_on_signs)
{
    enum { ROCKS = 40, LABELS_MAX = 400 };
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    size_t contours = chart->contours;
    double x[LABELS_MAX + ROCKS], y[LABELS_MAX + ROCKS];
    struct seen seen;
    int n;

    chart->contours = 0; /* kept sorted by depth */
    for (size_t k = 0; k < contours; k++)
        lw_line_free(&chart->contour[k].line);
    for (size_t k = 0; k < 2 * contours; k++)
        add_contour(chart, (double)(k / 2) * 5 * LW_FT_M,
                    RADIUS_M - (double)(k / 2) * 5 * LW_FT_M / SLOPE + (double)(k % 2) * 0.4);
    for (int k = 0; k < ROCKS; k++)
        add_hazard(chart, lw_geodesic_to(chart->frame.origin, k * 360.0 / ROCKS, 247.6), NAN, "");
    seen = draw(&picture);
    n = (int)count(&seen, "//s:g[@id='depths']/s:text");
    cr_assert(n > 14 && n < LABELS_MAX, "%d labels", n);
    for (int k = 0; k < ROCKS; k++)
        cross(&seen, k, &x[k], &y[k]);
    for (int k = ROCKS; k < ROCKS + n; k++) {
        char query[100], transform[100];
        double turn;

        snprintf(query, sizeof query, "(//s:g[@id='depths']/s:text)[%d]/@transform", k - ROCKS + 1);
        value(&seen, query, transform, sizeof transform);
        cr_assert_eq(sscanf(transform, "translate(%lf %lf) rotate(%lf)", &x[k], &y[k], &turn), 3);
        cr_assert(turn > -90.01 && turn < 90.01, "upright");
        for (int i = 0; i < k; i++)
            cr_assert_gt(hypot(x[k] - x[i], y[k] - y[i]), 1.9, "%d and %d", i, k);
    }
    seen_free(&seen);
    lake_free(chart);
}

/* Lines of no or one point, places that are no places, a lake on the 180th meridian. */
Test(picture, odd_charts_are_drawn_all_the_same)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_lip lip[3] = {{0}};
    struct lw_lip_point nowhere[3] = {{.at = {NAN, NAN}}, {.at = {0, INFINITY}}, {.at = {0, 0}}};
    struct lw_lip_place place = {.at = {NAN, 0}};
    struct lw_lips lips = {.lip = lip, .lips = 3, .place = &place, .places = 1};
    struct lw_picture picture = {.chart = chart, .lips = &lips, .units = LW_US};
    struct lw_cover cover = {.kind = LW_COVER_ROCK};
    struct lw_hazard hazard = {.kind = LW_HAZARD_WRECK, .depth_m = INFINITY};
    struct seen seen;

    chart->frame.origin = (struct lw_ll){-17, 179.9999};
    lip[1].p = lip[2].p = nowhere;
    lip[1].n = 1;
    lip[2].n = 3;
    cr_assert_eq(lw_features_add_hazard(&chart->features, &hazard), 0);
    lw_line_add(&hazard.line, (struct lw_en){NAN, 1e300});
    cr_assert_eq(lw_features_add_hazard(&chart->features, &hazard), 0);
    cr_assert_eq(lw_features_add_cover(&chart->features, &cover), 0);
    lw_line_add(&cover.line, (struct lw_en){NAN, NAN});
    lw_line_add(&cover.line, (struct lw_en){1e30, 0});
    cr_assert_eq(lw_features_add_cover(&chart->features, &cover), 0);
    add_contour(chart, 11, 1);
    chart->contour[chart->contours - 1].line.n = 1;
    add_contour(chart, 11.5, 1);
    chart->contour[chart->contours - 1].line.p[7].e_m = NAN;
    chart->grid.depth_m[SIDE * SIDE / 2] = INFINITY;
    memset(chart->lake, 'W', sizeof chart->lake - 1);
    memset(chart->source, 'W', sizeof chart->source - 1);
    seen = draw(&picture);
    cr_assert_eq(count(&seen, "//s:g[@class='lip']"), 0);
    cr_assert_geq(count(&seen, "//s:g[@id='degrees']/s:text[contains(., \"' W\")]"), 1);
    cr_assert_geq(count(&seen, "//s:g[@id='degrees']/s:text[contains(., \"' E\")]"), 1);
    cr_assert_eq(count(&seen, "//@*[contains(., 'nan') or contains(., 'inf')]"), 0);
    seen_free(&seen);
    lake_free(chart);

    chart = cone_lake(false, false); /* one cell of water */
    for (int k = 0; k < SIDE * SIDE; k++)
        chart->grid.depth_m[k] = k == SIDE * SIDE / 2 ? 0.0f : NAN;
    picture = (struct lw_picture){.chart = chart, .units = LW_METRIC};
    seen = draw(&picture);
    cr_assert_eq(count(&seen, "//s:g[@id='tint']/s:path"), 1);
    seen_free(&seen);
    lake_free(chart);
}

Test(picture, refusals_are_sentences)
{
    struct lw_chart *chart = cone_lake(true, false);
    struct lw_picture picture = {.chart = chart, .units = LW_US};
    struct lw_error err = {""};

    cr_assert_eq(lw_picture_write(&picture, "/no/such/folder/out.svg", &err), -1);
    cr_assert_not_null(strstr(err.text, "/no/such/folder/out.svg"));
    cr_assert_eq(lw_picture_write(&picture, "", &err), -1);
    cr_assert_not_null(strstr(err.text, "file name is empty"));
    for (int k = 0; k < SIDE * SIDE; k++)
        chart->grid.depth_m[k] = NAN;
    cr_assert_eq(lw_picture_write(&picture, "/tmp/never-written.svg", &err), -1);
    cr_assert_not_null(strstr(err.text, "empty"));
    cr_assert_neq(access("/tmp/never-written.svg", F_OK), 0);
    lake_free(chart);
}
