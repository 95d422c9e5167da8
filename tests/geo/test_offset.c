#include "lipwalk/geo/offset.h"

#include <jansson.h>
#include <math.h>

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "lw_test.h"

/* Nearest distance by asking every segment, with nothing of the code under test. */
static double brute_distance(const struct lw_line *line, struct lw_en at)
{
    double best = INFINITY;

    for (size_t i = 0; i + 1 < line->n; i++) {
        double ax = line->p[i].e_m, ay = line->p[i].n_m;
        double dx = line->p[i + 1].e_m - ax, dy = line->p[i + 1].n_m - ay;
        double t = ((at.e_m - ax) * dx + (at.n_m - ay) * dy) / (dx * dx + dy * dy);

        t = fmin(1, fmax(0, t));
        best = fmin(best, hypot(at.e_m - ax - t * dx, at.n_m - ay - t * dy));
    }
    return best;
}

struct worst {
    double vertex_m, between_m, length_m;
};

/* The worst errors of distance at the vertices and at nine places between each two; the side and
 * the order along the edge are checked on the way. */
static struct worst measure(const struct lw_line *edge, const struct lw_lines *parts, double dist_m,
                            bool left)
{
    struct worst worst = {0};
    double before_m = -1, length_m = lw_line_length(edge);

    for (size_t k = 0; k < parts->n; k++) {
        const struct lw_line *part = &parts->line[k];
        double along_m = lw_line_nearest(edge, part->p[0]).along_m;

        cr_expect_geq(along_m, before_m - 0.1, "part %zu is out of order", k);
        before_m = along_m;
        worst.length_m += lw_line_length(part);
        for (size_t i = 0; i < part->n; i++) {
            struct lw_near near = lw_line_nearest(edge, part->p[i]);

            cr_expect_eq(near.left_m > 0, left, "vertex %zu is on the wrong side", i);
            cr_expect_not(near.past_end, "vertex %zu is past an end", i);
            worst.vertex_m = fmax(worst.vertex_m, fabs(brute_distance(edge, part->p[i]) - dist_m));
            if (i == 0)
                continue;
            if (!part->closed || i + 1 < part->n)
                cr_expect_geq(near.along_m, along_m - 0.05, "vertex %zu goes back %g m", i,
                              along_m - near.along_m);
            cr_expect_leq(near.along_m, length_m + 1e-6);
            along_m = near.along_m;
            for (int j = 1; j < 10; j++) {
                struct lw_en a = part->p[i - 1], b = part->p[i];
                struct lw_en at = {a.e_m + (b.e_m - a.e_m) * j / 10,
                                   a.n_m + (b.n_m - a.n_m) * j / 10};

                worst.between_m = fmax(worst.between_m, fabs(brute_distance(edge, at) - dist_m));
            }
        }
    }
    return worst;
}

static struct lw_lines offset(const struct lw_line *edge, double dist_m, bool left)
{
    struct lw_lines out;
    struct lw_error err = {""};

    cr_assert_eq(lw_offset_line(edge, dist_m, left, &out, &err), 0, "%s", err.text);
    return out;
}

static struct lw_line circle(double radius_m, int n, bool clockwise)
{
    struct lw_line line = {.closed = true};

    for (int i = 0; i < n; i++) {
        double t = 2 * M_PI * i / n * (clockwise ? -1 : 1);

        lw_line_add(&line, (struct lw_en){radius_m * cos(t), radius_m * sin(t)});
    }
    lw_line_add(&line, line.p[0]);
    return line;
}

Test(offset, straight_line_both_sides)
{
    struct lw_line edge = {0};

    lw_line_add(&edge, (struct lw_en){100, 50});
    lw_line_add(&edge, (struct lw_en){400, 450}); /* 3-4-5: 500 m, unit (.6, .8) */
    for (int side = 0; side < 2; side++) {
        struct lw_lines out = offset(&edge, 10, side == 0);
        double s = side == 0 ? 10 : -10;
        const struct lw_line *part;

        cr_assert_eq(out.n, 1);
        part = &out.line[0];
        cr_expect_not(part->closed);
        cr_expect_float_eq(part->p[0].e_m, 100 - 0.8 * s, 1e-4);
        cr_expect_float_eq(part->p[0].n_m, 50 + 0.6 * s, 1e-4);
        cr_expect_float_eq(part->p[part->n - 1].e_m, 400 - 0.8 * s, 1e-4);
        cr_expect_float_eq(part->p[part->n - 1].n_m, 450 + 0.6 * s, 1e-4);
        cr_expect_float_eq(lw_line_length(part), 500, 1e-3);
        lw_lines_free(&out);
    }
    lw_line_free(&edge);
}

