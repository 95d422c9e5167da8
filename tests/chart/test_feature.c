/* Hazards and cover: words, and what lies at a place, in closed form. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/chart/feature.h"

static struct lw_line square(double e, double n, double half_m)
{
    const struct lw_en at[] = {{e - half_m, n - half_m},
                               {e + half_m, n - half_m},
                               {e + half_m, n + half_m},
                               {e - half_m, n + half_m},
                               {e - half_m, n - half_m}};
    struct lw_line line = {.closed = true};

    for (size_t k = 0; k < sizeof at / sizeof *at; k++)
        cr_assert_eq(lw_line_add(&line, at[k]), 0);
    return line;
}

static struct lw_line place(double e, double n)
{
    struct lw_line line = {0};

    cr_assert_eq(lw_line_add(&line, (struct lw_en){e, n}), 0);
    return line;
}

static void add_cover(struct lw_features *f, enum lw_cover_kind kind, struct lw_line line)
{
    struct lw_cover cover = {.kind = kind, .line = line};

    cr_assert_eq(lw_features_add_cover(f, &cover), 0);
}

static void add_hazard(struct lw_features *f, enum lw_hazard_kind kind, struct lw_line line)
{
    struct lw_hazard hazard = {.kind = kind, .line = line, .depth_m = NAN};

    cr_assert_eq(lw_features_add_hazard(f, &hazard), 0);
}

Test(feature, the_smallest_area_about_a_place_counts)
{
    struct lw_features f = {0};
    size_t which = 99;

    add_cover(&f, LW_COVER_GRAVEL, square(0, 0, 10)); /* a bar in ... */
    add_cover(&f, LW_COVER_MUD, square(0, 0, 100));   /* ... a basin */
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){3, -3}, 5, &which), LW_COVER_GRAVEL);
    cr_assert_eq(which, 0);
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){40, 0}, 5, NULL), LW_COVER_MUD);
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){103, 0}, 5, NULL), -1,
                 "an area ends at its border");
    lw_features_free(&f);
    cr_assert_eq(f.covers, 0);
    cr_assert_null(f.cover);
}

Test(feature, outside_areas_the_nearest_place_or_line_within_reach)
{
    struct lw_features f = {0};
    struct lw_line edge = place(0, 30);

    cr_assert_eq(lw_line_add(&edge, (struct lw_en){50, 30}), 0); /* a weed edge along n = 30 */
    add_cover(&f, LW_COVER_WEED, edge);
    add_cover(&f, LW_COVER_ROCK, place(20, 10));
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){20, 24}, 10, NULL), LW_COVER_WEED);
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){20, 19}, 10, NULL), LW_COVER_ROCK);
    cr_assert_eq(lw_features_cover_at(&f, (struct lw_en){20, 20.5}, 9, NULL), -1,
                 "9.5 m to the edge, 10.5 m to the rock");
    lw_features_free(&f);
}

/* Which hazard is nearest, and how far it is; -1 none. */
static int nearest_hazard(const struct lw_features *f, struct lw_en at, double *dist_m)
{
    int best = -1;

    *dist_m = INFINITY;
    for (size_t i = 0; i < f->hazards; i++) {
        struct lw_en there;
        double d = lw_feature_distance(&f->hazard[i].line, at, &there);

        cr_assert_float_eq(lw_en_distance(at, there), d, 1e-12);
        if (d < *dist_m) {
            *dist_m = d;
            best = (int)i;
        }
    }
    return best;
}

Test(feature, the_nearest_hazard)
{
    struct lw_features f = {0};
    double dist_m;

    cr_assert_eq(nearest_hazard(&f, (struct lw_en){0, 0}, &dist_m), -1);
    cr_assert(isinf(dist_m));
    add_hazard(&f, LW_HAZARD_ROCK, place(3, 4));
    add_hazard(&f, LW_HAZARD_OBSTRUCTION, square(100, 0, 20)); /* a field of stumps */
    cr_assert_eq(nearest_hazard(&f, (struct lw_en){0, 0}, &dist_m), 0);
    cr_assert_float_eq(dist_m, 5, 1e-12);
    cr_assert_eq(nearest_hazard(&f, (struct lw_en){60, 10}, &dist_m), 1);
    cr_assert_float_eq(dist_m, 20, 1e-12);
    cr_assert_eq(nearest_hazard(&f, (struct lw_en){110, 5}, &dist_m), 1);
    cr_assert_eq(dist_m, 0, "inside");
    lw_features_free(&f);
}

Test(feature, words)
{
    static const struct {
        const char *word;
        int hazard, cover;
    } known[] = {
        {"stump", LW_HAZARD_OBSTRUCTION, -1},
        {"STUMPS", LW_HAZARD_OBSTRUCTION, -1},
        {"UWTROC", LW_HAZARD_ROCK, -1},
        {"Wreck", LW_HAZARD_WRECK, -1},
        {"OBSTRN", LW_HAZARD_OBSTRUCTION, -1},
        {"stump_field", LW_HAZARD_OBSTRUCTION, -1},
        {"rock", LW_HAZARD_ROCK, LW_COVER_ROCK},
        {"boulders", -1, LW_COVER_ROCK},
        {"Cobble", -1, LW_COVER_GRAVEL},
        {"vegetation", -1, LW_COVER_WEED},
        {"weed_beds", -1, LW_COVER_WEED},
        {"Sand and silt", -1, LW_COVER_SAND},
        {"Mucky", -1, -1},
        {"thousand", -1, -1},
        {"", -1, -1},
        {"a long remark about how someone once caught a fish near the rock", -1, -1},
    };

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        cr_assert_eq(lw_hazard_of(known[i].word), known[i].hazard, "%s", known[i].word);
        cr_assert_eq(lw_cover_of(known[i].word), known[i].cover, "%s", known[i].word);
    }
    for (int k = 0; k < LW_COVER_KINDS; k++) /* what we print we read */
        cr_assert_eq(lw_cover_of(lw_cover_name((enum lw_cover_kind)k)), k);
    for (int k = 0; k < LW_HAZARD_KINDS; k++)
        cr_assert_eq(lw_hazard_of(lw_hazard_name((enum lw_hazard_kind)k)), k);
}
