/* Sidecar files: finding, hashing, copying them. */
#include "scratch.h"

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lipwalk/base/save.h"
#include "lipwalk/map/import.h"

#define HASH_WHOLE_MAX                                                                             \
    (64L << 20) /* reading one lake of a larger file is quicker than hashing it */
#define HASH_END     (1L << 20)
#define COPY_MAX     (1L << 30)
#define SIDECARS_MAX 64

struct sidecars {
    char folder[600], base[256], stem[256];
    char name[SIDECARS_MAX][256];
    int n;
};

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

bool lw_scratch_is(const char *map, const char *extension)
{
    const char *dot = strrchr(map, '.');

    return dot && strcasecmp(dot + 1, extension) == 0;
}

static bool is_number(const char *text)
{
    return strlen(text) == 3 && strspn(text, "0123456789") == 3;
}

/* Whether the ending (with its dot) is one of the words; any case. */
static bool is_one_of(const char *ending, const char *const *words)
{
    for (; *words; words++)
        if (strcasecmp(ending, *words) == 0)
            return true;
    return false;
}

/* tfw or tifw for tif, jgw for jpg. */
static bool is_world_file(const char *map, const char *other)
{
    size_t n = strlen(other), own = strlen(map);

    if (n < 2 || own < 2 || tolower(other[n - 1]) != 'w' || tolower(other[0]) != tolower(map[0]))
        return false;
    if (n == own + 1)
        return strncasecmp(other, map, own) == 0;
    return n == 3 && tolower(other[1]) == tolower(map[own - 1]);
}

/* lake.shp owns lake.dbf, lake.shx, ...; lake.gpkg owns lake.gpkg-wal; lake.tif owns lake.tfw, its
 * place on the ground, and lake.tif.aux.xml; the cell ENC.000 owns its updates ENC.001, ... */
static bool belongs(const struct sidecars *s, const char *name)
{
    static const char *const behind[] = {".aux.xml", ".ovr", ".msk", NULL};
    static const char *const instead[] = {".prj", ".wld", ".hdr", ".clr", ".csvt", ".aux", NULL};
    static const char *const parts[] = {".shx", ".dbf", ".prj", ".cpg", ".cst", ".qix",
                                        ".sbn", ".sbx", ".idm", ".ind", NULL};
    size_t stem = strlen(s->stem), base = strlen(s->base);

    if (strncmp(name, s->base, base) == 0 &&
        (name[base] == '\0' || name[base] == '-' || is_one_of(name + base, behind)))
        return true;
    if (strncmp(name, s->stem, stem) != 0 || name[stem] != '.' || !s->base[stem])
        return false;
    if (lw_scratch_is(s->base, "shp"))
        return is_one_of(name + stem, parts);
    if (is_number(s->base + stem + 1))
        return is_number(name + stem + 1);
    return is_one_of(name + stem, instead) || is_world_file(s->base + stem + 1, name + stem + 1);
}

static int list_sidecars(const char *map, struct sidecars *s, struct lw_error *err)
{
    char folder[600];
    const char *slash = strrchr(map, '/');
    char *dot, *real;
    DIR *dir;
    struct dirent *entry;
    struct stat st;

    memset(s, 0, sizeof *s);
    if (stat(map, &st))
        return lw_fail(err, "the map %s cannot be opened: %s; check its name", map,
                       strerror(errno));
    if (!S_ISREG(st.st_mode))
        return lw_fail(err, "%s is not a file: give the map file itself", map);
    if ((size_t)snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - map) : 1,
                         slash ? map : ".") >= sizeof folder ||
        strlen(slash ? slash + 1 : map) >= sizeof s->base)
        return lw_fail(err, "the path of the map %s is too long", map);
    real = realpath(*folder ? folder : "/", NULL);
    if (!real || strlen(real) >= sizeof s->folder) {
        free(real);
        return lw_fail(err, "the folder of %s cannot be found", map);
    }
    strcpy(s->folder, real);
    free(real);
    strcpy(s->base, slash ? slash + 1 : map);
    strcpy(s->stem, s->base);
    dot = strrchr(s->stem, '.');
    if (dot && dot != s->stem)
        *dot = '\0';
    dir = opendir(s->folder);
    if (!dir) /* a folder that may be entered but not listed: the map alone counts */
        return 0;
    while ((entry = readdir(dir)) != NULL)
        if (belongs(s, entry->d_name) && s->n < SIDECARS_MAX)
            strcpy(s->name[s->n++], entry->d_name);
    closedir(dir);
    qsort(s->name, (size_t)s->n, sizeof s->name[0], by_name);
    return 0;
}

