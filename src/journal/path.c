#include "path.h"

#include <stdio.h>

#include "lipwalk/base/folder.h"

int lw_journal_path(const char *given, char *to, size_t size, struct lw_error *err)
{
    char folder[512];
    int length;

    if (!given && lw_folder('d', folder, sizeof folder, err))
        return -1;
    length = given ? snprintf(to, size, "%s", given) : snprintf(to, size, "%s/lipwalk.db", folder);
    if (length < 0 || (size_t)length + 16 >= size) /* room for -wal, .lease, .new-XXXXXX */
        return lw_fail(err, "the path of the journal is too long: give a shorter one with "
                            "--journal");
    return 0;
}
