/* Themes: the reader, and what the themes of themes/ promise. */
#include "lw_test.h"

#include <math.h>

#include "lipwalk/conf/theme.h"

static struct lw_theme theme;
static struct lw_error err;

static void no_outside_themes(void)
{
    char folder[256];

    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CONFIG_HOME", folder, 1);
    unsetenv("NO_COLOR");
}
TestSuite(theme, .init = no_outside_themes);

static int load(char *path, size_t size, const char *text)
{
    char folder[256];
    FILE *file;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, size, "%s/dusk.theme", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fputs(text, file);
    fclose(file);
    return lw_theme_load(path, &theme, &err);
}

static void is_style(enum lw_role role, struct lw_style want)
{
    const struct lw_style got = theme.style[role];

    cr_assert(got.fg == want.fg && got.bg == want.bg && got.bold == want.bold &&
                  got.reverse == want.reverse && got.underline == want.underline,
              "role %d is %d on %d %d%d%d", role, got.fg, got.bg, got.bold, got.reverse,
              got.underline);
}

/* The theme of themes/ itself, whatever is installed. */
static void load_ours(const char *name)
{
    char path[64];

    snprintf(path, sizeof path, "./themes/%s.theme", name);
    cr_assert_eq(lw_theme_load(path, &theme, &err), 0, "%s", err.text);
}

Test(theme, lines_are_read)
{
    char path[300];

    cr_assert_eq(load(path, sizeof path,
                      "text = black on white\nwarn = white on red bold\nalarm = reverse bold\n"
                      "edge = 208\nhold = on 231 underline\ndim = default on default\n"),
                 0, "%s", err.text);
    cr_assert_str_eq(theme.name, "dusk");
    cr_assert(theme.colour);
    is_style(LW_ROLE_TEXT, (struct lw_style){0, 7, false, false, false});
    is_style(LW_ROLE_WARN, (struct lw_style){7, 1, true, false, false});
    is_style(LW_ROLE_ALARM, (struct lw_style){-1, -1, true, true, false});
    is_style(LW_ROLE_EDGE, (struct lw_style){208, -1, false, false, false});
    is_style(LW_ROLE_HOLD, (struct lw_style){-1, 231, false, false, true});
    is_style(LW_ROLE_DIM, (struct lw_style){-1, -1, false, false, false});
    is_style(LW_ROLE_BOAT, (struct lw_style){0, 7, false, false, false}); /* as text */
}

Test(theme, bad_lines_are_named_with_the_file_and_leave_the_theme_alone)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        {"text = black\nwarm = red\n", ":2: there is no role \"warm\": did you mean \"warn\"?"},
        {"text = mauve\n", ":1: \"mauve\" is not understood"},
        {"text = 256\n", ":1: \"256\""},
        {"text = -1\n", ":1: \"-1\""},
        {"text = black white\n", ":1: \"white\""},
        {"text = black on\n", ":1: \"on\""},
        {"text = black on bold\n", ":1: \"on\""},
        {"\n\ntext black\n", ":3: expected"},
        {"propeller = red\n", ":1: there is no role \"propeller\""},
    };

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char path[300];

        lw_theme_default(&theme);
        cr_assert_eq(load(path, sizeof path, bad[i].text), -1, "taken: %s", bad[i].text);
        cr_assert_eq(strncmp(err.text, path, strlen(path)), 0, "%s", err.text);
        cr_assert_not_null(strstr(err.text, bad[i].says), "%s", err.text);
        cr_assert_str_eq(theme.name, "plain");
        is_style(LW_ROLE_TEXT, (struct lw_style){-1, -1, false, false, false});
    }
}

Test(theme, missing_ones_say_where_was_looked)
{
    cr_assert_eq(lw_theme_load("fog", &theme, &err), -1);
    cr_assert_not_null(strstr(err.text, "\"fog\""), "%s", err.text);
    cr_assert_not_null(strstr(err.text, "/themes"), "%s", err.text);
    cr_assert_eq(lw_theme_load("/nonexistent/fog.theme", &theme, &err), -1);
    cr_assert_not_null(strstr(err.text, "/nonexistent/fog.theme"), "%s", err.text);
}