/* A right-angled bend: on its outside a quarter circle, on its inside the legs cut to the corner.
 */
Test(offset, right_angle_closed_form)
{
    struct lw_line edge = {0};
    struct lw_lines in, out;
    struct worst worst;

    lw_line_add(&edge, (struct lw_en){-100, 0});
    lw_line_add(&edge, (struct lw_en){0, 0});
    lw_line_add(&edge, (struct lw_en){0, 100});
    in = offset(&edge, 10, true);
    out = offset(&edge, 10, false);
    cr_assert_eq(in.n, 1);
    cr_assert_eq(out.n, 1);
    cr_expect_float_eq(lw_line_length(&in.line[0]), 180, 0.02);
    cr_expect_float_eq(lw_line_length(&out.line[0]), 200 + 5 * M_PI, 0.02);
    worst = measure(&edge, &in, 10, true);
    cr_expect_lt(worst.vertex_m, 1e-3);
    cr_expect_lt(worst.between_m, 0.02);
    worst = measure(&edge, &out, 10, false);
    cr_expect_lt(worst.vertex_m, 1e-3);
    cr_expect_lt(worst.between_m, 0.02);
    lw_lines_free(&in);
    lw_lines_free(&out);
    lw_line_free(&edge);
}

Test(offset, circle_both_sides_both_ways)
{
    for (int clockwise = 0; clockwise < 2; clockwise++) {
        struct lw_line edge = circle(30, 1440, clockwise);

        for (int inside = 0; inside < 2; inside++) {
            bool left = inside != clockwise;
            double radius_m = 30 + (inside ? -10.7 : 10.7);
            struct lw_lines out = offset(&edge, 10.7, left);

            cr_assert_eq(out.n, 1);
            cr_expect(out.line[0].closed);
            cr_expect_lt(lw_line_nearest(&edge, out.line[0].p[0]).along_m, 2);
            for (size_t i = 0; i < out.line[0].n; i++)
                cr_expect_float_eq(hypot(out.line[0].p[i].e_m, out.line[0].p[i].n_m), radius_m,
                                   1e-3);
            cr_expect_float_eq(lw_line_length(&out.line[0]), 2 * M_PI * radius_m, 0.1);
            /* Oriented as the edge. */
            cr_expect_eq(lw_line_area(&out.line[0]) < 0, clockwise);
            measure(&edge, &out, 10.7, left);
            lw_lines_free(&out);
        }
        lw_line_free(&edge);
    }
}

Test(offset, small_hump_has_no_line_inside)
{
    struct lw_line edge = circle(8, 360, false);
    struct lw_lines out = offset(&edge, 10.7, true);

    cr_expect_eq(out.n, 0);
    lw_lines_free(&out);
    out = offset(&edge, 10.7, false);
    cr_expect_eq(out.n, 1);
    lw_lines_free(&out);
    lw_line_free(&edge);
}

/* Two basins joined by a neck of 10 m: the line inside falls into two, and what lies outside is
 * one ring. Rectangles 100 x 60 with a neck 40 long. */
Test(offset, neck_parts_a_ring)
{
    static const double p[][2] = {{0, 0},    {100, 0},  {100, 25}, {140, 25}, {140, 0},
                                  {240, 0},  {240, 60}, {140, 60}, {140, 35}, {100, 35},
                                  {100, 60}, {0, 60},   {0, 0}};
    struct lw_line edge = {.closed = true};
    struct lw_lines out;
    struct worst worst;

    for (size_t i = 0; i < sizeof p / sizeof *p; i++)
        lw_line_add(&edge, (struct lw_en){p[i][0], p[i][1]});
    out = offset(&edge, 10, true);
    cr_assert_eq(out.n, 2);
    for (size_t k = 0; k < out.n; k++)
        cr_expect(out.line[k].closed);
    worst = measure(&edge, &out, 10, true);
    cr_expect_lt(worst.vertex_m, 1e-3);
    cr_expect_lt(worst.between_m, 0.02);
    /* Each basin: an 80 x 40 rectangle whose neck side is cut by arcs about the neck's corners
     * (5 m either side of the middle): 2 * (80 + 40) less the 2 * 5 of the side between the feet,
     * plus two arcs of asin(5/10) each of radius 10. */
    cr_expect_float_eq(worst.length_m, 2 * (240 - 10 + 2 * 10 * asin(0.5)), 0.1);
    lw_lines_free(&out);
    lw_line_free(&edge);
}

