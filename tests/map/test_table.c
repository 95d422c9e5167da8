/* Soundings in text and GPX: what agencies, loggers and spreadsheets write, and what is refused. */
#include "lw_test.h"

#include <math.h>

#include "../../src/map/table.h"
#include "../../src/map/table_rows.h"

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

static int read_it(void)
{
    int status;

    lw_source_free(&source);
    err.text[0] = '\0';
    lw_source_start(&source, &options.map[0]);
    status = lw_table_read(&options.map[0], &options, &source, &err);
    if (status) {
        cr_assert_gt(strlen(err.text), 20, "%s", err.text);
        cr_assert_null(strchr(err.text, '\n'), "one line: %s", err.text);
    } else {
        cr_assert_gt(source.points, 0);
    }
    return status;
}

/* Writes `n` bytes of text as a file of that name and reads it. */
static int read_bytes(const char *name, const char *text, size_t n)
{
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "wb");
    cr_assert_not_null(file);
    cr_assert_eq(fwrite(text, 1, n, file), n);
    fclose(file);
    return read_it();
}

static int read_text(const char *name, const char *text)
{
    return read_bytes(name, text, strlen(text));
}

static void read_well(const char *name, const char *text, size_t points)
{
    cr_assert_eq(read_text(name, text), 0, "%s", err.text);
    cr_assert_eq(source.points, points, "%zu: %s", source.points, source.said);
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

static void is_point(size_t i, double lat, double lon, double depth_m)
{
    cr_assert_lt(i, source.points);
    cr_assert_float_eq(source.point[i].at.lat_deg, lat, 1e-7, "%.7f", source.point[i].at.lat_deg);
    cr_assert_float_eq(source.point[i].at.lon_deg, lon, 1e-7, "%.7f", source.point[i].at.lon_deg);
    cr_assert_float_eq(source.point[i].depth_m, depth_m, 1e-9, "%g", source.point[i].depth_m);
}

/* 1,039 rows, -11.07 to -0.48 (awk over the file); the header says y,x,z and no unit. */
Test(table, a_lake_survey, .init = setup, .fini = teardown)
{
    lw_test_data(path, sizeof path, "soundings/227_LA.csv");
    cr_assert_eq(read_it(), -1);
    cr_assert_not_null(strstr(err.text, "unit of z (-11.07 to -0.48)"), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "--depth-unit m"), "%s", err.text);
    options.map[0].depth_unit = "m";
    cr_assert_eq(read_it(), 0, "%s", err.text);
    cr_assert_eq(source.points, 1039);
    is_point(0, 49.66621, -93.74006, 2.59);
    cr_assert_not_null(strstr(source.said, "0.48 to 11.07 m"), "%s", source.said);
    cr_assert_not_null(strstr(source.said, "negative below the water"));
}

/* 880 rows of ten columns, 16 of them without a depth, 10 empty (awk over the file). */
Test(table, a_log_without_header_and_line_feeds, .init = setup, .fini = teardown)
{
    lw_test_data(path, sizeof path, "tracks/track-depth-2010_1_13.txt");
    cr_assert_eq(read_it(), -1);
    cr_assert_not_null(strstr(err.text, "9 (-61.4 to 51.6), 10 (2.2 to 17)"), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "--depth-field"), "%s", err.text);
    options.map[0].depth_field = "10";
    options.map[0].depth_unit = "m";
    cr_assert_eq(read_it(), 0, "%s", err.text);
    cr_assert_eq(source.points, 854);
    cr_assert(warned("16 lines left out"));
    cr_assert(warned("columns 8 and 7 are taken as longitude and latitude"));
    is_point(0, -37.04636, -73.5083, 3.3);
    options.at = (struct lw_ll){-37.05, -73.5};
    cr_assert_eq(read_it(), 0);
    cr_assert_not(warned("are taken as"));
    is_point(0, -37.04636, -73.5083, 3.3);
    options.at = (struct lw_ll){-73.5, -37.05}; /* the place settles the order */
    cr_assert_eq(read_it(), 0);
    is_point(0, -73.5083, -37.04636, 3.3);
}

Test(table, line_ends_marks_and_separators, .init = setup, .fini = teardown)
{
    static const char *const ends[] = {"\n", "\r\n", "\r"};
    static const char separators[] = ",;\t| ";

    for (int e = 0; e < 3; e++)
        for (const char *s = separators; *s; s++)
            for (int mark = 0; mark < 2; mark++) {
                char text[300];

                snprintf(
                    text, sizeof text, "%slat%clon%cDepth_ft%s49.5%c-93.7%c10%s49.6%c-93.6%c12.5%s",
                    mark ? "\xef\xbb\xbf" : "", *s, *s, ends[e], *s, *s, ends[e], *s, *s, ends[e]);
                read_well("a.csv", text, 2);
                is_point(1, 49.6, -93.6, 12.5 * 0.3048); /* NIST SP 811 */
                cr_assert_str_eq(source.unit_reason, "the name says feet");
            }
    read_well("b.csv", "lat,lon,depth_m\n49.5,-93.7,3", 1); /* no end of the last line */
}

