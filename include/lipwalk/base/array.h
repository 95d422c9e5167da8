/* Arrays: growing as elements come, sorting. */
#ifndef LIPWALK_BASE_ARRAY_H
#define LIPWALK_BASE_ARRAY_H

#include <stddef.h>

/* Makes room for element n of *array, which has room for *cap; both grow where need be, by
 * doubling, so that adding n elements costs about n. `array` is the address of the pointer to the
 * elements (freed by the caller with free). 0, or -1 when memory ran out: then all is as it was. */
#define lw_array_room(array, n, cap) lw_array_room_of((array), (n), (cap), sizeof **(array))
int lw_array_room_of(void *array, size_t n, size_t *cap, size_t each);

/* For qsort: doubles, smallest first. */
int lw_number_order(const void *a, const void *b);

#endif