/* An open edge that nearly closes on itself encloses a bay; its line inside is one open part. */
Test(offset, omega_has_an_open_part_inside)
{
    struct lw_line edge = {0};
    struct lw_lines out;
    struct worst worst;

    lw_line_add(&edge, (struct lw_en){-100, -42});
    for (int i = -165; i <= 165; i++) { /* radius 40, a neck of 21 m at the bottom */
        double t = (90.0 - i) * M_PI / 180;

        lw_line_add(&edge, (struct lw_en){40 * cos(t), 40 * sin(t)});
    }
    lw_line_add(&edge, (struct lw_en){100, -42});
    out = offset(&edge, 15, false); /* the inside is to the right of this clockwise way */
    cr_assert_geq(out.n, 2);
    worst = measure(&edge, &out, 15, false);
    cr_expect_lt(worst.vertex_m, 1e-3);
    cr_expect_lt(worst.between_m, 0.02);
    for (size_t k = 0; k < out.n; k++)
        cr_expect_not(out.line[k].closed);
    lw_lines_free(&out);
    out = offset(&edge, 15, true);
    cr_expect_eq(out.n, 1);
    worst = measure(&edge, &out, 15, true);
    cr_expect_lt(worst.vertex_m, 1e-3);
    lw_lines_free(&out);
    lw_line_free(&edge);
}

static double unit(unsigned *seed)
{
    return (double)rand_r(seed) / RAND_MAX;
}

/* Wiggly open lines: sums of sines with steps of uneven length. */
Test(offset, wiggly_open_lines)
{
    unsigned seed = 11;
    struct worst all = {0};
    int parts = 0, ended = 0;

    for (int k = 0; k < 60; k++) {
        struct lw_line edge = {0};
        double heading = 2 * M_PI * unit(&seed), bend = 0.05 + 0.3 * unit(&seed);
        double dist_m = 2 + 20 * unit(&seed), phase = 10 * unit(&seed);
        struct lw_en at = {1000 * unit(&seed), 1000 * unit(&seed)};

        for (int i = 0; i < 200; i++) {
            double step_m = 0.2 + 4 * unit(&seed);

            lw_line_add(&edge, at);
            at.e_m += step_m * cos(heading + bend * 4 * sin(i * 0.13 + phase));
            at.n_m += step_m * sin(heading + bend * 4 * sin(i * 0.13 + phase));
            heading += bend * (unit(&seed) - 0.5);
        }
        for (int left = 0; left < 2; left++) {
            struct lw_lines out = offset(&edge, dist_m, left);
            struct worst worst = measure(&edge, &out, dist_m, left);
            double bearing_deg;
            struct lw_en end = lw_line_at(&edge, 0, &bearing_deg);
            struct lw_en square = lw_en_step(end, bearing_deg + (left ? -90 : 90), dist_m);

            cr_expect_lt(worst.vertex_m, 1e-3, "line %d: %g m", k, worst.vertex_m);
            cr_expect_lt(worst.between_m, 0.02, "line %d: %g m", k, worst.between_m);
            all.vertex_m = fmax(all.vertex_m, worst.vertex_m);
            all.between_m = fmax(all.between_m, worst.between_m);
            all.length_m += worst.length_m;
            parts += (int)out.n;
            /* Where the place square to the start is free, a part starts exactly there. */
            if (fabs(brute_distance(&edge, square) - dist_m) < 1e-6) {
                double nearest_m = INFINITY;

                for (size_t i = 0; i < out.n; i++)
                    nearest_m = fmin(nearest_m, lw_en_distance(out.line[i].p[0], square));
                cr_expect_lt(nearest_m, 1e-3, "line %d starts %g m off", k, nearest_m);
                ended++;
            }
            lw_lines_free(&out);
        }
        lw_line_free(&edge);
    }
    fprintf(stderr, "wiggly: %d parts, %.0f m, vertices within %.6f m, between %.4f m, %d ends\n",
            parts, all.length_m, all.vertex_m, all.between_m, ended);
    cr_expect_geq(parts, 120);
    cr_expect_geq(ended, 60);
}

