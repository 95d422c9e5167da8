/* Writing the plan file, a feature a line so that two plans can be compared by eye.
 *
 * Positions are rounded to 1e-10 degrees (0.01 mm) and every number is printed with 15 digits: both
 * survive reading and writing again, so that the second file equals the first. For the same reason
 * nothing is written that would be computed from positions (a length). */
#include "lipwalk/plan/file.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lipwalk/base/save.h"
#include "number_table.h"

#define PER_DEGREE 1e10
#define JSON_STYLE (JSON_COMPACT | JSON_REAL_PRECISION(15))

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *position(const struct lw_plan *plan, struct lw_en at)
{
    struct lw_ll ll = lw_frame_to_ll(&plan->frame, at);

    return json_pack("[f, f]", round(ll.lon_deg * PER_DEGREE) / PER_DEGREE,
                     round(ll.lat_deg * PER_DEGREE) / PER_DEGREE);
}

static json_t *positions(const struct lw_plan *plan, const struct lw_line *line)
{
    json_t *all = json_array();

    for (size_t i = 0; i < line->n; i++)
        if (json_array_append_new(all, position(plan, line->p[i]))) {
            json_decref(all);
            return NULL;
        }
    return all;
}

struct writer {
    FILE *to;
    size_t features;
    bool failed;
};

static void put(struct writer *w, json_t *json)
{
    if (!json || json_dumpf(json, w->to, JSON_STYLE))
        w->failed = true;
    json_decref(json);
}

/* Takes both references; properties of NULL, or coordinates of NULL, mean that memory ran out.
 * geometry NULL: the feature has none. */
static void feature(struct writer *w, const char *geometry, json_t *coordinates, json_t *properties)
{
    fputs(w->features++ ? ",\n" : "\n", w->to);
    if (!geometry) {
        put(w,
            json_pack("{s:s, s:o, s:n}", "type", "Feature", "properties", properties, "geometry"));
        return;
    }
    put(w, json_pack("{s:s, s:o, s:{s:s, s:o}}", "type", "Feature", "properties", properties,
                     "geometry", "type", geometry, "coordinates", coordinates));
}

static void put_hold(struct writer *w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->hold.n; i++) {
        const struct lw_line *part = &plan->hold.line[i];

        feature(w, "LineString", positions(plan, part),
                json_pack("{s:s, s:i, s:b}", "role", "hold", "order", (int)i + 1, "closed",
                          part->closed));
    }
}

/* Outer rings come counter-clockwise, each followed by its clockwise holes: one polygon. */
static void put_belt(struct writer *w, const struct lw_plan *plan)
{
    size_t i = 0;

    while (i < plan->belt.n) {
        json_t *rings = json_array();

        do
            w->failed |= json_array_append_new(rings, positions(plan, &plan->belt.line[i++])) != 0;
        while (i < plan->belt.n && lw_line_area(&plan->belt.line[i]) < 0);
        feature(w, "Polygon", rings, json_pack("{s:s}", "role", "belt"));
    }
}

static void put_stations(struct writer *w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->stations; i++) {
        const struct lw_station *station = &plan->station[i];

        feature(w, "Point", position(plan, station->at),
                json_pack("{s:s, s:i, s:f, s:i}", "role", "station", "order", station->order,
                          "along_m", station->along_m, "casts", (int)station->casts));
    }
}

static void put_casts(struct writer *w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->casts; i++) {
        const struct lw_cast *cast = &plan->cast[i];

        feature(w, "LineString",
                json_pack("[o, o]", position(plan, cast->from), position(plan, cast->to)),
                json_pack("{s:s, s:i, s:i, s:f, s:f, s:o, s:b, s:o, s:o, s:o, s:o, s:o}", "role",
                          "cast", "station", cast->station, "order", cast->order, "bearing_deg",
                          cast->bearing_deg, "length_m", cast->length_m, "landing_depth_m",
                          number(cast->landing_depth_m), "crosses_edge", cast->crosses_edge,
                          "lip_m", number(cast->facts.lip_m), "belt_s", number(cast->facts.belt_s),
                          "count_s", number(cast->facts.count_s), "least_depth_m",
                          number(cast->facts.least_m), "most_depth_m", number(cast->facts.most_m)));
    }
}

/* A detour without a way is a feature without a geometry (RFC 7946, 3.2). */
static void put_detours(struct writer *w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->detours; i++) {
        const struct lw_detour *d = &plan->detour[i];
        json_t *properties = json_pack("{s:s, s:s, s:s, s:f, s:f, s:i, s:o}", "role", "detour",
                                       "why", lw_detour_name(d->why), "words", d->words, "from_m",
                                       d->from_m, "to_m", d->to_m, "after", d->after, "length_m",
                                       number(d->length_m));

        if (d->way.n >= 2)
            feature(w, "LineString", positions(plan, &d->way), properties);
        else
            feature(w, NULL, NULL, properties);
    }
}

static void put_made(struct writer *w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->mades; i++)
        feature(w, "LineString",
                json_pack("[o, o]", position(plan, plan->made[i].from),
                          position(plan, plan->made[i].to)),
                json_pack("{s:s, s:f}", "role", "made", "swath_m", plan->made[i].swath_m));
}

static json_t *summary(const struct lw_plan *plan)
{
    const struct lw_plan_params *params = &plan->params;
    json_t *warnings = json_array(), *all;

    for (int i = 0; i < plan->warnings; i++)
        json_array_append_new(warnings, json_string(plan->warning[i]));
    all = json_pack("{s:i, s:s, s:s, s:{s:f, s:f}, s:f, s:s, s:i, s:i, s:b, s:b, s:o}", "version",
                    LW_PLAN_VERSION, "lake", plan->lake, "map", plan->map, "frame_origin",
                    "lat_deg", plan->frame.origin.lat_deg, "lon_deg", plan->frame.origin.lon_deg,
                    "standoff_m", params->hold_deep ? params->standoff_m : -params->standoff_m,
                    "deep_side", plan->deep_left ? "left" : "right", "stations",
                    (int)plan->stations, "casts", (int)plan->casts, "lip", params->lip, "backward",
                    params->backward, "warnings", warnings);
    for (size_t i = 0; all && i < LW_PLAN_NUMBERS; i++)
        json_object_set_new(
            all, lw_plan_number[i].name,
            number(*(const double *)((const char *)plan + lw_plan_number[i].offset)));
    return all;
}

int lw_plan_write(const struct lw_plan *plan, const char *path, struct lw_error *err)
{
    char *text = NULL;
    size_t size = 0;
    struct writer w = {.to = open_memstream(&text, &size)};
    int rc = -1;

    if (!w.to)
        return lw_fail(err, "%s cannot be written: memory ran out", path);
    fputs("{\"type\":\"FeatureCollection\",\n\"lipwalk\":", w.to);
    put(&w, summary(plan));
    fputs(",\n\"features\":[", w.to);
    feature(&w, "LineString", positions(plan, &plan->edge),
            json_pack("{s:s, s:b}", "role", "edge", "closed", plan->edge.closed));
    put_hold(&w, plan);
    put_belt(&w, plan);
    put_stations(&w, plan);
    put_casts(&w, plan);
    put_detours(&w, plan);
    put_made(&w, plan);
    fputs("\n]}\n", w.to);
    if (fclose(w.to) || w.failed)
        lw_fail(err, "%s cannot be written: memory ran out, or a number of the plan is not finite",
                path);
    else
        rc = lw_file_save(path, 0666, text, size, err);
    free(text);
    return rc;
}
