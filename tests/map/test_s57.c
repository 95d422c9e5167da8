/* S-57: one real cell (GDAL's test data, 1B5X02NE; values read off with ogrinfo), and the edges
 * between areas in closed form. */
#include "map_test.h"

#include "map/s57_edges.h"

static char folder[300], path[600];

static void setup(void)
{
    chart_test_folder(folder, sizeof folder);
    lw_test_data(path, sizeof path, "s57/1B5X02NE.000");
}

static struct lw_chart *read_cell(struct lw_import_report *report)
{
    struct lw_import_options o;
    struct lw_chart *chart;
    struct lw_error err;

    lw_import_options_clear(&o);
    o.map[0].path = path;
    o.maps = 1;
    cr_assert_eq(chart_test_read(&o, &chart, report, &err), 0, "%s", err.text);
    return chart;
}

/* DEPARE: -5..0, 0..2, 2..5, 5..10 side by side; SOUNDG: 11, of them 6 negative. */
Test(s57, cell, .init = setup)
{
    static const double at[][3] = {{-32.49449, 60.981644, 3.4},
                                   {-32.496424, 60.981344, 1.4},
                                   {-32.495196, 60.980712, 1.2},
                                   {-32.497208, 60.982266, 1.4},
                                   {-32.494168, 60.980298, 0.6}};
    struct lw_import_report report;
    struct lw_chart *chart = read_cell(&report);
    size_t at_depth[3] = {0};
    double depth_m;

    cr_assert_str_eq(chart->unit, "m");
    cr_assert_eq(chart->soundings, 5);
    for (size_t i = 0; i < chart->contours; i++) {
        double d = chart->contour[i].depth_m;

        cr_assert(d == 0 || d == 2 || d == 5, "%g", d);
        at_depth[d == 0 ? 0 : d == 2 ? 1 : 2]++;
        cr_assert_not(chart->contour[i].line.closed, "the cell's border cuts all of them");
    }
    cr_assert(at_depth[0] && at_depth[1] == 1 && at_depth[2] == 1);
    for (size_t i = 0; i < sizeof at / sizeof *at; i++)
        cr_assert_float_eq(chart_test_depth(chart, at[i][0], at[i][1]), at[i][2], 0.4, "%zu: %g", i,
                           chart_test_depth(chart, at[i][0], at[i][1]));
    /* Each area keeps to its depths: places well inside them, by eye on the cell drawn. */
    cr_assert(isnan(chart_test_depth(chart, -32.4965, 60.9788)), "drying: land at chart level");
    cr_assert(isnan(chart_test_depth(chart, -32.4965, 60.9835)), "beyond the border");
    cr_assert_geq(chart_test_depth(chart, -32.4937, 60.9828), 5, "in the area of 5 to 10 m");
    cr_assert_geq(chart_test_depth(chart, -32.4936, 60.9831), 5, "in its corner: no shore there");
    depth_m = chart_test_depth(chart, -32.4966, 60.9829);
    cr_assert(depth_m >= 2 && depth_m <= 5, "in the area of 2 to 5 m: %g", depth_m);
    depth_m = chart_test_depth(chart, -32.4984, 60.983);
    cr_assert(depth_m >= 0 && depth_m <= 2, "in the area of 0 to 2 m: %g", depth_m);
    cr_assert(chart_test_warned(&report, "no shore is known all about"));
    cr_assert(chart_test_warned(&report, "6 soundings above the water"));
    cr_assert_eq(chart->features.covers, 2);
    cr_assert_eq(chart->features.cover[0].kind, LW_COVER_ROCK, "NATSUR 9");
    lw_chart_free(chart);
}

static struct lw_raw_part ring(double lon0, double lat0, double lon1, double lat1)
{
    struct lw_raw_part part = {.n = 5, .area = true, .p = malloc(5 * sizeof *part.p)};

