#include "lipwalk/geo/point.h"

#include <math.h>

#include "lw_test.h"

static void check(struct lw_ll a, struct lw_ll b, double dist_m, double bearing_deg)
{
    double s, azi;

    lw_geodesic(a, b, &s, &azi);
    cr_expect_float_eq(s, dist_m, 1e-3, "%.6f instead of %.6f", s, dist_m);
    cr_expect_float_eq(lw_bearing_turn(azi, bearing_deg), 0, 1e-6, "%.9f instead of %.9f", azi,
                       bearing_deg);
    lw_geodesic(b, lw_geodesic_to(a, bearing_deg, dist_m), &s, NULL);
    cr_expect_lt(s, 0.01 + dist_m * 2e-8, "the way there ends %.4f m off", s);
}

/* Geoscience Australia / ICSM, GDA technical manual (from memory): Flinders Peak to Buninyong. */
Test(point, flinders_peak_to_buninyong)
{
    check((struct lw_ll){-37.9510334167, 144.4248678889},
          (struct lw_ll){-37.6528211389, 143.9264955278}, 54972.271, 306.868159202);
}

/* GeodSolve (GeographicLib) on WGS 84. */
Test(point, geodsolve_pairs)
{
    check((struct lw_ll){40.6, -73.8}, (struct lw_ll){51.6, -0.5}, 5551759.400, 51.198882846);
    check((struct lw_ll){0, 0}, (struct lw_ll){1, 0}, 110574.38856, 0);
    check((struct lw_ll){0, 0}, (struct lw_ll){0, 1}, 111319.49079, 90);
    check((struct lw_ll){46.2, -93.65}, (struct lw_ll){46.209, -93.637}, 1416.83442, 45.078482717);
    check((struct lw_ll){0, 0}, (struct lw_ll){0.5, 179.7}, 19944127.42075, 15.556882793);
}

/* GeographicLib's C test table: JFK, azimuth 53.5, 5850 km. */
Test(point, direct_from_jfk)
{
    struct lw_ll to = lw_geodesic_to((struct lw_ll){40.63972222, -73.77888889}, 53.5, 5850e3);

    cr_expect_float_eq(to.lat_deg, 49.01467, 5e-6);
    cr_expect_float_eq(to.lon_deg, 2.56106, 5e-6);
}

/* Karney's GeodTest lines (Karney 2010, Test set for geodesics). */
Test(point, geodtest)
{
    char path[512], line[512];
    int count = 0;
    FILE *f;

    lw_test_data(path, sizeof path, "checks/GeodTest-100.dat");
    f = fopen(path, "r");
    cr_assert_not_null(f);
    while (fgets(line, sizeof line, f)) {
        double v[7], s, azi;
        struct lw_ll a, b;

        if (sscanf(line, "%lf %lf %lf %lf %lf %lf %lf", &v[0], &v[1], &v[2], &v[3], &v[4], &v[5],
                   &v[6]) != 7)
            continue;
        a = (struct lw_ll){v[0], v[1]};
        b = (struct lw_ll){v[3], v[4]};
        lw_geodesic(a, b, &s, &azi);
        cr_expect_float_eq(s, v[6], 1e-3, "%s", line);
        lw_geodesic(lw_geodesic_to(a, v[2], v[6]), b, &s, NULL);
        cr_expect_lt(s, 1e-3, "%s", line);
        count++;
    }
    fclose(f);
    cr_assert_geq(count, 99);
}

/* GeodSolve -E at lake scale, over the antimeridian and near the pole among them. */
Test(point, lake_geodesics)
{
    char path[512], line[512];
    int count = 0;
    FILE *f;

    lw_test_data(path, sizeof path, "checks/lake-geodesics.csv");
    f = fopen(path, "r");
    cr_assert_not_null(f);
    while (fgets(line, sizeof line, f)) {
        double v[7], s, azi;
        struct lw_frame frame;
        struct lw_en en;
        struct lw_ll back;

        if (sscanf(line, "%lf,%lf,%lf,%lf,%lf,%lf,%lf", &v[0], &v[1], &v[2], &v[3], &v[4], &v[5],
                   &v[6]) != 7)
            continue;
        lw_geodesic((struct lw_ll){v[0], v[1]}, (struct lw_ll){v[2], v[3]}, &s, &azi);
        cr_expect_float_eq(s, v[6], 1e-3, "%s", line);
        /* A bearing is known as well as the pair's positions are: to 1e-9 degrees each. */
        cr_expect_lt(fabs(lw_bearing_turn(azi, v[4])) * M_PI / 180 * s, 1e-3, "%s", line);
        frame.origin = (struct lw_ll){v[0], v[1]};
        en = lw_frame_to_en(&frame, (struct lw_ll){v[2], v[3]});
        cr_expect_float_eq(hypot(en.e_m, en.n_m), v[6], 1e-3, "%s", line);
        back = lw_frame_to_ll(&frame, en);
        lw_geodesic(back, (struct lw_ll){v[2], v[3]}, &s, NULL);
        cr_expect_lt(s, 1e-6, "%s", line);
        count++;
    }
    fclose(f);
    cr_assert_geq(count, 100);
}

