/* The name that was probably meant. */
#ifndef LIPWALK_SRC_CONF_NEAR_H
#define LIPWALK_SRC_CONF_NEAR_H

#include <stdbool.h>
#include <stddef.h>

/* Letters to insert, delete or change to turn `a` into `b` (Levenshtein 1966); names of more than
 * 63 bytes count as 63 apart. */
size_t conf_name_distance(const char *a, const char *b);
/* True when `distance` is small enough for `name` to be a slip of the keys. */
bool conf_name_close(const char *name, size_t distance);

#endif
