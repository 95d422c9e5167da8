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
        if (line.n >= 2)
            near = lw_line_nearest(&line, (struct lw_en){0, 0});
        else
            near.dist_m = lw_en_distance(line.p[0], (struct lw_en){0, 0});
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

/* Reads around `at`, wider until there is something. */
static int read_seed(struct lw_reader *reader, const struct lw_import_options *options,
                     struct lw_raw *raw, size_t *seed, struct lw_error *err)
{
    struct standing how = {0, INFINITY};

    for (double half_m = 150; half_m <= 4 * NEAR_MAX_M; half_m *= 4) {
        struct lw_box box = lw_box_about(options->at, half_m);

        if (lw_reader_read(reader, &box, raw, err) ||
            find_seed(raw, NULL, options->at, seed, &how, err))
            return -1;
        /* Only what is nearer than the box's half is surely the nearest. */
        if (*seed != SIZE_MAX && (how.area_m2 > 0 || how.dist_m <= half_m))
            break;
    }
    if (*seed == SIZE_MAX || (how.area_m2 == 0 && how.dist_m > NEAR_MAX_M))
        return lw_fail(err,
                       "%s has no contour or sounding within %.0f km of %.5f,%.5f: check --at "
                       "(latitude first), "
                       "or --crs",
                       lw_reader_map(reader), NEAR_MAX_M / 1000, options->at.lat_deg,
                       options->at.lon_deg);
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
        struct lw_box wide = lw_box_grown(box, MARGIN_M);

        before = box;
        if (lw_reader_read(reader, &wide, raw, err))
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

/* Of several lakes that fit a name, the one at the place. */
static int settle_namesakes(const struct lw_lake_name *how, const struct lw_import_options *options,
                            struct lw_raw *raw, struct lw_error *err)
{
    struct standing standing;
    size_t at;
    bool *keep;

    if (find_seed(raw, NULL, options->at, &at, &standing, err) || at == SIZE_MAX)
        return at == SIZE_MAX ? 0 : -1;
    keep = calloc(raw->features + 1, sizeof *keep);
    if (!keep)
        return lw_fail(err, "out of memory while looking for the lake");
    for (size_t i = 0; i < raw->features; i++) {
        const char *own = lw_lake_name_of(how, raw, i), *its = lw_lake_name_of(how, raw, at);

        keep[i] = own && its && strcasecmp(own, its) == 0;
    }
    lw_raw_keep(raw, keep);
    free(keep);
    return 0;
}

/* First the names alone, then the features that bear the wanted one. */
static int read_named(struct lw_reader *reader, const struct lw_import_options *options,
                      struct lw_raw *raw, char name[64], struct lw_error *err)
{
    struct lw_raw names = {0};
    struct lw_lake_name how;
    char list[400];
    bool *keep = NULL, any = false;
    size_t lakes;
    int status = -1;

    if (lw_reader_scan(reader, lw_lake_name_may, &names, err))
        return -1;
    how = lw_lake_name_find(&names);
    if (how.key < 0) {
        lw_fail(err, "%s has no attribute with lake names: give --at LAT,LON instead of --lake",
                lw_reader_map(reader));
        status = LW_LAKE_UNNAMED;
        goto done;
    }
    keep = match_name(&names, &how, options->lake);
    if (!keep) {
        lw_fail(err, "out of memory while looking for the lake");
        goto done;
    }
    for (size_t i = 0; i < names.features; i++)
        any = any || keep[i];
    lakes = lw_lake_name_list(&how, &names, any ? keep : NULL, list, sizeof list);
    if (!any) {
        lw_fail(err, "%s has no lake %s; it has %s", lw_reader_map(reader), options->lake, list);
        status = LW_LAKE_UNNAMED;
        goto done;
    }
    if (lakes > 1 && !lw_ll_known(options->at)) {
        lw_fail(err, "%s has %zu lakes that fit %s (%s): choose one with --at LAT,LON",
                lw_reader_map(reader), lakes, options->lake, list);
        goto done;
    }
    if (lw_reader_fetch(reader, &names, keep, raw, err) ||
        (lakes > 1 && settle_namesakes(&how, options, raw, err)))
        goto done;
    if (raw->features)
        lw_lake_name_print(&how, raw, 0, name);
    status = 0;
done:
    free(keep);
    lw_raw_free(&names);
    return status;
}

static int read_only_lake(struct lw_reader *reader, struct lw_raw *raw, char name[64],
                          struct lw_error *err)
{
    struct lw_lake_name how;
    char list[400];
    size_t lakes;

    if (lw_reader_scan(reader, lw_lake_name_may, raw, err))
        return -1;
    how = lw_lake_name_find(raw);
    lakes = lw_lake_name_list(&how, raw, NULL, list, sizeof list);
    if (lakes > 1)
        return lw_fail(err, "%s holds %zu lakes (%s): choose one with --lake NAME or --at LAT,LON",
                       lw_reader_map(reader), lakes, list);
    if (lw_reader_read(reader, NULL, raw, err))
        return -1;
    if (raw->features)
        lw_lake_name_print(&how, raw, 0, name);
    return 0;
}

int lw_lake_read(struct lw_reader *reader, const struct lw_import_options *options,
                 const struct lw_box *place, struct lw_raw *raw, char name[64],
                 struct lw_error *err)
{
    size_t seed = SIZE_MAX;

    lw_text_copy(name, 64, "");
    if (place)
        return lw_reader_read(reader, place, raw, err);
    if (options->lake)
        return read_named(reader, options, raw, name, err);
    if (!lw_ll_known(options->at))
        return read_only_lake(reader, raw, name, err);
    return read_seed(reader, options, raw, &seed, err) ||
                   read_about(reader, options, raw, seed, name, err)
               ? -1
               : 0;
}
