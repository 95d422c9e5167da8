/* Reading the plan file: every missing or wrong member is named. */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "lipwalk/plan/file.h"
#include "number_table.h"
#include "steps.h"

#define FARTHEST_M                                                                                 \
    200e3 /* of any position from the frame's origin: a swapped lat/lon is farther                 \
           */

struct reader {
    const char *path;
    struct lw_error *err;
    struct lw_plan *plan;
    size_t feature; /* from 1; 0 while in the lipwalk member */
    const char *role;
    size_t station_cap, cast_cap, detour_cap, made_cap;
};

/* "plan.geojson: feature 12 (cast) wants ...". */
static int wrong(const struct reader *r, const char *member, const char *wanted)
{
    if (r->feature == 0)
        return lw_fail(r->err, "%s: the lipwalk member's \"%s\" is missing or is not %s", r->path,
                       member, wanted);
    return lw_fail(r->err, "%s: feature %zu (%s): its \"%s\" is missing or is not %s", r->path,
                   r->feature, r->role, member, wanted);
}

static int get_number(const struct reader *r, const json_t *object, const char *name, double min,
                      double max, bool nullable, double *out)
{
    json_t *value = json_object_get(object, name);

    if (nullable && json_is_null(value)) {
        *out = NAN;
        return 0;
    }
    *out = json_number_value(value);
    if (!json_is_number(value) || !(*out >= min && *out <= max))
        return wrong(r, name, nullable ? "a number in range, or null" : "a number in range");
    return 0;
}

static int get_count(const struct reader *r, const json_t *object, const char *name, int *out)
{
    json_t *value = json_object_get(object, name);

    if (!json_is_integer(value) || json_integer_value(value) < 1 ||
        json_integer_value(value) > 10000000)
        return wrong(r, name, "a whole number from 1");
    *out = (int)json_integer_value(value);
    return 0;
}

static int get_bool(const struct reader *r, const json_t *object, const char *name, bool *out)
{
    json_t *value = json_object_get(object, name);

    if (!json_is_boolean(value))
        return wrong(r, name, "true or false");
    *out = json_is_true(value);
    return 0;
}

static int get_text(const struct reader *r, const json_t *object, const char *name, char *to,
                    size_t size)
{
    const char *text = json_string_value(json_object_get(object, name));

    if (!text)
        return wrong(r, name, "a text");
    lw_text_clean(to, size, text);
    return 0;
}

static int get_position(const struct reader *r, const json_t *pair, struct lw_en *out)
{
    const json_t *lon = json_array_get(pair, 0), *lat = json_array_get(pair, 1);
    struct lw_ll at = {json_number_value(lat), json_number_value(lon)};

    if (!json_is_number(lon) || !json_is_number(lat) || !lw_ll_known(at))
        return wrong(r, "coordinates", "longitude and latitude in degrees");
    *out = lw_frame_to_en(&r->plan->frame, at);
    if (hypot(out->e_m, out->n_m) > FARTHEST_M)
        return wrong(r, "coordinates", "within 200 km of the plan's frame_origin");
    return 0;
}

static int get_line(const struct reader *r, const json_t *list, struct lw_line *out)
{
    size_t n = json_array_size(list);

    if (n < 2)
        return wrong(r, "coordinates", "a list of two or more positions");
    for (size_t i = 0; i < n; i++) {
        struct lw_en at;

        if (get_position(r, json_array_get(list, i), &at))
            return -1;
        if (lw_line_add(out, at))
            return lw_fail(r->err, "%s: memory ran out", r->path);
    }
    if (out->closed && (n < 4 || lw_en_distance(out->p[0], out->p[n - 1]) > 1e-3))
        return wrong(r, "coordinates", "a ring that ends where it starts");
    return 0;
}

static int add_line(const struct reader *r, struct lw_lines *to, const json_t *coordinates,
                    bool closed)
{
    struct lw_line line = {.closed = closed};

    int rc = get_line(r, coordinates, &line);

    if (rc == 0 && lw_lines_take(to, &line))
        rc = lw_fail(r->err, "%s: memory ran out", r->path);
    lw_line_free(&line); /* nothing is left in it once taken */
    return rc;
}

