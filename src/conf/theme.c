/* Themes: the one compiled in, and files. */
#include "lipwalk/conf/theme.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ini.h"
#include "lipwalk/base/folder.h"
#include "lipwalk/base/text.h"
#include "near.h"

#define OWN (-1) /* the terminal's own colour */

static const char *const role_names[LW_ROLES] = {
#define X(e, n, h) [LW_ROLE_##e] = n,
    LW_THEME_ROLES(X)
#undef X
};

/* Readable on dark and light alike: the terminal's own colours and attributes; the grey and the
 * blues of the depth tint keep a contrast of 3 to 1 against both black and white. */
static const struct lw_style plain[LW_ROLES] = {
    [LW_ROLE_TEXT] = {OWN, OWN, false, false, false},
    [LW_ROLE_DIM] = {244, OWN, false, false, false},
    [LW_ROLE_STRONG] = {OWN, OWN, true, false, false},
    [LW_ROLE_GOOD] = {OWN, OWN, true, false, false},
    [LW_ROLE_WARN] = {OWN, OWN, true, false, true},
    [LW_ROLE_ALARM] = {OWN, OWN, true, true, false},
    [LW_ROLE_EDGE] = {OWN, OWN, true, false, false},
    [LW_ROLE_HOLD] = {OWN, OWN, false, false, false},
    [LW_ROLE_BELT] = {244, OWN, false, false, false},
    [LW_ROLE_BOAT] = {OWN, OWN, true, true, false},
    [LW_ROLE_CAST] = {OWN, OWN, true, false, false},
    [LW_ROLE_MARK] = {OWN, OWN, true, false, false},
    [LW_ROLE_PLACE] = {OWN, OWN, true, false, true},
    [LW_ROLE_KEY] = {OWN, OWN, true, false, true},
    [LW_ROLE_SHALLOW] = {33, OWN, false, false, false},
    [LW_ROLE_MIDDLE] = {31, OWN, false, false, false},
    [LW_ROLE_DEEP] = {25, OWN, false, false, false},
};

/* Colour goes where nobody set one, and where NO_COLOR is present and not empty
 * (https://no-color.org). */
static void settle_colour(struct lw_theme *theme)
{
    const char *no_color = getenv("NO_COLOR");

    theme->colour = false;
    for (int i = 0; i < LW_ROLES; i++) {
        struct lw_style *style = &theme->style[i];

        if (no_color && no_color[0])
            style->fg = style->bg = OWN;
        if (style->fg != OWN || style->bg != OWN)
            theme->colour = true;
    }
}

void lw_theme_default(struct lw_theme *theme)
{
    lw_text_copy(theme->name, sizeof theme->name, "plain");
    memcpy(theme->style, plain, sizeof plain);
    settle_colour(theme);
}

/* The number of a colour's word, or -2 if it is none. */
static int colour_of(const char *word)
{
    static const char *const names[] = {"black", "red",     "green", "yellow",
                                        "blue",  "magenta", "cyan",  "white"};
    const size_t digits = strspn(word, "0123456789");

    if (strcmp(word, "default") == 0)
        return OWN;
    for (int i = 0; i < 8; i++)
        if (strcmp(word, names[i]) == 0)
            return i;
    if (digits >= 1 && digits <= 3 && !word[digits] && atoi(word) <= 255)
        return atoi(word);
    return -2;
}

