/* Soundings in text files and GPX: which reader a file needs. */
#include "table.h"

#include "scratch.h"
#include "table_points.h"

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
    return lw_scratch_is(file->path, "gpx") ? lw_table_read_gpx(file, out, err)
                                            : lw_table_read_text(file, options->at, out, err);
}
