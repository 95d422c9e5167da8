/* Maps of a bowl of known depth, in one or more files: the shore at 300 m, 0.02 of slope. */
#ifndef BOWL_TEST_H
#define BOWL_TEST_H

#include "map_test.h"

#define LAT 45.0
#define LON 15.0

static char folder[300], path[8][400];
static int paths;

static inline void setup(void)
{
    chart_test_folder(folder, sizeof folder);
    paths = 0;
}

static inline const char *named(const char *name)
{
    snprintf(path[paths], sizeof path[0], "%s/%s", folder, name);
    return path[paths++];
}

static inline struct lw_import_options files(int n)
{
    struct lw_import_options o;

    lw_import_options_clear(&o);
    for (int i = 0; i < n; i++)
        o.map[i].path = path[i];
    o.maps = n;
    return o;
}

static inline double bowl_m(double radius_m)
{
    return (300 - radius_m) * 0.02;
}

static inline void contours(const char *name, double from_m)
{
    FILE *file = chart_test_map(named(name));
    char text[60];

    for (double r = from_m; r > 0; r -= 50) {
        snprintf(text, sizeof text, "\"DEPTH_M\":%g", bowl_m(r));
        chart_test_ring(file, LAT, LON, r, text);
    }
    chart_test_map_end(file);
}

static inline void shore(const char *name, double radius_m, const char *properties)
{
    FILE *file = chart_test_map(named(name));

    chart_test_ring(file, LAT, LON, radius_m, properties);
    chart_test_map_end(file);
}

/* Soundings each 15 m, in a square about the lake; `slope` as told. */
static inline void soundings(const char *name, double least_m, double most_m)
{
    FILE *file = fopen(named(name), "w");

    cr_assert_not_null(file);
    fprintf(file, "lat,lon,depth_m\n");
    for (double e = -345; e <= 345; e += 15)
        for (double n = -345; n <= 345; n += 15) {
            double r = hypot(e, n);
            struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, atan2(e, n) * 180 / M_PI, r);

            if (r >= least_m && r <= most_m)
                fprintf(file, "%.8f,%.8f,%.3f\n", at.lat_deg, at.lon_deg, fabs(bowl_m(r)));
        }
    fclose(file);
}

static inline double depth_at(const struct lw_chart *chart, double bearing_deg, double radius_m)
{
    struct lw_ll at = lw_geodesic_to((struct lw_ll){LAT, LON}, bearing_deg, radius_m);

    return chart_test_depth(chart, at.lat_deg, at.lon_deg);
}

static inline struct lw_chart *read_well(const struct lw_import_options *o,
                                         struct lw_import_report *report)
{
    struct lw_chart *chart;
    struct lw_error err;

    cr_assert_eq(chart_test_read(o, &chart, report, &err), 0, "%s", err.text);
    return chart;
}

static inline void refused(const struct lw_import_options *o, const char *why)
{
    struct lw_import_report report;
    struct lw_chart *chart;
    struct lw_error err;

    cr_assert_eq(chart_test_read(o, &chart, &report, &err), -1);
    cr_assert_not_null(strstr(err.text, why), "%s", err.text);
}

#endif
