/* A short run of mutated inputs through every reader, to be built with the sanitizers: none may
 * crash, hang or leak, and what is accepted must survive being written and read again. Seeded, so
 * that a finding comes back: `smoke [SEED [ROUNDS]]`. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "lipwalk/base/text.h"
#include "lipwalk/base/units.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/conf/settings.h"
#include "lipwalk/conf/theme.h"
#include "lipwalk/event/event.h"
#include "lipwalk/feed/nmea.h"
#include "lipwalk/plan/file.h"

#define SIZE 65536

static uint64_t state;

static uint64_t draw(void) /* xorshift64* */
{
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return state * 2685821657736338717u;
}

static size_t below(size_t n)
{
    return n ? (size_t)(draw() % n) : 0;
}

/* One to eight edits: flip, overwrite, cut, repeat, insert something nasty. */
static size_t mutate(char *data, size_t length)
{
    static const char *const nasty[] = {
        "1e999",   "-0",   "nan", "\"", "}",    "[",  "\xff\xfe", "99999999999999999999",
        "\x1b[2J", "null", "$",   "*",  ",,,,", "\n", "\\u0000"};

    for (size_t edits = 1 + below(8); edits; edits--) {
        size_t at = below(length + 1), n;
        const char *bad;

        switch (below(5)) {
        case 0:
            if (at < length)
                data[at] = (char)(data[at] ^ (1 << below(8)));
            break;
        case 1:
            if (at < length)
                data[at] = (char)draw();
            break;
        case 2:
            n = below(length - at + 1);
            memmove(data + at, data + at + n, length - at - n);
            length -= n;
            break;
        case 3:
            n = below(64);
            if (at + n > length || length + n > SIZE)
                break;
            memmove(data + at + n, data + at, length - at);
            length += n;
            break;
        default:
            bad = nasty[below(sizeof nasty / sizeof *nasty)];
            n = strlen(bad);
            if (length + n > SIZE)
                break;
            memmove(data + at + n, data + at, length - at);
            memcpy(data + at, bad, n);
            length += n;
        }
    }
    return length;
}

static void fail(const char *what, const char *input)
{
    fprintf(stderr, "fuzz: %s: %.300s\n", what, input);
    exit(1);
}

static void try_text(char *text)
{
    struct lw_event event, again;
    struct lw_error err;
    char line[8192], second[8192];
    double value;

    lw_nmea_parse(text);
    for (int q = LW_LENGTH; q <= LW_COUNT; q++)
        if (lw_units_parse(text, (enum lw_quantity)q, LW_US, &value, &err) == 0 && !isfinite(value))
            fail("a parsed quantity is not finite", text);
    if (lw_event_from_json(text, &event, &err) == 0) {
        if (lw_event_to_json(&event, line, sizeof line, &err))
            fail(err.text, text);
        if (lw_event_from_json(line, &again, &err) ||
            lw_event_to_json(&again, second, sizeof second, &err) || strcmp(line, second) != 0)
            fail("an event changed when written and read again", line);
    }
    lw_text_clean(line, sizeof line, text);
    for (const char *c = line; *c; c++)
        if ((unsigned char)*c < 32 || *c == 127)
            fail("cleaned text holds a control character", text);
}

static void try_file(const char *path, const char *data, size_t length)
{
    struct lw_chart *chart;
    struct lw_plan *plan;
    struct lw_conf conf;
    struct lw_theme theme;
    struct lw_error err;
    FILE *file = fopen(path, "wb");

    if (!file || fwrite(data, 1, length, file) != length || fclose(file))
        fail("the scratch file could not be written", path);
    if (lw_plan_read(path, &plan, &err) == 0)
        lw_plan_free(plan);
    if (lw_chart_open(path, &chart, &err) == 0)
        lw_chart_free(chart);
    lw_conf_defaults(&conf);
    lw_conf_load(&conf, path, &err);
    lw_theme_load(path, &theme, &err);
}

static size_t slurp(const char *path, char *to)
{
    FILE *file = fopen(path, "rb");
    size_t n = file ? fread(to, 1, SIZE, file) : 0;

    if (file)
        fclose(file);
    return n;
}

/* A rock with a name, and a triangle of weed. */
static void add_features(struct lw_features *features)
{
    struct lw_hazard rock = {.kind = LW_HAZARD_ROCK, .depth_m = 0.5, .words = "Old Tom"};
    struct lw_cover weed = {.kind = LW_COVER_WEED, .line = {.closed = true}};

    if (lw_line_add(&rock.line, (struct lw_en){1, 2}) || lw_features_add_hazard(features, &rock) ||
        lw_line_add(&weed.line, (struct lw_en){0, 0}) ||
        lw_line_add(&weed.line, (struct lw_en){9, 0}) ||
        lw_line_add(&weed.line, (struct lw_en){0, 9}) ||
        lw_line_add(&weed.line, (struct lw_en){0, 0}) || lw_features_add_cover(features, &weed))
        fail("out of memory", "the seeds");
}

