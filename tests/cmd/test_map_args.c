/* Several maps, options for all of them or for one, and an import at a terminal. */
#include "lw_test.h"

#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <sys/wait.h>
#include <termios.h>

#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/geo/point.h"

static struct lw_map_args args;
static struct lw_conf conf;

/* Reads the words, up to NULL, as a command's; 0 or what lw_map_args_check gave. */
static int read_args(struct lw_error *err, ...)
{
    struct lw_call call = {.name = "test",
                           .arg = {args.table},
                           .args = {LW_MAP_ARGS},
                           .positional = &args.map,
                           .conf = &conf};
    char *words[40] = {(char[]){"test"}};
    int n = 1;
    va_list list;

    lw_conf_defaults(&conf);
    lw_map_args_init(&args);
    va_start(list, err);
    while (n < 39 && (words[n] = va_arg(list, char *)) != NULL)
        n++;
    va_end(list);
    cr_assert_eq(lw_args_read(&call, n, words), -1);
    return lw_map_args_check(&args, &conf, err);
}

Test(map_args, for_all_or_for_one)
{
    struct lw_error err = {""};
    const struct lw_map_file *file = args.options.map;

    cr_assert_eq(read_args(&err, "a/lake.shp", "b/lake.shp", "b/shore.shp", "--depth-unit", "ft",
                           "--depth-unit", "shore.shp=m", "--crs", "b/lake.shp=EPSG:3070",
                           "--depth-field=lake.shp=DEPTH", "--depth-sign", "b/shore.shp=up",
                           "--water-level", "shore.shp=500ft", NULL),
                 0, "%s", err.text);
    cr_assert_eq(args.options.maps, 3);
    cr_assert_str_eq(file[0].depth_unit, "ft");
    cr_assert_str_eq(file[1].depth_unit, "ft");
    cr_assert_str_eq(file[2].depth_unit, "m");
    cr_assert_null(file[0].crs, "the other file of that name is meant");
    cr_assert_str_eq(file[1].crs, "EPSG:3070");
    cr_assert_null(file[2].crs);
    cr_assert_str_eq(file[0].depth_field, "DEPTH", "a bare name means all that have it");
    cr_assert_str_eq(file[1].depth_field, "DEPTH");
    cr_assert_null(file[2].depth_field);
    cr_assert_eq(file[1].sign, LW_SIGN_AUTO);
    cr_assert_eq(file[2].sign, LW_SIGN_UP);
    cr_assert(isnan(file[0].water_level_m));
    cr_assert_float_eq(file[2].water_level_m, 152.4, 1e-9);
}

Test(map_args, one_files_own_word_counts_more_whatever_the_order)
{
    struct lw_error err = {""};

    cr_assert_eq(read_args(&err, "--map", "a.shp", "--map", "b.shp", "--crs", "a.shp=EPSG:4326",
                           "--crs", "EPSG:3070", NULL),
                 0, "%s", err.text);
    cr_assert_str_eq(args.options.map[0].crs, "EPSG:4326");
    cr_assert_str_eq(args.options.map[1].crs, "EPSG:3070");
}

Test(map_args, an_equals_sign_that_names_no_file)
{
    struct lw_error err = {""};

    cr_assert_eq(read_args(&err, "a.shp", "--depth-field", "d=z", NULL), 0);
    cr_assert_str_eq(args.options.map[0].depth_field, "d=z");
    cr_assert_eq(read_args(&err, "a.shp", "--crs", "other.shp=EPSG:4326", NULL), -1);
    cr_assert_not_null(strstr(err.text, "other.shp=EPSG:4326"), "%s", err.text);
}

Test(map_args, wrong_calls)
{
    struct lw_error err = {""};

    cr_assert_eq(read_args(&err, "a.shp", "a.shp", NULL), -1, "twice");
    cr_assert_eq(read_args(&err, "a.shp", "--depth-sign", "a.shp=sideways", NULL), -1);
    cr_assert_not_null(strstr(err.text, "\"sideways\""), "%s", err.text);
    cr_assert_eq(read_args(&err, "a.shp", "--depth-unit", "a.shp=", NULL), -1);
    cr_assert_eq(read_args(&err, "a.shp", "--water-level", "a.shp=high", NULL), -1);
    cr_assert_eq(read_args(&err, "", NULL), -1);
    cr_assert_eq(read_args(&err, "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12",
                           "13", "14", "15", "16", "17", NULL),
                 -1);
    cr_assert_not_null(strstr(err.text, "16"), "%s", err.text);
}