Test(table, commas_as_decimal_points, .init = setup, .fini = teardown)
{
    read_well("a.csv", "lat;lon;depth_m\n49,5;-93,7;10,5\n49,6;-93,6;12,5\n", 2);
    is_point(0, 49.5, -93.7, 10.5);
    cr_assert(warned("commas are read as decimal points"));
}

Test(table, comments_quotes_blanks_and_extra_columns, .init = setup, .fini = teardown)
{
    read_well("a.csv",
              "# from a sounder\n// twice\n\n\"note\",\"lat\",\"lon\",\"depth_m\"\n"
              "\"a, \"\"b\"\" c\",49.5,-93.7,3.5\n\n   \n\"5' 3\"\" deep\",49.6,-93.6,4.5\n"
              "\"open,49.7,-93.5,5.5\nplain,49.8,-93.4,6.5\n",
              3);
    is_point(0, 49.5, -93.7, 3.5);
    is_point(2, 49.8, -93.4, 6.5); /* the stray quote cost its own line only */
    cr_assert(warned("1 line left out that could not be read, the first of them line 9"));
    read_well("b.xyz", "# lon lat depth_m\n-93.7 49.5  3.2\n -93.71\t49.51 4.2\n", 2);
    is_point(1, 49.51, -93.71, 4.2);
}

Test(table, gaps_and_receivers_without_a_fix, .init = setup, .fini = teardown)
{
    read_well("a.csv",
              "lat,lon,depth_m\n49.5,-93.7,3\n49.5,-93.7,NaN\n49.5,-93.7,\n49.5,-93.7,-9999\n"
              "0,0,4\n,,5\n49.6,-93.6,0\n",
              2);
    cr_assert(warned("5 lines left out: no depth or no place"));
    is_point(1, 49.6, -93.6, 0);
}

Test(table, units_with_the_values, .init = setup, .fini = teardown)
{
    read_well("a.csv", "lat,lon,z\n49.5,-93.7,3 ft\n49.6,-93.6,4.5 ft\n", 2);
    is_point(1, 49.6, -93.6, 4.5 * 0.3048);
    refused("b.csv", "lat,lon,z\n49.5,-93.7,3 ft\n49.6,-93.6,4.5 m\n", "--depth-unit");
    read_well("c.csv",
              "Latitude (deg),Longitude (deg),Water depth (m)\n49.5N,93.7W,3\n49.6N,93.6W,4\n", 2);
    is_point(0, 49.5, -93.7, 3);
}

Test(table, longitudes_of_0_to_360_and_the_south, .init = setup, .fini = teardown)
{
    read_well("a.csv", "lon,lat,depth_m\n266.3,-49.5,3\n266.2,-49.6,4\n", 2);
    is_point(0, -49.5, -93.7, 3);
    cr_assert(warned("beyond 180 are read as degrees west"));
    options.map[0].depth_unit = "m";
    read_well("b.xyz", "266.3 49.5 3.5\n266.2 49.6 4.25\n", 2); /* which is which shows */
    is_point(0, 49.5, -93.7, 3.5);
    cr_assert_not(warned("are taken as"));
}

Test(table, names_that_their_values_contradict, .init = setup, .fini = teardown)
{
    refused("a.csv", "lat,lon,depth_m\n523412.3,5512233.1,3\n523412.4,5512233.2,4\n",
            "line 2: column lat holds 523412.3, which is no latitude");
    refused("b.csv", "lat,lon,depth_m\n-93.7,49.5,3\n-93.71,49.52,4\n",
            "line 2: column lat holds -93.7, which is no latitude: it looks exchanged");
    refused("c.csv", "lat,lon,depth_m\n49.5,493.7,3\n49.6,493.6,4\n",
            "column lon holds 493.7, which is no longitude");
    refused("d.csv", "lat,lon,depth_m,lat\n49.5,-93.7,3,49.5\n49.6,-93.6,4,49.7\n",
            "two columns for the same thing, lat (column 1) and lat (column 4)");
    read_well("e.csv", "lat,lon,depth_m,lat\n49.5,-93.7,3,49.5\n49.6,-93.6,4,49.6\n", 2);
    refused("f.csv", "Depth_ft,lat,lon,Depth_m\n10,49.5,-93.7,10\n12,49.6,-93.6,12\n",
            "contradicts itself");
}