/* All rings of one lake at one depth, of the file of small lakes, in a frame about the first. */
static void read_rings(const char *lake, double depth_m, struct lw_lines *rings)
{
    char path[512];
    json_error_t error;
    json_t *file, *feature;
    struct lw_frame frame = {{NAN, NAN}};
    size_t i;

    lw_test_data(path, sizeof path, "lakes/small-lakes-metres.geojson");
    file = json_load_file(path, 0, &error);
    cr_assert_not_null(file, "%s", error.text);
    json_array_foreach(json_object_get(file, "features"), i, feature)
    {
        json_t *about = json_object_get(feature, "properties"), *at, *ring;
        struct lw_line line = {.closed = true};
        size_t k;

        if (strcmp(json_string_value(json_object_get(about, "LakeID")), lake) != 0 ||
            fabs(json_number_value(json_object_get(about, "Depth_m")) - depth_m) > 1e-3)
            continue;
        ring = json_array_get(json_object_get(json_object_get(feature, "geometry"), "coordinates"),
                              0);
        json_array_foreach(ring, k, at)
        {
            struct lw_ll ll = {json_number_value(json_array_get(at, 1)),
                               json_number_value(json_array_get(at, 0))};

            if (isnan(frame.origin.lat_deg))
                frame.origin = ll;
            lw_line_add(&line, lw_frame_to_en(&frame, ll));
        }
        lw_line_clean(&line);
        lw_lines_take(rings, &line);
    }
    json_decref(file);
}

/* Length of the boundary of the ring's polygon shrunk (or grown) by GEOS. */
static double geos_length(const struct lw_line *ring, double by_m)
{
    GEOSContextHandle_t geos = GEOS_init_r();
    GEOSCoordSequence *seq = GEOSCoordSeq_create_r(geos, (unsigned)ring->n, 2);
    GEOSGeometry *polygon, *buffer;
    double length_m = NAN;

    for (unsigned i = 0; i < ring->n; i++)
        GEOSCoordSeq_setXY_r(geos, seq, i, ring->p[i].e_m, ring->p[i].n_m);
    polygon = GEOSGeom_createPolygon_r(geos, GEOSGeom_createLinearRing_r(geos, seq), NULL, 0);
    buffer = GEOSBuffer_r(geos, polygon, by_m, 32);
    GEOSLength_r(geos, buffer, &length_m);
    GEOSGeom_destroy_r(geos, buffer);
    GEOSGeom_destroy_r(geos, polygon);
    GEOS_finish_r(geos);
    return length_m;
}

/* NTL-LTER data set 153: the 10 ft contours of Sparkling Lake, the largest of them a ring that
 * bends and doubles more than any formula. */
Test(offset, ten_foot_ring_of_sparkling)
{
    struct lw_lines rings = {0};
    size_t largest = 0;

    read_rings("SP", 3.048, &rings);
    cr_assert_gt(rings.n, 0);
    for (size_t i = 0; i < rings.n; i++)
        if (fabs(lw_line_area(&rings.line[i])) > fabs(lw_line_area(&rings.line[largest])))
            largest = i;
    for (int inside = 0; inside < 2; inside++) {
        const struct lw_line *edge = &rings.line[largest];
        bool left = (lw_line_area(edge) > 0) == inside;
        struct lw_lines out = offset(edge, 10.668, left);
        struct worst worst = measure(edge, &out, 10.668, left);
        double geos_m = geos_length(edge, inside ? -10.668 : 10.668);
        size_t vertices = 0;

        cr_assert_gt(out.n, 0);
        for (size_t i = 0; i < out.n; i++)
            vertices += out.line[i].n;
        fprintf(stderr,
                "Sparkling %s: edge %zu vertices %.0f m; %zu parts, %zu vertices, %.1f m (GEOS "
                "polygon %.1f); vertices within %.6f m, between %.4f m\n",
                inside ? "inside" : "outside", edge->n, lw_line_length(edge), out.n, vertices,
                worst.length_m, geos_m, worst.vertex_m, worst.between_m);
        cr_expect_lt(worst.vertex_m, 1e-3);
        cr_expect_lt(worst.between_m, 0.02);
        cr_expect_float_eq(worst.length_m, geos_m, 0.01 * geos_m);
        lw_lines_free(&out);
    }
    lw_lines_free(&rings);
}

Test(offset, says_what_is_wrong)
{
    struct lw_line edge = {0};
    struct lw_lines out;
    struct lw_error err = {""};

    cr_expect_eq(lw_offset_line(&edge, 10, true, &out, &err), -1);
    cr_expect(strstr(err.text, "0 different vertices"), "%s", err.text);
    lw_line_add(&edge, (struct lw_en){0, 0});
    lw_line_add(&edge, (struct lw_en){10, 0});
    cr_expect_eq(lw_offset_line(&edge, 0, true, &out, &err), -1);
    cr_expect(strstr(err.text, "above 0"), "%s", err.text);
    cr_expect_eq(lw_offset_line(&edge, NAN, true, &out, &err), -1);
    lw_line_add(&edge, (struct lw_en){NAN, 0});
    cr_expect_eq(lw_offset_line(&edge, 10, true, &out, &err), -1);
    cr_expect(strstr(err.text, "vertex 2"), "%s", err.text);
    cr_expect_eq(out.n, 0);
    lw_line_free(&edge);
}
