#include "lipwalk/base/folder.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

int lw_folder_path(char kind, char *to, size_t size, struct lw_error *err)
{
    const char *variable = kind == 'c'   ? "XDG_CONFIG_HOME"
                           : kind == 'd' ? "XDG_DATA_HOME"
                                         : "XDG_CACHE_HOME";
    const char *under_home = kind == 'c' ? ".config" : kind == 'd' ? ".local/share" : ".cache";
    const char *base = getenv(variable), *home = getenv("HOME");
    int length;

    if (base && base[0] == '/')
        length = snprintf(to, size, "%s/lipwalk", base);
    else if (home && home[0] == '/')
        length = snprintf(to, size, "%s/%s/lipwalk", home, under_home);
    else
        return lw_fail(err, "neither %s nor HOME holds an absolute path: set one of them",
                       variable);
    if (length < 0 || (size_t)length >= size)
        return lw_fail(err, "the path in %s or HOME is too long: set a shorter one", variable);
    return 0;
}

/* Makes one folder; one that is there is left as it is. */
static int make_one(const char *path, struct lw_error *err)
{
    struct stat is;

    if (mkdir(path, 0700) == 0)
        return 0;
    if (errno != EEXIST)
        return lw_fail(err, "%s cannot be made: %s", path, strerror(errno));
    if (stat(path, &is) != 0 || !S_ISDIR(is.st_mode))
        return lw_fail(err, "%s is in the way: it is not a folder; move it", path);
    return 0;
}

int lw_folder(char kind, char *to, size_t size, struct lw_error *err)
{
    if (lw_folder_path(kind, to, size, err))
        return -1;
    for (char *slash = strchr(to + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        int result;

        *slash = '\0';
        result = make_one(to, err);
        *slash = '/';
        if (result)
            return -1;
    }
    return make_one(to, err);
}
