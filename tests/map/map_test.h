/* For the import's tests: a private cache, maps written on the spot. */
#ifndef CHART_TEST_H
#define CHART_TEST_H

#include "lw_test.h"

#include <math.h>

#include "lipwalk/map/import.h"

/* A scratch folder, in which the cache lies as well. */
static inline void chart_test_folder(char *to, size_t size)
{
    lw_test_scratch(to, size);
    cr_assert_eq(setenv("XDG_CACHE_HOME", to, 1), 0);
}

/* Imports and opens; on failure `chart` is NULL and err says why. */
static inline int chart_test_read(const struct lw_import_options *options, struct lw_chart **chart,
                                  struct lw_import_report *report, struct lw_error *err)
{
    *chart = NULL;
    err->text[0] = '\0';
    if (lw_chart_import(options, report, err)) {
        cr_assert_neq(err->text[0], '\0', "a failure says why");
        cr_assert_null(strchr(err->text, '\n'), "in one line");
        return -1;
    }
    return lw_chart_open(report->cache_path, chart, err);
}

static inline double chart_test_depth(const struct lw_chart *chart, double lat, double lon)
{
    return lw_chart_depth(chart, lw_frame_to_en(&chart->frame, (struct lw_ll){lat, lon}));
}

static inline bool chart_test_warned(const struct lw_import_report *report, const char *what)
{
    for (int i = 0; i < report->warnings; i++)
        if (strstr(report->warning[i], what))
            return true;
    return false;
}

/* Writing a GeoJSON map: circles about a place in degrees, with properties as JSON text. */
static inline FILE *chart_test_map(const char *path)
{
    FILE *file = fopen(path, "w");

    cr_assert_not_null(file);
    fprintf(file, "{\"type\":\"FeatureCollection\",\"features\":[");
    return file;
}

static inline void chart_test_map_end(FILE *file)
{
    fprintf(file, "]}");
    cr_assert_eq(fclose(file), 0);
}

/* The arc from_deg..to_deg of a circle, as a line; the whole as a polygon where `area`. */
static inline void chart_test_arc(FILE *file, double lat, double lon, double radius_m,
                                  double from_deg, double to_deg, bool area, const char *properties)
{
    int n = 72;

    if (ftell(file) > 60)
        fprintf(file, ",");
    fprintf(file,
            "\n{\"type\":\"Feature\",\"properties\":{%s},\"geometry\":{\"type\":\"%s\","
            "\"coordinates\":%s",
            properties, area ? "Polygon" : "LineString", area ? "[[" : "[");
    for (int k = 0; k <= n; k++) {
        double turn = from_deg + (to_deg - from_deg) * (area && k == n ? 0 : k) / n;
        struct lw_ll at = lw_geodesic_to((struct lw_ll){lat, lon}, turn, radius_m);

        fprintf(file, "%s[%.8f,%.8f]", k ? "," : "", at.lon_deg, at.lat_deg);
    }
    fprintf(file, "%s}}", area ? "]]" : "]");
}

static inline void chart_test_ring(FILE *file, double lat, double lon, double radius_m,
                                   const char *properties)
{
    chart_test_arc(file, lat, lon, radius_m, 0, 360, true, properties);
}

#endif