/* gdaltransform -s_srs EPSG:32615 -t_srs EPSG:4326 <<< "523412.3 5512233.1" */
Test(table, projected_places, .init = setup, .fini = teardown)
{
    const char *text = "easting,northing,depth_m\n523412.3,5512233.1,3\n523412.4,5512233.2,4\n";

    refused("a.csv", text, "give --crs with the EPSG code");
    options.map[0].crs = "EPSG:32615";
    read_well("a.csv", text, 2);
    is_point(0, 49.76211763, -92.67491951, 3);
    options.map[0].depth_unit = "m";
    read_well("b.xyz", "523412.3 5512233.1 3.5\n523412.4 5512233.2 4.25\n", 2);
    is_point(0, 49.76211763, -92.67491951, 3.5);
}

Test(table, no_table_at_all, .init = setup, .fini = teardown)
{
    static char noise[70000];

    refused("a.csv", "", "holds no rows");
    refused("b.csv", "lat,lon,depth_m\n", "no row with two plain numbers (\"lat,lon");
    refused("c.csv", "some words\nand more\n", "no table of soundings");
    refused("d.csv", "lat,lon,note\n49.5,-93.7,x\n49.6,-93.6,y\n", "no attribute with numbers");
    refused("e.csv", "name,value,depth_m\na,1.5,3\nb,2.5,4\n", "no columns for the place");
    refused("f.csv", "lat,lon,depth_m\n49.5,-93.7,3\nx,y,z\nx,y,z\n49.6,-93.6,4\nx,y,z\n",
            "3 of 5 lines cannot be read as soundings, the first of them line 3");
    refused("g.csv", "lat,lon,elev_m\n49.5,-93.7,301\n49.6,-93.6,302\n", "--water-level");
    cr_assert_eq(read_bytes("h.csv", "\xff\xfel\0a\0", 6), -1);
    cr_assert_not_null(strstr(err.text, "UTF-16"), "%s", err.text);
    cr_assert_eq(read_bytes("i.csv", "lat,lon\0,d\n1,2,3\n", 17), -1);
    cr_assert_not_null(strstr(err.text, "zero byte"), "%s", err.text);
    memset(noise, 'x', sizeof noise); /* one line longer than any that is kept whole */
    cr_assert_eq(read_bytes("j.csv", noise, sizeof noise), -1);
    memset(noise, ',', sizeof noise);
    cr_assert_eq(read_bytes("k.csv", noise, sizeof noise), -1);
    snprintf(path, sizeof path, "%s", folder);
    cr_assert_eq(read_it(), -1);
    cr_assert_not_null(strstr(err.text, "not a file"), "%s", err.text);
}

/* More rows than the sample that decides: what it could not see is still read and counted. */
Test(table, many_rows, .init = setup, .fini = teardown)
{
    FILE *file;

    snprintf(path, sizeof path, "%s/many.csv", folder);
    file = fopen(path, "w");
    fprintf(file, "lon,lat,depth_m\n");
    for (int i = 0; i < 50000; i++)
        fprintf(file, "%.6f,%.6f,%.2f\n", -93 + i * 1e-6, 45 + i * 1e-6, 1 + i * 1e-3);
    fprintf(file, "-93,45,oops\n");
    fclose(file);
    cr_assert_eq(read_it(), 0, "%s", err.text);
    cr_assert_eq(source.points, 50000);
    cr_assert_not_null(strstr(source.said, "1 to 51 m"), "%s", source.said);
    cr_assert(warned("line 50002 (\"oops\")"));
}

/* Every way of writing a number gives the double that C gives. */
Test(table, numbers_to_the_last_bit)
{
    static const char *const plain[] = {"0",
                                        "-0",
                                        "7",
                                        "-93.74006",
                                        "49.66621",
                                        ".5",
                                        "5.",
                                        "00012.5",
                                        "+3.25",
                                        "1e-3",
                                        "-1.5E2",
                                        "0.1",
                                        "-11.07",
                                        "123456789.123456",
                                        "99999999999999.9",
                                        "0.000000000000001",
                                        "1234567890123456789.5"};
    double value;
    int unit;

    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        cr_assert_eq(lw_field_value(plain[i], false, &value, &unit), LW_VALUE_NUMBER, "%s",
                     plain[i]);
        cr_assert_eq(value, strtod(plain[i], NULL), "%s: %.17g", plain[i], value);
    }
    for (int k = -3000; k < 3000; k++) {
        char text[32];

        snprintf(text, sizeof text, "%.6f", k * 0.0614159);
        cr_assert_eq(lw_field_value(text, false, &value, &unit), LW_VALUE_NUMBER);
        cr_assert_eq(value, strtod(text, NULL), "%s", text);
    }
    cr_assert_eq(lw_field_value("-", false, &value, &unit), LW_VALUE_GAP);
    cr_assert(isnan(value));
    cr_assert_eq(lw_field_value("1.2.3", false, &value, &unit), LW_VALUE_TEXT);
    cr_assert_eq(lw_field_value(".", false, &value, &unit), LW_VALUE_TEXT);
    cr_assert_eq(lw_field_value("2,5", true, &value, &unit), LW_VALUE_NUMBER);
    cr_assert_eq(value, 2.5);
    cr_assert_eq(lw_field_value("2,5", false, &value, &unit), LW_VALUE_TEXT);
}

