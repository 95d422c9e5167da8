/* Levenshtein distance, two rows. */
#include "near.h"

#include <string.h>

#define LONGEST 63

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

size_t conf_name_distance(const char *a, const char *b)
{
    const size_t width = strlen(b);
    size_t row[LONGEST + 1];

    if (strlen(a) > LONGEST || width > LONGEST)
        return LONGEST;
    for (size_t j = 0; j <= width; j++)
        row[j] = j;
    for (size_t i = 0; a[i]; i++) {
        size_t diagonal = row[0];

        row[0] = i + 1;
        for (size_t j = 0; j < width; j++) {
            const size_t changed = diagonal + (a[i] != b[j]);

            diagonal = row[j + 1];
            row[j + 1] = least(changed, 1 + least(diagonal, row[j]));
        }
    }
    return row[width];
}

bool conf_name_close(const char *name, size_t distance)
{
    return distance <= 1 + strlen(name) / 4;
}