static int read_edge(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    if (r->plan->edge.n > 0)
        return lw_fail(r->err, "%s: feature %zu is a second edge; a plan has one", r->path,
                       r->feature);
    if (get_bool(r, properties, "closed", &r->plan->edge.closed))
        return -1;
    return get_line(r, coordinates, &r->plan->edge);
}

static int read_hold(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    bool closed = false;

    if (get_bool(r, properties, "closed", &closed))
        return -1;
    return add_line(r, &r->plan->hold, coordinates, closed);
}

static int read_belt(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    (void)properties;
    for (size_t i = 0; i < json_array_size(coordinates); i++)
        if (add_line(r, &r->plan->belt, json_array_get(coordinates, i), true))
            return -1;
    return 0;
}

static int read_station(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    struct lw_plan *plan = r->plan;
    struct lw_station *station;

    if (lw_array_room(&plan->station, plan->stations, &r->station_cap))
        return lw_fail(r->err, "%s: memory ran out", r->path);
    station = &plan->station[plan->stations++];
    *station = (struct lw_station){0};
    return get_count(r, properties, "order", &station->order) ||
                   get_number(r, properties, "along_m", -1e6, 1e6, false, &station->along_m) ||
                   get_position(r, coordinates, &station->at)
               ? -1
               : 0;
}

static int read_cast(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    struct lw_plan *plan = r->plan;
    struct lw_cast *cast;

    if (lw_array_room(&plan->cast, plan->casts, &r->cast_cap))
        return lw_fail(r->err, "%s: memory ran out", r->path);
    cast = &plan->cast[plan->casts++];
    *cast = (struct lw_cast){0};
    if (get_count(r, properties, "station", &cast->station) ||
        get_count(r, properties, "order", &cast->order) ||
        get_number(r, properties, "bearing_deg", 0, 360, false, &cast->bearing_deg) ||
        get_number(r, properties, "length_m", 0, 1e4, false, &cast->length_m) ||
        get_number(r, properties, "landing_depth_m", -1e5, 1e5, true, &cast->landing_depth_m) ||
        get_bool(r, properties, "crosses_edge", &cast->crosses_edge) ||
        get_number(r, properties, "lip_m", 0, 1e4, true, &cast->facts.lip_m) ||
        get_number(r, properties, "belt_s", 0, 1e6, true, &cast->facts.belt_s) ||
        get_number(r, properties, "count_s", 0, 1e6, true, &cast->facts.count_s) ||
        get_number(r, properties, "least_depth_m", -1e5, 1e5, true, &cast->facts.least_m) ||
        get_number(r, properties, "most_depth_m", -1e5, 1e5, true, &cast->facts.most_m))
        return -1;
    if (json_array_size(coordinates) != 2)
        return wrong(r, "coordinates", "two positions, station and landing");
    return get_position(r, json_array_get(coordinates, 0), &cast->from) ||
                   get_position(r, json_array_get(coordinates, 1), &cast->to)
               ? -1
               : 0;
}

static int read_detour(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    struct lw_plan *plan = r->plan;
    struct lw_detour *d;
    double after;
    char why[32];

    if (lw_array_room(&plan->detour, plan->detours, &r->detour_cap))
        return lw_fail(r->err, "%s: memory ran out", r->path);
    d = &plan->detour[plan->detours++];
    *d = (struct lw_detour){.why = LW_DETOUR_WHYS};
    if (get_text(r, properties, "why", why, sizeof why) ||
        get_text(r, properties, "words", d->words, sizeof d->words) ||
        get_number(r, properties, "from_m", -1e6, 1e6, false, &d->from_m) ||
        get_number(r, properties, "to_m", -1e6, 1e6, false, &d->to_m) ||
        get_number(r, properties, "after", 0, 1e6, false, &after) ||
        get_number(r, properties, "length_m", 0, 1e6, true, &d->length_m))
        return -1;
    for (int i = 0; i < LW_DETOUR_WHYS; i++)
        if (strcmp(why, lw_detour_name((enum lw_detour_why)i)) == 0)
            d->why = (enum lw_detour_why)i;
    if (d->why == LW_DETOUR_WHYS)
        return wrong(r, "why", "a reason that this program knows");
    d->after = (int)after;
    return coordinates ? get_line(r, coordinates, &d->way) : 0;
}

