/* Worked water against the share that GEOS gives, and holes where casts were left out. */
#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "lake.h"
#include "lipwalk/plan/worked.h"

static struct lw_plan *straight(void)
{
    struct lw_plan_params params = lake_params();

    return lake_straight(300, &params);
}

/* Of the belt, a rectangle, the part within half a swath of a cast whose done[] is set. */
static double union_share(const struct lw_plan *plan, const bool *done)
{
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry *casts = GEOSGeom_createEmptyPolygon_r(h), *belt, *both;
    double all_m2 = 0, both_m2 = 0;

    for (size_t i = 0; i < plan->casts; i++) {
        GEOSCoordSequence *seq = GEOSCoordSeq_create_r(h, 2, 2);
        GEOSGeometry *line, *swath, *more;

        GEOSCoordSeq_setXY_r(h, seq, 0, plan->cast[i].from.e_m, plan->cast[i].from.n_m);
        GEOSCoordSeq_setXY_r(h, seq, 1, plan->cast[i].to.e_m, plan->cast[i].to.n_m);
        line = GEOSGeom_createLineString_r(h, seq);
        swath = GEOSBuffer_r(h, line, plan->params.swath_m / 2, 16);
        more = done[i] ? GEOSUnion_r(h, casts, swath) : GEOSGeom_clone_r(h, casts);
        GEOSGeom_destroy_r(h, casts);
        GEOSGeom_destroy_r(h, line);
        GEOSGeom_destroy_r(h, swath);
        casts = more;
    }
    belt = GEOSGeom_createRectangle_r(h, 0, -plan->params.up_m, 300, plan->params.past_m);
    both = GEOSIntersection_r(h, belt, casts);
    GEOSArea_r(h, belt, &all_m2);
    GEOSArea_r(h, both, &both_m2);
    GEOSGeom_destroy_r(h, belt);
    GEOSGeom_destroy_r(h, casts);
    GEOSGeom_destroy_r(h, both);
    GEOS_finish_r(h);
    return both_m2 / all_m2;
}

Test(worked, share_agrees_with_a_union_of_buffers)
{
    struct lw_plan *plan = straight();
    struct lw_worked *worked = lw_worked_new(plan);
    bool *done = calloc(plan->casts, sizeof *done);

    cr_assert_eq(lw_worked_share(worked), 0);
    for (int step = 5; step > 0; step -= 2) {
        for (size_t i = 0; i < plan->casts; i++)
            done[i] = i % (size_t)step == 0;
        lw_worked_count(worked, plan, done);
        cr_assert_float_eq(lw_worked_share(worked), union_share(plan, done), 0.01);
    }
    cr_assert_float_eq(lw_worked_share(worked), plan->coverage, 0.01, "all were made");
    lw_worked_count(worked, plan, NULL);
    cr_assert_eq(lw_worked_share(worked), 0, "taken back");
    free(done);
    lw_worked_free(worked);
    lw_plan_free(plan);
}

Test(worked, a_hole_is_what_was_passed_over)
{
    struct lw_plan *plan = straight();
    struct lw_worked *worked = lw_worked_new(plan);
    bool *done = calloc(plan->casts, sizeof *done);
    struct lw_hole hole[4];

    cr_assert_eq(lw_worked_holes(worked, hole, 4), 0, "nothing is passed over at the start");
    for (size_t i = 0; i < plan->casts; i++) /* all but those that land in 100 .. 160 */
        done[i] = !(plan->cast[i].to.e_m > 100 && plan->cast[i].to.e_m < 160);
    lw_worked_count(worked, plan, done);
    cr_assert_eq(lw_worked_holes(worked, hole, 4), 1);
    cr_assert_float_eq(hole[0].from_m, 100, 8);
    cr_assert_float_eq(hole[0].to_m, 160, 8);
    for (size_t i = 0; i < plan->casts; i++) /* the second half is still to come: no hole */
        done[i] = plan->cast[i].to.e_m < 150;
    lw_worked_count(worked, plan, done);
    cr_assert_eq(lw_worked_holes(worked, hole, 4), 0);
    free(done);
    lw_worked_free(worked);
    lw_plan_free(plan);
}

Test(worked, remembers_what_was_made_before_the_plan)
{
    struct lw_plan *old = straight(), *plan = NULL;
    struct lw_made *made = calloc(old->casts, sizeof *made);
    struct lw_worked *worked;
    struct lw_error err = {""};
    size_t n = old->casts / 2;

    for (size_t i = 0; i < n; i++)
        made[i] = (struct lw_made){old->cast[i].from, old->cast[i].to, old->params.swath_m};
    cr_assert_eq(lw_plan_remake(NULL, old, &old->params, made, n, &plan, &err), 0, "%s", err.text);
    worked = lw_worked_new(plan);
    cr_assert_gt(lw_worked_share(worked), 0.35);
    cr_assert_lt(lw_worked_share(worked), 0.65);
    lw_worked_free(worked);
    lw_plan_free(plan);
    lw_plan_free(old);
    free(made);
}