/* One garbled row among many must not decide what the columns are. */
Test(table, a_slip_of_the_pen, .init = setup, .fini = teardown)
{
    for (int named = 0; named < 2; named++) {
        FILE *file;

        snprintf(path, sizeof path, "%s/slip.csv", folder);
        file = fopen(path, "w");
        fprintf(file, "%s", named ? "x,y,depth_m\n" : "");
        for (int i = 0; i < 100; i++)
            fprintf(file, "%.6f,%.6f,%.2f\n", i == 50 ? -93e9 : -93 + i * 1e-4,
                    i == 60 ? 4512.5 : 45 + i * 1e-4, i == 70 ? 1e7 : 1 + i * 0.1);
        fclose(file);
        options.map[0].depth_unit = "m";
        cr_assert_eq(read_it(), 0, "%s", err.text);
        cr_assert_eq(source.points, 97);
        is_point(0, 45, -93, 1);
        cr_assert(warned("2 lines left out for an impossible place"));
        cr_assert(warned("1 line left out: no depth"));
    }
}

#define GPX "<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" version=\"1.1\" creator=\"x\">"

Test(table, depths_in_gpx, .init = setup, .fini = teardown)
{
    read_well("a.gpx",
              GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><extensions><a:Depth "
                  "xmlns:a=\"urn:a\">2.5</a:Depth></extensions></wpt><trk><trkseg>"
                  "<trkpt lat=\"45.6\" lon=\"-93.6\"><ele>301</ele><extensions><b:p "
                  "xmlns:b=\"urn:b\"><b:depth>3.5</b:depth></b:p></extensions></trkpt>"
                  "<trkpt lat=\"45.7\" lon=\"-93.7\"/>"
                  "<trkpt lat=\"945.7\" lon=\"-93.7\"><extensions><depth>4</depth></extensions>"
                  "</trkpt></trkseg></trk></gpx>",
              2);
    is_point(0, 45.5, -93.5, 2.5);
    is_point(1, 45.6, -93.6, 3.5);
    cr_assert_str_eq(source.unit_reason, "GPX 1.1 counts lengths in metres");
    cr_assert(warned("1 point left out: no depth"));
    cr_assert(warned("point 4"));
    read_well("b.gpx",
              GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><extensions><depth unit=\"ft\">10</depth>"
                  "</extensions></wpt></gpx>",
              1);
    is_point(0, 45.5, -93.5, 3.048);
    options.map[0].depth_field = "ele";
    refused("c.gpx", GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><ele>12</ele></wpt></gpx>",
            "looks like elevations");
    read_well("d.gpx", GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><ele>-12</ele></wpt></gpx>", 1);
    is_point(0, 45.5, -93.5, 12);
}

/* 7 way points and 296 track points by `ogrinfo -al -so`; none has a depth. */
Test(table, gpx_without_depths, .init = setup, .fini = teardown)
{
    lw_test_data(path, sizeof path, "gpx/cerknicko-jezero.gpx");
    cr_assert_eq(read_it(), -1);
    cr_assert_not_null(strstr(err.text, "303 points but no depths"), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "--depth-field ele"), "%s", err.text);
}

/* Files that name others, or swell when they are put together. */
Test(table, hostile_gpx, .init = setup, .fini = teardown)
{
    char text[3000] = "<?xml version=\"1.0\"?><!DOCTYPE gpx [<!ENTITY a SYSTEM \"/etc/passwd\">"
                      "<!ENTITY b0 \"9999999999\">";

    for (int i = 1; i < 12; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text),
                 "<!ENTITY b%d \"&b%d;&b%d;&b%d;&b%d;&b%d;&b%d;&b%d;&b%d;\">", i, i - 1, i - 1,
                 i - 1, i - 1, i - 1, i - 1, i - 1, i - 1);
    strcat(text, "]>" GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><extensions><depth>&a;&b11;</depth>"
                 "</extensions></wpt></gpx>");
    cr_assert_eq(read_text("a.gpx", text), -1);
    cr_assert_null(strstr(err.text, "root:"), "%s", err.text);
    refused("b.gpx", GPX "<wpt lat=\"45.5\" lon=\"-93.5\"><ext", "damaged or no GPX");
    refused("c.gpx", "<kml><wpt lat=\"45.5\" lon=\"-93.5\"/></kml>", "root element is not gpx");
    refused("d.gpx", "lat,lon,depth_m\n1.5,2.5,3\n", "damaged or no GPX");
    refused("e.gpx", "", "damaged or no GPX");
}
