/* What goes from the cache folder, and what stays. */
#include "lw_test.h"

#include <fcntl.h>
#include <sys/stat.h>

#include "map/prune.h"

/* A file as it lies in the cache folder, last used so many days ago. */
static void lay(const char *folder, const char *name, long long bytes, int days, long long now_s)
{
    char path[500];
    struct timespec times[2] = {{.tv_sec = now_s - days * 86400LL},
                                {.tv_sec = now_s - days * 86400LL}};
    int fd;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    fd = open(path, O_WRONLY | O_CREAT, 0600);
    cr_assert_geq(fd, 0);
    cr_assert_eq(ftruncate(fd, bytes), 0); /* a hole: no room on the disk is taken */
    cr_assert_eq(futimens(fd, times), 0);
    close(fd);
}

static bool there(const char *folder, const char *name)
{
    char path[500];

    snprintf(path, sizeof path, "%s/%s", folder, name);
    return access(path, F_OK) == 0;
}

Test(prune, old_ones_go_and_nothing_else)
{
    static const char *const others[] = {"chart-0123456789abcdef.bak",
                                         "chart-0123456789ABCDEF",
                                         "chart-0123456789abcde",
                                         "chart-notes",
                                         "import-abcdef",
                                         "lipwalk.log",
                                         "chart-0123456789abcdef0",
                                         "chart-0123456789abcdef.x.new"};
    char folder[300];
    long long now_s = 1800000000;

    lw_test_scratch(folder, sizeof folder);
    lay(folder, "chart-00000000000000aa", 100, 91, now_s);
    lay(folder, "chart-00000000000000aa.txt", 100, 91, now_s);
    lay(folder, "chart-00000000000000bb", 100, 89, now_s);
    lay(folder, "chart-00000000000000bb.txt", 100, 200, now_s);
    lay(folder, "chart-00000000000000cc.4711.new", 100, 91, now_s);
    lay(folder, "chart-00000000000000dd", 100, -3, now_s);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        lay(folder, others[i], 100, 1000, now_s);
    lw_cache_prune(folder, now_s);
    cr_assert_not(there(folder, "chart-00000000000000aa"));
    cr_assert_not(there(folder, "chart-00000000000000aa.txt"));
    cr_assert(there(folder, "chart-00000000000000bb"));
    cr_assert(there(folder, "chart-00000000000000bb.txt"), "a report goes with its chart only");
    cr_assert_not(there(folder, "chart-00000000000000cc.4711.new"));
    cr_assert(there(folder, "chart-00000000000000dd"));
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        cr_assert(there(folder, others[i]), "%s", others[i]);
    lw_cache_prune("/nowhere/at/all", now_s);
}

Test(prune, beyond_two_gigabytes_the_oldest_go)
{
    char folder[300];
    long long now_s = 1800000000;

    lw_test_scratch(folder, sizeof folder);
    lay(folder, "chart-0000000000000001", 1LL << 30, 40, now_s);
    lay(folder, "chart-0000000000000002", 1LL << 30, 30, now_s);
    lay(folder, "chart-0000000000000003", 1LL << 29, 20, now_s);
    lay(folder, "chart-0000000000000004", 1LL << 29, 0, now_s);
    lw_cache_prune(folder, now_s);
    cr_assert_not(there(folder, "chart-0000000000000001"));
    cr_assert(there(folder, "chart-0000000000000002"));
    cr_assert(there(folder, "chart-0000000000000003"));
    lay(folder, "chart-0000000000000005", 3LL << 30, 0, now_s);
    lw_cache_prune(folder, now_s);
    cr_assert_not(there(folder, "chart-0000000000000003"));
    cr_assert(there(folder, "chart-0000000000000004"), "another run may be about to open it");
    cr_assert(there(folder, "chart-0000000000000005"));
}

Test(prune, scratch_of_killed_readings_goes_after_a_day)
{
    char folder[300], path[400];
    long long now_s = 1800000000;
    struct timespec times[2] = {{.tv_sec = now_s - 90000}, {.tv_sec = now_s - 90000}};

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/import-abcdef", folder);
    cr_assert_eq(mkdir(path, 0700), 0);
    lay(path, "lake.shp", 10, 2, now_s);
    cr_assert_eq(utimensat(AT_FDCWD, path, times, 0), 0);
    snprintf(path, sizeof path, "%s/import-ghijkl", folder);
    cr_assert_eq(mkdir(path, 0700), 0);
    times[0].tv_sec = times[1].tv_sec = now_s - 600;
    cr_assert_eq(utimensat(AT_FDCWD, path, times, 0), 0);
    lw_cache_prune(folder, now_s);
    cr_assert_not(there(folder, "import-abcdef"));
    cr_assert(there(folder, "import-ghijkl"), "another run may be reading");
}