static double unit(unsigned *seed)
{
    return (double)rand_r(seed) / RAND_MAX;
}

/* The frame against the geodesic itself: pairs up to 20 km apart, both within 10 km of the origin.
 * An azimuthal equidistant map stretches across the radius by r^2 / (6 R^2), 4e-7 at 10 km. */
Test(point, frame_pairs_within_2_cm_over_20_km)
{
    static const struct lw_ll origins[] = {{46.2, -93.65}, {0, 0},   {-44.5, 168.7}, {64.9, 179.99},
                                           {-17, -179.98}, {80, 20}, {89.99, 5}};
    unsigned seed = 7;
    double worst = 0;

    for (size_t k = 0; k < sizeof origins / sizeof *origins; k++) {
        struct lw_frame frame = {origins[k]};

        for (int i = 0; i < 500; i++) {
            struct lw_ll a = lw_geodesic_to(frame.origin, 360 * unit(&seed), 10000 * unit(&seed));
            struct lw_ll b = lw_geodesic_to(frame.origin, 360 * unit(&seed), 10000 * unit(&seed));
            double s, error;

            lw_geodesic(a, b, &s, NULL);
            error = fabs(lw_en_distance(lw_frame_to_en(&frame, a), lw_frame_to_en(&frame, b)) - s);
            worst = fmax(worst, error);
            cr_expect_lt(error, 0.02);
        }
    }
    fprintf(stderr, "frame: worst pair error %.4f m\n", worst);
    cr_expect_gt(worst, 1e-4); /* no map is right everywhere: less would mean no test */
}

Test(point, known_positions)
{
    cr_expect(lw_ll_known((struct lw_ll){90, -180}));
    cr_expect_not(lw_ll_known((struct lw_ll){90.1, 0}));
    cr_expect_not(lw_ll_known((struct lw_ll){0, 180.1}));
    cr_expect_not(lw_ll_known((struct lw_ll){NAN, 0}));
    cr_expect_not(lw_ll_known((struct lw_ll){0, INFINITY}));
}

Test(point, bearings)
{
    struct lw_en o = {0, 0};

    cr_expect_float_eq(lw_en_bearing(o, (struct lw_en){1, 1}), 45, 1e-12);
    cr_expect_float_eq(lw_en_bearing(o, (struct lw_en){-1, 0}), 270, 1e-12);
    cr_expect_float_eq(lw_en_step(o, 120, 2).n_m, -1, 1e-12);
    cr_expect_eq(lw_bearing_wrap(360), 0);
    cr_expect_eq(lw_bearing_wrap(-1e-20), 0);
    cr_expect_eq(lw_bearing_wrap(-90), 270);
    cr_expect_eq(lw_bearing_wrap(725), 5);
    cr_expect(isnan(lw_bearing_wrap(NAN)));
    cr_expect_eq(lw_bearing_turn(350, 10), 20);
    cr_expect_eq(lw_bearing_turn(10, 350), -20);
    cr_expect_eq(lw_bearing_turn(0, 180), 180);
    cr_expect_eq(lw_bearing_turn(180, 0), 180);
}

Test(point, clock_directions)
{
    cr_expect_eq(lw_bearing_clock(0, 0), 12);
    cr_expect_eq(lw_bearing_clock(90, 30), 10);
    cr_expect_eq(lw_bearing_clock(350, 20), 1);
    cr_expect_eq(lw_bearing_clock(350, 336), 12);
    cr_expect_eq(lw_bearing_clock(0, 179), 6);
    cr_expect_eq(lw_bearing_clock(0, 14.9), 12);
    cr_expect_eq(lw_bearing_clock(0, 15.1), 1);
}