static int read_made(struct reader *r, const json_t *properties, const json_t *coordinates)
{
    struct lw_plan *plan = r->plan;
    struct lw_made *made;

    if (lw_array_room(&plan->made, plan->mades, &r->made_cap))
        return lw_fail(r->err, "%s: memory ran out", r->path);
    made = &plan->made[plan->mades++];
    *made = (struct lw_made){.swath_m = NAN};
    if (get_number(r, properties, "swath_m", 0, 1e3, false, &made->swath_m))
        return -1;
    if (json_array_size(coordinates) != 2)
        return wrong(r, "coordinates", "two positions, station and landing");
    return get_position(r, json_array_get(coordinates, 0), &made->from) ||
                   get_position(r, json_array_get(coordinates, 1), &made->to)
               ? -1
               : 0;
}

static int read_feature(struct reader *r, const json_t *feature)
{
    static const struct {
        const char *role, *geometry;
        int (*read)(struct reader *r, const json_t *properties, const json_t *coordinates);
    } roles[] = {{"edge", "LineString", read_edge}, {"hold", "LineString", read_hold},
                 {"belt", "Polygon", read_belt},    {"station", "Point", read_station},
                 {"cast", "LineString", read_cast}, {"detour", "LineString", read_detour},
                 {"made", "LineString", read_made}};
    const json_t *properties = json_object_get(feature, "properties");
    const json_t *geometry = json_object_get(feature, "geometry");
    const char *role = json_string_value(json_object_get(properties, "role"));
    const char *type = json_string_value(json_object_get(geometry, "type"));

    for (size_t i = 0; role && i < sizeof roles / sizeof *roles; i++) {
        if (strcmp(role, roles[i].role) != 0)
            continue;
        r->role = roles[i].role;
        if (roles[i].read == read_detour && json_is_null(geometry))
            return read_detour(r, properties, NULL);
        if (!type || strcmp(type, roles[i].geometry) != 0)
            return lw_fail(r->err, "%s: feature %zu (%s): its geometry is not a %s", r->path,
                           r->feature, r->role, roles[i].geometry);
        return roles[i].read(r, properties, json_object_get(geometry, "coordinates"));
    }
    return 0; /* another program's feature */
}

static int read_origin(struct reader *r, const json_t *summary)
{
    const json_t *origin = json_object_get(summary, "frame_origin");
    struct lw_ll *to = &r->plan->frame.origin;

    if (get_number(r, origin, "lat_deg", -90, 90, false, &to->lat_deg) ||
        get_number(r, origin, "lon_deg", -180, 180, false, &to->lon_deg))
        return wrong(r, "frame_origin", "an object with lat_deg and lon_deg");
    return 0;
}

static int read_warnings(struct reader *r, const json_t *summary)
{
    const json_t *list = json_object_get(summary, "warnings");

    if (!json_is_array(list))
        return wrong(r, "warnings", "a list");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *text = json_string_value(json_array_get(list, i));

        if (!text)
            return wrong(r, "warnings", "a list of texts");
        lw_plan_warn(r->plan, "%s", text);
    }
    return 0;
}

static int read_summary(struct reader *r, const json_t *summary)
{
    struct lw_plan *plan = r->plan;
    double version, standoff_m;
    char side[8];

    if (!json_is_object(summary))
        return lw_fail(r->err,
                       "%s has no \"lipwalk\" member: it is no plan; make one with `lipwalk plan`",
                       r->path);
    if (get_number(r, summary, "version", 1, 1e6, false, &version))
        return -1;
    if (version < LW_PLAN_VERSION || version > LW_PLAN_VERSION)
        return lw_fail(r->err,
                       "%s is a plan of version %g, this program reads version %d; make the "
                       "plan again",
                       r->path, version, LW_PLAN_VERSION);
    if (get_text(r, summary, "lake", plan->lake, sizeof plan->lake) ||
        get_text(r, summary, "map", plan->map, sizeof plan->map) || read_origin(r, summary) ||
        get_number(r, summary, "standoff_m", -1000, 1000, false, &standoff_m) ||
        get_text(r, summary, "deep_side", side, sizeof side) ||
        get_bool(r, summary, "lip", &plan->params.lip) ||
        get_bool(r, summary, "backward", &plan->params.backward) || read_warnings(r, summary))
        return -1;
    if (strcmp(side, "left") != 0 && strcmp(side, "right") != 0)
        return wrong(r, "deep_side", "\"left\" or \"right\"");
    plan->deep_left = strcmp(side, "left") == 0;
    plan->params.hold_deep = standoff_m > 0;
    plan->params.standoff_m = fabs(standoff_m);
    for (size_t i = 0; i < LW_PLAN_NUMBERS; i++) {
        const struct lw_plan_number *n = &lw_plan_number[i];

        if (get_number(r, summary, n->name, n->min, n->max, n->nullable,
                       (double *)((char *)plan + n->offset)))
            return -1;
    }
    return 0;
}

