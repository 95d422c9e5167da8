/* Old cache files. */
#include <dirent.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lipwalk/base/array.h"
#include "prune.h"
#include "scratch.h"

#define DAY_S   86400LL
#define OLD_S   (90 * DAY_S)
#define ALL_MAX (2LL << 30)

struct entry {
    char name[64];
    long long used_s, bytes;
};
struct entries {
    struct entry *e;
    size_t n, cap;
};

/* chart-0123456789abcdef, or with .1234.new behind it: a draft that a crash left. A chart's report,
 * .txt, goes with the chart. */
static bool is_ours(const char *name)
{
    const char *rest = name + 6 + 16, *dot;

    if (strncmp(name, "chart-", 6) != 0 || strspn(name + 6, "0123456789abcdef") != 16)
        return false;
    if (!*rest)
        return true;
    dot = rest + 1 + strspn(rest + 1, "0123456789");
    return *rest == '.' && dot > rest + 1 && strcmp(dot, ".new") == 0;
}

static void list(DIR *dir, struct entries *all)
{
    struct dirent *entry;
    struct stat st;

    while ((entry = readdir(dir)) != NULL) {
        if (!is_ours(entry->d_name) || strlen(entry->d_name) >= sizeof all->e->name ||
            fstatat(dirfd(dir), entry->d_name, &st, AT_SYMLINK_NOFOLLOW) || !S_ISREG(st.st_mode) ||
            lw_array_room(&all->e, all->n, &all->cap))
            continue;
        all->e[all->n].used_s = st.st_mtim.tv_sec;
        all->e[all->n].bytes = st.st_size;
        strcpy(all->e[all->n++].name, entry->d_name);
    }
}

static int oldest_first(const void *a, const void *b)
{
    long long x = ((const struct entry *)a)->used_s, y = ((const struct entry *)b)->used_s;

    return (x > y) - (x < y);
}

/* Private folders of readings that were killed: "import-" and six characters. No reading takes a
 * day. */
static void drop_scratch(const char *folder, DIR *dir, long long now_s)
{
    struct dirent *entry;
    struct stat st;
    char path[1200];

    while ((entry = readdir(dir)) != NULL) {
        if (strncmp(entry->d_name, "import-", 7) != 0 || strlen(entry->d_name) != 13 ||
            fstatat(dirfd(dir), entry->d_name, &st, AT_SYMLINK_NOFOLLOW) || !S_ISDIR(st.st_mode) ||
            now_s - st.st_mtim.tv_sec <= DAY_S ||
            (size_t)snprintf(path, sizeof path, "%s/%s", folder, entry->d_name) >= sizeof path)
            continue;
        lw_scratch_remove(path);
    }
}

void lw_cache_prune(const char *folder, long long now_s)
{
    struct entries all = {0};
    long long bytes = 0;
    char report[sizeof all.e->name + 4];
    DIR *dir = opendir(folder);

    if (!dir)
        return;
    list(dir, &all);
    rewinddir(dir);
    drop_scratch(folder, dir, now_s);
    for (size_t i = 0; i < all.n; i++)
        bytes += all.e[i].bytes;
    if (all.n)
        qsort(all.e, all.n, sizeof *all.e, oldest_first);
    for (size_t i = 0; i < all.n; i++) {
        long long age_s = now_s - all.e[i].used_s;

        if (age_s <= DAY_S || (age_s <= OLD_S && bytes <= ALL_MAX))
            break; /* all that follow were used later */
        if (unlinkat(dirfd(dir), all.e[i].name, 0))
            continue;
        bytes -= all.e[i].bytes;
        snprintf(report, sizeof report, "%s.txt", all.e[i].name);
        unlinkat(dirfd(dir), report, 0);
    }
    free(all.e);
    closedir(dir);
}
