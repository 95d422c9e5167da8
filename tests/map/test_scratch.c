/* Which files belong to a map: a change in one must be noticed, a change in another must not. */
#include "lw_test.h"

#include "../../src/map/scratch.h"

static char folder[300];

static void write_file(const char *name, const char *text)
{
    char path[600];
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fputs(text, file);
    fclose(file);
}

static uint64_t key(const char *map)
{
    char path[600];
    struct lw_error err = {""};
    uint64_t hash = 0;

    snprintf(path, sizeof path, "%s/%s", folder, map);
    cr_assert_eq(lw_scratch_hash(path, &hash, &err), 0, "%s", err.text);
    return hash;
}

/* Whether the key changes when the file comes, and again when its content does. */
static bool counts(const char *map, const char *other)
{
    char path[600];
    uint64_t before, with, changed;

    write_file(map, "a map");
    before = key(map);
    write_file(other, "one");
    with = key(map);
    write_file(other, "two");
    changed = key(map);
    snprintf(path, sizeof path, "%s/%s", folder, other);
    unlink(path);
    cr_assert_eq(key(map), before);
    cr_assert_eq(before != with, with != changed, "%s beside %s", other, map);
    return before != with;
}

Test(scratch, files_that_belong)
{
    static const char *const pair[][2] = {
        {"lake.shp", "lake.dbf"},      {"lake.shp", "lake.SHX"},       {"lake.shp", "lake.cpg"},
        {"l.gpkg", "l.gpkg-wal"},      {"bed.tif", "bed.tfw"},         {"bed.tif", "bed.tifw"},
        {"bed.tif", "bed.prj"},        {"bed.tif", "bed.tif.aux.xml"}, {"bed.tif", "bed.tif.ovr"},
        {"bed.asc", "bed.prj"},        {"US5MN.000", "US5MN.001"},     {"US5MN.000", "US5MN.012"},
        {"points.csv", "points.csvt"}, {"bed.TIF", "bed.TFW"},         {"bed.img", "bed.igw"}};

    lw_test_scratch(folder, sizeof folder);
    for (size_t i = 0; i < sizeof pair / sizeof *pair; i++)
        cr_assert(counts(pair[i][0], pair[i][1]), "%s, %s", pair[i][0], pair[i][1]);
}

Test(scratch, files_that_do_not)
{
    static const char *const pair[][2] = {
        {"lake.geojson", "lake.shp"}, {"bed.tif", "bed2.tfw"},    {"bed.tif", "bed.tif.bak"},
        {"bed.tif", "bed.raw"},       {"US5MN.000", "US5MN.txt"}, {"US5MN.000", "US5WI.001"},
        {"lake.tif", "lake.jgw"},     {"l.gpkg", "l.draw"},       {"lake.shp", "lakes.dbf"}};

    lw_test_scratch(folder, sizeof folder);
    for (size_t i = 0; i < sizeof pair / sizeof *pair; i++)
        cr_assert_not(counts(pair[i][0], pair[i][1]), "%s, %s", pair[i][0], pair[i][1]);
}

Test(scratch, any_byte_counts_and_the_order)
{
    unsigned char data[40] = {0}, other[40] = {0};
    uint64_t plain = lw_hash_add(0, data, sizeof data);

    for (size_t i = 0; i < sizeof data; i++) {
        other[i] = 1;
        cr_assert_neq(lw_hash_add(0, other, sizeof other), plain, "byte %zu", i);
        cr_assert_neq(lw_hash_add(0, data, i), plain, "%zu bytes", i);
        other[i] = 0;
    }
    cr_assert_neq(lw_hash_add(lw_hash_add(0, "ab", 2), "c", 1),
                  lw_hash_add(lw_hash_add(0, "a", 1), "bc", 2));
}