static int station_order(const void *a, const void *b)
{
    const struct lw_station *x = a, *y = b;

    return (x->order > y->order) - (x->order < y->order);
}

static int cast_order(const void *a, const void *b)
{
    const struct lw_cast *x = a, *y = b;

    if (x->station != y->station)
        return x->station > y->station ? 1 : -1;
    return (x->order > y->order) - (x->order < y->order);
}

/* Orders stations and casts, gives each station its casts, and checks that the whole holds. */
static int tie(struct reader *r)
{
    struct lw_plan *plan = r->plan;
    size_t c = 0;

    if (plan->edge.n == 0)
        return lw_fail(r->err, "%s has no feature with the role \"edge\"; make the plan again",
                       r->path);
    if (plan->hold.n == 0)
        return lw_fail(r->err, "%s has no feature with the role \"hold\"; make the plan again",
                       r->path);
    if (!(plan->beat_to_m > plan->beat_from_m))
        return lw_fail(r->err, "%s: beat_to_m is not greater than beat_from_m", r->path);
    if (plan->stations)
        qsort(plan->station, plan->stations, sizeof *plan->station, station_order);
    if (plan->casts)
        qsort(plan->cast, plan->casts, sizeof *plan->cast, cast_order);
    for (size_t i = 0; i < plan->stations; i++) {
        struct lw_station *station = &plan->station[i];

        if (station->order != (int)i + 1)
            return lw_fail(r->err, "%s: stations are not numbered 1 to %zu, each once", r->path,
                           plan->stations);
        station->cast0 = c;
        while (c < plan->casts && plan->cast[c].station == station->order)
            c++;
        station->casts = c - station->cast0;
    }
    if (c < plan->casts)
        return lw_fail(r->err, "%s: a cast names station %d, which is not there", r->path,
                       plan->cast[c].station);
    return lw_plan_index(plan, r->err);
}

int lw_plan_read(const char *path, struct lw_plan **out, struct lw_error *err)
{
    struct reader r = {.path = path, .err = err, .plan = calloc(1, sizeof *r.plan)};
    json_error_t fault;
    json_t *root = NULL, *features;
    int rc = -1;

    *out = NULL;
    if (!r.plan)
        return lw_fail(err, "%s: memory ran out", path);
    root = json_load_file(path, JSON_REJECT_DUPLICATES, &fault);
    if (!root) {
        if (fault.line > 0)
            lw_fail(
                err,
                "%s, line %d: not JSON: %s; a plan is the GeoJSON file that `lipwalk plan --out "
                "NAME.geojson` writes",
                path, fault.line, fault.text);
        else
            lw_fail(err, "%s", fault.text); /* names the path and the reason */
        goto done;
    }
    if (read_summary(&r, json_object_get(root, "lipwalk")))
        goto done;
    features = json_object_get(root, "features");
    if (!json_is_array(features)) {
        lw_fail(err, "%s has no list \"features\"; make the plan again", path);
        goto done;
    }
    for (size_t i = 0; i < json_array_size(features); i++) {
        r.feature = i + 1;
        r.role = "?";
        if (read_feature(&r, json_array_get(features, i)))
            goto done;
    }
    if (tie(&r))
        goto done;
    *out = r.plan;
    r.plan = NULL;
    rc = 0;
done:
    json_decref(root);
    lw_plan_free(r.plan);
    return rc;
}
