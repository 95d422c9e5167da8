/* The XDG folders, and HOST:PORT. */
#include "lw_test.h"

#include <sys/stat.h>

#include "lipwalk/conf/settings.h"

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
            cr_assert_eq(lw_conf_folder(kinds[i].kind, path, sizeof path, &err), 0, "%s", err.text);
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
    cr_assert_eq(lw_conf_folder('c', path, sizeof path, &err), 0, "%s", err.text);
    snprintf(want, sizeof want, "%s/.config/lipwalk", home);
    cr_assert_str_eq(path, want);
    cr_assert_eq(lw_conf_folder('d', path, sizeof path, &err), 0, "%s", err.text);
    snprintf(want, sizeof want, "%s/.local/share/lipwalk", home);
    cr_assert_str_eq(path, want);
    is_private_folder(path);
    cr_assert_eq(lw_conf_folder('h', path, sizeof path, &err), 0, "%s", err.text);
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
    cr_assert_eq(lw_conf_folder('d', path, sizeof path, &err), -1);
    cr_assert_not_null(strstr(err.text, file_path), "%s", err.text);
    cr_assert_eq(lw_conf_folder('d', path, 8, &err), -1);
    unsetenv("XDG_DATA_HOME");
    unsetenv("HOME");
    cr_assert_eq(lw_conf_folder('d', path, sizeof path, &err), -1);
    cr_assert_not_null(strstr(err.text, "XDG_DATA_HOME"), "%s", err.text);
}

Test(host_port, splits_every_accepted_shape)
{
    static const struct {
        const char *text, *host, *port;
    } good[] = {
        {"localhost:2947", "localhost", "2947"},
        {"boat.local:1", "boat.local", "1"},
        {"10.0.0.7:65535", "10.0.0.7", "65535"},
        {"[::1]:3000", "::1", "3000"},
        {"[fe80::1%eth0]", "fe80::1%eth0", "2947"},
        {"boat", "boat", "2947"},
        {":3000", "localhost", "3000"},
    };

    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        char host[128], port[16];

        cr_assert_eq(lw_conf_host_port(good[i].text, host, port, &err), 0, "%s", err.text);
        cr_assert_str_eq(host, good[i].host);
        cr_assert_str_eq(port, good[i].port);
    }
}

Test(host_port, refuses_the_rest)
{
    static const char *const bad[] = {
        "",        ":",         "boat:",    "boat:0",   "boat:65536", "boat:999999", "boat:gpsd",
        "::1",     "::1:2947",  "[::1",     "[]:2947",  "[::1]2947",  "[::1]:",      "a b:2947",
        "boat:-1", "boat: 294", "boat/x:1", "boat:29 ", "a\tb",
    };
    char host[128], port[16], endless[200];

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_assert_eq(lw_conf_host_port(bad[i], host, port, &err), -1, "\"%s\" was taken", bad[i]);
    memset(endless, 'a', sizeof endless - 1);
    endless[sizeof endless - 1] = '\0';
    cr_assert_eq(lw_conf_host_port(endless, host, port, &err), -1);
}
