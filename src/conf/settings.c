/* The settings table, and setting by name. */
#include "lipwalk/conf/settings.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ini.h"
#include "lipwalk/base/folder.h"
#include "lipwalk/base/text.h"
#include "near.h"

static const struct lw_setting_info numbers[LW_SET_NUMBERS] = {
#define X(e, n, q, d, lo, hi, h)                                                                   \
    [LW_SET_##e] = {.name = n, .help = h, .quantity = q, .fallback = d, .min = lo, .max = hi},
    LW_SETTINGS_NUMBERS(X)
#undef X
};
static const struct lw_setting_info texts[LW_SET_TEXTS] = {
#define X(e, n, d, h) [LW_SET_##e] = {.name = n, .help = h, .fallback_text = d},
    LW_SETTINGS_TEXTS(X)
#undef X
};

const struct lw_setting_info *lw_conf_number_info(enum lw_setting_number which)
{
    return &numbers[which];
}

const struct lw_setting_info *lw_conf_text_info(enum lw_setting_text which)
{
    return &texts[which];
}

void lw_conf_defaults(struct lw_conf *conf)
{
    for (int i = 0; i < LW_SET_NUMBERS; i++)
        conf->number[i] = numbers[i].fallback;
    for (int i = 0; i < LW_SET_TEXTS; i++)
        lw_text_copy(conf->text[i], sizeof conf->text[i], texts[i].fallback_text);
}

enum lw_units lw_conf_units(const struct lw_conf *conf)
{
    return strcmp(conf->text[LW_SET_UNITS], "metric") == 0 ? LW_METRIC : LW_US;
}

static bool one_of(const char *value, const char *a, const char *b, const char *c)
{
    return strcmp(value, a) == 0 || strcmp(value, b) == 0 || (c && strcmp(value, c) == 0);
}

/* "19:30": hours 0 to 23 and minutes, both in digits. */
static bool is_clock(const char *value)
{
    const size_t digits = strspn(value, "0123456789");

    return digits >= 1 && digits <= 2 && atoi(value) < 24 && value[digits] == ':' &&
           value[digits + 1] >= '0' && value[digits + 1] <= '5' && value[digits + 2] >= '0' &&
           value[digits + 2] <= '9' && value[digits + 3] == '\0';
}

static int check_text(enum lw_setting_text which, const char *value, struct lw_error *err)
{
    char host[128], port[16];
    bool good = true;

    if (which == LW_SET_GPSD)
        return lw_conf_host_port(value, host, port, err);
    if (which == LW_SET_UNITS)
        good = one_of(value, "us", "metric", NULL);
    else if (which == LW_SET_BELL || which == LW_SET_ASSUME_CASTS)
        good = one_of(value, "on", "off", NULL);
    else if (which == LW_SET_GLYPHS)
        good = one_of(value, "auto", "utf8", "ascii");
    else if (which == LW_SET_DAY_END)
        good = one_of(value, "sunset", "dusk", NULL) || is_clock(value);
    if (!good || value[0] == '\0')
        return lw_fail(err, "the setting %s cannot be \"%s\"; it is: %s", texts[which].name, value,
                       texts[which].help);
    return 0;
}

static int set_text(struct lw_conf *conf, enum lw_setting_text which, const char *value,
                    struct lw_error *err)
{
    char clean[sizeof conf->text[0]];

    if (!lw_text_clean(clean, sizeof clean, value))
        return lw_fail(err, "the setting %s is longer than %zu bytes: shorten it",
                       texts[which].name, sizeof clean - 1);
    if (check_text(which, clean, err))
        return -1;
    memcpy(conf->text[which], clean, sizeof clean);
    return 0;
}

/* A limit for people; short spans in seconds, because 1 s is no whole part of a minute. */
static void print_limit(char *to, size_t size, double si, enum lw_quantity quantity,
                        enum lw_units units)
{
    if (quantity == LW_DURATION && si < 60)
        snprintf(to, size, "%.0f s", si);
    else
        lw_units_print(to, size, si, quantity, units,
                       quantity == LW_LENGTH || quantity == LW_DEPTH ? 2 : 0);
}

static int set_number(struct lw_conf *conf, enum lw_setting_number which, const char *value,
                      struct lw_error *err)
{
    const struct lw_setting_info *info = &numbers[which];
    const enum lw_units units = lw_conf_units(conf);
    char low[64], high[64];
    struct lw_error why = {""};
    double si;

    if (lw_units_parse(value, info->quantity, units, &si, &why))
        return lw_fail(err, "the setting %s (%s): %s", info->name, info->help, why.text);
    /* A limit of 5 m prints as 16.40 ft, which is 4.9987 m and must do when typed. */
    if (si < info->min - 0.002 || si > info->max + 0.002) {
        print_limit(low, sizeof low, info->min, info->quantity, units);
        print_limit(high, sizeof high, info->max, info->quantity, units);
        return lw_fail(err, "the setting %s (%s) cannot be \"%s\": give %s to %s", info->name,
                       info->help, value, low, high);
    }
    conf->number[which] = fmin(fmax(si, info->min), info->max);
    return 0;
}

static int unknown_name(const char *name, struct lw_error *err)
{
    const char *nearest = numbers[0].name;
    size_t best = conf_name_distance(name, nearest);

    for (int i = 1; i < LW_SET_NUMBERS + LW_SET_TEXTS; i++) {
        const char *known = i < LW_SET_NUMBERS ? numbers[i].name : texts[i - LW_SET_NUMBERS].name;
        const size_t distance = conf_name_distance(name, known);

        if (distance < best) {
            best = distance;
            nearest = known;
        }
    }
    if (conf_name_close(name, best))
        return lw_fail(err, "there is no setting \"%s\": did you mean \"%s\"?", name, nearest);
    return lw_fail(err, "there is no setting \"%s\": see the list in the help", name);
}

int lw_conf_set(struct lw_conf *conf, const char *name, const char *value, struct lw_error *err)
{
    char copy[256], *trimmed;

    if (!lw_text_copy(copy, sizeof copy, value))
        return lw_fail(err, "the value of the setting %s is longer than %zu bytes: shorten it",
                       name, sizeof copy - 1);
    trimmed = lw_text_trim(copy);
    for (int i = 0; i < LW_SET_NUMBERS; i++)
        if (strcmp(name, numbers[i].name) == 0)
            return set_number(conf, (enum lw_setting_number)i, trimmed, err);
    for (int i = 0; i < LW_SET_TEXTS; i++)
        if (strcmp(name, texts[i].name) == 0)
            return set_text(conf, (enum lw_setting_text)i, trimmed, err);
    return unknown_name(name, err);
}

static int take_units(void *user, const char *name, const char *value, struct lw_error *why)
{
    if (strcmp(name, texts[LW_SET_UNITS].name) == 0)
        lw_conf_set(user, name, value, why); /* a bad one is named in the second pass */
    return 0;
}

static int take_setting(void *user, const char *name, const char *value, struct lw_error *why)
{
    return lw_conf_set(user, name, value, why);
}

int lw_conf_load(struct lw_conf *conf, const char *path, struct lw_error *err)
{
    char usual[4096];
    int result;

    if (!path) {
        /* Without a home there is no usual file, and none is needed. */
        if (lw_folder_path('c', usual, sizeof usual - sizeof "/lipwalk.conf", NULL))
            return 0;
        strcat(usual, "/lipwalk.conf");
    }
    /* Units first, because a bare number above `units = metric` is in metres too. */
    conf_ini_read(path ? path : usual, take_units, conf, NULL);
    result = conf_ini_read(path ? path : usual, take_setting, conf, err);
    if (result == 1)
        return path ? lw_fail(err, "there is no config file %s", path) : 0;
    return result;
}
