/* Lips as GeoJSON (RFC 7946), and as a table for people. */
#include "chart_lips.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "json_out.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/lip.h"

static json_t *position(const struct lw_chart *chart, struct lw_en at)
{
    struct lw_ll ll = lw_frame_to_ll(&chart->frame, at);

    return json_pack("[f,f]", ll.lon_deg, ll.lat_deg);
}

static double rounded(double value, double to) /* a millimetre is enough of a lip */
{
    return round(value / to) * to;
}

static json_t *lip_feature(const struct lw_chart *chart, const struct lw_lip *lip, size_t number)
{
    json_t *line = json_array(), *depths = json_array(), *sigmas = json_array();
    json_t *inferred = json_array();
    double foot_m = lip->depth_m + lip->drop_m;

    for (size_t k = 0; k < lip->n; k++) {
        json_array_append_new(line, position(chart, lip->p[k].at));
        json_array_append_new(depths, json_out_number(rounded(lip->p[k].depth_m, 1e-3)));
        json_array_append_new(sigmas, json_out_number(rounded(lip->p[k].sigma_m, 1e-2)));
        json_array_append_new(inferred, json_boolean(lip->p[k].inferred));
    }
    return json_pack(
        "{s:s,s:{s:s,s:I,s:s,s:b,s:b,s:s,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o},s:{s:s,s:o}}",
        "type", "Feature", "properties", "role", "lip", "lip", (json_int_t)number + 1, "kind",
        lw_lip_kind_name(lip->kind), "closed", (int)lip->closed, "inferred", (int)lip->inferred,
        "deep_side", "left", "length_m", json_out_number(lip->length_m), "depth_m",
        json_out_number(lip->depth_m), "foot_depth_m", json_out_number(foot_m), "drop_m",
        json_out_number(lip->drop_m), "slope_top", json_out_number(lip->slope_top), "slope_break",
        json_out_number(lip->slope_break), "sharpness_m", json_out_number(lip->sharpness_m),
        "sigma_m", json_out_number(lip->sigma_m), "depths_m", depths, "sigmas_m", sigmas,
        "inferred_at", inferred, "geometry", "type", "LineString", "coordinates", line);
}

static const char *place_name(const struct lw_lip_place *place)
{
    return place->inside_turn ? "inside turn" : "point";
}

static json_t *place_feature(const struct lw_chart *chart, const struct lw_lip_place *place)
{
    return json_pack("{s:s,s:{s:s,s:s,s:I,s:o,s:o,s:o,s:o},s:{s:s,s:o}}", "type", "Feature",
                     "properties", "role", "place", "kind", place_name(place), "lip",
                     (json_int_t)place->lip + 1, "radius_m", json_out_number(place->radius_m),
                     "turn_deg", json_out_number(place->turn_deg), "length_m",
                     json_out_number(place->length_m), "along_m", json_out_number(place->along_m),
                     "geometry", "type", "Point", "coordinates", position(chart, place->at));
}

static int save(const struct lw_chart *chart, const struct lw_lips *lips, const char *path,
                struct lw_error *err)
{
    json_t *features = json_array(), *all;
    char *text;
    int status;

    for (size_t i = 0; i < lips->lips; i++)
        json_array_append_new(features, lip_feature(chart, &lips->lip[i], i));
    for (size_t i = 0; i < lips->places; i++)
        json_array_append_new(features, place_feature(chart, &lips->place[i]));
    all = json_pack("{s:s,s:o}", "type", "FeatureCollection", "features", features);
    text = all ? json_dumps(all, JSON_REAL_PRECISION(10)) : NULL;
    json_decref(all);
    status = text ? lw_file_save(path, 0666, text, strlen(text), err)
                  : lw_fail(err, "out of memory");
    free(text);
    return status;
}

/* What lies along it: "ring, 2 points, 1 inside turn". */
static void along(char *to, size_t size, const struct lw_lips *lips, size_t number)
{
    int points = 0, turns = 0;

    *to = '\0';
    for (size_t i = 0; i < lips->places; i++)
        if (lips->place[i].lip == number) {
            points += !lips->place[i].inside_turn;
            turns += lips->place[i].inside_turn;
        }
    if (lips->lip[number].closed)
        lw_text_add(to, size, "ring");
    if (points)
        lw_text_add(to, size, "%s%d point%s", *to ? ", " : "", points, points == 1 ? "" : "s");
    if (turns)
        lw_text_add(to, size, "%s%d inside turn%s", *to ? ", " : "", turns, turns == 1 ? "" : "s");
}

/* A row of the table; it fits into 80 columns. */
static void say_lip(const struct lw_lips *lips, size_t number, const struct lw_lips_words *words)
{
    const struct lw_lip *lip = &lips->lip[number];
    char depth[32], drop[32], length[32], off[32], sure[40], notes[80];

    lw_units_print(depth, sizeof depth, lip->depth_m, LW_DEPTH, words->units, 1);
    lw_units_print(drop, sizeof drop, lip->drop_m, LW_DEPTH, words->units,
                   words->units == LW_US ? 0 : 1);
    lw_units_print(length, sizeof length, lip->length_m, LW_LENGTH, words->units, 0);
    lw_units_print(off, sizeof off, lip->sigma_m, LW_LENGTH, words->units, 0);
    snprintf(sure, sizeof sure, "%s%s", words->ascii ? "+-" : "±", off);
    along(notes, sizeof notes, lips, number);
    printf("%2zu %c%-5s %8s %6s %3.0f deg %8s %*s%s%s\n", number + 1, lip->inferred ? '~' : ' ',
           lw_lip_kind_name(lip->kind), depth, drop, atan(lip->slope_break) * 180 / M_PI, length,
           words->ascii ? 7 : 8, sure, *notes ? "  " : "", notes); /* ± is two bytes */
}

static void say(const struct lw_lips *lips, const struct lw_lips_words *words)
{
    size_t inferred = 0;

    if (lips->lips == 0) {
        puts("no lip: the bottom nowhere goes from gentle to steep as far as the map tells");
        return;
    }
    puts("    lip      depth   drop   break   length  off by  along it");
    for (size_t i = 0; i < lips->lips; i++) {
        say_lip(lips, i, words);
        inferred += lips->lip[i].inferred;
    }
    if (inferred)
        puts("   ~ inferred: the map's lines are too far apart to be sure; sound it");
}

int lw_chart_write_lips(const struct lw_chart *chart, const struct lw_lips *lips, const char *path,
                        const struct lw_lips_words *words, struct lw_error *err)
{
    if (save(chart, lips, path, err))
        return -1;
    if (words)
        say(lips, words);
    return 0;
}
