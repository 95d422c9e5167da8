/* The belt's rings and the share of it that casts work, against areas in closed form. */
#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "lake.h"

static GEOSGeometry *geos_ring(GEOSContextHandle_t h, const struct lw_line *line, bool area)
{
    GEOSCoordSequence *seq = GEOSCoordSeq_create_r(h, (unsigned)line->n, 2);

    for (size_t i = 0; i < line->n; i++)
        GEOSCoordSeq_setXY_r(h, seq, (unsigned)i, line->p[i].e_m, line->p[i].n_m);
    return area ? GEOSGeom_createPolygon_r(h, GEOSGeom_createLinearRing_r(h, seq), NULL, 0)
                : GEOSGeom_createLineString_r(h, seq);
}

/* The share of the belt within half a swath of a cast, by polygons. */
static double union_share(const struct lw_plan *plan)
{
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *belt = NULL, *casts = NULL, *both;
    double all_m2 = 0, both_m2 = 0;

    for (size_t i = 0; i < plan->belt.n; i++) {
        GEOSGeometry *ring = geos_ring(h, &plan->belt.line[i], true), *more;
        bool hole = lw_line_area(&plan->belt.line[i]) < 0;

        more = !belt ? ring : (hole ? GEOSDifference_r(h, belt, ring) : GEOSUnion_r(h, belt, ring));
        if (belt) {
            GEOSGeom_destroy_r(h, ring);
            GEOSGeom_destroy_r(h, belt);
        }
        belt = more;
    }
    for (size_t i = 0; i < plan->casts; i++) {
        struct lw_en p[] = {plan->cast[i].from, plan->cast[i].to};
        GEOSGeometry *line = geos_ring(h, &(struct lw_line){.p = p, .n = 2}, false), *more;
        GEOSGeometry *swath = GEOSBuffer_r(h, line, plan->params.swath_m / 2, 16);

        more = casts ? GEOSUnion_r(h, casts, swath) : GEOSGeom_clone_r(h, swath);
        GEOSGeom_destroy_r(h, line);
        GEOSGeom_destroy_r(h, swath);
        GEOSGeom_destroy_r(h, casts);
        casts = more;
    }
    both = GEOSIntersection_r(h, belt, casts);
    GEOSArea_r(h, belt, &all_m2);
    GEOSArea_r(h, both, &both_m2);
    GEOSGeom_destroy_r(h, belt);
    GEOSGeom_destroy_r(h, casts);
    GEOSGeom_destroy_r(h, both);
    GEOS_finish_r(h);
    return both_m2 / all_m2;
}

static double area(const struct lw_plan *plan)
{
    double sum_m2 = 0;

    for (size_t i = 0; i < plan->belt.n; i++)
        sum_m2 += lw_line_area(&plan->belt.line[i]);
    return sum_m2;
}

Test(belt, is_a_rectangle_on_a_straight_edge)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    double low = 1e9, high = -1e9;

    params.length_m = NAN;
    params.up_m = 6;
    params.past_m = 3;
    plan = lake_straight(150, &params);
    cr_assert_eq(plan->belt.n, 1);
    cr_assert_float_eq(area(plan), 150 * 9, 1e-6);
    for (size_t k = 0; k < plan->belt.line[0].n; k++) {
        low = fmin(low, plan->belt.line[0].p[k].n_m);
        high = fmax(high, plan->belt.line[0].p[k].n_m);
    }
    cr_assert_float_eq(low, -6, 1e-9); /* up the flat: south */
    cr_assert_float_eq(high, 3, 1e-9);
    lw_plan_free(plan);
}

Test(belt, is_an_annulus_round_a_hump)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 240});
    params.up_m = 6;
    params.past_m = 3;
    plan = lake_plan(chart, &params);
    cr_assert_eq(plan->belt.n, 2);
    cr_assert_gt(lw_line_area(&plan->belt.line[0]), 0);
    cr_assert_lt(lw_line_area(&plan->belt.line[1]), 0);
    cr_assert_float_eq(area(plan), M_PI * (13 * 13 - 4 * 4), 4); /* annulus, arcs of 8 chords */
    lw_plan_free(plan);
    lw_chart_free(chart);
}

/* The share that casts cover, against the union of the casts' round-ended buffers, cut with the
 * belt, by GEOS: within one point. */
Test(belt, share_agrees_with_a_union_of_buffers)
{
    struct lw_chart *chart = lake_new(&lake_hump_far, 1);
    struct lw_plan_params params = lake_params();

    for (int round = 0; round < 4; round++) {
        struct lw_plan *plan;

        params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, round == 3 ? 240 : 60});
        params.coverage = 0.35 + 0.2 * round;
        plan = lake_plan(chart, &params);
        cr_assert_float_eq(plan->coverage, union_share(plan), 0.01, "%g, GEOS %g", plan->coverage,
                           union_share(plan));
        lw_plan_free(plan);
    }
    lw_chart_free(chart);
}

Test(belt, of_no_width_is_refused)
{
    struct lw_plan_params params = lake_params();
    struct lw_en p[] = {{0, 0}, {150, 0}};
    struct lw_line line = {.p = p, .n = 2};
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    params.length_m = NAN;
    params.up_m = params.past_m = 0;
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, true, &params, &plan, &err), -1);
    cr_assert(strstr(err.text, "--up or --past"), "%s", err.text);
}

Test(belt, lies_on_both_sides_of_a_wavy_edge)
{
    struct lw_chart *chart = lake_new(NULL, 0);
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan;
    int wrong = 0, seen = 0;

    params.near = lw_frame_to_ll(&chart->frame, (struct lw_en){300, 60});
    plan = lake_plan(chart, &params);
    cr_assert_float_eq(area(plan), 400 * (params.up_m + params.past_m), 60);
    /* A place is in the rings exactly when its off and along say so, borders aside. */
    for (double e = 100; e < 500; e += 3.1)
        for (double n = 50; n < 100; n += 0.7) {
            struct lw_offset_at o = lw_plan_offset(plan, (struct lw_en){e, n});
            bool in = lw_line_contains(&plan->belt.line[0], (struct lw_en){e, n});

            if (fabs(o.off_m - params.past_m) < 0.05 || fabs(o.off_m + params.up_m) < 0.05 ||
                fabs(o.along_m) < 0.5 || fabs(o.along_m - 400) < 0.5)
                continue;
            seen++;
            wrong += in != (o.off_m < params.past_m && o.off_m > -params.up_m && o.along_m > 0 &&
                            o.along_m < 400);
        }
    cr_assert_gt(seen, 5000);
    cr_assert_eq(wrong, 0);
    cr_assert(plan->coverage > 0.5 && plan->coverage < 1);
    lw_plan_free(plan);
    lw_chart_free(chart);
}
