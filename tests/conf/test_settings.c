/* The settings: their table, setting by name, the config file. */
#include "lw_test.h"

#include <math.h>
#include <sys/stat.h>

#include "lipwalk/base/folder.h"
#include "lipwalk/conf/settings.h"

static struct lw_conf conf;
static struct lw_error err;

static void fresh(void)
{
    char folder[256];

    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CONFIG_HOME", folder, 1);
    lw_conf_defaults(&conf);
    err.text[0] = '\0';
}
TestSuite(settings, .init = fresh);

/* Writes the text to a file in scratch and loads it. */
static int load(char *path, size_t size, const char *text)
{
    char folder[256];
    FILE *file;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, size, "%s/lipwalk.conf", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fputs(text, file);
    fclose(file);
    return lw_conf_load(&conf, path, &err);
}

static void refused(const char *name, const char *value, const char *says)
{
    const struct lw_conf before = conf;

    err.text[0] = '\0';
    cr_assert_eq(lw_conf_set(&conf, name, value, &err), -1, "%s = %s was taken", name, value);
    cr_assert_not_null(strstr(err.text, says), "%s = %s: %s", name, value, err.text);
    cr_assert_eq(memcmp(&before, &conf, sizeof conf), 0);
}

Test(settings, every_default_lies_in_its_range_and_is_accepted)
{
    for (int i = 0; i < LW_SET_NUMBERS; i++) {
        const struct lw_setting_info *info = lw_conf_number_info((enum lw_setting_number)i);

        cr_assert(info->fallback >= info->min && info->fallback <= info->max, "%s", info->name);
        cr_assert(conf.number[i] == info->fallback, "%s", info->name);
        cr_assert(info->help[0] && info->name[0]);
        cr_assert_null(info->fallback_text);
    }
    for (int i = 0; i < LW_SET_TEXTS; i++) {
        const struct lw_setting_info *info = lw_conf_text_info((enum lw_setting_text)i);

        cr_assert_str_eq(conf.text[i], info->fallback_text);
        cr_assert_eq(lw_conf_set(&conf, info->name, info->fallback_text, &err), 0, "%s", err.text);
    }
}

/* 35 ft, 5 ft, 80 ft, 8 ft and 20 min: the trade's figures. */
Test(settings, defaults_are_whole_feet_and_minutes)
{
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 35 * LW_FT_M, 1e-12);
    cr_assert_float_eq(conf.number[LW_SET_TOLERANCE], 5 * LW_FT_M, 1e-12);
    cr_assert_float_eq(conf.number[LW_SET_CAST], 80 * LW_FT_M, 1e-12);
    cr_assert_float_eq(conf.number[LW_SET_SWATH], 8 * LW_FT_M, 1e-12);
    cr_assert(conf.number[LW_SET_DWELL] == 20 * 60);
    cr_assert(conf.number[LW_SET_RETURN_AFTER] == 150 * 60);
}

Test(settings, numbers_come_with_units_or_bare_ones_of_the_system)
{
    cr_assert_eq(lw_conf_set(&conf, "standoff", " 40ft ", &err), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 12.192, 1e-9);
    cr_assert_eq(lw_conf_set(&conf, "standoff", "40", &err), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 12.192, 1e-9);
    cr_assert_eq(lw_conf_set(&conf, "units", "metric", &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_units(&conf), LW_METRIC);
    cr_assert_eq(lw_conf_set(&conf, "standoff", "12", &err), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 12, 1e-9);
    cr_assert_eq(lw_conf_set(&conf, "dwell", "25min", &err), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_DWELL], 1500, 1e-9);
    cr_assert_eq(lw_conf_set(&conf, "antenna-forward", "-1.5m", &err), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_FORWARD], -1.5, 1e-9);
}

Test(settings, a_printed_limit_may_be_typed)
{
    refused("cast", "3ft", "16.40 ft");
    cr_assert_eq(lw_conf_set(&conf, "cast", "16.40ft", &err), 0, "%s", err.text);
    cr_assert(conf.number[LW_SET_CAST] == 5.0);
}

Test(settings, bad_values_name_the_setting_and_its_range)
{
    refused("standoff", "900ft", "standoff");
    refused("standoff", "900ft", "328.08 ft");
    refused("standoff", "-1ft", "standoff");
    refused("standoff", "far", "standoff");
    refused("standoff", "", "standoff");
    refused("standoff", "nan", "standoff");
    refused("standoff", "3 mph", "standoff");
    refused("draw-rate", "2.5", "draw-rate");
    refused("draw-rate", "31", "1 to 30");
    refused("dwell", "3h", "1 min to 120 min");
    refused("cast-time", "0s", "1 s to 10 min");
    refused("units", "imperial", "us or metric");
    refused("bell", "loud", "on or off");
    refused("glyphs", "latin1", "ascii");
    refused("day-end", "25:00", "sunset");
    refused("day-end", "19:60", "sunset");
    refused("day-end", "19:3", "sunset");
    refused("day-end", "19:300", "sunset");
    refused("angler", "", "angler");
    refused("angler", "a name that goes on and on and on and on, longer than any screen is wide",
            "63 bytes");
    refused("gpsd", "localhost:gpsd", "HOST:PORT");
}

