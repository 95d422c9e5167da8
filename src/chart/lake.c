/* Picking one lake. */
#include "lake.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lake_name.h"
#include "lipwalk/base/text.h"
#include "lipwalk/geo/line.h"

#define NEAR_MAX_M   5000.0 /* a place this far from every contour is on no lake of the map */
#define GROW_MAX     12
#define MARGIN_M     50.0
#define CLOSED_GAP_M 0.5

/* How a feature lies to the place: inside a ring of it (with its area), or how far off. */
struct standing {
    double area_m2; /* of the largest ring about the place; 0: none */
    double dist_m;
};

static int stand(const struct lw_raw_feature *feature, struct lw_ll at, struct standing *out)
{
    struct lw_frame frame = {at};

    *out = (struct standing){0, INFINITY};
    for (size_t i = 0; i < feature->parts; i++) {
        struct lw_line line;
        struct lw_near near;

        if (lw_raw_part_line(&feature->part[i], &frame, CLOSED_GAP_M, &line)) {
            lw_line_free(&line);
            return -1;
        }
        near = lw_line_nearest(&line, (struct lw_en){0, 0});
        out->dist_m = fmin(out->dist_m, near.dist_m);
        if (line.closed && lw_line_contains(&line, (struct lw_en){0, 0}))
            out->area_m2 = fmax(out->area_m2, fabs(lw_line_area(&line)));
        lw_line_free(&line);
    }
    return 0;
}

/* The feature with the largest ring about the place, else the nearest one; SIZE_MAX for none. */
static int find_seed(const struct lw_raw *raw, const bool *may, struct lw_ll at, size_t *seed,
                     struct standing *how, struct lw_error *err)
{
    *seed = SIZE_MAX;
    *how = (struct standing){0, INFINITY};
    for (size_t i = 0; i < raw->features; i++) {
        struct standing s;

        if (may && !may[i])
            continue;
        if (stand(&raw->feature[i], at, &s))
            return lw_fail(err, "out of memory while looking for the lake");
        if (s.area_m2 > how->area_m2 ||
            (how->area_m2 == 0 && s.area_m2 == 0 && s.dist_m < how->dist_m)) {
            *how = s;
            *seed = i;
        }
    }
    return 0;
}

static bool *match_name(const struct lw_raw *raw, const struct lw_lake_name *how,
                        const char *wanted)
{
    bool *may = calloc(raw->features + 1, sizeof *may);
    bool any = false;

    for (int whole = 1; may && whole >= 0 && !any; whole--)
        for (size_t i = 0; i < raw->features; i++) {
            may[i] = lw_lake_name_matches(how, raw, i, wanted, whole);
            any = any || may[i];
        }
    return may;
}

static struct lw_box grown(struct lw_box box, double margin_m)
{
    struct lw_ll middle = {(box.lat_min + box.lat_max) / 2, (box.lon_min + box.lon_max) / 2};
    struct lw_box m = lw_box_about(middle, margin_m);
    double dlat = (m.lat_max - m.lat_min) / 2, dlon = (m.lon_max - m.lon_min) / 2;

    return (struct lw_box){box.lat_min - dlat, box.lat_max + dlat, box.lon_min - dlon,
                           box.lon_max + dlon};
}

/* Reads around `at`, wider until there is something. */
static int read_seed(struct lw_reader *reader, const struct lw_import_options *options,
                     struct lw_raw *raw, size_t *seed, struct lw_error *err)
{
    struct standing how = {0, INFINITY};

    for (double half_m = 150; half_m <= 4 * NEAR_MAX_M; half_m *= 4) {
        struct lw_box box = lw_box_about(options->at, half_m);

        if (lw_reader_read(reader, &box, true, raw, err) ||
            find_seed(raw, NULL, options->at, seed, &how, err))
            return -1;
        /* Only what is nearer than the box's half is surely the nearest. */
        if (*seed != SIZE_MAX && (how.area_m2 > 0 || how.dist_m <= half_m))
            break;
    }
    if (*seed == SIZE_MAX || (how.area_m2 == 0 && how.dist_m > NEAR_MAX_M))
        return lw_fail(
            err,
            "%s has no contour within %.0f km of %.5f,%.5f: check --at (latitude first), "
            "or --crs",
            options->map[0].path, NEAR_MAX_M / 1000, options->at.lat_deg, options->at.lon_deg);
    return 0;
}

/* The features of the seed's lake: by its key, or, where the map names no lakes, all that lie in
 * the box of the ring about the place (what is not in that water falls away later, when rings are
 * known). The box grows until no more of the lake comes in. */
static int read_about(struct lw_reader *reader, const struct lw_import_options *options,
                      struct lw_raw *raw, size_t seed, char name[64], struct lw_error *err)
{
    struct lw_lake_name how = lw_lake_name_find(raw);
    const char *found = lw_lake_name_of(&how, raw, seed);
    char key[128] = "";
    struct lw_box box = lw_raw_feature_box(&raw->feature[seed]), before;
    bool *keep = NULL;

