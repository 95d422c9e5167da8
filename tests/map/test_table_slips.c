/* Soundings that are easily misread without a word: units mixed, several depths, gaps, systems. */
#include "lw_test.h"

#include <math.h>

#include "../../src/map/table.h"

#define GPX                                                                                        \
    "<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" version=\"1.1\" creator=\"x\"><trk><trkseg>"
#define ENDED "</trkseg></trk></gpx>"
#define POINT(lat, inside)                                                                         \
    "<trkpt lat=\"" lat "\" lon=\"-93.5\"><extensions>" inside "</extensions></trkpt>"

static char folder[300], path[600];
static struct lw_import_options options;
static struct lw_source source;
static struct lw_error err;

static void setup(void)
{
    lw_test_scratch(folder, sizeof folder);
    lw_import_options_clear(&options);
    options.maps = 1;
    options.map[0].path = path;
}

static void teardown(void)
{
    lw_source_free(&source);
}

static int read_text(const char *name, const char *text)
{
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fputs(text, file);
    fclose(file);
    lw_source_free(&source);
    err.text[0] = '\0';
    lw_source_start(&source, &options.map[0]);
    return lw_table_read(&options.map[0], &options, &source, &err);
}

static void depths_are(const char *name, const char *text, size_t n, const double *depth_m)
{
    cr_assert_eq(read_text(name, text), 0, "%s", err.text);
    cr_assert_eq(source.points, n, "%zu: %s", source.points, source.said);
    for (size_t i = 0; i < n; i++)
        cr_assert_float_eq(source.point[i].depth_m, depth_m[i], 1e-9, "%zu: %g", i,
                           source.point[i].depth_m);
}

static void refused(const char *name, const char *text, const char *why)
{
    cr_assert_eq(read_text(name, text), -1, "%s", source.said);
    cr_assert_not_null(strstr(err.text, why), "%s", err.text);
}

static bool warned(const char *what)
{
    for (int i = 0; i < source.warnings; i++)
        if (strstr(source.warning[i], what))
            return true;
    return false;
}

Test(table_slips, units_of_gpx_elements, .init = setup, .fini = teardown)
{
    depths_are("name.gpx",
               GPX POINT("45.5", "<depth_ft>10</depth_ft>") POINT("45.6", "<depth_ft>20</depth_ft>")
                   ENDED,
               2, (double[]){3.048, 6.096});
    depths_are("mixed.gpx",
               GPX POINT("45.5", "<depth unit=\"ft\">10</depth>")
                   POINT("45.6", "<depth unit=\"m\">4</depth>") POINT("45.7", "<depth>5</depth>")
                       ENDED,
               3, (double[]){3.048, 4, 5});
    cr_assert(warned("the depth of 1 point is read in a unit of its own"));
    options.map[0].depth_unit = "ft"; /* for those that say nothing */
    depths_are("mixed.gpx",
               GPX POINT("45.5", "<depth>10</depth>") POINT("45.6", "<depth unit=\"m\">4</depth>")
                   ENDED,
               2, (double[]){3.048, 4});
}

/* What is called "depth" is meant, wherever it stands; of others none is preferred. */
Test(table_slips, several_depths_in_gpx, .init = setup, .fini = teardown)
{
    depths_are("change.gpx",
               GPX POINT("45.5", "<max_depth>20</max_depth><Depth>3</Depth>"
                                 "<depth_change>0.1</depth_change>")
                   POINT("45.6", "<depth_change>0.1</depth_change><Depth>4</Depth>") ENDED,
               2, (double[]){3, 4});
    depths_are("late.gpx",
               GPX POINT("45.5", "<keel_depth>2</keel_depth>") POINT("45.6", "<depth>4</depth>")
                   ENDED,
               1, (double[]){4});
    depths_are("twice.gpx",
               GPX POINT("45.5", "<depth>2</depth><depth>99</depth>")
                   POINT("45.6", "<depth/><depth>4</depth>") ENDED,
               2, (double[]){2, 4});
    refused("two.gpx",
            GPX POINT("45.5", "<keel_depth>2</keel_depth><sea_depth>3</sea_depth>") ENDED,
            "both keel_depth and sea_depth");
    options.map[0].depth_field = "sea_depth";
    depths_are("two.gpx",
               GPX POINT("45.5", "<keel_depth>2</keel_depth><sea_depth>3</sea_depth>") ENDED, 1,
               (double[]){3});
}

Test(table_slips, units_of_single_rows, .init = setup, .fini = teardown)
{
    static const char text[] = "lat,lon,depth\n45.5,-93,2.5 m\n45.6,-93,10 ft\n45.7,-93,4\n";

    refused("mixed.csv", text, "does not say the unit of depth");
    options.map[0].depth_unit = "m";
    depths_are("mixed.csv", text, 3, (double[]){2.5, 3.048, 4});
    cr_assert(warned("the depth of 1 line is read in a unit of its own"));
}

/* A third of the rows without a depth is a poor day for the sounder, not a question of sign. */
Test(table_slips, gaps_are_no_negative_depths, .init = setup, .fini = teardown)
{
    depths_are("gaps.csv",
               "lat,lon,depth_m\n45.5,-93,2.5\n45.6,-93,-9999\n45.7,-93,4\n45.8,-93,1e308\n"
               "45.9,-93,-1e308\n45.9,-93,-32768\n",
               2, (double[]){2.5, 4});
    cr_assert_str_eq(source.sign, "positive down");
    cr_assert_eq(source.warnings, 1);
    cr_assert(warned("4 lines left out: no depth"));
    depths_are("zero.csv", "lat,lon,depth_m\n45.5,-93,-2.5\n45.6,-93,-0.0\n45.7,-93,0\n", 3,
               (double[]){2.5, 0, 0});
    cr_assert_not(signbit(source.point[1].depth_m));
}

/* 446000, 5117000 in EPSG:26915 is 46.2044339 N, 93.6999663 W (gdaltransform); northing first, the
 * same numbers would be a place where that zone is not in use. */
Test(table_slips, places_where_the_system_is_not_in_use, .init = setup, .fini = teardown)
{
    options.map[0].crs = "EPSG:26915";
    depths_are("north_first.csv", "5117000,446000,2.5m\n5117010,446010,3.5m\n5117020,446030,4.5m\n",
               3, (double[]){2.5, 3.5, 4.5});
    cr_assert_float_eq(source.point[0].at.lat_deg, 46.2044339, 1e-6, "%.7f",
                       source.point[0].at.lat_deg);
    cr_assert_float_eq(source.point[0].at.lon_deg, -93.6999663, 1e-6, "%.7f",
                       source.point[0].at.lon_deg);
    cr_assert(warned("columns 2 and 1 are taken as easting and northing"));
    refused("exchanged.csv",
            "easting,northing,depth_m\n5117000,446000,2.5\n5117010,446010,3.5\n"
            "5117020,446030,4.5\n",
            "outside the area");
}

Test(table_slips, degrees_and_minutes_are_shown, .init = setup, .fini = teardown)
{
    refused("dm.csv", "lat,lon,depth_m\n45 30.5,-93 10.2,2.5\n45 30.6,-93 10.2,3.5\n",
            "(\"45 30.6,-93 10.2,3.5\"): places in decimal degrees");
}
