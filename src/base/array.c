#include "lipwalk/base/array.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int lw_array_room_of(void *array, size_t n, size_t *cap, size_t each)
{
    size_t wanted = *cap ? 2 * *cap : 4;
    void *old, *more;

    if (n < *cap)
        return 0;
    if (*cap > PTRDIFF_MAX / 2 / each) /* no array is larger */
        return -1;
    memcpy(&old, array, sizeof old); /* `array` is the address of a pointer to any type */
    more = realloc(old, wanted * each);
    if (!more)
        return -1;
    memcpy(array, &more, sizeof more);
    *cap = wanted;
    return 0;
}

int lw_number_order(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}