Test(settings, good_texts_are_taken)
{
    cr_assert_eq(lw_conf_set(&conf, "day-end", "19:30", &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_set(&conf, "day-end", "6:05", &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_set(&conf, "day-end", "dusk", &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_set(&conf, "gpsd", "[::1]:2948", &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_set(&conf, "angler", " Åsa ", &err), 0, "%s", err.text);
    cr_assert_str_eq(conf.text[LW_SET_ANGLER], "Åsa");
    cr_assert_eq(lw_conf_set(&conf, "angler", "\x1b[2J", &err), 0, "%s", err.text);
    cr_assert_null(strchr(conf.text[LW_SET_ANGLER], '\x1b'));
}

Test(settings, an_unknown_name_gets_the_nearest_when_close)
{
    refused("standof", "35ft", "\"standoff\"");
    refused("cast_time", "25s", "\"cast-time\"");
    refused("dwel", "20", "\"dwell\"");
    refused("coangler", "Jo", "\"co-angler\"");
    refused("horsepower", "9.9", "no setting \"horsepower\"");
    cr_assert_null(strstr(err.text, "did you mean"), "%s", err.text);
    refused("", "1", "no setting");
}

Test(settings, a_file_sets_what_it_says)
{
    char path[300];

    cr_assert_eq(load(path, sizeof path,
                      "# the boat\n; and more\n[lipwalk]\nstandoff = 30ft\n"
                      "   cast=60 ft ; light line\ngpsd = 127.0.0.1:3000\nangler = Rae\n\n"),
                 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 30 * LW_FT_M, 1e-9);
    cr_assert_float_eq(conf.number[LW_SET_CAST], 60 * LW_FT_M, 1e-9);
    cr_assert_str_eq(conf.text[LW_SET_GPSD], "127.0.0.1:3000");
    cr_assert_str_eq(conf.text[LW_SET_ANGLER], "Rae");
    cr_assert(conf.number[LW_SET_MOVE_TIME] == 20);
}

Test(settings, units_count_for_the_lines_above_them_too)
{
    char path[300];

    cr_assert_eq(load(path, sizeof path, "standoff = 12\nunits = metric\ncast = 20\n"), 0, "%s",
                 err.text);
    cr_assert(conf.number[LW_SET_STANDOFF] == 12);
    cr_assert(conf.number[LW_SET_CAST] == 20);
}

Test(settings, the_first_bad_line_is_named_and_the_good_ones_count)
{
    char path[300], want[400];

    cr_assert_eq(load(path, sizeof path,
                      "standoff = 30ft\n\ncast 60ft\ncast = 900ft\nswathe = 2\nangler = Rae\n"),
                 -1);
    snprintf(want, sizeof want, "%s:3: ", path);
    cr_assert_eq(strncmp(err.text, want, strlen(want)), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 30 * LW_FT_M, 1e-9);
    cr_assert_str_eq(conf.text[LW_SET_ANGLER], "Rae");
    cr_assert_float_eq(conf.number[LW_SET_CAST], 80 * LW_FT_M, 1e-9);

    cr_assert_eq(load(path, sizeof path, "standoff = 30ft\nswathe = 2\nnonsense\n"), -1);
    snprintf(want, sizeof want, "%s:2: ", path);
    cr_assert_eq(strncmp(err.text, want, strlen(want)), 0, "%s", err.text);
    cr_assert_not_null(strstr(err.text, "\"swath\""), "%s", err.text);
}

Test(settings, a_line_of_any_length_is_one_line)
{
    char path[300], want[400], text[8000] = "angler = ";

    for (int i = 0; i < 400; i++)
        strcat(text, "long ");
    strcat(text, "\nstandoff = 30ft\n# ");
    for (int i = 0; i < 400; i++)
        strcat(text, "far = 1 ");
    strcpy(text + strlen(text), "\ncast = 60ft\n");
    cr_assert_eq(load(path, sizeof path, text), -1);
    snprintf(want, sizeof want, "%s:1: the line is too long", path);
    cr_assert_eq(strncmp(err.text, want, strlen(want)), 0, "%s", err.text);
    cr_assert_float_eq(conf.number[LW_SET_STANDOFF], 30 * LW_FT_M, 1e-9);
    cr_assert_float_eq(conf.number[LW_SET_CAST], 60 * LW_FT_M, 1e-9);
    cr_assert_str_eq(conf.text[LW_SET_ANGLER], "angler");
}

Test(settings, files_that_are_missing_or_no_files)
{
    char folder[256], path[300];

    cr_assert_eq(lw_conf_load(&conf, NULL, &err), 0, "%s", err.text);
    cr_assert_eq(lw_conf_load(&conf, "/nonexistent/lipwalk.conf", &err), -1);
    cr_assert_not_null(strstr(err.text, "/nonexistent/lipwalk.conf"));
    lw_test_scratch(folder, sizeof folder);
    cr_assert_eq(lw_conf_load(&conf, folder, &err), -1);
    cr_assert_not_null(strstr(err.text, folder), "%s", err.text);
    cr_assert_eq(load(path, sizeof path, ""), 0, "%s", err.text);
}

Test(settings, the_usual_file_is_read)
{
    char folder[200], path[300];
    FILE *file;

    cr_assert_eq(lw_folder('c', folder, sizeof folder, &err), 0, "%s", err.text);
    snprintf(path, sizeof path, "%s/lipwalk.conf", folder);
    file = fopen(path, "w");
    fputs("\xef\xbb\xbf"
          "bell = off\r\n",
          file); /* from an editor that adds a mark and CRLF */
    fclose(file);
    cr_assert_eq(lw_conf_load(&conf, NULL, &err), 0, "%s", err.text);
    cr_assert_str_eq(conf.text[LW_SET_BELL], "off");
}