/* `COLOUR on COLOUR bold reverse underline`, each part optional. */
static int read_style(const char *text, struct lw_style *style, struct lw_error *why)
{
    char copy[256], *rest = NULL;
    bool behind = false, has_fg = false;

    *style = (struct lw_style){.fg = OWN, .bg = OWN};
    lw_text_copy(copy, sizeof copy, text);
    for (char *word = strtok_r(copy, " \t", &rest); word; word = strtok_r(NULL, " \t", &rest)) {
        const int colour = colour_of(word);

        if (colour != -2 && (behind || !has_fg)) {
            *(behind ? &style->bg : &style->fg) = colour;
            has_fg = true;
            behind = false;
        } else if (behind) {
            return lw_fail(why, "\"on\" should be followed by a colour, not \"%s\"", word);
        } else if (strcmp(word, "on") == 0) {
            behind = true;
        } else if (strcmp(word, "bold") == 0) {
            style->bold = true;
        } else if (strcmp(word, "reverse") == 0) {
            style->reverse = true;
        } else if (strcmp(word, "underline") == 0) {
            style->underline = true;
        } else {
            return lw_fail(why,
                           "\"%s\" is not understood: give COLOUR, on COLOUR, bold, reverse or "
                           "underline; a colour is default, black, red, green, yellow, blue, "
                           "magenta, cyan, white or 0 to 255",
                           word);
        }
    }
    if (behind)
        return lw_fail(why, "\"on\" should be followed by a colour");
    return 0;
}

struct theme_file {
    struct lw_style style[LW_ROLES];
    bool set[LW_ROLES];
};

static int take_role(void *user, const char *name, const char *value, struct lw_error *why)
{
    struct theme_file *file = user;
    size_t best = 1000;
    int nearest = 0;

    for (int i = 0; i < LW_ROLES; i++) {
        const size_t distance = conf_name_distance(name, role_names[i]);

        if (distance < best) {
            best = distance;
            nearest = i;
        }
    }
    if (best > 0 && conf_name_close(name, best))
        return lw_fail(why, "there is no role \"%s\": did you mean \"%s\"?", name,
                       role_names[nearest]);
    if (best > 0)
        return lw_fail(why, "there is no role \"%s\"", name);
    if (read_style(value, &file->style[nearest], why))
        return -1;
    file->set[nearest] = true;
    return 0;
}

/* As conf_ini_read; `theme` changes only on 0. */
static int load_file(const char *path, const char *name, struct lw_theme *theme,
                     struct lw_error *err)
{
    struct theme_file file = {0};
    const int result = conf_ini_read(path, take_role, &file, err);

    if (result != 0)
        return result;
    for (int i = 0; i < LW_ROLES; i++) {
        /* A role that the file leaves out looks like its text, so that the ground stays whole. */
        const int from = file.set[i] ? i : LW_ROLE_TEXT;

        theme->style[i] = file.set[from] ? file.style[from] : plain[i];
    }
    lw_text_clean(theme->name, sizeof theme->name, name);
    settle_colour(theme);
    return 0;
}

/* "/x/dusk.theme" is called "dusk". */
static int load_path(const char *path, struct lw_theme *theme, struct lw_error *err)
{
    char name[256], *dot;
    int result;

    lw_text_copy(name, sizeof name, strrchr(path, '/') + 1);
    dot = strstr(name, ".theme");
    if (dot)
        *dot = '\0';
    result = load_file(path, name, theme, err);
    return result == 1 ? lw_fail(err, "there is no theme file %s", path) : result;
}

int lw_theme_load(const char *name, struct lw_theme *theme, struct lw_error *err)
{
    char own[4096] = "", path[4200 + 256];
    const char *const folders[] = {own, LW_DATADIR "/themes", "themes"};

    if (strchr(name, '/'))
        return load_path(name, theme, err);
    if (strcmp(name, "plain") == 0) {
        lw_theme_default(theme);
        return 0;
    }
    if (lw_folder_path('c', own, sizeof own, NULL) == 0)
        lw_text_add(own, sizeof own, "/themes");
    for (size_t i = own[0] ? 0 : 1; i < sizeof folders / sizeof *folders; i++) {
        int result;

        snprintf(path, sizeof path, "%s/%.200s.theme", folders[i], name);
        result = load_file(path, name, theme, err);
        if (result != 1)
            return result;
    }
    return lw_fail(err, "there is no theme \"%s\" in %s%s%s or %s: give \"plain\" or a file's path",
                   name, own, own[0] ? ", " : "", folders[1], folders[2]);
}
