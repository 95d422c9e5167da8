/* Soundings in text files and GPX: which reader a file needs. */
#include "table.h"

#include "scratch.h"

bool lw_table_is(const char *map)
{
    static const char *const endings[] = {"csv", "tsv", "xyz", "txt", "dat", "gpx"};

    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        if (lw_scratch_is(map, endings[i]))
            return true;
    return false;
}

int lw_table_read(const struct lw_map_file *file, const struct lw_import_options *options,
                  struct lw_source *out, struct lw_error *err)
{
    (void)options;
    (void)out;
    return lw_fail(err, "%s: soundings in text files cannot be read yet", file->path);
}