    part.p[0] = part.p[4] = (struct lw_ll){lat0, lon0};
    part.p[1] = (struct lw_ll){lat0, lon1};
    part.p[2] = (struct lw_ll){lat1, lon1};
    part.p[3] = (struct lw_ll){lat1, lon0};
    return part;
}

static void add(struct lw_edges *edges, struct lw_raw_part part, enum lw_edge_side side,
                double depth_m)
{
    cr_assert_eq(lw_edges_add_ring(edges, &part, side, depth_m, NULL), 0);
    free(part.p);
}

/* Three areas in a row, of 0, 5 and 10 m, the land west of them: the lines between them lie at 0,
 * 5 and 10, the rest of their outlines is the border. */
Test(s57, the_deeper_side_says_the_depth)
{
    static const struct lw_map_file file = {.path = "cell.000"};
    struct lw_edges edges = {0};
    struct lw_source out;
    size_t found[3] = {0}, sides = 0;

    lw_source_start(&out, &file);
    add(&edges, ring(-1, 0, 0, 1), LW_SIDE_LAND, NAN);
    add(&edges, ring(0, 0, 1, 1), LW_SIDE_WATER, 0);
    add(&edges, ring(1, 0, 2, 1), LW_SIDE_WATER, 5);
    add(&edges, ring(2, 0, 3, 1), LW_SIDE_WATER, 10);
    cr_assert_eq(lw_edges_draw(&edges, &out, NULL), 0);
    cr_assert_eq(out.lines.features, 3);
    for (size_t i = 0; i < 3; i++) {
        const struct lw_raw_part *part = &out.lines.feature[i].part[0];

        cr_assert_eq(part->n, 2);
        cr_assert_float_eq(part->p[0].lon_deg, out.line_m[i] / 5, 1e-12, "%g at %g", out.line_m[i],
                           part->p[0].lon_deg);
        cr_assert_float_eq(part->p[1].lon_deg, out.line_m[i] / 5, 1e-12);
        found[(int)(out.line_m[i] / 5)]++;
    }
    cr_assert(found[0] == 1 && found[1] == 1 && found[2] == 1);
    for (size_t i = 0; i < out.limit.features; i++)
        sides += out.limit.feature[i].part[0].n - 1;
    cr_assert_eq(sides, 8, "three to the north, three to the south, the east, and the shore");
    lw_edges_free(&edges);
    lw_source_free(&out);
}

/* A lake that land closes all about needs no border; a line between equal depths is none. */
Test(s57, a_lake_within_the_cell)
{
    static const struct lw_map_file file = {.path = "cell.000"};
    struct lw_edges edges = {0};
    struct lw_source out;
    struct lw_raw_part hole;

    lw_source_start(&out, &file);
    add(&edges, ring(-9, -9, 9, 9), LW_SIDE_LAND, NAN);
    hole = ring(0, 0, 2, 1); /* its hole, with a corner where the areas meet */
    hole.p = realloc(hole.p, 7 * sizeof *hole.p);
    hole.n = 7;
    hole.p[1] = (struct lw_ll){0, 1};
    hole.p[2] = (struct lw_ll){0, 2};
    hole.p[3] = (struct lw_ll){1, 2};
    hole.p[4] = (struct lw_ll){1, 1};
    hole.p[5] = (struct lw_ll){1, 0};
    hole.p[6] = (struct lw_ll){0, 0};
    add(&edges, hole, LW_SIDE_LAND, NAN);
    add(&edges, ring(0, 0, 1, 1), LW_SIDE_WATER, 3);
    add(&edges, ring(1, 0, 2, 1), LW_SIDE_WATER, 3);
    cr_assert_eq(lw_edges_draw(&edges, &out, NULL), 0);
    cr_assert_eq(out.limit.features, 0);
    for (size_t i = 0; i < out.lines.features; i++)
        cr_assert_eq(out.line_m[i], 0, "a steep shore is at 0 as well");
    lw_edges_free(&edges);
    lw_source_free(&out);
}