Test(theme, the_crews_own_folder_comes_first)
{
    char command[400];

    snprintf(command, sizeof command,
             "mkdir -p '%s/lipwalk/themes' && echo 'text = 9' > '%s/lipwalk/themes/night.theme'",
             getenv("XDG_CONFIG_HOME"), getenv("XDG_CONFIG_HOME"));
    cr_assert_eq(system(command), 0);
    cr_assert_eq(lw_theme_load("night", &theme, &err), 0, "%s", err.text);
    cr_assert_str_eq(theme.name, "night");
    cr_assert_eq(theme.style[LW_ROLE_TEXT].fg, 9);
}

Test(theme, plain_needs_no_file_and_leaves_the_ground_alone)
{
    cr_assert_eq(lw_theme_load("plain", &theme, &err), 0, "%s", err.text);
    cr_assert_str_eq(theme.name, "plain");
    cr_assert(theme.colour);
    for (int i = 0; i < LW_ROLES; i++)
        cr_assert_eq(theme.style[i].bg, -1);
    cr_assert_eq(theme.style[LW_ROLE_TEXT].fg, -1);
    cr_assert(theme.style[LW_ROLE_STRONG].bold);
    cr_assert(theme.style[LW_ROLE_ALARM].reverse);
}

/* https://no-color.org: present and not an empty string, whatever it says. */
Test(theme, no_color_takes_colour_away)
{
    setenv("NO_COLOR", "", 1);
    lw_theme_default(&theme);
    cr_assert(theme.colour);
    setenv("NO_COLOR", "0", 1);
    lw_theme_default(&theme);
    cr_assert_not(theme.colour);
    load_ours("colour-safe");
    cr_assert_not(theme.colour);
    for (int i = 0; i < LW_ROLES; i++)
        cr_assert(theme.style[i].fg == -1 && theme.style[i].bg == -1);
    cr_assert(theme.style[LW_ROLE_WARN].bold);
}

Test(theme, no_colour_has_none)
{
    load_ours("no-colour");
    cr_assert_not(theme.colour);
    for (int i = 0; i < LW_ROLES; i++)
        cr_assert(theme.style[i].fg == -1 && theme.style[i].bg == -1);
}

Test(theme, ours_set_every_role_and_never_tell_by_colour_alone)
{
    static const char *const ours[] = {"bright-sun", "night", "colour-safe", "no-colour"};

    for (size_t i = 0; i < sizeof ours / sizeof *ours; i++) {
        struct lw_style warn, good, alarm;

        load_ours(ours[i]);
        cr_assert_str_eq(theme.name, ours[i]);
        good = theme.style[LW_ROLE_GOOD];
        warn = theme.style[LW_ROLE_WARN];
        alarm = theme.style[LW_ROLE_ALARM];
        cr_assert(good.bold != warn.bold || good.underline != warn.underline, "%s", ours[i]);
        cr_assert(alarm.reverse || alarm.bg != theme.style[LW_ROLE_TEXT].bg, "%s", ours[i]);
    }
}

/* ---- colours as numbers ---- */

/* xterm's 256 colours from 16 on: a 6 x 6 x 6 cube, then greys. */
static void rgb_of(int colour, double rgb[3])
{
    static const int steps[] = {0, 95, 135, 175, 215, 255};

    cr_assert(colour >= 16 && colour <= 255, "%d is a colour that terminals redefine", colour);
    if (colour >= 232) {
        rgb[0] = rgb[1] = rgb[2] = 8 + 10 * (colour - 232);
        return;
    }
    rgb[0] = steps[(colour - 16) / 36];
    rgb[1] = steps[(colour - 16) / 6 % 6];
    rgb[2] = steps[(colour - 16) % 6];
}