/* A small lake that slopes to the east, as a cache file and as a plan file. */
static void seeds(const char *folder, char *chart_path, char *plan_path, size_t size)
{
    struct lw_chart chart = {
        .frame = {{46.5, -94.3}}, .lake = "Fuzz Pool", .deepest_m = 6, .area_m2 = 3600};
    struct lw_plan_params params;
    struct lw_plan *plan;
    struct lw_error err;

    snprintf(chart_path, size, "%s/seed.chart", folder);
    snprintf(plan_path, size, "%s/seed.geojson", folder);
    chart.grid = (struct lw_grid){
        -60, -60, 3, 41, 41, malloc(41 * 41 * sizeof(float)), malloc(41 * 41 * sizeof(float))};
    for (int i = 0; i < 41 * 41; i++) {
        chart.grid.depth_m[i] = (float)(0.1 + (i % 41) * 0.15);
        chart.grid.sigma_m[i] = 0.1f;
    }
    add_features(&chart.features);
    lw_plan_params_clear(&params);
    params.depth_m = 2.5;
    params.near = chart.frame.origin;
    params.length_m = 50;
    params.standoff_m = 10;
    params.hold_deep = true;
    params.cast_m = 20;
    params.fan_half_deg = 65;
    params.bow_min_deg = 20;
    params.bow_max_deg = 160;
    params.draft_m = 0.6;
    params.clearance_m = 3;
    params.berth_m = 10;
    params.boat_mps = 0.36;
    params.retrieve_mps = 0.46;
    params.coverage = 0.95;
    params.lip_worth = 2;
    params.fall_factor = 1;
    params.above_m = 0.3;
    params.swath_m = 2;
    params.up_m = 6;
    params.past_m = 3;
    params.min_depth_m = 1;
    params.move_s = 20;
    params.cast_s = 10;
    if (lw_chart_save(&chart, chart_path, &err) || lw_plan_make(&chart, &params, &plan, &err) ||
        lw_plan_write(plan, plan_path, &err))
        fail(err.text, "the seeds");
    lw_plan_free(plan);
    lw_features_free(&chart.features);
    free(chart.grid.depth_m);
    free(chart.grid.sigma_m);
}

int main(int argc, char **argv)
{
    static const char *const texts[] = {
        "$GPRMC,174530.00,A,4612.3456,N,09338.7654,W,2.7,231.4,110524,0.6,E,A*23\r\n",
        "$SDDPT,5.6,0.4,100.0*53",
        "$WIMWV,042.0,R,11.3,N,A*16",
        "5/16oz",
        "2h30",
        "46.2,-93.6",
        "35ft",
    };
    static const char settings[] =
        "units = metric\nstandoff = 12m\n[theme]\nwarn = white on red bold\n";
    unsigned long seed = argc > 1 ? strtoul(argv[1], NULL, 0) : 1;
    unsigned long rounds = argc > 2 ? strtoul(argv[2], NULL, 0) : 2000;
    char folder[] = "/tmp/lipwalk-fuzz-XXXXXX", chart_path[64], plan_path[64], path[64];
    char *data = malloc(SIZE + 1), *chart = malloc(SIZE), *plan = malloc(SIZE);
    size_t chart_size, plan_size;
    struct lw_error err;

    if (!data || !chart || !plan || !mkdtemp(folder))
        fail("no scratch folder or memory", folder);
    state = seed * 0x9E3779B97F4A7C15u + 1;
    seeds(folder, chart_path, plan_path, sizeof path);
    chart_size = slurp(chart_path, chart);
    plan_size = slurp(plan_path, plan);
    snprintf(path, sizeof path, "%s/try", folder);
    for (unsigned long i = 0; i < rounds; i++) {
        size_t length;

        for (size_t t = 0; t < sizeof texts / sizeof *texts; t++) {
            length = strlen(texts[t]);
            memcpy(data, texts[t], length);
            length = mutate(data, length);
            data[length] = '\0';
            try_text(data);
        }
        for (int kind = 0; kind < LW_EV_KINDS; kind++) {
            struct lw_event event = lw_event_new((enum lw_event_kind)kind, 1778521530250);

            if (lw_event_to_json(&event, data, SIZE, &err))
                fail(err.text, lw_event_kind_name((enum lw_event_kind)kind));
            length = mutate(data, strlen(data));
            data[length] = '\0';
            try_text(data);
        }
        memcpy(data, chart, chart_size);
        try_file(path, data, mutate(data, chart_size));
        memcpy(data, plan, plan_size);
        try_file(path, data, mutate(data, plan_size));
        memcpy(data, settings, sizeof settings - 1);
        try_file(path, data, mutate(data, sizeof settings - 1));
    }
    unlink(path);
    unlink(chart_path);
    unlink(plan_path);
    rmdir(folder);
    free(data);
    free(chart);
    free(plan);
    printf("fuzz: %lu rounds from seed %lu, nothing found\n", rounds, seed);
    return 0;
}
