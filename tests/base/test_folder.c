/* The XDG folders. */
#include "lw_test.h"

#include <sys/stat.h>

#include "lipwalk/base/folder.h"

static struct lw_error err;

static void is_private_folder(const char *path)
{
    struct stat is;

    cr_assert_eq(stat(path, &is), 0, "%s", path);
    cr_assert(S_ISDIR(is.st_mode));
    cr_assert_eq(is.st_mode & 0777, 0700, "%s has mode %o", path, is.st_mode & 0777);
}

Test(folder, follows_the_xdg_variables_and_makes_private_folders)
{
    char root[256], value[300], want[320], path[512];
    static const struct {
        char kind;
        const char *variable;
    } kinds[] = {{'c', "XDG_CONFIG_HOME"}, {'d', "XDG_DATA_HOME"}, {'h', "XDG_CACHE_HOME"}};

    lw_test_scratch(root, sizeof root);
    for (size_t i = 0; i < 3; i++) {
        snprintf(value, sizeof value, "%s/a/%c", root, kinds[i].kind);
        snprintf(want, sizeof want, "%s/lipwalk", value);
        setenv(kinds[i].variable, value, 1);
        for (int again = 0; again < 2; again++) {
            cr_assert_eq(lw_folder(kinds[i].kind, path, sizeof path, &err), 0, "%s", err.text);
            cr_assert_str_eq(path, want);
            is_private_folder(value);
            is_private_folder(path);
        }
    }
}

Test(folder, falls_back_to_home)
{
    char home[256], want[320], path[512];

    lw_test_scratch(home, sizeof home);
    setenv("HOME", home, 1);
    setenv("XDG_CONFIG_HOME", "relative/path", 1); /* to be ignored, by the specification */
    unsetenv("XDG_DATA_HOME");
    setenv("XDG_CACHE_HOME", "", 1);
    cr_assert_eq(lw_folder('c', path, sizeof path, &err), 0, "%s", err.text);
    snprintf(want, sizeof want, "%s/.config/lipwalk", home);
    cr_assert_str_eq(path, want);
    cr_assert_eq(lw_folder('d', path, sizeof path, &err), 0, "%s", err.text);
    snprintf(want, sizeof want, "%s/.local/share/lipwalk", home);
    cr_assert_str_eq(path, want);
    is_private_folder(path);
    cr_assert_eq(lw_folder('h', path, sizeof path, &err), 0, "%s", err.text);
    snprintf(want, sizeof want, "%s/.cache/lipwalk", home);
    cr_assert_str_eq(path, want);
}

Test(folder, says_what_stands_in_its_way)
{
    char home[256], file_path[300], path[512];
    FILE *file;

    lw_test_scratch(home, sizeof home);
    snprintf(file_path, sizeof file_path, "%s/file", home);
    file = fopen(file_path, "w");
    cr_assert_not_null(file);
    fclose(file);
    setenv("XDG_DATA_HOME", file_path, 1);
    cr_assert_eq(lw_folder('d', path, sizeof path, &err), -1);
    cr_assert_not_null(strstr(err.text, file_path), "%s", err.text);
    cr_assert_eq(lw_folder('d', path, 8, &err), -1);
    unsetenv("XDG_DATA_HOME");
    unsetenv("HOME");
    cr_assert_eq(lw_folder('d', path, sizeof path, &err), -1);
    cr_assert_not_null(strstr(err.text, "XDG_DATA_HOME"), "%s", err.text);
}