/* Relative luminance and contrast ratio of WCAG 2.1. */
static double luminance(int colour)
{
    static const double weight[] = {0.2126, 0.7152, 0.0722};
    double rgb[3], sum = 0;

    rgb_of(colour, rgb);
    for (int i = 0; i < 3; i++) {
        const double c = rgb[i] / 255;

        sum += weight[i] * (c <= 0.03928 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(int a, int b)
{
    const double la = luminance(a), lb = luminance(b);

    return (fmax(la, lb) + 0.05) / (fmin(la, lb) + 0.05);
}

static double hue_deg(int colour)
{
    double rgb[3];

    rgb_of(colour, rgb);
    return atan2(sqrt(3) * (rgb[1] - rgb[2]), 2 * rgb[0] - rgb[1] - rgb[2]) * 180 / M_PI;
}

static void is_readable(double text, double tint)
{
    for (int i = 0; i < LW_ROLES; i++) {
        const struct lw_style style = theme.style[i];
        const bool quiet = i == LW_ROLE_DIM || i == LW_ROLE_BELT || i >= LW_ROLE_SHALLOW;

        cr_assert(contrast(style.fg, style.bg) >= (quiet ? tint : text), "role %d: %.2f", i,
                  contrast(style.fg, style.bg));
    }
}

Test(theme, plain_reads_on_dark_and_on_light)
{
    lw_theme_default(&theme);
    for (int i = 0; i < LW_ROLES; i++) {
        const int fg = theme.style[i].fg;

        if (fg == -1)
            continue;
        cr_assert(contrast(fg, 16) >= 3 && contrast(fg, 231) >= 3, "role %d: %.2f %.2f", i,
                  contrast(fg, 16), contrast(fg, 231));
    }
}

Test(theme, contrast_is_what_each_theme_is_for)
{
    load_ours("bright-sun");
    is_readable(15, 4.5);
    load_ours("colour-safe");
    is_readable(7, 3);
    load_ours("night");
    is_readable(4.4, 3);
    for (int i = 0; i < LW_ROLES; i++)
        cr_assert(luminance(theme.style[i].fg) <= 0.35 && luminance(theme.style[i].bg) <= 0.35,
                  "role %d is bright at night", i);
}

/* One hue, by tone, darker with depth; no red, no magenta for a line to follow. */
Test(theme, depth_is_one_hue_that_darkens)
{
    static const char *const names[] = {"plain", "bright-sun", "night", "colour-safe"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        double low = 360, high = -360;
        double tone = 2;

        if (i == 0)
            lw_theme_default(&theme);
        else
            load_ours(names[i]);
        for (int role = LW_ROLE_SHALLOW; role <= LW_ROLE_DEEP; role++) {
            const double hue = hue_deg(theme.style[role].fg);

            cr_assert_lt(luminance(theme.style[role].fg), tone, "%s", names[i]);
            tone = luminance(theme.style[role].fg);
            low = fmin(low, hue);
            high = fmax(high, hue);
            cr_assert(fabs(hue) > 25, "%s: red water", names[i]);
        }
        cr_assert_lt(high - low, 20, "%s", names[i]);
    }
}

/* The palette of Okabe and Ito, Color Universal Design (2008), from memory. */
Test(theme, colour_safe_uses_the_palette_it_names)
{
    static const int okabe_ito[][3] = {
        {0xE6, 0x9F, 0x00}, {0x56, 0xB4, 0xE9}, {0x00, 0x72, 0xB2}, {0xF0, 0xE4, 0x42}};
    bool allowed[256] = {[16] = true, [231] = true, [32] = true}; /* 32: a tone for the tint */

    for (int i = 232; i < 256; i++)
        allowed[i] = true;
    for (size_t i = 0; i < 4; i++) {
        double best = INFINITY;
        int nearest = 0;

        for (int colour = 16; colour < 256; colour++) {
            double rgb[3], sum = 0;

            rgb_of(colour, rgb);
            for (int k = 0; k < 3; k++)
                sum += pow(rgb[k] - okabe_ito[i][k], 2);
            if (sum < best) {
                best = sum;
                nearest = colour;
            }
        }
        allowed[nearest] = true;
    }
    load_ours("colour-safe");
    for (int i = 0; i < LW_ROLES; i++)
        cr_assert(allowed[theme.style[i].fg] && allowed[theme.style[i].bg], "role %d: %d on %d", i,
                  theme.style[i].fg, theme.style[i].bg);
}