/* A round lake of a kilometre's radius, with cells so small that it takes a while. */
static void write_lake(const char *path)
{
    FILE *file = fopen(path, "w");

    cr_assert_not_null(file);
    fprintf(file, "{\"type\":\"FeatureCollection\",\"features\":[");
    for (int ring = 0; ring < 10; ring++) {
        fprintf(file,
                "%s{\"type\":\"Feature\",\"properties\":{\"depth_m\":%d},\"geometry\":{"
                "\"type\":\"Polygon\",\"coordinates\":[[",
                ring ? "," : "", ring);
        for (int k = 0; k <= 90; k++) {
            struct lw_ll at = lw_geodesic_to((struct lw_ll){46, -89}, k % 90 * 4.0,
                                             1000 - 90.0 * ring);

            fprintf(file, "%s[%.8f,%.8f]", k ? "," : "", at.lon_deg, at.lat_deg);
        }
        fprintf(file, "]]}}");
    }
    fprintf(file, "]}");
    cr_assert_eq(fclose(file), 0);
}

/* `lipwalk chart` in a session of its own, on a terminal or (slave < 0) with stderr in a pipe. */
static pid_t start(char *map, int slave, int pipe_end)
{
    pid_t pid = fork();

    if (pid == 0) {
        char *words[] = {(char[]){"chart"}, map, (char[]){"--cell=0.45m"}, NULL};

        setsid();
        dup2(slave >= 0 ? slave : pipe_end, STDERR_FILENO);
        signal(SIGINT, SIG_DFL);
        _exit(lw_cmd_chart(3, words));
    }
    cr_assert_gt(pid, 0);
    return pid;
}

/* Reads what comes until `wanted` is in it or, for NULL, the other side is gone. */
static void read_until(int fd, const char *wanted, char *text, size_t size)
{
    size_t n = strlen(text);
    struct pollfd on = {.fd = fd, .events = POLLIN};

    while (n + 1 < size && !(wanted && strstr(text, wanted)) && poll(&on, 1, 30000) > 0) {
        ssize_t got = read(fd, text + n, size - 1 - n);

        if (got <= 0)
            return;
        n += (size_t)got;
        text[n] = '\0';
    }
}

static int files_in(const char *folder)
{
    char path[400];
    int n = 0;
    struct dirent *entry;
    DIR *dir;

    snprintf(path, sizeof path, "%s/lipwalk", folder);
    dir = opendir(path);
    while (dir && (entry = readdir(dir)) != NULL)
        n += entry->d_name[0] != '.';
    if (dir)
        closedir(dir);
    return n;
}

static char folder[200], lake[300];

static void set_up(void)
{
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    snprintf(lake, sizeof lake, "%s/lake.geojson", folder);
    write_lake(lake);
}

/* The signal goes to the whole group, as a terminal's Ctrl-C does. */
Test(map_args, progress_at_a_terminal_and_ctrl_c, .init = set_up, .timeout = 60)
{
    static char text[20000];
    int master = posix_openpt(O_RDWR | O_NOCTTY), slave, how;
    pid_t pid;

    cr_assert(master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0);
    slave = open(ptsname(master), O_RDWR | O_NOCTTY);
    cr_assert_geq(slave, 0);
    pid = start(lake, slave, -1);
    read_until(master, " %", text, sizeof text);
    cr_assert_not_null(strstr(text, "reading lake.geojson"), "%s", text);
    cr_assert_eq(files_in(folder), 1, "the scratch folder");
    kill(-pid, SIGINT);
    read_until(master, "was cancelled", text, sizeof text);
    cr_assert_not_null(strstr(text, "lipwalk chart: reading lake.geojson was cancelled"), "%s",
                       text);
    cr_assert_eq(waitpid(pid, &how, 0), pid);
    cr_assert(WIFSIGNALED(how) && WTERMSIG(how) == SIGINT, "a shell sees 130");
    cr_assert_eq(files_in(folder), 0, "no draft and no scratch folder stay");
    close(slave);
    close(master);
}

Test(map_args, nothing_is_shown_elsewhere, .init = set_up, .timeout = 60)
{
    static char text[20000];
    int ends[2], how;
    pid_t pid;

    cr_assert_eq(pipe(ends), 0);
    pid = start(lake, -1, ends[1]);
    close(ends[1]);
    for (int i = 0; i < 300 && files_in(folder) == 0; i++)
        usleep(100000);
    usleep(700000); /* a terminal would show it by now */
    kill(pid, SIGTERM);
    read_until(ends[0], NULL, text, sizeof text);
    cr_assert_str_eq(text, "lipwalk chart: reading lake.geojson was cancelled\n");
    cr_assert_eq(waitpid(pid, &how, 0), pid);
    cr_assert(WIFSIGNALED(how) && WTERMSIG(how) == SIGTERM);
    cr_assert_eq(files_in(folder), 0);
    close(ends[0]);
}
