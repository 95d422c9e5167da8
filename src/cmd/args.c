#include "lipwalk/cmd/args.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/geo/point.h"

#define TABLES 4

static const struct lw_arg *find(const struct lw_call *call, const char *name, size_t length)
{
    for (int t = 0; t < TABLES; t++)
        for (size_t i = 0; i < call->args[t]; i++)
            if (strlen(call->arg[t][i].name) == length &&
                strncmp(call->arg[t][i].name, name, length) == 0)
                return &call->arg[t][i];
    return NULL;
}

static void print_help(const struct lw_call *call)
{
    const char *gap = call->name[0] ? " " : "";

    printf("usage: lipwalk%s%s %s\n\n%s\n\n", gap, call->name, call->usage, call->summary);
    for (int t = 0; t < TABLES; t++)
        for (size_t i = 0; i < call->args[t]; i++) {
            const struct lw_arg *arg = &call->arg[t][i];
            char head[80];

            snprintf(head, sizeof head, "--%s%s%s", arg->name, arg->value ? " " : "",
                     arg->value ? arg->value : "");
            printf("  %-28s %s\n", head, arg->help);
        }
    printf("  %-28s %s\n", "--help", "print this");
    printf("\nNot for navigation. Local seasons, sanctuaries and regulations come first.\n");
}

static int set_int(long *to, const char *name, const char *value, struct lw_error *err)
{
    char *end;

    errno = 0;
    *to = strtol(value, &end, 10);
    if (errno || end == value || *end || *to < 0)
        return lw_fail(err, "--%s wants a whole number from 0 up, not \"%s\"", name, value);
    return 0;
}

static int set(const struct lw_call *call, const struct lw_arg *arg, const char *value,
               struct lw_error *err)
{
    enum lw_units bare = call->conf ? lw_conf_units(call->conf) : LW_US;
    struct lw_arg_texts *texts;
    struct lw_ll *at;

    switch (arg->kind) {
    case LW_ARG_FLAG:
        *(bool *)arg->to = true;
        return 0;
    case LW_ARG_TEXT:
        *(const char **)arg->to = value;
        return 0;
    case LW_ARG_TEXTS:
        texts = arg->to;
        if (texts->n == LW_ARG_TEXTS_MAX)
            return lw_fail(err, "--%s was given more than %d times", arg->name, LW_ARG_TEXTS_MAX);
        texts->text[texts->n++] = value;
        return 0;
    case LW_ARG_QUANTITY:
        return lw_units_parse(value, arg->quantity, bare, arg->to, err);
    case LW_ARG_LAT_LON:
        at = arg->to;
        return lw_units_parse_lat_lon(value, &at->lat_deg, &at->lon_deg, err);
    case LW_ARG_INT:
        return set_int(arg->to, arg->name, value, err);
    case LW_ARG_SETTING:
        return lw_conf_set(arg->to, arg->name, value, err);
    }
    return lw_fail(err, "--%s has no kind", arg->name);
}

int lw_args_read(const struct lw_call *call, int argc, char **argv)
{
    bool options = true;

    for (int i = 1; i < argc; i++) {
        const char *word = argv[i], *value = NULL, *equals;
        const struct lw_arg *arg;
        struct lw_error err = {""};
        char fault[1200];

        if (!options || word[0] != '-' || !word[1]) {
            if (!call->positional || call->positional->n == LW_ARG_TEXTS_MAX) {
                snprintf(fault, sizeof fault, "\"%s\" is not expected here; see --help", word);
                return lw_cmd_usage(call->name, fault);
            }
            call->positional->text[call->positional->n++] = word;
            continue;
        }
        if (strcmp(word, "--") == 0) {
            options = false;
            continue;
        }
        if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
            print_help(call);
            return lw_cmd_done(call->name);
        }
        equals = strchr(word, '=');
        arg = strncmp(word, "--", 2) == 0
                  ? find(call, word + 2, equals ? (size_t)(equals - word - 2) : strlen(word + 2))
                  : NULL;
        if (!arg) {
            snprintf(fault, sizeof fault, "there is no option %s; see --help", word);
            return lw_cmd_usage(call->name, fault);
        }
        if (arg->kind == LW_ARG_FLAG && equals) {
            snprintf(fault, sizeof fault, "--%s takes no value", arg->name);
            return lw_cmd_usage(call->name, fault);
        }
        if (arg->kind != LW_ARG_FLAG) {
            value = equals ? equals + 1 : i + 1 < argc ? argv[++i] : NULL;
            if (!value) {
                snprintf(fault, sizeof fault, "--%s wants a value: %s", arg->name, arg->value);
                return lw_cmd_usage(call->name, fault);
            }
        }
        if (set(call, arg, value, &err)) {
            snprintf(fault, sizeof fault, "--%s: %s", arg->name, err.text);
            return lw_cmd_usage(call->name, fault);
        }
    }
    return -1;
}

static void say(const char *name, const char *sentence)
{
    char clean[2048];

    lw_text_clean(clean, sizeof clean, sentence);
    fprintf(stderr, "lipwalk%s%s: %s\n", name[0] ? " " : "", name, clean);
}

void lw_args_of_settings(struct lw_arg *to, const enum lw_setting_number *which, size_t n,
                         struct lw_conf *conf)
{
    for (size_t i = 0; i < n; i++) {
        const struct lw_setting_info *info = lw_conf_number_info(which[i]);

        to[i] = (struct lw_arg){info->name, LW_ARG_SETTING, conf, "VALUE", info->help, 0};
    }
}

int lw_cmd_fail(const char *name, const struct lw_error *err)
{
    say(name, err->text[0] ? err->text : "it failed and gave no reason");
    return 1;
}

int lw_cmd_usage(const char *name, const char *sentence)
{
    say(name, sentence);
    return 2;
}

void lw_cmd_conf(struct lw_conf *conf, struct lw_error *trouble)
{
    struct lw_error err = {""};

    lw_conf_defaults(conf);
    if (lw_conf_load(conf, NULL, &err))
        say("settings", err.text);
    if (trouble)
        *trouble = err;
}

int lw_cmd_done(const char *name)
{
    struct lw_error err;

    if (fflush(stdout) == 0 && !ferror(stdout))
        return 0;
    lw_fail(&err, "the output could not be written: %s", strerror(errno));
    return lw_cmd_fail(name, &err);
}