    if (found)
        lw_text_copy(key, sizeof key, found);
    lw_lake_name_print(&how, raw, seed, name);
    for (int round = 0; round < GROW_MAX; round++) {
        struct standing standing;
        struct lw_box wide = grown(box, MARGIN_M);

        before = box;
        if (lw_reader_read(reader, &wide, true, raw, err))
            return -1;
        free(keep);
        keep = calloc(raw->features + 1, sizeof *keep);
        if (!keep)
            return lw_fail(err, "out of memory while looking for the lake");
        how = lw_lake_name_find(raw);
        for (size_t i = 0; i < raw->features; i++) {
            const char *text = lw_lake_name_of(&how, raw, i);

            keep[i] = !*key || (text && strcasecmp(text, key) == 0);
            if (keep[i] && *key)
                lw_box_add(&box, lw_raw_feature_box(&raw->feature[i]));
        }
        if (!*key) {
            if (find_seed(raw, NULL, options->at, &seed, &standing, err)) {
                free(keep);
                return -1;
            }
            if (seed != SIZE_MAX && standing.area_m2 > 0)
                box = lw_raw_feature_box(&raw->feature[seed]);
            else /* pieces of lines: whatever touches what is here */
                for (size_t i = 0; i < raw->features; i++)
                    lw_box_add(&box, lw_raw_feature_box(&raw->feature[i]));
        }
        if (lw_box_contains(before, box))
            break;
    }
    lw_raw_keep(raw, keep);
    free(keep);
    return 0;
}

static int read_named(struct lw_reader *reader, const struct lw_import_options *options,
                      struct lw_raw *raw, char name[64], struct lw_error *err)
{
    struct lw_lake_name how;
    char list[400];
    bool *keep;
    size_t lakes, kept = SIZE_MAX;

    if (lw_reader_read(reader, NULL, true, raw, err))
        return -1;
    how = lw_lake_name_find(raw);
    if (how.key < 0)
        return lw_fail(err,
                       "%s has no attribute with lake names: give --at LAT,LON instead of "
                       "--lake",
                       options->map[0].path);
    keep = match_name(raw, &how, options->lake);
    if (!keep)
        return lw_fail(err, "out of memory while looking for the lake");
    for (size_t i = 0; i < raw->features && kept == SIZE_MAX; i++)
        if (keep[i])
            kept = i;
    if (kept == SIZE_MAX) {
        free(keep);
        lw_lake_name_list(&how, raw, NULL, list, sizeof list);
        return lw_fail(err, "%s has no lake %s; it has %s", options->map[0].path, options->lake, list);
    }
    lakes = lw_lake_name_list(&how, raw, keep, list, sizeof list);
    if (lakes > 1 && lw_ll_known(options->at)) {
        struct standing standing;

        if (find_seed(raw, keep, options->at, &kept, &standing, err)) {
            free(keep);
            return -1;
        }
        for (size_t i = 0; i < raw->features; i++)
            keep[i] = keep[i] && strcasecmp(lw_lake_name_of(&how, raw, i),
                                            lw_lake_name_of(&how, raw, kept)) == 0;
    } else if (lakes > 1) {
        free(keep);
        return lw_fail(err, "%s has %zu lakes that fit %s (%s): choose one with --at LAT,LON",
                       options->map[0].path, lakes, options->lake, list);
    }
    lw_lake_name_print(&how, raw, kept, name);
    lw_raw_keep(raw, keep);
    free(keep);
    return 0;
}

static int read_only_lake(struct lw_reader *reader, const struct lw_import_options *options,
                          struct lw_raw *raw, char name[64], struct lw_error *err)
{
    struct lw_lake_name how;
    char list[400];
    size_t lakes;

    if (lw_reader_read(reader, NULL, false, raw, err))
        return -1;
    how = lw_lake_name_find(raw);
    lakes = lw_lake_name_list(&how, raw, NULL, list, sizeof list);
    if (lakes > 1)
        return lw_fail(err, "%s holds %zu lakes (%s): choose one with --lake NAME or --at LAT,LON",
                       options->map[0].path, lakes, list);
    if (lw_reader_read(reader, NULL, true, raw, err))
        return -1;
    if (raw->features)
        lw_lake_name_print(&how, raw, 0, name);
    return 0;
}

int lw_lake_read(struct lw_reader *reader, const struct lw_import_options *options,
                 struct lw_raw *raw, char name[64], struct lw_error *err)
{
    size_t seed = SIZE_MAX;
    int status;

    lw_text_copy(name, 64, "");
    if (options->lake)
        status = read_named(reader, options, raw, name, err);
    else if (lw_ll_known(options->at))
        status = read_seed(reader, options, raw, &seed, err) ||
                         read_about(reader, options, raw, seed, name, err)
                     ? -1
                     : 0;
    else
        status = read_only_lake(reader, options, raw, name, err);
    if (status)
        return -1;
    if (raw->features == 0)
        return lw_fail(err,
                       "%s holds no contour lines or polygons%s: points, tables and solids are not "
                       "read as contours",
                       options->map[0].path, raw->skipped ? " (only other geometry)" : "");
    return 0;
}