static bool is_same_file(const char *a, const char *b)
{
    struct stat x, y;

    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

bool lw_map_owns(const char *map, const char *path)
{
    const char *slash = strrchr(path, '/');
    char full[1024];
    struct sidecars s;

    if (is_same_file(map, path))
        return true;
    if (list_sidecars(map, &s, NULL))
        return false;
    for (int i = 0; i < s.n; i++) { /* links too */
        snprintf(full, sizeof full, "%s/%s", s.folder, s.name[i]);
        if (is_same_file(full, path))
            return true;
    }
    snprintf(full, sizeof full, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
    return is_same_file(full, s.folder) && belongs(&s, slash ? slash + 1 : path);
}

uint64_t lw_hash_add(uint64_t hash, const void *data, size_t n)
{
    const unsigned char *p = data;
    uint64_t word;

    if (hash == 0)
        hash = 0xcbf29ce484222325u;
    for (; n > 0; n -= n < 8 ? n : 8, p += 8) {
        word = 0;
        memcpy(&word, p, n < 8 ? n : 8);
        hash = (hash ^ word ^ (n < 8 ? (uint64_t)n << 56 : 0)) * 0x100000001b3u;
        hash ^= hash >> 32;
    }
    return hash;
}

static int hash_range(int fd, long from, long bytes, uint64_t *hash)
{
    char block[65536];

    if (lseek(fd, from, SEEK_SET) < 0)
        return -1;
    while (bytes > 0) {
        size_t want = bytes < (long)sizeof block ? (size_t)bytes : sizeof block;
        ssize_t n = read(fd, block, want);

        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return n == 0 ? 0 : -1; /* it was cut while we read: the size went in before */
        *hash = lw_hash_add(*hash, block, (size_t)n);
        bytes -= n;
    }
    return 0;
}

static int hash_file(const char *path, uint64_t *hash)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK), status = -1;

    if (fd < 0)
        return -1;
    if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode)) {
        *hash = lw_hash_add(*hash, &st.st_size, sizeof st.st_size);
        if (st.st_size <= HASH_WHOLE_MAX) {
            status = hash_range(fd, 0, st.st_size, hash);
        } else {
            *hash = lw_hash_add(*hash, &st.st_mtim, sizeof st.st_mtim);
            *hash = lw_hash_add(*hash, &st.st_ctim, sizeof st.st_ctim);
            *hash = lw_hash_add(*hash, &st.st_ino, sizeof st.st_ino);
            status = hash_range(fd, 0, HASH_END, hash);
            if (status == 0)
                status = hash_range(fd, st.st_size - HASH_END, HASH_END, hash);
        }
    }
    close(fd);
    return status;
}

int lw_scratch_hash(const char *map, uint64_t *hash, struct lw_error *err)
{
    struct sidecars s;
    char path[1200];

    if (list_sidecars(map, &s, err))
        return -1;
    if (hash_file(map, hash))
        return lw_fail(err, "%s cannot be read: %s", map, strerror(errno));
    for (int i = 0; i < s.n; i++) {
        snprintf(path, sizeof path, "%s/%s", s.folder, s.name[i]);
        *hash = lw_hash_add(*hash, s.name[i], strlen(s.name[i]) + 1);
        if (strcmp(s.name[i], s.base) != 0)
            hash_file(path, hash); /* one that cannot be read is as good as none */
    }
    return 0;
}

static int copy_file(const char *from, const char *to)
{
    char block[65536];
    int in = open(from, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    int out = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    struct stat st;
    ssize_t n = -1;

    if (in >= 0 && out >= 0 && fstat(in, &st) == 0 && S_ISREG(st.st_mode) && st.st_size <= COPY_MAX)
        while ((n = read(in, block, sizeof block)) > 0)
            if (lw_write_all(out, block, (size_t)n)) {
                n = -1;
                break;
            }
    if (in >= 0)
        close(in);
    if (out >= 0)
        close(out);
    return n < 0 ? -1 : 0;
}

static bool has_filled(const struct sidecars *s, const char *name)
{
    char path[1200];
    struct stat st;

    snprintf(path, sizeof path, "%s/%s", s->folder, name);
    return stat(path, &st) == 0 && st.st_size > 0;
}

static bool has_ending(const struct sidecars *s, const char *ending)
{
    for (int i = 0; i < s->n; i++)
        if (strcasecmp(s->name[i] + strlen(s->stem), ending) == 0)
            return true;
    return false;
}

int lw_scratch_stage(const char *map, const char *scratch, char *path, size_t size, bool *copied,
                     struct lw_error *err)
{
    struct sidecars s;
    char from[1200], to[1200], wal[300], journal[300];

    *copied = false;
    if (list_sidecars(map, &s, err))
        return -1;
    snprintf(wal, sizeof wal, "%s-wal", s.base);
    snprintf(journal, sizeof journal, "%s-journal", s.base);
    if (lw_scratch_is(map, "gpkg"))
        *copied = has_filled(&s, wal) || has_filled(&s, journal);
    else if (lw_scratch_is(map, "shp"))
        *copied = !has_ending(&s, ".shx");
    if (!*copied) {
        const char *zip = lw_scratch_is(map, "zip") || lw_scratch_is(map, "shz") ? "/vsizip/" : "";

        if ((size_t)snprintf(path, size, "%s%s/%s", zip, s.folder, s.base) >= size)
            return lw_fail(err, "the path of the map %s is too long", map);
        return 0;
    }
    for (int i = 0; i < s.n; i++) {
        size_t shm = strlen(s.name[i]);

        if (shm > 4 && strcmp(s.name[i] + shm - 4, "-shm") == 0)
            continue; /* other processes' shared memory, not data */
        snprintf(from, sizeof from, "%s/%s", s.folder, s.name[i]);
        snprintf(to, sizeof to, "%s/%s", scratch, s.name[i]);
        if (copy_file(from, to))
            return lw_fail(err, "%s cannot be copied to be read: %s", map, strerror(errno));
    }
    if ((size_t)snprintf(path, size, "%s/%s", scratch, s.base) >= size)
        return lw_fail(err, "the path of the map %s is too long", map);
    return 0;
}

void lw_scratch_remove(const char *scratch)
{
    char path[1200];
    DIR *dir = opendir(scratch);
    struct dirent *entry;

    while (dir && (entry = readdir(dir)) != NULL) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        snprintf(path, sizeof path, "%s/%s", scratch, entry->d_name);
        unlink(path);
    }
    if (dir)
        closedir(dir);
    rmdir(scratch);
}
