#include "path.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static int make_folders(char *path, struct lw_error *err)
{
    for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        int failed;

        *slash = '\0';
        failed = mkdir(path, 0700) != 0 && errno != EEXIST;
        if (failed)
            lw_fail(err, "the folder %s for the journal cannot be made: %s", path, strerror(errno));
        *slash = '/';
        if (failed)
            return -1;
    }
    return 0;
}

int lw_journal_path(const char *given, char *to, size_t size, struct lw_error *err)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    int length;

    if (given)
        length = snprintf(to, size, "%s", given);
    else if (data && data[0] == '/')
        length = snprintf(to, size, "%s/lipwalk/lipwalk.db", data);
    else if (home && home[0] == '/')
        length = snprintf(to, size, "%s/.local/share/lipwalk/lipwalk.db", home);
    else
        return lw_fail(err,
                       "there is no folder for the journal: set HOME or XDG_DATA_HOME, or give "
                       "a file with --journal");
    if (length < 0 || (size_t)length + 16 >= size) /* room for -wal, .lease, .new-XXXXXX */
        return lw_fail(err, "the path of the journal is too long: give a shorter one with "
                            "--journal");
    return given ? 0 : make_folders(to, err);
}
